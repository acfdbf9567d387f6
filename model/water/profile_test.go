package water

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"swardcase/model/fault"
	"swardcase/model/published"
)

func conductivity(tb interface {
	Helper()
	Fatal(...any)
}, p Profile,
) float64 {
	tb.Helper()
	k, err := p.ConductivityMMPerH()
	if err != nil {
		tb.Fatal(err)
	}
	return k
}

func TestProfilesByHand(t *testing.T) {
	for _, tt := range []struct {
		name    string
		profile Profile
		want    float64
	}{
		{"one layer", Profile{Layers: []Layer{{300, 60}}}, 60},
		{"two layers: 300/(100/10 + 200/40)", Profile{Layers: []Layer{{100, 10}, {200, 40}}}, 20},
		{"a tenth in sand: 0.9 × 10 + 0.1 × 200", Profile{Layers: []Layer{{100, 10}}, Channels: []Channels{{AreaPct: 10, DepthMM: 100, ConductivityMMPerH: 200}}}, 29},
		{"half closed: 0.95 × 10 + 0.05 × 200", Profile{Layers: []Layer{{100, 10}}, Channels: []Channels{{AreaPct: 10, DepthMM: 150, ConductivityMMPerH: 200, AgeYears: 1, LifeYears: 2}}}, 19.5},
		{"closed", Profile{Layers: []Layer{{100, 10}}, Channels: []Channels{{AreaPct: 10, DepthMM: 100, ConductivityMMPerH: 200, AgeYears: 3, LifeYears: 2}}}, 10},
		{"half way down: 100/(50/29 + 50/10)", Profile{Layers: []Layer{{100, 10}}, Channels: []Channels{{AreaPct: 10, DepthMM: 50, ConductivityMMPerH: 200}}}, 100 / (50/29.0 + 5)},
		{"two kinds, one deep", Profile{Layers: []Layer{{100, 10}, {100, 5}}, Channels: []Channels{
			{AreaPct: 5, DepthMM: 100, ConductivityMMPerH: 100},
			{AreaPct: 2, DepthMM: 250, ConductivityMMPerH: 400},
		}}, 200 / (100/(0.93*10+5+8) + 100/(0.98*5+8))},
	} {
		near(t, tt.name, conductivity(t, tt.profile), tt.want, 1e-9)
	}
}

func TestBadProfilesAreNamed(t *testing.T) {
	for _, tt := range []struct {
		profile Profile
		faults  int
	}{
		{Profile{}, 1},
		{Profile{Layers: make([]Layer, 31)}, 1},
		{Profile{Layers: []Layer{{math.NaN(), 0}, {100, math.Inf(1)}}}, 3},
		{Profile{Layers: []Layer{{100, 10}}, Channels: make([]Channels, 11)}, 1},
		{Profile{Layers: []Layer{{100, 10}}, Channels: []Channels{{60, 100, 10, 0, 0}, {60, 100, 10, 0, 0}}}, 1},
		{Profile{Layers: []Layer{{100, 10}}, Channels: []Channels{{-1, math.NaN(), 0, -1, 1e9}}}, 5},
	} {
		_, err := tt.profile.ConductivityMMPerH()
		if list, _ := err.(fault.List); len(list) != tt.faults {
			t.Errorf("%d faults, want %d: %v", len(list), tt.faults, err)
		}
	}
}

// The whole lies between the slowest and the fastest part, the order of layers
// does not matter, and sand faster than the soil never slows it.
func TestProfileProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var p Profile
		low, high := math.Inf(1), 0.0
		for range rapid.IntRange(1, 6).Draw(t, "layers") {
			l := Layer{rapid.Float64Range(1, 500).Draw(t, "thickness"), logRange(t, "conductivity", 0.01, 1000)}
			p.Layers = append(p.Layers, l)
			low, high = math.Min(low, l.ConductivityMMPerH), math.Max(high, l.ConductivityMMPerH)
		}
		plain := conductivity(t, p)
		if !(plain >= low*(1-1e-12) && plain <= high*(1+1e-12)) {
			t.Fatalf("%g outside %g to %g", plain, low, high)
		}
		turned := Profile{Layers: append([]Layer{p.Layers[len(p.Layers)-1]}, p.Layers[:len(p.Layers)-1]...)}
		if again := conductivity(t, turned); math.Abs(again-plain) > 1e-9*plain {
			t.Fatalf("%g in another order, %g in this", again, plain)
		}
		c := Channels{rapid.Float64Range(0, 40).Draw(t, "area"), rapid.Float64Range(0, 900).Draw(t, "depth"), 1000, 0.5, 2}
		p.Channels = []Channels{c}
		young := conductivity(t, p)
		p.Channels[0].AgeYears = 1.5
		old := conductivity(t, p)
		if !(young >= old*(1-1e-12) && old >= plain*(1-1e-12)) {
			t.Fatalf("channels: young %g, old %g, none %g", young, old, plain)
		}
	})
}

// Published drain spacings, turned round: the discharge at the published spacing.
// Sources: ILRI Publication 16 (Ritzema 1994), Example 8.1, with the equivalent
// depth that goes with its table, 3.255 m (spacing 65 m); USBR Drainage Manual
// 1993, section 5-11, the Donnan example, whose 6.7 m of ground below the drains
// stands for the equivalent depth (spacing 347 m, units converted and rounded in
// print). A sealed formation is the second with nothing below, by hand.
func TestDrainDischarge(t *testing.T) {
	const mmPerHour = 1000.0 / 24 // of 1 m/day
	for _, tt := range []struct {
		name                           string
		mPerDay, head, depth, spacingM float64
		want, tolerance                float64
	}{
		{"ILRI 16, example 8.1", 0.14, 1000, 3255, 65, 1.0, 0.01},
		{"USBR, Donnan", 3.05, 1220, 6700, 347, 25.0 / 14, 0.025},
		{"sealed: 4 × 7.2 × 0.3²/5² m/day", 7.2, 300, 0, 5, 103.68, 1e-9},
	} {
		near(t, tt.name, DrainDischargeMMPerDay(tt.mPerDay*mmPerHour, tt.head, tt.depth, tt.spacingM), tt.want, tt.tolerance)
	}
	for _, bad := range [][4]float64{{math.NaN(), 1, 0, 1}, {1, -1, 0, 1}, {1, 1, -1, 1}, {1, 1, 0, 0}} {
		if got := DrainDischargeMMPerDay(bad[0], bad[1], bad[2], bad[3]); got != 0 {
			t.Errorf("%v gives %g mm/day", bad, got)
		}
	}
}

func TestPerchedWater(t *testing.T) {
	for _, row := range published.Rows(t, "water/retention.csv") {
		r := Retention{num(t, row[1]), num(t, row[2]), num(t, row[3]), num(t, row[4])}
		near(t, row[0]+": perched", r.PerchedMM(300), num(t, row[5]), 0.0501)
		near(t, row[0]+": surface", r.WaterShare(0.3), num(t, row[6]), 0.000501)
		near(t, row[0]+": all of it", r.PerchedMM(300)+r.GravityStoreMM(300), 300*r.SaturatedShare, 1e-9)
		// Air-filled pores of 15 to 30 % by volume once drained are the USGA's
		// physical target for a root zone, read second-hand: 45 to 90 mm of 300.
		between(t, row[0]+": gravity store", r.GravityStoreMM(300), 45, 90)
	}
}

// The root zone that is assumed where none was tested keeps to the same target for
// its capillary pores, 15 to 25 %, and for the rest.
func TestAssumedRootZoneMeetsTheTargets(t *testing.T) {
	p := defaults()
	between(t, "perched, share of volume", p.RootZone().PerchedMM(300)/300, 0.15, 0.25)
	stores := p.RebuiltStores(300)
	between(t, "gravity store", stores.GravityMM, 45, 90)
	if err := stores.check().Err(); err != nil {
		t.Error(err)
	}
	if old := p.Stores(); stores.GravityMM <= old.GravityMM || stores.DetentionMM != old.DetentionMM {
		t.Errorf("rebuilt %+v, old %+v", stores, old)
	}
}
