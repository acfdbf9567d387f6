package water

import (
	"math"
	"testing"

	"swardcase/model/published"

	"pgregory.net/rapid"
)

// study finds a published field rate.
func study(tb testing.TB, condition string) (low, high float64) {
	tb.Helper()
	for _, row := range published.Rows(tb, "water/infiltration_studies.csv") {
		if row[1] == condition {
			return num(tb, row[2]), num(tb, row[3])
		}
	}
	tb.Fatalf("no study of %s", condition)
	return 0, 0
}

// within checks the order of magnitude: no further from the published range than a
// factor.
func within(tb testing.TB, what string, got, low, high, factor float64) {
	tb.Helper()
	tb.Logf("%s: model %.3g mm/h, published %g to %g", what, got, low, high)
	between(tb, what, got, low/factor, high*factor)
}

// A root zone of 320 mm/h in the laboratory (Prettyman and McCoy 2002, Agronomy
// Journal 94:358-364, the slower of their two) against three published trials. Wear
// lasted three years.
func TestSealingAgainstTheStudies(t *testing.T) {
	p := defaults()
	const laboratory = LaboratoryMMPerH(320)
	turfed := func(rootZone RingMMPerH, turf ...Layer) float64 {
		return conductivity(t, Profile{Layers: append(turf, Layer{300, float64(rootZone)})})
	}
	low, high := study(t, "all-sand green before wear")
	within(t, "sand before wear", float64(laboratory.InField(0, true, p)), low, high, 1)
	low, high = study(t, "washed turf on sand after wear")
	washed := turfed(laboratory.InField(3, true, p))
	within(t, "washed turf after wear", washed, low, high, 1.5)
	low, high = study(t, "soil-grown turf on sand after wear")
	soilGrown := turfed(laboratory.InField(3, true, p), p.TurfSoil())
	within(t, "soil-grown turf after wear", soilGrown, low, high, 1.5)
	if !(washed > 3*soilGrown) {
		t.Errorf("washed turf %.3g mm/h and soil-grown %.3g: published four to six to one", washed, soilGrown)
	}
	low, high = study(t, "pure sand after three years of wear")
	within(t, "pure sand", washed, low, high, 2)
	// The mean of sixteen mixes fell to 0.12 of what it was in 34 months. This
	// model leaves twice that: its course is set to a tenth after four years, and
	// the trial's mixes with much silt and clay, which sealed within the first
	// winter, pull the mean down.
	fresh, _ := study(t, "mean of all mixes before wear")
	low, high = study(t, "mean of all mixes after 34 months")
	within(t, "mean of mixes", float64(LaboratoryMMPerH(fresh).InField(34.0/12, true, p)), low, high, 2.5)
}

// A mix with 13 % of silt and clay ended at 4 mm/h, pure sand at 52. The law of
// sealing has no notion of fines, so the difference must come from the laboratory
// test of the mix, and this is where the model is weakest: from 150 mm/h, the least
// that the USGA accepts, it leaves such a mix at 36 mm/h. What it keeps is the
// ranking, and what both rates mean for play.
func TestFinesAgainstPlay(t *testing.T) {
	w, p := dublinWeather(t, 1), defaults()
	sand, _ := study(t, "pure sand after three years of wear")
	fines, _ := study(t, "13 % of silt and clay after three years of wear")
	onSand := lostDays(t, w, RingMMPerH(sand).WhenWet(p.WetSurfaceToRingRatio), 15, 0.9)
	onFines := lostDays(t, w, RingMMPerH(fines).WhenWet(p.WetSurfaceToRingRatio), 15, 0.9)
	between(t, "lost days on sand", onSand, 0, 1)
	between(t, "lost days with fines", onFines, 25, 60)
	// The span of 58 greens in play, 3 to 160 mm/h, holds both.
	low, high := study(t, "58 sand-dominated greens of 5 to 20 years")
	between(t, "sand", sand, low, high)
	between(t, "fines", fines, low, high)
}

// A trial in Japan measured what was left after seven years. The shallow greens
// agree within a factor of two; on 450 and 600 mm of sand two to four times as much
// was left as the model says, since sealing works from the top and the law here
// does not know how deep the sand is. Depths of 450 mm and more are not built here.
func TestSandDepthAndAge(t *testing.T) {
	p := defaults()
	last := 0.0
	for _, row := range published.Rows(t, "water/sand_depth_and_age.csv") {
		depth, initial := num(t, row[0]), num(t, row[1])
		published := initial * num(t, row[2]) / 100
		got := float64(LaboratoryMMPerH(initial).InField(7, true, p))
		factor := 2.2
		if depth > 30 {
			factor = 4.1
		}
		within(t, row[0]+" cm of sand", got, published, published, factor)
		if got < last {
			t.Errorf("%s cm of sand ranks below a shallower green", row[0])
		}
		last = got
	}
}

// A tenth after four years (Baker and Richards 1997) lies in the range of the
// assumption; the likely value is for a green that is dressed.
func TestATenthAfterFourYears(t *testing.T) {
	got := float64(LaboratoryMMPerH(100).InField(4, true, defaults()))
	between(t, "rate after four years", got, 10, 20)
}

func TestRateProperties(t *testing.T) {
	p := defaults()
	rapid.Check(t, func(t *rapid.T) {
		l := LaboratoryMMPerH(logRange(t, "laboratory", 1, 2000))
		age := rapid.Float64Range(0, 40).Draw(t, "age")
		later := age + rapid.Float64Range(0, 20).Draw(t, "years more")
		for _, dressed := range []bool{true, false} {
			if now, then := l.InField(age, dressed, p), l.InField(later, dressed, p); !(then <= now*(1+1e-12) && then > 0 && now <= RingMMPerH(l)) {
				t.Fatalf("dressed %v: %g mm/h at %g years, %g at %g", dressed, now, age, then, later)
			}
		}
		if l.InField(age, false, p) > l.InField(age, true, p) {
			t.Fatal("an undressed root zone is faster than a dressed one")
		}
		pct, more := rapid.Float64Range(0, 20).Draw(t, "organic matter"), rapid.Float64Range(0, 10).Draw(t, "more")
		ring := RingMMPerH(l)
		sealed := ring.SealedBy(pct, pct+more, p)
		if sealed > ring {
			t.Fatalf("more organic matter raises %g to %g mm/h", ring, sealed)
		}
		if back := sealed.SealedBy(pct+more, pct, p); math.Abs(float64(back-ring)) > 1e-9*float64(ring) {
			t.Fatalf("there and back: %g, not %g mm/h", back, ring)
		}
		if SoftAboveShare(pct+more, p) > SoftAboveShare(pct, p) {
			t.Fatal("thicker thatch is firmer")
		}
	})
}

// 40 mm of thatch is 30 mm too much: at half a per cent of the store each, soft
// from 0.90 − 0.15 of it.
func TestThatchSoftensByHand(t *testing.T) {
	p := defaults()
	near(t, "40 mm", SoftAboveShare(40, p), 0.75, 1e-12)
	near(t, "10 mm", SoftAboveShare(10, p), 0.9, 1e-12)
	near(t, "a metre", SoftAboveShare(1000, p), leastSoftShare, 0)
	near(t, "NaN", SoftAboveShare(math.NaN(), p), leastSoftShare, 0)
}

// 10 % where 4 % does no harm, at a fifth a per cent: exp(−1.2). Ponding becomes
// frequent over 10 % (Glasgow and others 2005): the rate is down to a third.
func TestOrganicMatterSealsByHand(t *testing.T) {
	p := defaults()
	near(t, "from 3 to 10 %", float64(RingMMPerH(40).SealedBy(3, 10, p)), 40*0.301194, 1e-4)
	near(t, "from 3 to 4 %", float64(RingMMPerH(40).SealedBy(3, 4, p)), 40, 0)
}

func TestUndressedFallsToTheFloor(t *testing.T) {
	p := defaults()
	near(t, "at 30 years", float64(LaboratoryMMPerH(320).InField(30, false, p)), p.UndressedRootZoneFloorMMPerH, 1e-9)
	near(t, "dressed", float64(LaboratoryMMPerH(320).InField(30, true, p)), 320*p.FieldToLaboratoryRatioYear4, 1e-9)
}
