// Package seeded makes courses from a seed, of any size, with every kind of
// rule: it is for tests and comparisons, and nothing that the program does
// depends on it. The same seed and size make the same course.
package seeded

import (
	"cmp"
	"fmt"
	"math/rand/v2"
	"slices"

	"swardcase/model/programme"
)

// Size is how large a course is and which rules it has.
type Size struct {
	Greens, Options, Years int
	Scenarios              int // at least 1
	// Rules other than the budget; without them, only the budget and the greens
	// out of play at once bind.
	Rules  bool
	Breaks bool
	Alike  bool
	// Borrowing allows a debt, with interest.
	Borrowing bool
}

// options are modelled on a full rebuild and a partial renovation: what they
// cost, for how many months they close a green, and in which month of the year
// they start.
var options = []struct {
	name         string
	thousands    float64 // of capital, for a green of ordinary size
	months       int     // out of play
	start        int     // month of the plan year
	gain         float64 // months playable a year, against a full rebuild's
	works        bool
	nursery      bool
	years        float64 // for which the gain lasts
	kind         string
	monthsLaidIn int
}{
	{"layered_rebuild/seed", 68, 5, 6, 1, true, false, 22, "layered_rebuild/seed", 1},
	{"layered_rebuild/supplier_turf", 76, 8, 0, 1, true, false, 22, "layered_rebuild/supplier_turf", 1},
	{"partial_renovation/supplier_turf", 54, 7, 0, 0.93, true, false, 12, "partial_renovation/supplier_turf", 0},
	{"layered_rebuild/nursery_turf", 72, 7, 0, 1, true, true, 22, "layered_rebuild/nursery_turf", 1},
	{"partial_renovation/existing_turf", 50, 7, 0, 0.85, true, false, 12, "partial_renovation/existing_turf", 0},
	{"layered_rebuild/existing_turf", 70, 7, 0, 0.9, true, false, 20, "layered_rebuild/existing_turf", 1},
	{"intensified_aeration", 1, 0, 0, 0.35, false, false, 8, "", 0},
}

const (
	pound    = 100
	thousand = 1000 * pound
)

// Course makes a course.
func Course(size Size, seed uint64) *programme.Course {
	r := rand.New(rand.NewPCG(seed, 1))
	scenarios := max(1, size.Scenarios)
	c := &programme.Course{
		FirstMonth: 9, Years: size.Years,
		Objective: programme.Objective{Kind: programme.NetPresentValue, Scenarios: scenarios},
	}
	yearly := int64(20+r.IntN(30)) * int64(max(1, size.Greens)) * thousand / int64(size.Years) * int64(min(size.Years, 4)) / 4 * 2
	for range size.Years {
		c.Budget.Yearly = append(c.Budget.Yearly, yearly*int64(80+r.IntN(41))/100)
	}
	c.Budget.CarryOver = r.IntN(3) > 0
	most := max(1, size.Greens/6)
	c.MostOut = &[12]int{}
	for month := range c.MostOut {
		c.MostOut[month] = most + r.IntN(2)
	}
	charge := int64(2000+r.IntN(3000)) * pound
	for season := range 2 * size.Years {
		c.Mobilisation = append(c.Mobilisation, programme.Charge{Cash: charge, Worth: discounted(charge, season/2, scenarios)})
	}
	if size.Breaks {
		c.Breaks = []programme.Break{{Item: "root_zone", AtLeast: []int64{int64(300+r.IntN(300)) * 1000, int64(700+r.IntN(600)) * 1000}}}
	}
	for g := range size.Greens {
		c.Greens = append(c.Greens, green(r, c, size, g))
	}
	if size.Rules {
		rules(r, c)
	}
	if size.Alike {
		c.Alike = &programme.Alike{Penalty: int64(500+r.IntN(4000)) * pound}
	}
	if size.Borrowing {
		c.Budget.BorrowingCap = int64(r.IntN(60)) * thousand
		c.Budget.RatePPM = int64(r.IntN(9)) * 10_000
	}
	return c
}

// discounted is the value of an amount in a plan year, at 3.5 % a year, the same
// in every scenario.
func discounted(amount int64, years, scenarios int) []int64 {
	value := float64(amount)
	for range years {
		value /= 1.035
	}
	out := make([]int64, scenarios)
	for s := range out {
		out[s] = int64(value)
	}
	return out
}

func green(r *rand.Rand, c *programme.Course, size Size, g int) programme.Green {
	out := programme.Green{Name: fmt.Sprintf("%d", g+1)}
	area := 350 + 250*r.Float64()                              // m²
	lost := 1 + 5*r.Float64()                                  // months a year that works could give back
	decline := 0.02 + 0.1*r.Float64()                          // of what is lost, a year
	month := (400 + 1600*r.Float64()) * pound * (0.7 + lost/8) // worth of a playable month
	ratio := make([]float64, c.Objective.Scenarios)
	for s := range ratio {
		ratio[s] = 1 + float64(s)*(r.Float64()-0.4)
	}
	for _, o := range options[:size.Options] {
		capital := int64(o.thousands * thousand * (0.4 + 0.6*area/460) * (0.85 + 0.3*r.Float64()))
		for year := range size.Years {
			k := programme.Candidate{Option: o.name, Year: year + 1, Season: -1, Kind: o.kind, Payments: make([]int64, size.Years+1)}
			k.Payments[year] = capital
			if o.works {
				first := 12*year + o.start
				k.Season, k.LaidMonth = programme.SeasonOf(first), first+o.monthsLaidIn
				for m := range o.months {
					k.Out = append(k.Out, first+m)
				}
				if o.nursery {
					k.NurseryTurf = int64(area * 108)
				}
			}
			gained := o.gain * min(lost*(1+decline*float64(year)), 6)
			for s := range ratio {
				k.Worth = append(k.Worth, int64(gained*o.years*0.7*month*ratio[s])-capital)
				k.Worth[s] = discounted(k.Worth[s], year, 1)[0]
			}
			k.IndexGain = int64(1000 * gained * 9 * max(0, float64(size.Years-year)-float64(o.months)/12))
			for range c.Breaks {
				k.Breaks = append(k.Breaks, breakUse(c, o.works, o.kind, area, capital, year))
			}
			out.Candidates = append(out.Candidates, k)
		}
	}
	slices.SortStableFunc(out.Candidates, byYear)
	return out
}

// breakUse is the root zone of the works, and 5 and 9 % off what it costs.
func breakUse(c *programme.Course, works bool, kind string, area float64, capital int64, year int) programme.BreakUse {
	use := programme.BreakUse{Saving: make([]int64, len(c.Breaks[0].AtLeast)), SavingWorth: make([][]int64, len(c.Breaks[0].AtLeast))}
	if works {
		depth := 0.15
		if kind[0] == 'l' {
			depth = 0.3
		}
		use.Quantity = int64(1000 * area * depth * 1.6)
	}
	for tier := range use.Saving {
		if works {
			use.Saving[tier] = capital * int64(5+4*tier) / 100 * 3 / 10
		}
		use.SavingWorth[tier] = discounted(use.Saving[tier], year, c.Objective.Scenarios)
	}
	return use
}

// byYear is the order of the years, as the search likes it.
func byYear(a, b programme.Candidate) int { return cmp.Compare(a.Year, b.Year) }

// rules adds one of each kind.
func rules(r *rand.Rand, c *programme.Course) {
	n := len(c.Greens)
	c.MostPerSeason = 1 + r.IntN(max(1, n/3))
	if n >= 2 {
		c.Sets = []programme.Set{{Name: "the two finishing greens", Greens: []int{n/2 - 1, n - 1}, Most: 1}}
		c.Practice = &programme.Practice{Green: 0, MostOthers: r.IntN(2)}
		c.Greens[0].OffCourse = true
	}
	c.Nursery = &programme.Nursery{Stock: int64(r.IntN(60000)), GrownPerYear: int64(r.IntN(50000))}
	for g := range c.Greens {
		switch r.IntN(8) {
		case 0:
			c.Greens[g].LatestYear = 1 + r.IntN(c.Years)
		case 1:
			c.Greens[g].KeptOpen[5], c.Greens[g].KeptOpen[6] = true, true
		case 2:
			var allowed []string
			for i, o := range options {
				if i%2 == r.IntN(2) {
					allowed = append(allowed, o.name)
				}
			}
			c.Greens[g].Allowed = allowed
		}
	}
}
