package model

import (
	"fmt"
	"strings"

	"swardcase/costs"
	"swardcase/model/confidence"
)

// adviceReasons says why, in the order in which a committee asks: what is
// wrong, what has been tried, what the option brings, what it costs, and what
// else was ruled out.
func (a *appraiser) adviceReasons(r Recommendation, o OptionAppraisal, options []OptionAppraisal) []string {
	judged := a.report.Condition
	reasons := []string{judged.Headline}
	if judged.Diagnosis.UpkeepReason != "" {
		reasons = append(reasons, judged.Diagnosis.UpkeepReason)
	}
	if o.PackageReason != "" {
		reasons = append(reasons, o.PackageReason)
	}
	reasons = append(reasons, presentReason(options[find(options, Yardstick)].Forecast.Years))
	if o.Option != Yardstick {
		reasons = append(reasons, a.moneyReason(o))
	}
	if r.Kind == ProgrammeFirst && len(o.Shortfalls) > 0 {
		reasons = append(reasons, "The programme alone is not expected to meet every requirement ("+
			strings.Join(shortfallTexts(o), "; ")+"), but works are not advised before it has had a fair trial.")
	}
	reasons = append(reasons, o.Reasons...)
	return reasons
}

// presentReason says where the present programme leads.
func presentReason(years []ForecastYear) string {
	first, last := years[0].MonthsPlayable, years[len(years)-1].MonthsPlayable
	const alike = 0.1 // three days a year
	switch {
	case last < first-alike:
		return fmt.Sprintf("Left to the present programme the green is expected to fall from %.1f months playable in year 1 to %.1f in year %d.", first, last, len(years))
	case last > first+alike:
		return fmt.Sprintf("Under the present programme the green is expected to mend from %.1f months playable in year 1 to %.1f in year %d.", first, last, len(years))
	}
	return fmt.Sprintf("Under the present programme the green is expected to stay at about %.1f months playable for %d years.", last, len(years))
}

// moneyReason reads the payback as a committee should: an option that does not
// pay in money may still buy what the club wants.
func (a *appraiser) moneyReason(o OptionAppraisal) string {
	against := o.Money.AgainstPresent
	years := against.Payback.Years
	switch {
	case years != nil && against.NetPresentValue.Sign() < 0:
		return fmt.Sprintf("It pays back in %.1f years before discounting, but %s it is worth %s against the present programme over %d years.",
			*years, a.Case.Money.discountWords(), against.NetPresentValue.About(), a.purse.timeline.Years())
	case years != nil:
		return fmt.Sprintf("Against the present programme it is worth %s over %d years and pays back in %.1f years.",
			against.NetPresentValue.About(), a.purse.timeline.Years(), *years)
	}
	if each := o.Money.CostPerMonthGained; each != nil && against.NetPresentValue.Sign() < 0 {
		return fmt.Sprintf("It does not pay in money; it buys %.1f months a year open on the main green at %s each.",
			o.Money.MonthsGainedYear5, each.About())
	}
	return fmt.Sprintf("Against the present programme it is worth %s over %d years.", against.NetPresentValue.About(), a.purse.timeline.Years())
}

// whatWouldChange gives at most three sentences, each with the value at which
// the advice turns.
func (a *appraiser) whatWouldChange(r Recommendation, o OptionAppraisal, options []OptionAppraisal, passing []int, drawn *Confidence) []string {
	out := []string{}
	if r.Kind == ProgrammeFirst {
		out = append(out, fmt.Sprintf("If by %s a fair trial has not taken off at least half a point of organic matter or 3 mm of thatch a year, go further.", r.LookAgain))
	}
	if r.Kind == BestOption && len(passing) > 1 && r.RunnerUp != "" {
		if s := a.tieWith(o, options, r.RunnerUp); s != "" {
			out = append(out, s)
		}
	}
	if s := drawn.turn(); s != "" {
		out = append(out, s)
	}
	if s := a.worthAtBreakEven(o); s != "" {
		out = append(out, s)
	}
	if s := relaxed(o, options); s != "" {
		out = append(out, s)
	}
	if len(out) < 3 {
		if open := a.openQuestion(); open != "" {
			out = append(out, open)
		}
	}
	return out[:min(3, len(out))]
}

// tieWith finds the worth of a playable month at which the runner-up draws
// level. Net present value is linear in the worth, so the tie is exact: with
// value V and present income I, they are equal when the worth is
// 1 + (V₁ − V₂)/(I₂ − I₁) times what is stated.
func (a *appraiser) tieWith(o OptionAppraisal, options []OptionAppraisal, other Option) string {
	at := find(options, other)
	if at < 0 {
		return ""
	}
	runner := options[at]
	gap := o.Money.AgainstPresent.NetPresentValue.Float() - runner.Money.AgainstPresent.NetPresentValue.Float()
	slope := runner.Money.incomeGain - o.Money.incomeGain
	if slope == 0 {
		return ""
	}
	ratio := 1 + gap/slope
	if ratio <= 0 || ratio > mostRatio {
		return fmt.Sprintf("No worth of a playable month up to %d times the stated one puts %s ahead of it.", mostRatio, runner.Words)
	}
	direction := "more"
	if ratio < 1 {
		direction = "less"
	}
	return fmt.Sprintf("If a playable month were worth %s than %.1f times what is stated, %s would be ahead.", direction, ratio, runner.Words)
}

// turn is the drawn input that turns the answer with the widest swing, with the
// value at which it does. The worth of a playable month has a sentence of its
// own.
func (c *Confidence) turn() string {
	if c == nil {
		return ""
	}
	ahead := c.Tornado.AtLikely.Sign() > 0
	turned := confidence.Greater
	if ahead {
		turned = confidence.Smaller
	}
	for _, b := range c.BreakEvens {
		if b.Input == "worth_of_playable_month_ratio" || len(b.Crossings) == 0 {
			continue
		}
		side, value := "below", b.Crossings[0].From
		if b.Crossings[0].Above == turned {
			side, value = "above", b.Crossings[0].To
		}
		return fmt.Sprintf("If %s were %s %s (taken as %s), %s.", plainName(b.Input), side, number(value), number(b.Likely), turnWords(ahead, b.Less))
	}
	return ""
}

// turnWords says what it means for the advised option's value, less another's,
// to change its sign.
func turnWords(ahead bool, less Option) string {
	switch {
	case ahead && less != "":
		return less.Words() + " would be ahead"
	case less != "":
		return "it would be ahead of " + less.Words()
	case ahead:
		return "it would no longer be worth more than the present programme"
	}
	return "it would be worth more than the present programme"
}

// mostRatio bounds the ratios that are printed: beyond it a break-even says no
// more than "never".
const mostRatio = 10

func (a *appraiser) worthAtBreakEven(o OptionAppraisal) string {
	ratio := o.Money.WorthTimesToBreakEven
	if o.Option == Yardstick || ratio == nil {
		return ""
	}
	if *ratio > mostRatio {
		return fmt.Sprintf("Even at %d times the stated worth of a playable month it would not pay in money.", mostRatio)
	}
	worth, err := a.meanWorth(*ratio)
	if err != nil {
		return ""
	}
	verb := "pays"
	if *ratio > 1 {
		verb = "would pay"
	}
	return fmt.Sprintf("In money it %s when a playable month of this green is worth more than about %s on average (%.1f times what is stated).",
		verb, worth.About(), *ratio)
}

// meanWorth is the mean of the twelve months' worth, times a ratio.
func (a *appraiser) meanWorth(ratio float64) (costs.Money, error) {
	total, err := costs.Sum(a.currency, a.Case.Money.WorthOfPlayableMonth...)
	if err != nil {
		return costs.Money{}, err
	}
	return times(total, ratio/12)
}

// relaxed names the option of higher value that only one requirement keeps out,
// where the advised one meets them all.
func relaxed(chosen OptionAppraisal, options []OptionAppraisal) string {
	if !chosen.Passes {
		return "" // more than one requirement stands in the way of any better advice
	}
	best := -1
	for i, o := range options {
		if len(o.Infeasible) > 0 || len(o.Shortfalls) != 1 || o.Option == chosen.Option || compareValue(o, chosen) <= 0 {
			continue
		}
		if best < 0 || compareValue(o, options[best]) > 0 {
			best = i
		}
	}
	if best < 0 {
		return ""
	}
	verb := "is worth more in money"
	if options[best].Option == Yardstick {
		verb = "costs less"
	}
	return fmt.Sprintf("One requirement keeps out %s, which %s: %s.", options[best].Words, verb, options[best].Shortfalls[0].Text)
}

// openQuestion names the first thing that the readings could not settle.
func (a *appraiser) openQuestion() string {
	for _, finding := range a.report.Condition.Diagnosis.Findings {
		if finding.Verdict == "cannot_judge" && finding.Kind == "structural" && finding.SettleBy != "" {
			return "Not settled by the readings: " + finding.SettleBy
		}
	}
	return ""
}

func conditionCautions() []string {
	return []string{
		"Readings describe the day and the places they were taken at: winter readings on a wet surface, six to nine a green, are the ones that decide.",
		"Before money is committed, have the findings checked by an independent agronomist and by laboratory tests.",
	}
}

// cautions are the warnings that stand on every appraisal, and those that this
// case calls for.
func (a *appraiser) cautions(out Appraisal) []string {
	cautions := []string{
		"Buried services: before any digging, have pipes and cables traced and marked; excavation and trenches follow local codes and licensed practice.",
		"Machinery on and near greens: trained operators only; keep members and the public away from the works.",
		"Discharge of drainage water may need consent; ask the authority before the design is fixed.",
		"Pesticides only by certified users and only where local law allows.",
		"Before money is committed: independent advice, laboratory tests of gravel, sand and root zone, and quotations. This appraisal is not a contract drawing.",
		"Months playable means open on the main green, not perfect putting. Months out of play means this green on a temporary, not the course shut.",
		"A rebuilt green is not at its best on opening day: it is firm and thirsty and plays at another pace for 12 to 24 months.",
		out.PriceStamp,
	}
	if s := a.leadTimeCaution(); s != "" {
		cautions = append(cautions, s)
	}
	if c := a.play.calibration; !c.Outcome.Explained() {
		cautions = append(cautions, "The forecast does not explain the recorded days lost: "+c.Reason+".")
	}
	if a.report.LostDays.Estimated {
		cautions = append(cautions, "The causes of the lost days were not recorded: their split between green, course and frost is estimated. Record closed days by cause.")
	}
	return cautions
}

// leadTimeCaution warns when the start comes sooner after the survey than the
// preparations allow: tests 4 to 8 weeks, tender 6 to 8, turf order 6 to 12
// months, approvals and spoil classification 2 to 6 months, 9 to 15 months in
// all. Common practice, no source.
func (a *appraiser) leadTimeCaution() string {
	surveyed, dated := a.surveyMonth()
	if !dated {
		return ""
	}
	first := a.Case.Available.FirstMonth
	months := first.MonthsSince(surveyed)
	switch {
	case months < leadMonths:
		return fmt.Sprintf("A start in %s is %d months after the survey: tests, tender, turf order and approvals take 9 to 15 months, so it is already impossible for bought turf and unlikely for the rest.", first, months)
	case months < 15:
		return fmt.Sprintf("A start in %s leaves %d months from the survey: order turf and begin tests, tender and approvals at once (9 to 15 months in all).", first, months)
	}
	return ""
}
