package model

import (
	"fmt"
	"math"
)

// EnablingWorks is what is wrong around the green and is put right first. It
// is priced into every option, the yardstick included, since no rebuild cures
// it.
type EnablingWorks struct {
	Needs []EnablingNeed `json:"needs"`
	// GivenBackPct is the share of the green's own lost days that these works
	// alone are taken to give back, under every option.
	GivenBackPct float64 `json:"given_back_pct"`

	left causes // of today's lost days, once the works are done
}

// causes are shares of the green's own lost days of today, by what they are
// laid to.
type causes struct{ surface, discharge, other float64 }

func (c causes) sum() float64 { return c.surface + c.discharge + c.other }

// without takes away a share of all the lost days: first from those laid to
// neither surface nor discharge, where water running in is counted, and then
// from the two in proportion.
func (c causes) without(share float64) causes {
	fromOther := min(c.other, share)
	c.other -= fromOther
	if rest := share - fromOther; rest > 0 && c.surface+c.discharge > 0 {
		kept := max(0, 1-rest/(c.surface+c.discharge))
		c.surface, c.discharge = c.surface*kept, c.discharge*kept
	}
	return c
}

// EnablingNeed is one piece of enabling work.
type EnablingNeed struct {
	Item   string  `json:"item"`
	Amount float64 `json:"amount"`
	Unit   string  `json:"unit"`
	Reason string  `json:"reason"`
}

// enablingWorks reads the needs from what was seen around the green. Limits
// and quantities are common practice, no source, where the case states none.
func (r Resolved) enablingWorks(today causes) EnablingWorks {
	green := r.Case.Green
	around := green.Surroundings
	works := EnablingWorks{Needs: []EnablingNeed{}}
	need := func(item string, amount float64, unit, reason string) {
		works.Needs = append(works.Needs, EnablingNeed{item, amount, unit, reason})
	}
	leastSun := r.assumptions.Likely("least_sun_h_per_day")
	if sun := around.SunHPerDay; sun != nil && *sun < leastSun {
		trees := r.assumptions.Likely("trees_to_fell_for_shade")
		if around.TreesToFell != nil {
			trees = float64(*around.TreesToFell)
		}
		need("tree_felling", trees, "each", fmt.Sprintf("%.1f h of sun a day, against the least of %.0f h: no rebuild cures shade", *sun, leastSun))
	}
	if around.Air == "enclosed" {
		need("air_clearing", 1, "item", "the air does not move over the green: it stays wet and soft")
	}
	works.left = today
	if around.WaterRunsIn != nil && *around.WaterRunsIn {
		length := valueOr(around.CutOffDrainM, green.PerimeterM*r.assumptions.Likely("cut_off_drain_perimeter_share"))
		need("cut_off_drain", length, "m", "water runs in from higher ground and must be caught before it reaches the green")
		works.left = works.left.without(r.assumptions.Likely("given_back_by_cut_off_drain_share"))
	}
	if n := around.WalkOnPoints; n != nil && *n == 1 {
		need("walk_on_path", 1, "each", "all feet come on at one place and wear it out")
	}
	if around.SprinklerOverlap == "poor" {
		need("sprinkler_adjustment", 1, "item", "the sprinklers leave dry and wet patches")
	}
	if green.Outfall.State == OutfallBlocked {
		need("outfall_clearing", 1, "item", "the outfall is blocked: nothing drains until it runs")
		if green.HasDrains {
			works.left.discharge *= 1 - r.assumptions.Likely("given_back_by_clearing_outfall_share")
		}
	}
	works.GivenBackPct = math.Round(max(0, 1-works.left.sum())*1e8) / 1e6 // without the last bits of the sum
	return works
}

// afterEnabling takes the days that the enabling works give back off the
// green's own lost days.
func (l LostDays) afterEnabling(works EnablingWorks) LostDays {
	for month := range l.WaterloggedGreenDays {
		l.WaterloggedGreenDays[month] *= min(1, works.left.sum())
	}
	return l
}
