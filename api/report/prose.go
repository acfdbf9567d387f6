package report

import (
	"fmt"
	"regexp"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"swardcase/model"
)

var (
	isoDate  = regexp.MustCompile(`\b(\d{4})-(\d{2})-(\d{2})\b`)
	isoMonth = regexp.MustCompile(`\b(\d{4})-(\d{2})\b`)
	// negative is the hyphen that stands for a minus before a number or an amount.
	negative = regexp.MustCompile(`(^|[\s(])-((?:[£€]|[A-Z]{3} )?\d)`)
	// beforeUnit is the space between a number and what belongs to it.
	beforeUnit = regexp.MustCompile(`(\d) (%|mm|m²|m³|m\b|t\b|t/ha|kg|h\b|months?\b|years?\b|weeks?\b|days?\b)`)
)

// Prose sets a sentence of the model for a page: dates are spelt out ("1 March
// 2028"), a hyphen before a number becomes a minus, a number stays with its unit,
// and the first letter is a capital. What it says does not change.
func Prose(text string) string {
	text = isoDate.ReplaceAllStringFunc(text, func(found string) string {
		day, err := time.Parse(time.DateOnly, found)
		if err != nil {
			return found
		}
		return day.Format("2 January 2006")
	})
	text = isoMonth.ReplaceAllStringFunc(text, func(found string) string {
		month, err := time.Parse("2006-01", found)
		if err != nil {
			return found
		}
		return month.Format("January 2006")
	})
	text = Minus(text)
	text = beforeUnit.ReplaceAllString(text, "$1\u00a0$2")
	first, size := utf8.DecodeRuneInString(text)
	if size == 0 {
		return ""
	}
	return string(unicode.ToUpper(first)) + text[size:]
}

// Minus puts a true minus in the place of a hyphen before a number, with a word
// joiner behind it so that no line ends between the two.
func Minus(text string) string { return negative.ReplaceAllString(text, "$1−\u2060$2") }

// RequirementWords lists what the club insists on.
func RequirementWords(c model.Case) []string {
	r := c.Requirements
	year := 0
	if c.Money != nil && c.Money.HorizonYears != nil {
		year = model.JudgedYear(*c.Money.HorizonYears)
	}
	var out []string
	if r.LeastMonthsPlayable != nil {
		out = append(out, fmt.Sprintf("at least %s months playable in year %d", Rounded(*r.LeastMonthsPlayable), year))
	}
	if r.LeastIndex != nil {
		out = append(out, fmt.Sprintf("a condition index of at least %s in year %d", Rounded(*r.LeastIndex), year))
	}
	if r.MostMonthsOutOfPlay != nil {
		out = append(out, fmt.Sprintf("at most %s months on a temporary", Rounded(*r.MostMonthsOutOfPlay)))
	}
	if r.MostAnnualMeadowGrassPct != nil {
		out = append(out, fmt.Sprintf("at most %s %% annual meadow grass in turf that is relaid", Rounded(*r.MostAnnualMeadowGrassPct)))
	}
	if r.CapitalCeiling != nil {
		out = append(out, "capital of at most "+r.CapitalCeiling.About())
	}
	return out
}

// Joined writes a list as a sentence does: "a, b and c".
func Joined(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:len(words)-1], ", ") + " and " + words[len(words)-1]
}
