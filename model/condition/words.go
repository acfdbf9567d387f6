package condition

import (
	"fmt"
	"strconv"
	"strings"

	"swardcase/model/fault"
)

// number prints a value as a committee would say it: whole from 100, one decimal
// from 1, two below, and no trailing zeros.
func number(value float64) string {
	switch size := max(value, -value); {
	case size >= 100:
		return fixed(value, 0)
	case size >= 1:
		return fixed(value, 1)
	}
	return fixed(value, 2)
}

// fixed prints with so many decimals and drops the trailing zeros.
func fixed(value float64, decimals int) string {
	text := strconv.FormatFloat(value, 'f', decimals, 64)
	if strings.Contains(text, ".") {
		text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	}
	if text == "-0" {
		return "0"
	}
	return text
}

// apart prints two values so that they look different when they are, up to six
// decimals: "13.04 against 13" and never "13 against 13".
func apart(a, b float64) (string, string) {
	first, second := number(a), number(b)
	for decimals := 2; first == second && a != b && decimals <= 6; decimals++ {
		first, second = fixed(a, decimals), fixed(b, decimals)
	}
	return first, second
}

// sentence fills a value and its limit into a pattern with two {}.
func sentence(pattern string, value, limit float64) string {
	v, l := apart(value, limit)
	before, rest, _ := strings.Cut(pattern, "{}")
	between, after, _ := strings.Cut(rest, "{}")
	return before + v + between + l + after
}

// either picks one of two patterns.
func either(condition bool, yes, no string) string {
	if condition {
		return yes
	}
	return no
}

// count prints a number of things: "1 pit", "3 pits".
func count(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return strconv.Itoa(n) + " " + thing + "s"
}

// bearing is For when the condition holds and Against when it does not.
func bearing(condition bool) Bearing {
	if condition {
		return For
	}
	return Against
}

// verdictOf is Present when the condition holds and Absent when it does not.
func verdictOf(condition bool) Verdict {
	if condition {
		return Present
	}
	return Absent
}

// seen adds an observation that has no number.
func (f *Finding) seen(text string, b Bearing) {
	f.Evidence = append(f.Evidence, Evidence{Text: text, Bearing: b})
}

// reading is a measured value: what of, how much, in what unit.
type reading struct {
	measure string
	value   float64
	unit    string
}

// measured adds a value held against the limit of an assumption.
func (f *Finding) measured(text string, b Bearing, r reading, limit float64, limitName string) {
	f.Evidence = append(f.Evidence, Evidence{
		Text: text, Bearing: b, Measure: r.measure, Value: &r.value, Unit: r.unit,
		Limit: &limit, Source: sourceOf(limitName, limit),
	})
}

// noted adds a value that is held against no limit.
func (f *Finding) noted(text string, b Bearing, r reading) {
	f.Evidence = append(f.Evidence, Evidence{Text: text, Bearing: b, Measure: r.measure, Value: &r.value, Unit: r.unit})
}

// headline says the judgement in a sentence or two: grade first, then the worst
// measure, since an index alone reads like an exam mark.
func headline(c Condition, worstAt int, s Scorer) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s: index %s of 100", strings.ToUpper(string(c.Grade[:1]))+string(c.Grade[1:]), s.words(c.Index))
	switch {
	case c.Interval == nil:
		b.WriteString(", with no interval, since no measure has one")
	default:
		fmt.Fprintf(&b, " (%s to %s at %s %% confidence)", s.words(c.Interval.Low), s.words(c.Interval.High), number(c.Interval.ConfidencePct))
	}
	if n := len(c.GradesSpanned); n > 1 {
		fmt.Fprintf(&b, "; the readings allow anything from %s to %s", c.GradesSpanned[n-1], c.GradesSpanned[0])
	}
	worst := c.Measures[worstAt]
	fmt.Fprintf(&b, ". Worst measure: %s, %s %s (score %s).", natureOf(worstAt).words, number(*worst.Value), worst.Unit, fixed(*worst.Score, 0))
	if c.Incomplete {
		var missing []string
		for at, m := range c.Measures {
			if m.Value == nil {
				missing = append(missing, natureOf(at).words)
			}
		}
		fmt.Fprintf(&b, " Incomplete: %s not measured.", strings.Join(missing, ", "))
	}
	if c.WorstZone != "" {
		fmt.Fprintf(&b, " Worst zone: %s, index %s.", fault.Shorten(c.WorstZone), s.words(c.Zones[0].Index))
	}
	return b.String()
}

// words prints an index whole, or with as many decimals as keep it on its own side
// of every grade limit: 74.9 is not printed as 75 beside the word fair.
func (s Scorer) words(index float64) string {
	grade := s.Grade(index)
	for decimals := range 6 {
		text := fixed(index, decimals)
		if printed, err := strconv.ParseFloat(text, 64); err == nil && s.Grade(printed) == grade {
			return text
		}
	}
	return strconv.FormatFloat(index, 'g', -1, 64)
}
