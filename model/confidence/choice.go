package confidence

import "slices"

// chooser picks the best option of one draw and judges the requirements.
type chooser struct {
	outcomes int // for each option
	rankAt   int
	feasible []bool
	limits   []limit
}

type limit struct {
	outcomeAt       int
	atLeast, atMost float64
}

// newChooser takes a checked study.
func (s Study) newChooser() chooser {
	names := s.outcomeNames()
	c := chooser{outcomes: len(names), rankAt: slices.Index(names, s.RankBy)}
	for _, o := range s.Options {
		c.feasible = append(c.feasible, o.Feasible)
	}
	for _, r := range s.Requirements {
		l := limit{slices.Index(names, r.Outcome), -mostOutcome, mostOutcome}
		if r.AtLeast != nil {
			l.atLeast = *r.AtLeast
		}
		if r.AtMost != nil {
			l.atMost = *r.AtMost
		}
		c.limits = append(c.limits, l)
	}
	return c
}

// meets judges one requirement; comparisons with NaN are false, so an absent
// outcome meets none.
func (c *chooser) meets(option, requirement int, out []float64) bool {
	l := &c.limits[requirement]
	x := out[option*c.outcomes+l.outcomeAt]
	return x >= l.atLeast && x <= l.atMost
}

func (c *chooser) meetsAll(option int, out []float64) bool {
	for r := range c.limits {
		if !c.meets(option, r, out) {
			return false
		}
	}
	return true
}

// best is the option with the greatest ranked outcome of those that are feasible
// and meet every requirement, or -1. Of equals the one listed first wins, and
// tied is true.
func (c *chooser) best(out []float64) (option int, tied bool) {
	option = -1
	var greatest float64
	for o, feasible := range c.feasible {
		x := out[o*c.outcomes+c.rankAt]
		switch {
		case !feasible || !present(x) || !c.meetsAll(o, out):
		case option < 0 || x > greatest:
			option, greatest, tied = o, x, false
		case x == greatest:
			tied = true
		}
	}
	return option, tied
}

// bestName is the name of the best option, or NoOption.
func (s Study) bestName(c chooser, out []float64) string {
	if o, _ := c.best(out); o >= 0 {
		return s.Options[o].Name
	}
	return NoOption
}
