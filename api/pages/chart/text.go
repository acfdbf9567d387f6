package chart

import "strings"

// advances are the widths of the printable ASCII characters from the space on, in
// thousandths of the size of the type: those of Helvetica in Adobe's Core 14 font
// metrics (1997), which Arial and Liberation Sans share.
var advances = [...]float64{
	278, 278, 355, 556, 556, 889, 667, 191, 333, 333, 389, 584, 278, 333, 278, 278,
	556, 556, 556, 556, 556, 556, 556, 556, 556, 556, 278, 278, 584, 584, 584, 556,
	1015, 667, 667, 722, 722, 667, 611, 778, 722, 278, 500, 667, 556, 833, 722, 778,
	667, 778, 722, 667, 611, 722, 667, 944, 667, 667, 611, 278, 278, 278, 469, 556,
	333, 556, 556, 500, 556, 556, 278, 556, 556, 222, 222, 500, 222, 833, 556, 556,
	556, 556, 333, 500, 278, 556, 500, 722, 500, 500, 500, 334, 260, 334, 584,
}

// others are further characters that the pages use, from the same metrics.
var others = map[rune]float64{
	'\u00a0': 278, '\u2060': 0, '£': 556, '€': 556, '²': 333, '³': 333, '°': 400, '±': 584, '×': 584,
	'−': 584, '–': 556, '—': 1000, '…': 1000, '≤': 549, '≥': 549,
}

// otherAdvance is taken for a character that is in neither table: no letter of
// the Latin alphabets is wider than an accented W, and an ideograph fills a whole
// em.
const (
	otherAdvance     = 944
	ideographAdvance = 1000
	firstIdeograph   = 0x2e80
)

// boldWidening is how much wider bold figures and letters are at the most, on
// average over a word.
const boldWidening = 1.09

// textWidth is how wide words are at a size.
func textWidth(words string, size float64) float64 {
	sum := 0.0
	for _, r := range words {
		switch other, known := others[r]; {
		case r >= ' ' && int(r-' ') < len(advances):
			sum += advances[r-' ']
		case known:
			sum += other
		case r >= firstIdeograph:
			sum += ideographAdvance
		default:
			sum += otherAdvance
		}
	}
	return sum / 1000 * size
}

// The height of type above and below its base line, as shares of its size.
const (
	ascent  = 0.74
	descent = 0.21
)

// boxOf is the room that words take.
func boxOf(x, y float64, at anchor, size float64, words string) box {
	w := textWidth(words, size)
	switch at {
	case middle:
		x -= w / 2
	case end:
		x -= w
	}
	return box{x, y - ascent*size, x + w, y + descent*size}
}

// fittedBold is fitted for words that are set in bold.
func fittedBold(words string, size, room float64) string {
	return fitted(words, size, room/boldWidening)
}

// fitted cuts words to a width, with an ellipsis.
func fitted(words string, size, room float64) string {
	if textWidth(words, size) <= room {
		return words
	}
	runes := []rune(words)
	for len(runes) > 0 && textWidth(string(runes)+"…", size) > room {
		runes = runes[:len(runes)-1]
	}
	return strings.TrimRight(string(runes), " ,") + "…"
}

// wrapped breaks words into lines of a width.
func wrapped(words string, size, room float64) []string {
	var lines []string
	line := ""
	for _, word := range strings.Fields(words) {
		word = fitted(word, size, room)
		switch {
		case line == "":
			line = word
		case textWidth(line+" "+word, size) > room:
			lines = append(lines, line)
			line = word
		default:
			line += " " + word
		}
	}
	if line != "" {
		lines = append(lines, line)
	}
	return lines
}
