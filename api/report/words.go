// Package report puts an answer of the model into the sentences and lines that
// people read. The printed text and the pages both take them from here, so that
// the two cannot disagree.
package report

import (
	"fmt"
	"strconv"
	"strings"

	"swardcase/model"
	"swardcase/model/confidence"
)

// Plain names a code in words: underscores become spaces.
func Plain[T ~string](code T) string { return strings.ReplaceAll(string(code), "_", " ") }

// Sentence gives words their capital and their full stop.
func Sentence(words string) string {
	if words == "" {
		return ""
	}
	return strings.ToUpper(words[:1]) + strings.TrimSuffix(words[1:], ".") + "."
}

// Shortened cuts a name to so many characters.
func Shortened(text string, most int) string {
	if runes := []rune(text); len(runes) > most {
		return string(runes[:most-1]) + "…"
	}
	return text
}

// Title is the title of a case, or the name of its green where it has none.
func Title(title, green string) string {
	if title != "" {
		return title
	}
	return "Green " + green
}

// OptionName names an option at the head of a row.
func OptionName(o model.Option) string { return strings.ReplaceAll(Plain(o), "/", ", ") }

// ShortName names an option where there is little room: at the end of a line,
// beside a bar, and within the 31 characters of the name of a sheet.
func ShortName(o model.Option) string {
	route := map[model.Route]string{
		model.PresentProgramme: "present", model.IntensifiedAeration: "intensified",
		model.PartialRenovation: "partial", model.LayeredRebuild: "rebuild",
	}[o.Route()]
	if surface := o.Surface(); surface != model.NoSurface {
		return route + ", " + Plain(surface)
	}
	return route
}

// YesNo answers a question in a table.
func YesNo(yes bool) string {
	if yes {
		return "yes"
	}
	return "no"
}

// Rounded writes a percentage to at most two places.
func Rounded(pct float64) string {
	return strings.TrimSuffix(strings.TrimRight(strconv.FormatFloat(pct, 'f', 2, 64), "0"), ".")
}

// Figure writes a measure to about three digits.
func Figure(value float64) string {
	switch {
	case value >= 100:
		return fmt.Sprintf("%.0f", value)
	case value >= 10:
		return fmt.Sprintf("%.1f", value)
	}
	return fmt.Sprintf("%.2g", value)
}

// Percent writes a chance, with its error where that can be seen.
func Percent(c confidence.ProbabilityWithError) string {
	shown := 100 * c.Probability
	switch {
	case c.Probability > 0.995:
		return "more than 99 %"
	case c.Probability < 0.005:
		return "less than 1 %"
	case c.StandardError >= 0.005:
		return fmt.Sprintf("%.0f %% (±%.0f)", shown, 100*c.StandardError)
	}
	return fmt.Sprintf("%.0f %%", shown)
}

// Total adds up the months of a year.
func Total(months [12]float64) float64 {
	sum := 0.0
	for _, days := range months {
		sum += days
	}
	return sum
}
