package condition

import (
	"cmp"
	"slices"
	"strings"

	"swardcase/model/fault"
)

// Condition is the judgement of one green. Lists are in a fixed order that no
// order of readings changes.
type Condition struct {
	// Index is the weighted mean of the scores, 0 to 100.
	Index float64 `json:"index"`
	// Interval is nil when no measure has an interval. Its confidence is the
	// lowest of those that went into it.
	Interval *Interval `json:"interval"`
	Grade    Grade     `json:"grade"`
	// GradesSpanned are the grades that the interval reaches, best first.
	GradesSpanned []Grade `json:"grades_spanned"`
	// Incomplete is true when a measure that carries weight is missing.
	Incomplete      bool      `json:"incomplete"`
	MissingMeasures []Measure `json:"missing_measures"`
	// MeasuresWithoutInterval went into the index but add nothing to Interval.
	MeasuresWithoutInterval []Measure `json:"measures_without_interval"`
	// CausesScore is the weighted mean of infiltration, thatch and annual meadow
	// grass; OutcomeScore is the score of months playable. Each is nil when
	// nothing behind it was measured.
	CausesScore  *float64 `json:"causes_score"`
	OutcomeScore *float64 `json:"outcome_score"`
	// Measures are in the fixed order.
	Measures []MeasureScore `json:"measures"`
	// WorstFirst orders what was measured by score; of equals, the fixed order.
	WorstFirst []Measure `json:"worst_first"`
	// Zones are worst first; of equals, by name. WorstZone is empty unless two
	// positions or more were told apart.
	Zones     []Zone    `json:"zones"`
	WorstZone string    `json:"worst_zone,omitempty"`
	Diagnosis Diagnosis `json:"diagnosis"`
	// Headline is the judgement in a sentence or two.
	Headline string `json:"headline"`
}

// MeasureScore is one measure on its scale.
type MeasureScore struct {
	Measure Measure `json:"measure"`
	Unit    string  `json:"unit"`
	// Value is as measured and Score 0 to 100; nil when not measured.
	Value *float64 `json:"value"`
	Score *float64 `json:"score"`
	// ScoreInterval is the measure's interval put through the scale.
	ScoreInterval *Interval `json:"score_interval"`
	// Weight is the share of the index that the measure decides, 0 to 1: the
	// shares of what was measured sum to 1.
	Weight float64 `json:"weight"`
}

// Zone is one position of the green. What was not read there is taken from the
// green as a whole.
type Zone struct {
	Position    string    `json:"position"`
	Index       float64   `json:"index"`
	Grade       Grade     `json:"grade"`
	OwnMeasures []Measure `json:"own_measures"`
}

// Judge scores a green and diagnoses it. Every fault is returned at once: those of
// the input with pointers relative to it, those of the scales under /scales, those
// of the parameters under /assumptions. With any fault the Condition is empty.
func Judge(in Input, scales Scales, p Parameters) (Condition, fault.List) {
	faults := in.check()
	faults.Under("", p.check())
	scorer, scaleFaults := NewScorer(scales, p)
	faults.Under("/scales", scaleFaults)
	if len(faults) > 0 {
		return Condition{}, faults
	}
	var values [measureCount]*float64
	for at, e := range in.estimates() {
		values[at] = e.Value
	}
	shares, measured := scorer.shares(values)
	if !measured {
		faults.Add("", nil, "no measure that carries weight was measured",
			"give at least one of infiltration, thatch depth, annual meadow grass and months playable")
		return Condition{}, faults
	}
	index, _ := scorer.indexOf(values)
	c := Condition{Index: index, Grade: scorer.Grade(index)}
	worstFirst := c.scoreMeasures(in, shares, scorer)
	c.spread(scorer)
	c.subScores()
	c.rankZones(in, scorer)
	c.Diagnosis = diagnose(in, p)
	c.Headline = headline(c, worstFirst[0], scorer)
	return c, nil
}

// scoreMeasures values every measure and lists what is missing. It gives the
// places of what was measured, worst first.
func (c *Condition) scoreMeasures(in Input, shares [measureCount]float64, s Scorer) (worstFirst []int) {
	c.MissingMeasures, c.MeasuresWithoutInterval = []Measure{}, []Measure{}
	c.Measures = make([]MeasureScore, measureCount)
	for at, e := range in.estimates() {
		n := natureOf(at)
		c.Measures[at] = MeasureScore{Measure: n.measure, Unit: n.unit, Value: e.Value}
		if e.Value == nil {
			c.MissingMeasures = append(c.MissingMeasures, n.measure)
			c.Incomplete = c.Incomplete || s.weights[at] > 0
			continue
		}
		score := s.score(at, *e.Value)
		c.Measures[at].Score, c.Measures[at].Weight = &score, shares[at]
		worstFirst = append(worstFirst, at)
		if e.Interval == nil {
			c.MeasuresWithoutInterval = append(c.MeasuresWithoutInterval, n.measure)
			continue
		}
		low, high := s.score(at, e.Interval.Low), s.score(at, e.Interval.High)
		c.Measures[at].ScoreInterval = &Interval{min(low, high), max(low, high), e.Interval.ConfidencePct}
	}
	slices.SortStableFunc(worstFirst, func(a, b int) int {
		return compareIndices(*c.Measures[a].Score, *c.Measures[b].Score)
	})
	for _, at := range worstFirst {
		c.WorstFirst = append(c.WorstFirst, c.Measures[at].Measure)
	}
	return worstFirst
}

// spread gives the interval of the index and the grades it reaches. The measures
// are taken as independent: below the index their weighted downward deviations,
// above it their upward ones, add in quadrature. Deviations summed this way never
// exceed their plain sum, so the interval stays from 0 to 100.
func (c *Condition) spread(s Scorer) {
	var down, up [measureCount]float64
	confidence := 100.0
	for at, m := range c.Measures {
		if i := m.ScoreInterval; i != nil {
			down[at], up[at] = m.Weight*(*m.Score-i.Low), m.Weight*(i.High-*m.Score)
			confidence = min(confidence, i.ConfidencePct)
		}
	}
	low, high := c.Index, c.Index
	if confidence < 100 {
		low = min(max(c.Index-quadrature(down[:]), 0), c.Index)
		high = max(min(c.Index+quadrature(up[:]), topScore), c.Index)
		c.Interval = &Interval{low, high, confidence}
	}
	best, worst := s.Grade(high), s.Grade(low)
	names := grades()
	c.GradesSpanned = slices.Clone(names[slices.Index(names[:], best) : slices.Index(names[:], worst)+1])
}

// subScores parts the causes from the outcome.
func (c *Condition) subScores() {
	var weights, scores [causeCount]float64
	for at, m := range c.Measures[:causeCount] {
		if m.Score != nil {
			weights[at], scores[at] = m.Weight, *m.Score
		}
	}
	if causes, ok := weightedMean(weights[:], scores[:]); ok {
		c.CausesScore = &causes
	}
	c.OutcomeScore = c.Measures[monthsPlayableAt].Score
}

// rankZones gives the index of every position that has readings of its own.
func (c *Condition) rankZones(in Input, s Scorer) {
	c.Zones = []Zone{}
	for _, position := range positions(in) {
		var values [measureCount]*float64
		zone := Zone{Position: position, OwnMeasures: []Measure{}}
		for at, e := range in.estimates() {
			values[at], _ = e.at(position)
			if values[at] != e.Value {
				zone.OwnMeasures = append(zone.OwnMeasures, natureOf(at).measure)
			}
		}
		zone.Index, _ = s.indexOf(values)
		zone.Grade = s.Grade(zone.Index)
		c.Zones = append(c.Zones, zone)
	}
	slices.SortFunc(c.Zones, func(a, b Zone) int {
		return cmp.Or(compareIndices(a.Index, b.Index), strings.Compare(a.Position, b.Position))
	})
	if len(c.Zones) > 1 {
		c.WorstZone = c.Zones[0].Position
	}
}

// positions lists, by name and once each, the positions of the four measures.
func positions(in Input) []string {
	var names []string
	for _, e := range in.estimates() {
		for _, p := range e.ByPosition {
			names = append(names, p.Position)
		}
	}
	slices.Sort(names)
	return slices.Compact(names)
}
