package report

import (
	"fmt"
	"strings"

	"swardcase/model"
	"swardcase/model/condition"
	"swardcase/model/survey"
)

// Measure is one measure of the condition as it is shown.
type Measure struct {
	Name  string
	Unit  string
	Value float64
	Score float64 // 0 to 100
	// Interval is nil where the readings cannot support one.
	Interval *survey.Interval
	Code     condition.Measure
}

// ValueWords writes the value with its unit.
func (m Measure) ValueWords() string { return Figure(m.Value) + " " + m.Unit }

// IntervalWords writes the interval, without the unit.
func (m Measure) IntervalWords() string {
	if m.Interval == nil {
		return "no interval"
	}
	return fmt.Sprintf("%s to %s", Figure(m.Interval.Low), Figure(m.Interval.High))
}

// Measures are those of the condition that were made, in their order.
func Measures(r model.ConditionReport) []Measure {
	var out []Measure
	for _, m := range r.Condition.Measures {
		if m.Value == nil || m.Score == nil {
			continue
		}
		estimate := estimateOf(r.Survey, m.Measure)
		shown := Measure{Name: MeasureName(m.Measure), Unit: m.Unit, Value: *m.Value, Score: *m.Score, Interval: estimate.Interval, Code: m.Measure}
		if m.Measure == condition.MonthsPlayable {
			shown.Unit = "months"
		}
		out = append(out, shown)
	}
	return out
}

// MeasureName names a measure without its unit.
func MeasureName(m condition.Measure) string {
	name := string(m)
	for _, unit := range []string{"_mm_per_h", "_mm", "_pct"} {
		name = strings.TrimSuffix(name, unit)
	}
	return Plain(name)
}

func estimateOf(s survey.Summary, m condition.Measure) survey.Estimate {
	return map[condition.Measure]survey.Estimate{
		condition.Infiltration:      s.Infiltration,
		condition.ThatchDepth:       s.ThatchDepth,
		condition.AnnualMeadowGrass: s.AnnualMeadowGrass,
		condition.MonthsPlayable:    s.MonthsPlayable,
	}[m]
}

// GradeWords gives the grade and the worst measure, which say what is wrong, and
// only then the index, which is easily taken for an exam mark.
func GradeWords(r model.ConditionReport) string {
	c := r.Condition
	words := Sentence(string(c.Grade))
	if len(c.WorstFirst) > 0 {
		for _, m := range Measures(r) {
			if m.Code == c.WorstFirst[0] {
				words += fmt.Sprintf(" The worst measure is %s: %s, %.0f of 100 on its scale.", m.Name, m.ValueWords(), m.Score)
			}
		}
	}
	if c.WorstZone != "" {
		words += fmt.Sprintf(" The worst part of the green is %s.", c.WorstZone)
	}
	return words + fmt.Sprintf(" Over all measures the index is %.0f of 100 (%s).", c.Index, IndexIntervalWords(c))
}

// IndexIntervalWords says how far the index may be off.
func IndexIntervalWords(c condition.Condition) string {
	if c.Interval == nil {
		return "no interval: no measure has one"
	}
	return fmt.Sprintf("%.0f to %.0f at %.0f %% confidence", c.Interval.Low, c.Interval.High, c.Interval.ConfidencePct)
}

// PartsWords says how causes and outcome score apart; empty where one of them was
// not measured.
func PartsWords(c condition.Condition) string {
	if c.CausesScore == nil || c.OutcomeScore == nil {
		return ""
	}
	return fmt.Sprintf("causes %.0f (infiltration, thatch, grass), outcome %.0f (months playable)", *c.CausesScore, *c.OutcomeScore)
}

// MissingWords names what was not measured, a line each.
func MissingWords(c condition.Condition) []string {
	var out []string
	for _, m := range c.MissingMeasures {
		out = append(out, fmt.Sprintf("not measured: %s; the index is incomplete", Plain(m)))
	}
	return out
}

// ZonesWords lists the parts of the green; empty where there are not two.
func ZonesWords(c condition.Condition) string {
	if len(c.Zones) < 2 {
		return ""
	}
	zones := make([]string, len(c.Zones))
	for i, z := range c.Zones {
		zones[i] = fmt.Sprintf("%s %.0f (%s)", z.Position, z.Index, z.Grade)
	}
	return strings.Join(zones, ", ")
}

// LostDaysHeading says of what LostDaysWords tells.
func LostDaysHeading(l model.LostDays) string {
	if l.Estimated {
		return "days lost in a year (causes estimated: record them)"
	}
	return "days lost in a year"
}

// LostDaysWords lists the days lost in a year by cause.
func LostDaysWords(l model.LostDays) string {
	return fmt.Sprintf("waterlogged green %.0f, waterlogged course %.0f, frost %.0f, policy %.0f, works %.0f",
		Total(l.WaterloggedGreenDays), Total(l.WaterloggedCourseDays), Total(l.FrostDays), Total(l.PolicyDays), Total(l.WorksDays))
}

// Finding is one cause that is present, with its evidence, or that cannot be
// judged, with the test that would settle it.
type Finding struct {
	Name    string // with its kind in brackets
	Present bool
	Words   string
}

// Findings lists what is present and then what cannot be judged. What is absent is
// left out.
func Findings(d condition.Diagnosis) []Finding {
	var out []Finding
	for _, verdict := range []condition.Verdict{condition.Present, condition.CannotJudge} {
		for _, f := range d.Findings {
			if f.Verdict != verdict {
				continue
			}
			finding := Finding{Name: fmt.Sprintf("%s (%s)", Plain(f.Cause), Plain(f.Kind)), Present: verdict == condition.Present}
			if finding.Present {
				var evidence []string
				for _, e := range f.Evidence {
					evidence = append(evidence, e.Text)
				}
				finding.Words = strings.Join(evidence, " ")
			} else {
				finding.Words = "cannot be judged. " + f.SettleBy
			}
			out = append(out, finding)
		}
	}
	return out
}

// UpkeepWords says whether upkeep can still mend the green.
func UpkeepWords(d condition.Diagnosis) string {
	return d.UpkeepReason + " " + strings.Join(d.Trial.Reasons, " ")
}
