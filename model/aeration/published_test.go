package aeration_test

import (
	"math"
	"strconv"
	"testing"

	"swardcase/model/aeration"
	"swardcase/model/assumption"
	"swardcase/model/published"
)

var likely = aeration.ParametersFrom(assumption.Defaults())

// maritime is the growth potential of a mild maritime climate, rounded.
var maritime = [12]float64{0.03, 0.03, 0.05, 0.1, 0.25, 0.5, 0.7, 0.67, 0.45, 0.2, 0.08, 0.04}

func numeric(t *testing.T, row map[string]string, column string) float64 {
	t.Helper()
	value, err := strconv.ParseFloat(row[column], 64)
	if err != nil {
		t.Fatalf("%s %s: %v", row["id"], column, err)
	}
	return value
}

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %.6g, want %.6g ± %g", what, got, want, tolerance)
	}
}

const ft2PerM2 = 1 / 0.09290304

// The printed answers are cited row by row in the table; each has its own
// tolerance there. Hole counts are compared to half a hole per square foot,
// since they are printed whole.
func TestAreaAffectedAsPublished(t *testing.T) {
	for _, row := range published.Records(t, "aeration/published_area.csv") {
		t.Run(row["id"], func(t *testing.T) {
			passes, err := strconv.Atoi(row["passes"])
			if err != nil {
				t.Fatal(err)
			}
			across, along := numeric(t, row, "across_mm"), numeric(t, row, "along_mm")
			got := aeration.HoleAreaPct(numeric(t, row, "diameter_mm"), across, along, passes)
			want, tolerance := numeric(t, row, "area_pct"), numeric(t, row, "tolerance_pct_points")
			if row["follows"] == "yes" {
				near(t, row["source"], got, want, tolerance)
			} else if math.Abs(got-want) < 5 {
				t.Errorf("%s: %.2f %% now agrees with an answer that does not follow the geometry", row["source"], got)
			}
			if row["holes_per_ft2"] != "" {
				near(t, "holes per square foot", aeration.HolesPerM2(across, along, passes)/ft2PerM2, numeric(t, row, "holes_per_ft2"), 0.6)
			}
		})
	}
}

// The trap X1: by geometry, half-inch tines at 1.5 inch in two directions open
// 2 × 8.73 %, not the 25 % in print.
func TestTheAnswerThatDoesNotFollowHasARightValue(t *testing.T) {
	near(t, "half inch at 1.5 inch, twice", aeration.HoleAreaPct(12.7, 38.1, 38.1, 2), 17.45, 0.01)
}

// A3 in the same source as A1 and A2: two passes together open 17.1 % with 126
// holes a square foot. The author cuts digits off before adding: 0.15.
func TestTwoPassesAddAsPublished(t *testing.T) {
	total := aeration.HoleAreaPct(12.7, 38.1, 33.782, 1) + aeration.HoleAreaPct(12.7, 50.8, 33.782, 1)
	near(t, "A3 area", total, 17.1, 0.15)
	holes := aeration.HolesPerM2(38.1, 33.782, 1) + aeration.HolesPerM2(50.8, 33.782, 1)
	near(t, "A3 holes", holes/ft2PerM2, 126, 0.5)
}

func TestSandConversionsAsPublished(t *testing.T) {
	const poundsPer1000Ft2, cubicFeetPer1000Ft2 = 0.0048824276, 0.3048 // kg/m2; mm
	for _, row := range published.Records(t, "aeration/published_sand.csv") {
		t.Run(row["id"], func(t *testing.T) {
			value := numeric(t, row, "value")
			var depthMM float64
			switch row["given"] {
			case "depth_mm":
				depthMM = value
			case "kg_per_m2":
				depthMM = aeration.SandDepthMM(value, 1.5)
			case "t_per_ha":
				depthMM = aeration.SandDepthMM(aeration.KGPerM2(value), 1.5)
			case "lb_per_1000_ft2":
				depthMM = aeration.SandDepthMM(value*poundsPer1000Ft2, 1.5)
			case "ft3_per_1000_ft2":
				depthMM = value * cubicFeetPer1000Ft2
			default:
				t.Fatalf("unknown quantity %q", row["given"])
			}
			got := depthMM
			if row["answer"] == "kg_per_m2" {
				got = aeration.SandKGPerM2(depthMM, 1.5)
			}
			near(t, row["source"], got, numeric(t, row, "answer_value"), numeric(t, row, "tolerance"))
		})
	}
}

// The published target of 40-50 cubic feet on 1000 square feet is 183-229 t/ha
// at the published density: the figure against which common practice is shown.
func TestTargetSandInTonnes(t *testing.T) {
	near(t, "low", aeration.TPerHa(aeration.SandKGPerM2(likely.TargetSandLowMM, likely.SandDryTPerM3)), 182.9, 0.1)
	near(t, "high", aeration.TPerHa(aeration.SandKGPerM2(likely.TargetSandHighMM, likely.SandDryTPerM3)), 228.6, 0.1)
}

// Woods, Three reasons why sand topdressing is best expressed as a depth,
// 8 August 2019: 10 mm on a 20 mm layer halves its organic matter; 1 mm takes
// 8 % to about 7.6 %. To a thousandth: the formula is his.
func TestDilutionAsPublished(t *testing.T) {
	near(t, "10 mm on 20 mm", aeration.DressedOrganicMatterPct(9, 20, 10), 4.5, 1e-3)
	near(t, "1 mm on 20 mm", aeration.DressedOrganicMatterPct(8, 20, 1), 7.6, 1e-3)
}

// Mixing is the slow limit: the same 10 mm mixed through 20 mm leaves two
// thirds, not a half. A model that swaps the two is caught here.
func TestMixingDilutesLessThanDressing(t *testing.T) {
	mixed := aeration.MixedOrganicMatterPct(9, 20, 0, 10, 1.5, 1.5)
	near(t, "20 mm with 10 mm mixed in", mixed, 6, 1e-9)
	if dressed := aeration.DressedOrganicMatterPct(9, 20, 10); dressed >= mixed {
		t.Errorf("dressing leaves %.2f %%, mixing %.2f %%", dressed, mixed)
	}
}

// By hand: a quarter of a 20 mm layer cored out and put back as sand of the
// same density leaves three quarters of the percentage; the same sand without
// coring leaves four fifths.
func TestSandInPlaceOfCoresByHand(t *testing.T) {
	near(t, "cored and filled", aeration.MixedOrganicMatterPct(8, 20, 5, 5, 1.5, 1.5), 6, 1e-9)
	near(t, "sand alone", aeration.MixedOrganicMatterPct(8, 20, 0, 5, 1.5, 1.5), 6.4, 1e-9)
}

// Woods: 20 g/kg of organic matter over 100 mm at 1.5 g/cm3, a twentieth of it
// nitrogen, holds 150 g/m2 of nitrogen.
func TestStoreOfOrganicMatterAsPublished(t *testing.T) {
	store := aeration.OrganicMatterKGPerM2(100, 1.5, 2)
	near(t, "nitrogen in g/m2", store*1000*0.05, 150, 1e-9)
}

// Published planning case (Golf Course Industry, organic matter management):
// 5.00 % in the top 3 inches to be brought to 3.25 %. The sand is our formula's
// and comes back by it; that it is above a year's published target says why the
// case plans 1.5 seasons.
func TestSandToReachATarget(t *testing.T) {
	sand := aeration.SandToReachMM(5, 3.25, 76.2)
	near(t, "there and back", aeration.DressedOrganicMatterPct(5, 76.2, sand), 3.25, 1e-9)
	if perSeason := sand / 1.5; perSeason < likely.TargetSandHighMM || perSeason > 35 {
		t.Errorf("%.1f mm a season: want above the yearly target and below the practical maximum of 35 mm (Woods, 24 December 2020)", perSeason)
	}
	if got := aeration.SandToReachMM(3, 4, 20); got != 0 {
		t.Errorf("already there, yet %.2f mm", got)
	}
}

// Two published totals for whole sets of greens, put through a calendar of one
// area: 8,850,000 holes at 59 a square foot are 150,000 ft2 (September 2014),
// on which 105 US tons of sand lie 6.84 kg/m2 thick; 13.2 million cores at 126
// a square foot are 104,762 ft2 (March 2011), with 100 US tons at 9.32 kg/m2.
// Tolerance half of the last digit printed.
func TestPublishedTotalsComeBackFromACalendar(t *testing.T) {
	const usTon = 0.90718474
	for _, row := range []struct {
		name                         string
		ft2, holes, tons, kgPerM2    float64
		spacingAcross, spacingAlong2 float64
	}{
		{"September 2014", 150000, 8.85e6, 105, 6.84, 39.6831, 0},
		{"March 2011", 104762, 13.2e6, 100, 9.32, 38.1, 50.8},
	} {
		t.Run(row.name, func(t *testing.T) {
			areaM2 := row.ft2 / ft2PerM2
			tHa := row.tons * usTon / areaM2 * 10000
			works := []aeration.Work{{Operation: aeration.TopDressing}}
			for _, across := range []float64{row.spacingAcross, row.spacingAlong2} {
				along := 33.8667 // four thirds of an inch: the printed 1.33
				if row.spacingAlong2 == 0 {
					along = row.spacingAcross
				}
				if across > 0 {
					works = append(works, aeration.Work{Operation: aeration.HollowCoring, Months: []int{8}, Tines: &aeration.Tines{
						InsideDiameterMM: 9.5, OutsideDiameterMM: 12.7, SpacingAcrossMM: across, SpacingAlongMM: along, DepthMM: 50, Passes: 1,
					}})
				}
			}
			c := build(t, aeration.Input{AreaM2: areaM2, GrowthPotentialByMonth: maritime, Programme: aeration.Programme{Works: works, SandTPerHaPerYear: &tHa}})
			near(t, "holes, relative", c.Totals.Amounts.HolesPerM2*areaM2/row.holes, 1, 5e-4)
			near(t, "sand in kg/m2", c.Totals.Amounts.SandKGPerM2, row.kgPerM2, 0.005)
			near(t, "sand in US tons", c.Totals.Amounts.SandT/usTon, row.tons, 1e-6)
		})
	}
}

// Infiltration after hollow coring above that of untreated plots: 129, 163 and
// 211 % by angle of entry (tine entry angle trial on creeping bent, 2003-04:
// half- and quarter-inch tines 2 inches apart, four times a year). The mean,
// 168 %, must lie between what our likely and our high multiplier gain when
// fresh. Ours are lower on purpose: they serve soil greens in a wet winter.
func TestGainOfCoringAgainstATrial(t *testing.T) {
	trialMean := (129.0 + 163 + 211) / 3
	set := assumption.Defaults()
	fresh := func(multiplier float64) float64 { return 100 * (aeration.FadingMultiplier(multiplier, 0, 1) - 1) }
	row := set.Get("aeration_coring_unfilled_rate_multiplier")
	if low, high := fresh(row.Likely), fresh(row.High); trialMean < low || trialMean > high {
		t.Errorf("trial mean %.0f %%, ours %.0f to %.0f %%", trialMean, low, high)
	}
}

// Miller & Brotherton 2020: quality fell for 3 to 4 weeks after 9.5 mm coring
// in summer heat. At the growth potential of such a month (0.3: 28.5 degC) the
// recovery from low to high assumptions spans it. The likely value lies below,
// at about 19 days: practice in a cool climate rates disturbance, not quality.
func TestRecoveryAgainstATrial(t *testing.T) {
	days := func(eight, thirteen float64) float64 {
		p := likely
		p.RecoveryCoring8MMDays, p.RecoveryCoring13MMDays = eight, thirteen
		var hot [12]float64
		for m := range hot {
			hot[m] = 0.3
		}
		one := 1.0
		c, faults := aeration.Build(aeration.Input{AreaM2: 500, GrowthPotentialByMonth: hot, Programme: aeration.Programme{Works: []aeration.Work{{
			Operation: aeration.HollowCoring, TimesPerYear: &one,
			Tines: &aeration.Tines{InsideDiameterMM: 6.5, OutsideDiameterMM: 9.5, SpacingAcrossMM: 50, SpacingAlongMM: 50, DepthMM: 60, Passes: 1},
		}}}}, p)
		if err := faults.Err(); err != nil {
			t.Fatal(err)
		}
		return c.Totals.DisturbedDays
	}
	set := assumption.Defaults()
	eight, thirteen := set.Get("aeration_recovery_coring_8_mm_days"), set.Get("aeration_recovery_coring_13_mm_days")
	if low, high := days(eight.Low, thirteen.Low), days(eight.High, thirteen.High); low > 21 || high < 28 {
		t.Errorf("%.0f to %.0f days do not span 21 to 28", low, high)
	}
}

// Common practice, no source: a 13 mm core takes 14 to 35 days to recover "in
// growth". From June to August of a maritime climate ours takes that.
func TestRecoveryInGrowthLiesWithinPractice(t *testing.T) {
	c := build(t, aeration.Input{AreaM2: 500, GrowthPotentialByMonth: maritime, Programme: aeration.Programme{Works: []aeration.Work{{Operation: aeration.HollowCoring}}}})
	for _, month := range []int{6, 7, 8} {
		if days := c.Lines[0].RecoveryDaysByMonth[month-1]; days < 14 || days > 35 {
			t.Errorf("month %d: %.0f days", month, days)
		}
	}
}

func build(t testing.TB, in aeration.Input) aeration.Calendar {
	t.Helper()
	c, faults := aeration.Build(in, likely)
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	return c
}
