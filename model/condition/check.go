package condition

import (
	"fmt"
	"slices"

	"swardcase/model/fault"
)

// The most entries that a list in an Input may have: far above any survey, low
// enough that no input costs much.
const (
	mostPositions     = 300
	mostPits          = 20
	mostLayers        = 12
	mostPositionBytes = 200
	// mostRatio bounds a ratio of two rates.
	mostRatio = 1e7
	// rounding is how far, as a share, a value may lie outside its interval.
	rounding = 1e-9
)

// check finds every fault of an input. Pointers are relative to the input.
func (in Input) check() fault.List {
	var c checker
	for at, e := range in.estimates() {
		n := natureOf(at)
		c.estimate("/"+string(n.measure), *e, n.most)
	}
	c.estimate("/ratio_50_mm", in.RatioUnderMat, mostRatio)
	c.estimate("/removed_150_mm_per_h", in.RateBelow, natureOf(infiltrationAt).most)
	c.optional("/organic_matter_top_20_mm_pct", in.OrganicMatterTopPct, 0, 100)
	c.optional("/root_depth_mm", in.RootDepthMM, 0, 3000)
	c.optional("/surface_hardness_gravities", in.SurfaceHardnessGravities, 0, 500)
	c.ground(in)
	c.setting(in)
	if t := in.Trial; t != nil {
		c.number("/trial/seasons", t.Seasons, 0, 20)
		c.optional("/trial/operations_done_pct", t.OperationsDonePct, 0, 100)
		c.optional("/trial/sand_t_per_ha_per_year", t.SandTPerHaPerYear, 0, 1000)
		c.optional("/trial/organic_matter_change_pct_points_per_year", t.OrganicMatterChangePctPointsPerYear, -20, 20)
		c.optional("/trial/thatch_change_mm_per_year", t.ThatchChangeMMPerYear, -50, 50)
	}
	return c.faults
}

// estimates gives the four measures of the index in their fixed order.
func (in *Input) estimates() [measureCount]*Estimate {
	return [measureCount]*Estimate{&in.Infiltration, &in.ThatchDepth, &in.AnnualMeadowGrass, &in.MonthsPlayable}
}

type checker struct{ faults fault.List }

// number wants a finite value from low to high. The plain case builds no text.
func (c *checker) number(pointer string, value, low, high float64) {
	if !within(value, low, high) {
		c.faults.Add(pointer, value, fmt.Sprintf("must lie from %g to %g", low, high), "give a number in that range, or leave the field out")
	}
}

func (c *checker) optional(pointer string, value *float64, low, high float64) {
	if value != nil {
		c.number(pointer, *value, low, high)
	}
}

// entry checks a number in a list; like number it builds a pointer only for a fault.
func (c *checker) entry(list string, i int, field string, value *float64, low, high float64) {
	if value != nil && !within(*value, low, high) {
		c.number(fault.Pointer(list, i, field), *value, low, high)
	}
}

func (c *checker) word(pointer, word string, allowed ...string) {
	if word != "" && !slices.Contains(allowed, word) {
		c.faults.Add(pointer, word, "not a word for this", fmt.Sprintf("write one of %v, or leave the field out", allowed))
	}
}

// estimate checks a quantity, its interval, and its positions.
func (c *checker) estimate(pointer string, e Estimate, most float64) {
	if e.Value == nil {
		if e.Interval != nil || len(e.ByPosition) > 0 {
			c.faults.Add(pointer+"/value", nil, "an interval or positions without a value", "give the pooled value too")
		}
		return
	}
	c.number(pointer+"/value", *e.Value, 0, most)
	c.interval(pointer, e.Interval, *e.Value)
	if len(e.ByPosition) > mostPositions {
		c.faults.Add(pointer+"/by_position", len(e.ByPosition), "too many positions", fmt.Sprintf("give at most %d", mostPositions))
		return
	}
	seen := make(map[string]bool, len(e.ByPosition))
	for i, p := range e.ByPosition {
		c.position(pointer, i, p, seen[p.Position], most)
		seen[p.Position] = true
	}
}

// position checks one position. A sound one without an interval, which is the
// usual case, builds no pointer.
func (c *checker) position(of string, i int, p PositionEstimate, twice bool, most float64) {
	named := p.Position != "" && len(p.Position) <= mostPositionBytes
	if named && !twice && p.Interval == nil && within(p.Value, 0, most) {
		return
	}
	pointer := of + fault.Pointer("by_position", i)
	switch {
	case p.Position == "":
		c.faults.Add(pointer+"/position", nil, "a position has no name", "name the position, or give only the pooled value")
	case !named:
		c.faults.Add(pointer+"/position", p.Position, "this name is too long", "give a name of at most 40 characters")
	case twice:
		c.faults.Add(pointer+"/position", p.Position, "this position is given twice", "pool the readings of one position first")
	}
	c.number(pointer+"/value", p.Value, 0, most)
	c.interval(pointer, p.Interval, p.Value)
}

// interval wants low ≤ value ≤ high, all finite. An interval of few readings may
// reach beyond what the quantity itself can be; the scales end long before. Equal
// readings give an interval of no width, which rounding may leave beside the value.
func (c *checker) interval(pointer string, interval *Interval, value float64) {
	if interval == nil {
		return
	}
	i, slack := *interval, rounding*value
	if !finite(i.Low) || !finite(i.High) || !within(value, i.Low-slack, i.High+slack) {
		c.faults.Add(pointer+"/interval", fmt.Sprintf("%g to %g", i.Low, i.High),
			fmt.Sprintf("does not hold the value, which is %g", value), "give finite bounds with low ≤ value ≤ high, or leave the interval out")
	}
	if !(i.ConfidencePct > 0 && i.ConfidencePct < 100) {
		c.faults.Add(pointer+"/interval/confidence_pct", i.ConfidencePct, "must lie between 0 and 100", "give the confidence of the interval, usually 95")
	}
}

// ground checks the pits, the soil layers and the outfall.
func (c *checker) ground(in Input) {
	if len(in.Pits) > mostPits {
		c.faults.Add("/pits", len(in.Pits), "too many pits", fmt.Sprintf("give at most %d", mostPits))
	}
	for i, p := range in.Pits[:min(len(in.Pits), mostPits)] {
		c.entry("pits", i, "depth_mm", &p.DepthMM, 1, 3000)
		c.entry("pits", i, "free_water_depth_mm", p.FreeWaterDepthMM, 0, 3000)
		c.entry("pits", i, "root_depth_mm", p.RootDepthMM, 0, 3000)
	}
	if len(in.SoilLayers) > mostLayers {
		c.faults.Add("/soil_layers", len(in.SoilLayers), "too many layers", fmt.Sprintf("give at most %d", mostLayers))
	}
	for i, l := range in.SoilLayers[:min(len(in.SoilLayers), mostLayers)] {
		if known := textures(); !slices.Contains(known[:], l.Texture) {
			c.faults.Add(fault.Pointer("soil_layers", i, "texture"), string(l.Texture), "not a texture class", fmt.Sprintf("write one of %v", known))
		}
		c.entry("soil_layers", i, "thickness_mm", &l.ThicknessMM, 1, 3000)
		c.entry("soil_layers", i, "conductivity_mm_per_h", l.ConductivityMMPerH, 0.001, 50_000)
	}
	c.word("/outfall/state", in.Outfall.State, OutfallFree, OutfallBlocked, OutfallNone, OutfallNotKnown)
	c.word("/outfall/after_rain", in.Outfall.AfterRain, OutfallRunning, OutfallTrickling, OutfallDry, OutfallNotObserved)
}

// setting checks the surroundings and the lost days.
func (c *checker) setting(in Input) {
	s := in.Surroundings
	c.optional("/surroundings/sun_h_per_day", s.SunHPerDay, 0, 24)
	c.word("/surroundings/air", s.Air, AirOpen, AirEnclosed)
	c.word("/surroundings/sprinkler_overlap", s.SprinklerOverlap, OverlapGood, OverlapPoor)
	if n := s.WalkOnPoints; n != nil && (*n < 1 || *n > 100) {
		c.faults.Add("/surroundings/walk_on_points", *n, "must lie from 1 to 100", "count the places where players walk on to the green")
	}
	if d := in.LostDays; d != nil {
		c.number("/lost_days/waterlogged_green_days", d.WaterloggedGreenDays, 0, 366)
		c.number("/lost_days/waterlogged_course_days", d.WaterloggedCourseDays, 0, 366)
		c.number("/lost_days/frost_days", d.FrostDays, 0, 366)
	}
}

func textures() [14]Texture {
	return [14]Texture{Sand, LoamySand, SandyLoam, Loam, SiltLoam, Silt, SandyClayLoam, ClayLoam, SiltyClayLoam, SandyClay, SiltyClay, Clay, Gravel, Peat}
}
