package report

import (
	"fmt"
	"strings"

	"swardcase/model"
)

// Verdict says in a word whether an option meets every requirement: yes, no, or
// cannot where it cannot be done at all.
func Verdict(o model.OptionAppraisal) string {
	switch {
	case len(o.Infeasible) > 0:
		return "cannot"
	case len(o.Shortfalls) > 0:
		return "no"
	}
	return "yes"
}

// MonthsNote explains the months in a table of options.
func MonthsNote(a model.Appraisal) string {
	return fmt.Sprintf("Months playable: open on the main green, year %d. Months out: this green on a temporary.", model.JudgedYear(*a.Case.Money.HorizonYears))
}

// ValueNote explains the worth over the present programme.
func ValueNote(a model.Appraisal) string {
	return fmt.Sprintf("Worth over present: net present value against the present programme, %d years at %s (%s).",
		*a.Case.Money.HorizonYears, DiscountWords(*a.Case.Money), a.Case.Money.Basis)
}

// DisturbedHeading says of what DisturbedWords tells.
const DisturbedHeading = "Weeks of disturbed surface a year, on an open green"

// DisturbedWords lists the weeks for which each programme disturbs the surface of
// an open green.
func DisturbedWords(a model.Appraisal) string {
	weeks := make([]string, len(a.Programmes))
	for i, programme := range a.Programmes {
		weeks[i] = fmt.Sprintf("%s %.0f", Plain(programme.Name), programme.DisturbedWeeksPerYear)
	}
	return strings.Join(weeks, ", ") + "."
}

// CannotWords says of each option that cannot be done why.
func CannotWords(a model.Appraisal) []string {
	var out []string
	for _, o := range a.Options {
		for _, reason := range o.Infeasible {
			out = append(out, o.Words+" cannot be done: "+reason.Text)
		}
	}
	return out
}

// ShortfallWords says of each option which requirements it misses.
func ShortfallWords(a model.Appraisal) []string {
	var out []string
	for _, o := range a.Options {
		for _, shortfall := range o.Shortfalls {
			out = append(out, o.Words+": "+shortfall.Text)
		}
	}
	return out
}

// DrawsWords says what the quantiles of the draws mean.
func DrawsWords(c model.Confidence) string {
	return fmt.Sprintf("%d draws, seed %d. In a tenth of them a figure is below P10, in a tenth above P90. No option qualifies in %.0f %% of them.",
		c.Draws, c.Seed, 100*c.NoOption.Probability)
}

// TornadoTitle says of what figure a tornado is.
func TornadoTitle(t model.Tornado) string {
	title := "What moves the worth of " + t.Option.Words()
	if t.Less != "" {
		title += ", less that of " + t.Less.Words()
	}
	return fmt.Sprintf("%s, most (%s where all is likely)", title, t.AtLikely.Whole())
}

// MostBars is how many inputs a tornado shows.
const MostBars = 8

// FeedingWords says how a programme changes feeding and watering, and what that
// is taken to do.
func FeedingWords(programme model.ProgrammeYear) string {
	f := programme.FeedingAndIrrigation
	return fmt.Sprintf("%.0f kg/ha of nitrogen (%+.0f), %.0f mm of water (%+.0f): %s.",
		f.NitrogenKGPerHaPerYear, f.NitrogenChangeKGPerHaPerYear, f.IrrigationMMPerYear, f.IrrigationChangeMMPerYear,
		strings.Join(f.Effect.Reasons, "; "))
}
