package sward

import (
	"fmt"

	"swardcase/model/fault"
)

// Year is what one year does to a sward.
type Year struct {
	// OrganicMatterMultiplier is organic matter made over that of ordinary
	// feeding and watering: 1 for ordinary upkeep, 0 for a year without growth.
	OrganicMatterMultiplier float64
	// SandDressMM lies on top, SandFillMM goes into the cored holes: depths over
	// the whole green, as dry sand.
	SandDressMM, SandFillMM float64
	// Cored goes by the inside diameter of the tines. Cores and scarifyings that
	// are left on the green are not counted.
	Cored, Scarified Removal
	// DisturbedAreaPct is the surface opened in the year, by outside diameters
	// and blades; more than 100 counts as 100.
	DisturbedAreaPct float64
	// Wetness runs from 0 for a green that is dry and lean to 1 for a wet one.
	Wetness float64
	// AnnualMeadowGrassFallPctPoints is what a leaner, drier and overseeded
	// programme is credited with, where the grass stands above its ceiling.
	AnnualMeadowGrassFallPctPoints float64
}

// SandMM is all the sand of the year.
func (y Year) SandMM() float64 { return y.SandDressMM + y.SandFillMM }

// State is a sward at the end of a year. Make one with Surveyed or Laid.
type State struct {
	Profile              Profile
	Thatch               Thatch
	AnnualMeadowGrassPct float64
}

// ThatchDepthMM is the depth of thatch.
func (s State) ThatchDepthMM(turf TurfParameters) float64 { return s.Thatch.depthMM(&s.Profile, &turf) }

// NextYear is the sward a year on. Organic matter and thatch move as in
// Profile.NextYear; annual meadow grass spreads on the organic matter with which
// the year began. The year and the parameters are taken as checked (Follow
// checks them); other numbers give numbers without meaning, never a panic.
func (s State) NextYear(y Year, turf TurfParameters) State { return s.nextYear(&y, &turf) }

func (s State) nextYear(y *Year, turf *TurfParameters) State {
	grass := turf.invasion(s.AnnualMeadowGrassPct, s.Profile[0].OrganicMatterPct(), y)
	s.AnnualMeadowGrassPct = grass.After(1)
	s.Profile, _ = s.Profile.nextYear(y, turf)
	s.Thatch = s.Thatch.yearOn()
	return s
}

// Outcome is a sward at the end of one year.
type Outcome struct {
	Year                    int                 `json:"year"`
	OrganicMatterTop20MMPct float64             `json:"organic_matter_top_20_mm_pct"`
	OrganicMatterByDepthPct [layerCount]float64 `json:"organic_matter_by_depth_pct"`
	ThatchDepthMM           float64             `json:"thatch_depth_mm"`
	AnnualMeadowGrassPct    float64             `json:"annual_meadow_grass_pct"`
	SandMM                  float64             `json:"sand_mm"`
	// Reasons tell the turns of this year; most years have none.
	Reasons []string `json:"reasons"`
}

// mostYears bounds how far a sward is followed.
const mostYears = 200

// Follow takes a sward through the years, in order, and tells why it turned
// where it did. The error is a fault.List; pointers start at /start, /years and
// /assumptions.
func Follow(start State, years []Year, turf TurfParameters) ([]Outcome, error) {
	if err := checkFollow(start, years, turf).Err(); err != nil {
		return nil, err
	}
	outcomes := make([]Outcome, len(years))
	before := outcomeOf(0, start, &Year{}, &turf)
	trend := trendUnknown
	for i := range years {
		start = start.nextYear(&years[i], &turf)
		after := outcomeOf(i+1, start, &years[i], &turf)
		trend = after.explain(before, trend, &turf)
		outcomes[i], before = after, after
	}
	return outcomes, nil
}

func outcomeOf(year int, s State, y *Year, turf *TurfParameters) Outcome {
	byDepth := s.Profile.OrganicMatterByDepthPct()
	return Outcome{
		Year:                    year,
		OrganicMatterTop20MMPct: byDepth[0],
		OrganicMatterByDepthPct: byDepth,
		ThatchDepthMM:           s.Thatch.depthMM(&s.Profile, turf),
		AnnualMeadowGrassPct:    s.AnnualMeadowGrassPct,
		SandMM:                  y.SandMM(),
		Reasons:                 []string{}, // an empty list in JSON, not null
	}
}

func checkFollow(start State, years []Year, turf TurfParameters) fault.List {
	var faults fault.List
	faults.Under("/start", start.check())
	if len(years) > mostYears {
		faults.Add("/years", len(years), fmt.Sprintf("is more than %d years", mostYears), "follow the sward over fewer years")
		return faults
	}
	for i, y := range years {
		if bad := CheckYear(y); len(bad) > 0 {
			faults.Under(fault.Pointer("years", i), bad)
		}
	}
	turf.check(&faults)
	return faults
}

// mostLayerKGPerM2 is above what 20 mm of anything in a green can weigh.
const mostLayerKGPerM2 = 100

func (s State) check() fault.List {
	var faults fault.List
	for i, l := range s.Profile {
		checkNumber(&faults, fault.Pointer("profile", i, "organic_kg_per_m2"), l.OrganicKGPerM2, 0, mostLayerKGPerM2)
		checkNumber(&faults, fault.Pointer("profile", i, "mineral_kg_per_m2"), l.MineralKGPerM2, 0, mostLayerKGPerM2)
	}
	checkNumber(&faults, "/thatch/offset_mm", s.Thatch.OffsetMM, -1e5, 1e5)
	checkNumber(&faults, "/thatch/least_mm", s.Thatch.LeastMM, 0, mostThatchMM)
	checkNumber(&faults, "/thatch/drift_mm_per_year", s.Thatch.DriftMMPerYear, -1e5, 1e5)
	checkNumber(&faults, "/annual_meadow_grass_pct", s.AnnualMeadowGrassPct, 0, 100)
	return faults
}

// CheckYear names everything in a year that cannot be.
func CheckYear(y Year) fault.List {
	var faults fault.List
	checkNumber(&faults, "/organic_matter_multiplier", y.OrganicMatterMultiplier, 0, 10)
	checkNumber(&faults, "/sand_dress_mm", y.SandDressMM, 0, mostSandMM)
	checkNumber(&faults, "/sand_fill_mm", y.SandFillMM, 0, mostSandMM)
	checkNumber(&faults, "/cored/area_pct", y.Cored.AreaPct, 0, 100)
	checkNumber(&faults, "/cored/depth_mm", y.Cored.DepthMM, 0, mostRemovalDepthMM)
	checkNumber(&faults, "/scarified/area_pct", y.Scarified.AreaPct, 0, 100)
	checkNumber(&faults, "/scarified/depth_mm", y.Scarified.DepthMM, 0, mostRemovalDepthMM)
	checkNumber(&faults, "/disturbed_area_pct", y.DisturbedAreaPct, 0, 1e4)
	checkNumber(&faults, "/wetness", y.Wetness, 0, 1)
	checkNumber(&faults, "/annual_meadow_grass_fall_pct_points", y.AnnualMeadowGrassFallPctPoints, 0, 100)
	return faults
}

// mostSandMM is about three times the 35 mm a year that Woods, 24 December
// 2020, calls the practical maximum.
const mostSandMM = 100

const mostRemovalDepthMM = 1000

func checkNumber(faults *fault.List, pointer string, value, low, high float64) {
	if !(value >= low && value <= high) {
		faults.Add(pointer, value, fmt.Sprintf("is outside %g to %g", low, high), fmt.Sprintf("give a number from %g to %g", low, high))
	}
}
