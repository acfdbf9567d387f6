package survey

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"
)

var positionGenerator = rapid.SampledFrom([]string{"", "back left", "front", "hollow"})

func drawRing(t *rapid.T) RingTest {
	return RingTest{
		Position:       positionGenerator.Draw(t, "position"),
		DepthRemovedMM: of(rapid.SampledFrom([]int{0, 0, 50, 150}).Draw(t, "removed")),
		VolumeML:       rapid.Float64Range(50, 2000).Draw(t, "ml"), BoreMM: rapid.Float64Range(80, 300).Draw(t, "bore"),
		Minutes: rapid.Float64Range(30, 400).Draw(t, "minutes"), WaterTemperatureC: rapid.Float64Range(0, 40).Draw(t, "c"),
		Surface: rapid.SampledFrom([]Surface{"", Wet, Moist, Dry}).Draw(t, "surface"), DryPatch: rapid.IntRange(0, 5).Draw(t, "dry") == 0,
	}
}

func drawDoubleRing(t *rapid.T) DoubleRingTest {
	return DoubleRingTest{
		Position: positionGenerator.Draw(t, "position"), WaterTemperatureC: rapid.Float64Range(0, 40).Draw(t, "c"),
		Intervals: rapid.SliceOfN(rapid.Custom(func(t *rapid.T) RingInterval {
			return RingInterval{rapid.Float64Range(1, 60).Draw(t, "minutes"), rapid.Float64Range(0, 15).Draw(t, "drop")}
		}), 1, 12).Draw(t, "intervals"),
	}
}

func drawQuadrat(t *rapid.T) PointQuadrat {
	points := rapid.IntRange(1, 200).Draw(t, "points")
	return PointQuadrat{positionGenerator.Draw(t, "position"), rapid.IntRange(0, points).Draw(t, "hits"), points}
}

func drawClosedDays(t *rapid.T) []ClosedDays {
	days := openYear(rapid.IntRange(1990, 2023).Draw(t, "year"), rapid.IntRange(1, 12).Draw(t, "first"))
	for m := days[11].next(t); len(days) < 12+rapid.IntRange(0, 24).Draw(t, "more"); m++ {
		days = append(days, ClosedDays{Month: m.String()})
	}
	for i := range days {
		for _, cause := range []**float64{
			&days[i].WaterloggedGreenDays, &days[i].WaterloggedCourseDays, &days[i].FrostDays, &days[i].PolicyDays, &days[i].WorksDays,
		} {
			if rapid.Bool().Draw(t, "closed") {
				*cause = of(rapid.Float64Range(0, 5.6).Draw(t, "days"))
			}
		}
	}
	return days
}

func (d ClosedDays) next(t *rapid.T) calendarMonth {
	var c checker
	m, ok := c.month(place{"", -1, "month"}, d.Month)
	if !ok {
		t.Fatalf("bad month %q", d.Month)
	}
	return m + 1
}

func drawSurvey(t *rapid.T) Survey {
	return Survey{
		SurveyedOn: "2026-01-20",
		Infiltration: &InfiltrationReadings{
			RingTests:       rapid.SliceOfN(rapid.Custom(drawRing), 1, 12).Draw(t, "rings"),
			DoubleRingTests: rapid.SliceOfN(rapid.Custom(drawDoubleRing), 0, 4).Draw(t, "double rings"),
		},
		ThatchDepth: &ThatchReadings{Readings: rapid.SliceOfN(rapid.Custom(func(t *rapid.T) ThatchReading {
			return ThatchReading{positionGenerator.Draw(t, "position"), rapid.Float64Range(0, 60).Draw(t, "mm")}
		}), 1, 12).Draw(t, "thatch")},
		AnnualMeadowGrass: &AnnualMeadowGrassReadings{PointQuadrats: rapid.SliceOfN(rapid.Custom(drawQuadrat), 1, 12).Draw(t, "quadrats")},
		MonthsPlayable:    &PlayRecord{ClosedDays: drawClosedDays(t)},
		OrganicMatter: rapid.SliceOfN(rapid.Custom(func(t *rapid.T) OrganicMatterReading {
			from := rapid.SampledFrom([]float64{0, 0, 20, 40}).Draw(t, "from")
			return OrganicMatterReading{"", from, from + rapid.SampledFrom([]float64{20, 40, 80}).Draw(t, "thickness"), rapid.Float64Range(0, 60).Draw(t, "pct")}
		}), 0, 12).Draw(t, "organic"),
		Pits: rapid.SliceOfN(rapid.Custom(func(t *rapid.T) Pit {
			return Pit{positionGenerator.Draw(t, "position"), 600, of(rapid.SampledFrom([]float64{100, 200}).Draw(t, "water")), of(rapid.Float64Range(0, 600).Draw(t, "roots")), nil}
		}), 0, 4).Draw(t, "pits"),
	}
}

func TestTheOrderOfReadingsChangesNothing(t *testing.T) {
	// To the last bit: readings are sorted before anything is added up.
	rapid.Check(t, func(t *rapid.T) {
		s := drawSurvey(t)
		before, faults := Summarise(s, defaults)
		if err := faults.Err(); err != nil {
			t.Fatal(err)
		}
		seed := rapid.Uint64().Draw(t, "seed")
		shuffle(seed, s.Infiltration.RingTests)
		shuffle(seed, s.Infiltration.DoubleRingTests)
		shuffle(seed, s.ThatchDepth.Readings)
		shuffle(seed, s.AnnualMeadowGrass.PointQuadrats)
		shuffle(seed, s.MonthsPlayable.ClosedDays)
		shuffle(seed, s.OrganicMatter)
		shuffle(seed, s.Pits)
		after, _ := Summarise(s, defaults)
		listed := cmpopts.IgnoreFields(Summary{}, "InfiltrationReadings")
		if diff := cmp.Diff(before, after, listed); diff != "" {
			t.Fatal(diff)
		}
	})
}

func shuffle[T any](seed uint64, list []T) {
	rand.New(rand.NewPCG(seed, 1)).Shuffle(len(list), func(i, j int) { list[i], list[j] = list[j], list[i] })
}

func TestIntervalsHoldTheirEstimate(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		got, faults := Summarise(drawSurvey(t), defaults)
		if err := faults.Err(); err != nil {
			t.Fatal(err)
		}
		for _, e := range []Estimate{
			got.Infiltration, got.ThatchDepth, got.AnnualMeadowGrass, got.MonthsPlayable,
			got.InfiltrationBelow.Removed50MM, got.InfiltrationBelow.Removed150MM,
		} {
			if (e.Interval == nil) != (e.IntervalMissingBecause != "") {
				t.Fatalf("an interval is missing without a reason, or has one: %+v", e)
			}
			if e.Value != nil {
				holds(t, *e.Value, e.Interval)
			}
			for _, p := range e.ByPosition {
				holds(t, p.Value, p.Interval)
			}
		}
		for _, r := range []RateRatio{got.InfiltrationBelow.Ratio50MM, got.InfiltrationBelow.Ratio150MM} {
			if r.Value != nil {
				holds(t, *r.Value, r.Interval)
			}
		}
		if _, err := json.Marshal(got); err != nil {
			t.Fatal(err)
		}
	})
}

func holds(t *rapid.T, value float64, in *Interval) {
	if in != nil && !(0 <= in.Low && in.Low <= value && value <= in.High && !math.IsInf(in.High, 0)) {
		t.Fatalf("%g is not within %+v", value, in)
	}
}

func TestWilsonStaysWithinNothingAndAll(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		points := rapid.IntRange(1, 2000000).Draw(t, "points")
		hits := rapid.IntRange(0, points).Draw(t, "hits")
		z := rapid.Float64Range(0.5, 4).Draw(t, "z")
		low, high := wilson(hits, points, z)
		share := float64(hits) / float64(points)
		if !(0 <= low && low <= share && share <= high && high <= 1) {
			t.Fatalf("%d/%d: %g to %g", hits, points, low, high)
		}
		// Misses are hits of the other grasses: the interval is mirrored.
		otherLow, otherHigh := wilson(points-hits, points, z)
		if math.Abs(1-high-otherLow) > 1e-9 || math.Abs(1-low-otherHigh) > 1e-9 {
			t.Fatalf("not mirrored: %g to %g, %g to %g", low, high, otherLow, otherHigh)
		}
	})
}

func TestAWiderSpreadNeverNarrowsTheInterval(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		centre := rapid.Float64Range(0, 200).Draw(t, "centre")
		offsets := rapid.SliceOfN(rapid.Float64Range(0, 200), 1, 8).Draw(t, "offsets")
		stretch := rapid.Float64Range(1, 3).Draw(t, "stretch")
		// Pairs either side of the centre keep the mean where it is.
		width := func(factor float64) float64 {
			var depths []ThatchReading
			for _, offset := range offsets {
				reach := min(offset*factor, centre, 200-centre)
				depths = append(depths, ThatchReading{"", centre - reach}, ThatchReading{"", centre + reach})
			}
			out, faults := Summarise(Survey{SurveyedOn: "2026-01-20", ThatchDepth: &ThatchReadings{Readings: depths}}, defaults)
			if err := faults.Err(); err != nil {
				t.Fatal(err)
			}
			return out.ThatchDepth.Interval.High - out.ThatchDepth.Interval.Low
		}
		if narrow, wide := width(1), width(stretch); wide < narrow-1e-9 {
			t.Fatalf("width %g became %g", narrow, wide)
		}
	})
}

func TestAWiderSpreadOfRatesNeverNarrowsTheInterval(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		factors := rapid.SliceOfN(rapid.Float64Range(1, 5), 1, 6).Draw(t, "factors")
		power := rapid.Float64Range(1, 2).Draw(t, "power")
		interval := func(power float64) *Interval {
			var tests []RingTest
			for _, f := range factors {
				tests = append(tests, ring(10*math.Pow(f, power), ""), ring(10/math.Pow(f, power), ""))
			}
			out, faults := Summarise(Survey{SurveyedOn: "2026-01-20", Infiltration: &InfiltrationReadings{RingTests: tests}}, defaults)
			if err := faults.Err(); err != nil {
				t.Fatal(err)
			}
			return out.Infiltration.Interval
		}
		narrow, wide := interval(1), interval(power)
		if wide.Low > narrow.Low*(1+1e-9) || wide.High < narrow.High*(1-1e-9) {
			t.Fatalf("%+v became %+v", narrow, wide)
		}
	})
}

func TestMoreWaterNeverLowersTheRate(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := drawRing(t)
		more := r.VolumeML * rapid.Float64Range(1, 5).Draw(t, "more")
		if RingRateMMPerH(more, r.BoreMM, r.Minutes) < RingRateMMPerH(r.VolumeML, r.BoreMM, r.Minutes) {
			t.Fatal("a single ring reads less")
		}
		d := drawDoubleRing(t)
		rate := func() float64 {
			return gatherDoubleRing(d, defaults, place{"", 0, ""}, &checker{}).RateMMPerH
		}
		before := rate()
		d.Intervals[rapid.IntRange(0, len(d.Intervals)-1).Draw(t, "interval")].DropMM += rapid.Float64Range(0, 20).Draw(t, "extra")
		if rate() < before {
			t.Fatal("a double ring reads less")
		}
	})
}

func TestRatesAgreeAcrossUnits(t *testing.T) {
	// The international inch is 25.4 mm and the cubic inch 16.387064 ml, both
	// exactly: a test worked in inches gives the same rate.
	rapid.Check(t, func(t *rapid.T) {
		cubicInches := rapid.Float64Range(0.1, 3000).Draw(t, "in3")
		boreInches := rapid.Float64Range(1, 39).Draw(t, "bore")
		hours := rapid.Float64Range(0.01, 48).Draw(t, "hours")
		inchesPerHour := cubicInches / (math.Pi * boreInches * boreInches / 4) / hours
		got := RingRateMMPerH(cubicInches*16.387064, boreInches*25.4, hours*60)
		if math.Abs(got/25.4/inchesPerHour-1) > 1e-12 {
			t.Fatalf("%g mm/h against %g in/h", got, inchesPerHour)
		}
		// And back: the depth in the ring over its area is the volume again.
		millilitres := DepthMM(cubicInches*16.387064, boreInches*25.4) * math.Pi / 4 * boreInches * boreInches * 25.4 * 25.4 / 1000
		if math.Abs(millilitres/16.387064/cubicInches-1) > 1e-12 {
			t.Fatalf("%g ml", millilitres)
		}
	})
}

func TestColderWaterNeverLowersTheCorrectedRate(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		warm := rapid.Float64Range(0, 40).Draw(t, "warm")
		cold := rapid.Float64Range(0, warm).Draw(t, "cold")
		if ViscosityRatio(cold) < ViscosityRatio(warm) {
			t.Fatalf("%g at %g °C, %g at %g °C", ViscosityRatio(cold), cold, ViscosityRatio(warm), warm)
		}
	})
}

func TestOpenAndLostMonthsMakeAYear(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		got, faults := Summarise(Survey{SurveyedOn: "2026-01-20", MonthsPlayable: &PlayRecord{ClosedDays: drawClosedDays(t)}}, defaults)
		if err := faults.Err(); err != nil {
			t.Fatal(err)
		}
		lost := got.Play.LostMonthsPerYear
		total := *got.MonthsPlayable.Value + lost.WaterloggedGreenMonths + lost.WaterloggedCourseMonths +
			lost.FrostMonths + lost.PolicyMonths + lost.WorksMonths
		if math.Abs(total-12) > 1e-9 {
			t.Fatalf("open and lost months add to %g", total)
		}
		if *got.MonthsPlayable.Value > *got.Play.CeilingMonths+1e-9 || *got.Play.CeilingMonths > *got.Play.CourseOpenMonths {
			t.Fatalf("%g playable above the ceiling %g", *got.MonthsPlayable.Value, *got.Play.CeilingMonths)
		}
	})
}

func TestALayerWeightedByDepthLiesBetweenItsParts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawSurvey(t)
		got, _ := Summarise(s, defaults)
		if got.OrganicMatter.Top80Pct == nil {
			return
		}
		low, high := math.Inf(1), math.Inf(-1)
		for _, l := range got.OrganicMatter.Layers {
			low, high = min(low, l.OrganicMatterPct), max(high, l.OrganicMatterPct)
		}
		if v := *got.OrganicMatter.Top80Pct; v < low-1e-9 || v > high+1e-9 {
			t.Fatalf("%g is not from %g to %g", v, low, high)
		}
	})
}
