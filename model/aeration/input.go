package aeration

import (
	"fmt"
	"slices"

	"swardcase/model/fault"
)

// Input is what a calendar is built from.
type Input struct {
	Programme Programme `json:"programme"`
	AreaM2    float64   `json:"area_m2"`
	// GrowthPotentialByMonth, January first, each 0 to 1.
	GrowthPotentialByMonth [12]float64 `json:"growth_potential_by_month"`
	// Southern is true south of the equator: usual months move by six.
	Southern bool   `json:"southern"`
	Soil     Soil   `json:"soil"`
	Ground   Ground `json:"ground"`
}

// Soil is the top of the green: what a core is made of.
type Soil struct {
	// OrganicMatter from the surface down; empty takes published survey means.
	OrganicMatter []OrganicMatterLayer `json:"organic_matter,omitempty"`
	// BulkDensityTPerM3 is dry; left out, the assumption's.
	BulkDensityTPerM3 *float64 `json:"bulk_density_t_per_m3,omitempty"`
}

// OrganicMatterLayer reaches from the layer above (or the surface) down to a
// depth; the last one goes on for as long as it is needed.
type OrganicMatterLayer struct {
	DepthToMM        float64 `json:"depth_to_mm"`
	OrganicMatterPct float64 `json:"organic_matter_pct"`
}

// Ground is what the deeper operations need to know; a nil is "not known".
type Ground struct {
	ClayPct    *float64 `json:"clay_pct,omitempty"`
	Stony      *bool    `json:"stony,omitempty"`
	HasOutfall *bool    `json:"has_outfall,omitempty"`
	// NothingBuried states that the green has no pipes, cables or gravel.
	NothingBuried bool `json:"nothing_buried"`
	// BuriedFromMM is the depth of the shallowest pipe, cable or gravel.
	BuriedFromMM *float64 `json:"buried_from_mm,omitempty"`
}

// checker gathers faults with short calls.
type checker struct{ faults fault.List }

// within refuses a value outside its range; a NaN lies outside every range.
func (c *checker) within(pointer string, value, low, high float64) bool {
	if value >= low && value <= high {
		return true
	}
	c.faults.Add(pointer, value, "the value is out of range", fmt.Sprintf("give a number from %g to %g", low, high))
	return false
}

func (c *checker) optional(pointer string, value *float64, low, high float64) {
	if value != nil {
		c.within(pointer, *value, low, high)
	}
}

// Most works a programme may have, and most visits of one work in a year: they
// bound the loops, not the trade.
const (
	mostWorks  = 40
	mostVisits = 60
)

// mostDressingMM is far beyond what fine turf grows through.
const mostDressingMM = 20

func checkInput(in Input, p Parameters) fault.List {
	c := checker{faults: p.check()}
	c.within("/area_m2", in.AreaM2, 1, 20000)
	for m, gp := range in.GrowthPotentialByMonth {
		if !(gp >= 0 && gp <= 1) {
			c.within(fault.Pointer("growth_potential_by_month", m), gp, 0, 1)
		}
	}
	c.soil(in.Soil)
	c.optional("/ground/clay_pct", in.Ground.ClayPct, 0, 100)
	c.optional("/ground/buried_from_mm", in.Ground.BuriedFromMM, 0, 5000)
	c.programme(in.Programme)
	return c.faults
}

func (c *checker) soil(s Soil) {
	c.optional("/soil/bulk_density_t_per_m3", s.BulkDensityTPerM3, 0.1, 2.65)
	if len(s.OrganicMatter) > 100 {
		c.faults.Add("/soil/organic_matter", len(s.OrganicMatter), "too many layers", "give at most 100")
		return
	}
	above := 0.0
	for i, layer := range s.OrganicMatter {
		c.within(fault.Pointer("soil", "organic_matter", i, "organic_matter_pct"), layer.OrganicMatterPct, 0, 60)
		at := fault.Pointer("soil", "organic_matter", i, "depth_to_mm")
		if c.within(at, layer.DepthToMM, 1, 1000) && layer.DepthToMM <= above {
			c.faults.Add(at, layer.DepthToMM, "the layer does not reach below the one above it", "list layers from the surface down")
		}
		above = layer.DepthToMM
	}
}

func (c *checker) programme(p Programme) {
	c.optional("/programme/sand_t_per_ha_per_year", p.SandTPerHaPerYear, 0, 1000)
	c.optional("/programme/nitrogen_kg_per_ha_per_year", p.NitrogenKGPerHaPerYear, 0, 600)
	c.optional("/programme/irrigation_mm_per_year", p.IrrigationMMPerYear, 0, 3000)
	c.optional("/programme/hand_watering_h_per_1000_m2_per_year", p.HandWateringHPer1000M2, 0, 2000)
	c.optional("/programme/organic_matter_tests_per_year", p.OrganicMatterTestsAYear, 0, 100)
	if len(p.Works) > mostWorks {
		c.faults.Add("/programme/works", len(p.Works), "too many works", fmt.Sprintf("give at most %d", mostWorks))
		return
	}
	for i, w := range p.Works {
		c.work(fault.Pointer("programme", "works", i), w)
	}
}

func (c *checker) work(at string, w Work) {
	if !slices.Contains(Operations(), w.Operation) {
		c.faults.Add(at+"/operation", string(w.Operation), "there is no such operation", fmt.Sprintf("give one of %v", Operations()))
		return
	}
	c.optional(at+"/times_per_year", w.TimesPerYear, 0, mostVisits)
	c.optional(at+"/dressing_mm", w.DressingMM, 0, mostDressingMM)
	c.optional(at+"/seed_g_per_m2", w.SeedGPerM2, 0, 200)
	c.months(at+"/months", w.Months)
	c.fits(at, w)
	if w.Tines != nil {
		c.tines(at+"/tines", w.Operation, *w.Tines)
	}
	if w.Blades != nil {
		c.blades(at+"/blades", *w.Blades)
	}
	if w.MoleChannels != nil {
		c.moleChannels(at+"/mole_channels", *w.MoleChannels)
	}
}

func (c *checker) months(at string, months []int) {
	seen := [13]bool{}
	for i, m := range months {
		switch {
		case m < 1 || m > 12:
			c.faults.Add(fmt.Sprintf("%s/%d", at, min(i, 12)), m, "there is no such month", "give numbers from 1 to 12")
		case seen[m]:
			c.faults.Add(fmt.Sprintf("%s/%d", at, min(i, 12)), m, "the month is listed twice", "list each month once and set times_per_year")
		default:
			seen[m] = true
			continue
		}
		return // one fault tells the reader; a hostile list is not walked to its end
	}
}

// fits refuses a part that the operation has no use for, so that nothing a
// user wrote is ignored in silence.
func (c *checker) fits(at string, w Work) {
	usual, _ := usual(w.Operation)
	for _, part := range []struct {
		name          string
		given, usable bool
	}{
		{"tines", w.Tines != nil, usual.Tines != nil},
		{"blades", w.Blades != nil, usual.Blades != nil},
		{"mole_channels", w.MoleChannels != nil, usual.MoleChannels != nil},
		{"dressing_mm", w.DressingMM != nil, w.Operation == TopDressing},
		{"seed_g_per_m2", w.SeedGPerM2 != nil, w.Operation == Overseeding},
	} {
		if part.given && !part.usable {
			c.faults.Add(at+"/"+part.name, nil, fmt.Sprintf("%s has no %s", w.Operation, part.name), "leave it out")
		}
	}
}

func (c *checker) tines(at string, o Operation, t Tines) {
	sound := c.within(at+"/outside_diameter_mm", t.OutsideDiameterMM, 2, 60)
	sound = c.within(at+"/spacing_across_mm", t.SpacingAcrossMM, 10, 500) && sound
	sound = c.within(at+"/spacing_along_mm", t.SpacingAlongMM, 10, 500) && sound
	c.within(at+"/depth_mm", t.DepthMM, 5, 500)
	c.within(at+"/passes", float64(t.Passes), 1, 4)
	switch {
	case o == HollowCoring && !(t.InsideDiameterMM > 0 && t.InsideDiameterMM < t.OutsideDiameterMM):
		c.faults.Add(at+"/inside_diameter_mm", t.InsideDiameterMM, "a hollow tine's inside diameter lies between nothing and its outside diameter",
			"give the bore of the tine as inside, the hole it makes as outside diameter")
	case o == DeepTining && t.InsideDiameterMM != 0:
		c.faults.Add(at+"/inside_diameter_mm", t.InsideDiameterMM, "deep tining is done with solid tines here",
			"give 0, or state the work as hollow_coring with its depth")
	case o == DeepTining && t.CoresRemoved:
		c.faults.Add(at+"/cores_removed", true, "solid tines bring up no cores", "give false")
	}
	if sound && t.OutsideDiameterMM > min(t.SpacingAcrossMM, t.SpacingAlongMM) {
		c.faults.Add(at+"/outside_diameter_mm", t.OutsideDiameterMM, "the holes run into each other", "space the centres wider than the hole")
	}
	c.liftsOff(at, sound, t.opening)
}

func (c *checker) blades(at string, b Blades) {
	sound := c.within(at+"/thickness_mm", b.ThicknessMM, 0.5, 30)
	sound = c.within(at+"/spacing_across_mm", b.SpacingAcrossMM, 5, 1000) && sound
	c.within(at+"/depth_mm", b.DepthMM, 1, 400)
	c.within(at+"/passes", float64(b.Passes), 1, 4)
	if !b.continuous() {
		sound = c.within(at+"/slit_length_mm", b.SlitLengthMM, 1, 1000) && sound
		sound = c.within(at+"/spacing_along_mm", b.SpacingAlongMM, 5, 1000) && sound
		if sound && b.SlitLengthMM > b.SpacingAlongMM {
			c.faults.Add(at+"/slit_length_mm", b.SlitLengthMM, "the slits run into each other",
				"space them wider along, or give 0 for both where the slit is continuous")
		}
	}
	c.liftsOff(at, sound, func() opening { return b.opening(false) })
}

func (c *checker) moleChannels(at string, m MoleChannels) {
	c.within(at+"/spacing_mm", m.SpacingMM, 500, 20000)
	c.within(at+"/leg_thickness_mm", m.LegThicknessMM, 5, 60)
	c.within(at+"/channel_diameter_mm", m.ChannelDiameterMM, 20, 150)
	c.within(at+"/depth_mm", m.DepthMM, 200, 1000)
}

// mostOpenedPct is where a visit stops opening the surface and starts lifting
// it off; it also keeps a core from holding more than the layer it came from.
const mostOpenedPct = 50

func (c *checker) liftsOff(at string, sound bool, opened func() opening) {
	if !sound {
		return
	}
	if pct := opened().outsidePct; pct > mostOpenedPct {
		c.faults.Add(at, fmt.Sprintf("%.0f %%", pct), "one visit would open more than half of the surface",
			"space the tines or blades wider, or make fewer passes")
	}
}
