package layered_test

import (
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"swardcase/model/layered"
	"swardcase/model/published"
)

func textbookSample(t *testing.T) layered.Sieving {
	s := layered.Sieving{PanG: 26.5}
	for _, row := range published.Records(t, "layered/sieve_sample.csv") {
		s.Sieves = append(s.Sieves, layered.Sieve{OpeningMM: number(t, row, "opening_mm"), RetainedG: number(t, row, "retained_g")})
	}
	return s
}

func mustGrade(t interface {
	Helper()
	Fatalf(string, ...any)
}, s layered.Sieving,
) layered.Grading {
	t.Helper()
	g, faults := layered.NewGrading(s)
	if err := faults.Err(); err != nil {
		t.Fatalf("%v", err)
	}
	return g
}

func TestPercentFiner(t *testing.T) {
	g := mustGrade(t, textbookSample(t))
	for _, row := range published.Records(t, "layered/sieve_sample.csv") {
		got, ok := g.Finer(number(t, row, "opening_mm"))
		if !ok {
			t.Errorf("no point at %s mm", row["opening_mm"])
		}
		near(t, "finer than "+row["opening_mm"]+" mm", got, number(t, row, "finer_pct"), 0.015)
	}
}

func TestDiameters(t *testing.T) {
	g := mustGrade(t, textbookSample(t))
	for _, row := range published.Records(t, "layered/sieve_diameters.csv") {
		var pct float64
		for _, digit := range row["name"][1:] {
			pct = pct*10 + float64(digit-'0')
		}
		got, ok := g.D(pct)
		if !ok {
			t.Fatalf("no %s", row["name"])
		}
		near(t, row["name"], got, number(t, row, "interpolated"), number(t, row, "tolerance"))
		if row["printed_is_wrong"] == "yes" { // the trap: the printed size has another share finer than it
			finer, _ := g.Finer(number(t, row, "printed"))
			if math.Abs(finer-pct) < 3 {
				t.Errorf("%s: %.1f %% is finer than the printed size, which would be right", row["name"], finer)
			}
		}
	}
	d := g.Diameters()
	near(t, "uniformity (printed 3.33, from the wrong D10)", *d.Uniformity, 4.52, 0.01)
	near(t, "curvature", *d.Curvature, 0.966, 0.002)
	if d.D90MM == nil || d.D85MM == nil {
		t.Error("sizes that the sieves reach are missing")
	}
}

// A published sample with D10 0.078, D30 0.125 and D60 0.55 mm has a uniformity
// of 7.0513 and a curvature of 0.36422 (open worked sheet; tolerance 0.0001).
func TestUniformityAndCurvature(t *testing.T) {
	// A curve through exactly those points: 100 g with 10, 30 and 60 % finer.
	g := mustGrade(t, layered.Sieving{
		Sieves: []layered.Sieve{{OpeningMM: 2, RetainedG: 0}, {OpeningMM: 0.55, RetainedG: 40}, {OpeningMM: 0.125, RetainedG: 30}, {OpeningMM: 0.078, RetainedG: 20}},
		PanG:   10,
	})
	d := g.Diameters()
	near(t, "uniformity", *d.Uniformity, 7.0513, 0.0001)
	near(t, "curvature", *d.Curvature, 0.36422, 0.0001)
}

func TestCurveOutsideItsSieves(t *testing.T) {
	g := mustGrade(t, layered.Sieving{Sieves: []layered.Sieve{{OpeningMM: 2, RetainedG: 10}, {OpeningMM: 1, RetainedG: 30}, {OpeningMM: 0.5, RetainedG: 30}}, PanG: 30})
	for _, pct := range []float64{10, 95} {
		if _, ok := g.D(pct); ok {
			t.Errorf("D%g is beyond the sieves", pct)
		}
	}
	if _, ok := g.Finer(0.1); ok {
		t.Error("0.1 mm is below the finest sieve")
	}
	if _, ok := g.Finer(3); ok {
		t.Error("3 mm is above the widest sieve, which held some back")
	}
}

func TestFinerAndDiameterAreInverse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := mustGrade(t, drawSieving(t))
		points := g.Points()
		for i := 1; i < len(points); i++ {
			if points[i].FinerPct < points[i-1].FinerPct {
				t.Errorf("the curve falls at %g mm", points[i].OpeningMM)
			}
		}
		pct := rapid.Float64Range(0, 100).Draw(t, "pct")
		size, ok := g.D(pct)
		if !ok {
			return
		}
		if back, ok := g.Finer(size); !ok || math.Abs(back-pct) > 1e-6 {
			t.Errorf("%g %% is %g mm, which is %g %%", pct, size, back)
		}
	})
}

func drawSieving(t *rapid.T) layered.Sieving {
	var s layered.Sieving
	for opening := 16.0; opening > 0.04; opening /= 2 {
		s.Sieves = append(s.Sieves, layered.Sieve{OpeningMM: opening, RetainedG: rapid.Float64Range(0, 200).Draw(t, "retained")})
	}
	s.PanG = rapid.Float64Range(1, 50).Draw(t, "pan")
	return s
}

func TestBadSievings(t *testing.T) {
	good := textbookSample(t)
	for _, c := range []struct {
		name, pointer string
		change        func(*layered.Sieving)
	}{
		{"no sieves", "/sieves", func(s *layered.Sieving) { s.Sieves = nil }},
		{"out of order", "/sieves/2/opening_mm", func(s *layered.Sieving) { s.Sieves[2].OpeningMM = 2 }},
		{"less than nothing", "/sieves/1/retained_g", func(s *layered.Sieving) { s.Sieves[1].RetainedG = -1 }},
		{"not a number", "/sieves/0/opening_mm", func(s *layered.Sieving) { s.Sieves[0].OpeningMM = math.NaN() }},
		{"endless", "/pan_g", func(s *layered.Sieving) { s.PanG = math.Inf(1) }},
		{"more clay than fines", "/clay_pct", func(s *layered.Sieving) { s.ClayPct = at(7) }},
	} {
		s := good
		s.Sieves = append([]layered.Sieve{}, good.Sieves...)
		c.change(&s)
		_, faults := layered.NewGrading(s)
		if len(faults) != 1 || faults[0].Pointer != c.pointer {
			t.Errorf("%s: %v", c.name, faults)
		}
	}
}

// mix is a root zone given by the shares of its classes, in % by weight:
// gravel, very coarse, coarse, medium, fine, very fine sand, silt, clay.
func mix(shares [8]float64) layered.RootZoneSample {
	s := layered.Sieving{PanG: shares[6] + shares[7], ClayPct: at(shares[7])}
	for i, opening := range []float64{2, 1, 0.5, 0.25, 0.15, 0.05} {
		s.Sieves = append(s.Sieves, layered.Sieve{OpeningMM: opening, RetainedG: shares[i]})
	}
	return layered.RootZoneSample{Sieving: s}
}

func failed(checks []layered.Check) []string {
	var names []string
	for _, c := range checks {
		if c.Source == "" || (c.AtLeast == nil && c.AtMost == nil) {
			names = append(names, c.Check+" has no source or limit")
		}
		if !c.Pass {
			names = append(names, c.Check)
		}
	}
	return names
}

// Limits on root-zone particles (USGA Green Section 1993, Table 3; alike in three
// places): fine gravel 3 %; with very coarse sand 10 %; coarse and medium at least
// 60 %; fine 20 %; very fine 5 %; silt 5 %; clay 3 %; the last three 10 %. Each
// mix stands at a limit, and then 0.2 % beyond it at the cost of medium sand.
func TestRootZoneParticleLimits(t *testing.T) {
	for _, c := range []struct {
		name   string
		shares [8]float64
		class  int
		want   string
	}{
		{"fine gravel at 3 %", [8]float64{3, 5, 40, 37, 8, 3, 3, 1}, 0, "fine_gravel"},
		{"coarse tail at 10 %", [8]float64{2, 8, 40, 35, 8, 3, 3, 1}, 1, "fine_gravel_and_very_coarse_sand"},
		{"fine sand at 20 %", [8]float64{1, 5, 35, 32, 20, 3, 3, 1}, 4, "fine_sand"},
		{"very fine sand at 5 %", [8]float64{1, 5, 40, 35, 11, 5, 2, 1}, 5, "very_fine_sand"},
		{"silt at 5 %", [8]float64{1, 5, 40, 35, 10, 3, 5, 1}, 6, "silt"},
		{"clay at 3 %", [8]float64{1, 5, 40, 35, 11, 3, 2, 3}, 7, "clay"},
		{"fines at 10 %", [8]float64{1, 5, 40, 34, 10, 4, 4, 2}, 5, "very_fine_sand_silt_and_clay"},
	} {
		report, faults := layered.CheckRootZone(mix(c.shares))
		if faults != nil || !report.Passes {
			t.Errorf("%s: %v, fails %v", c.name, faults, failed(report.Checks))
		}
		c.shares[c.class] += 0.2
		c.shares[3] -= 0.2
		report, _ = layered.CheckRootZone(mix(c.shares))
		if diff := cmp.Diff([]string{c.want}, failed(report.Checks)); diff != "" {
			t.Errorf("%s, and beyond: %s", c.name, diff)
		}
	}
	for _, c := range []struct {
		medium float64
		want   bool
	}{{60, true}, {59.8, false}} { // the least of coarse and medium sand
		shares := [8]float64{2, 8, 0, c.medium, 20, 4, 4, 2}
		shares[1] += 60 - c.medium
		report, _ := layered.CheckRootZone(mix(shares))
		for _, check := range report.Checks {
			if check.Check == "coarse_and_medium_sand" && check.Pass != c.want {
				t.Errorf("%g %% of coarse and medium sand: pass is %v", c.medium, check.Pass)
			}
		}
	}
}

// Physical limits of the 2004 edition: total porosity 35 to 55 %, air-filled 15
// to 30 %, capillary 15 to 25 %, conductivity at least 150 mm/h.
func TestRootZoneProperties(t *testing.T) {
	sound := mix([8]float64{1, 5, 40, 35, 11, 3, 3, 2})
	report, _ := layered.CheckRootZone(sound)
	if diff := cmp.Diff([]string{"total_porosity", "air_filled_porosity", "capillary_porosity", "saturated_conductivity"}, report.NotJudged); diff != "" {
		t.Error(diff)
	}
	for _, c := range []struct {
		total, air, capillary, conductivity float64
		want                                []string
	}{
		{35, 15, 15, 150, nil},
		{55, 30, 25, 900, nil},
		{34.9, 14.9, 14.9, 149, []string{"total_porosity", "air_filled_porosity", "capillary_porosity", "saturated_conductivity"}},
		{55.1, 30.1, 25.1, 500, []string{"total_porosity", "air_filled_porosity", "capillary_porosity"}},
	} {
		sound.TotalPorosityPct, sound.AirFilledPorosityPct, sound.CapillaryPorosityPct = &c.total, &c.air, &c.capillary
		sound.ConductivityMMPerH = &c.conductivity
		report, _ := layered.CheckRootZone(sound)
		if diff := cmp.Diff(c.want, failed(report.Checks)); diff != "" {
			t.Error(diff)
		}
	}
}

func TestMissingSievesAreRefused(t *testing.T) {
	s := mix([8]float64{1, 5, 40, 35, 11, 3, 3, 2})
	s.Sieving.Sieves = append(s.Sieving.Sieves[:3], s.Sieving.Sieves[4:5]...) // without 0.25 and 0.05 mm
	s.Sieving.ClayPct = nil
	_, faults := layered.CheckRootZone(s)
	if len(faults) != 2 || faults[0].Pointer != "/sieving/sieves" || !strings.Contains(faults[0].Detail, "0.25 0.05 mm") || faults[1].Pointer != "/sieving/clay_pct" {
		t.Errorf("got %v", faults)
	}
	if _, faults := layered.CheckGravel(textbookSample(t)); len(faults) != 1 || !strings.Contains(faults[0].Detail, "12 9 6") {
		t.Errorf("got %v", faults)
	}
}

// stones is a gravel by the grams on 16, 12.5, 9.5, 6.3, 4, 2 and 1 mm and the pan.
func stones(grams ...float64) layered.Sieving {
	s := layered.Sieving{PanG: grams[7]}
	for i, opening := range []float64{16, 12.5, 9.5, 6.3, 4, 2, 1} {
		s.Sieves = append(s.Sieves, layered.Sieve{OpeningMM: opening, RetainedG: grams[i]})
	}
	return s
}

// Gravel under a blinding (USGA Green Section 1993): at most 10 % over half an
// inch (12.7 mm), at least 65 % between 6 and 9 mm, at most 10 % under 2 mm.
func TestGravelLimits(t *testing.T) {
	for _, c := range []struct {
		name   string
		gravel layered.Sieving
		want   []string
	}{
		{"at every limit", stones(0, 10, 10, 65, 3, 2, 2, 8), nil},
		{"stones", stones(2, 9, 8, 66, 3, 2, 2, 8), []string{"over_12_mm"}},
		{"few of the right size", stones(0, 10, 15, 64, 3, 2, 2, 4), []string{"between_6_and_9_mm"}},
		{"fines", stones(0, 8, 8, 66, 3, 4, 3, 8), []string{"under_2_mm"}},
		// Trap: read as 10 mm, as one page prints it, half an inch would refuse this.
		{"a fifth between 10 and 12 mm", stones(0, 0, 20, 70, 4, 2, 2, 2), nil},
	} {
		report, faults := layered.CheckGravel(c.gravel)
		if faults != nil {
			t.Fatal(faults)
		}
		if diff := cmp.Diff(c.want, failed(report.Checks)); diff != "" {
			t.Errorf("%s: %s", c.name, diff)
		}
	}
}

func TestBlindingLimit(t *testing.T) {
	sample := func(inside float64) layered.Sieving {
		return layered.Sieving{Sieves: []layered.Sieve{{OpeningMM: 4, RetainedG: 4}, {OpeningMM: 2, RetainedG: inside / 2}, {OpeningMM: 1, RetainedG: inside / 2}}, PanG: 96 - inside}
	}
	for inside, want := range map[float64]bool{90: true, 89.8: false} {
		if report, faults := layered.CheckBlinding(sample(inside)); faults != nil || report.Passes != want {
			t.Errorf("%g %% between 1 and 4 mm: passes %v, %v", inside, report.Passes, faults)
		}
	}
}

// Bridging, permeability and uniformity (USGA Green Section 2004, Table 2), with
// sizes set by hand. The root zone has 15, 85 % finer than 0.25, 1 mm; the gravel
// has 15, 90 % finer than the sizes given.
func TestWithoutBlinding(t *testing.T) {
	rootZone := layered.Sieving{
		Sieves: []layered.Sieve{{OpeningMM: 2, RetainedG: 5}, {OpeningMM: 1, RetainedG: 10}, {OpeningMM: 0.25, RetainedG: 70}, {OpeningMM: 0.15, RetainedG: 4}, {OpeningMM: 0.05, RetainedG: 9}},
		PanG:   2, ClayPct: at(1),
	}
	gravel := func(d15, d90 float64) layered.Sieving {
		return layered.Sieving{
			Sieves: []layered.Sieve{{OpeningMM: 12, RetainedG: 0}, {OpeningMM: d90, RetainedG: 10}, {OpeningMM: d15, RetainedG: 75}, {OpeningMM: 2, RetainedG: 13}, {OpeningMM: 1, RetainedG: 1}},
			PanG:   1,
		}
	}
	in := invented(layered.LayeredRebuild, "", layered.Seed)
	d := mustDesign(t, in)
	for _, c := range []struct {
		name     string
		d15, d90 float64
		want     []string
	}{
		{"all hold", 4, 10, nil},
		{"bridging at its limit, 8 × 1 mm", 8, 11, nil},
		{"too coarse to bridge", 8.1, 11, []string{"bridging"}},
		{"uniformity at its limit", 3, 9, nil},
		{"not uniform", 3, 9.1, []string{"uniformity"}},
	} {
		report, faults := layered.CheckMaterials(layered.MaterialSamples{
			RootZone: &layered.RootZoneSample{Sieving: rootZone}, Gravel: withSieves(gravel(c.d15, c.d90)),
		}, d)
		if faults != nil {
			t.Fatalf("%s: %v", c.name, faults)
		}
		v := report.Without
		if diff := cmp.Diff(c.want, failed(v.Checks)); diff != "" {
			t.Errorf("%s: %s", c.name, diff)
		}
		if v.MayBeOmitted != (c.want == nil) {
			t.Errorf("%s: may be omitted %v", c.name, v.MayBeOmitted)
		}
		// 50 mm of 500 m2 at 1.6 t/m3 is 40 t, 42 t with what is lost.
		want := [4]float64{}
		if v.MayBeOmitted {
			want = [4]float64{50, 40, 42, 25}
		}
		for i, got := range []float64{v.DepthSavedMM, v.TonnesSavedT, v.DeliveredSavedT, v.ExcavationM3} {
			near(t, c.name+", saved", got, want[i], 1e-9)
		}
	}
	// A root zone so coarse that the gravel drains no better.
	coarse := rootZone
	coarse.Sieves = []layered.Sieve{{OpeningMM: 4, RetainedG: 5}, {OpeningMM: 2, RetainedG: 10}, {OpeningMM: 1, RetainedG: 70}, {OpeningMM: 0.05, RetainedG: 13}}
	v, faults := layered.CheckWithoutBlinding(coarse, gravel(4, 10), layered.Layer{}, 500)
	if faults != nil {
		t.Fatal(faults)
	}
	if diff := cmp.Diff([]string{"permeability"}, failed(v.Checks)); diff != "" {
		t.Error(diff)
	}
}

// withSieves adds the sieves of 9.5 and 6.3 mm that the gravel limits rest on,
// without moving the curve where the case has set it.
func withSieves(s layered.Sieving) *layered.Sieving {
	g, _ := layered.NewGrading(s)
	total := s.PanG
	for _, sieve := range s.Sieves {
		total += sieve.RetainedG
	}
	openings := map[float64]bool{9: true, 6: true}
	for _, sieve := range s.Sieves {
		openings[sieve.OpeningMM] = true
	}
	out := layered.Sieving{PanG: s.PanG}
	coarser := 100.0
	for _, opening := range descending(openings) {
		finer, _ := g.Finer(opening)
		out.Sieves = append(out.Sieves, layered.Sieve{OpeningMM: opening, RetainedG: (coarser - finer) / 100 * total})
		coarser = finer
	}
	return &out
}

func descending(openings map[float64]bool) []float64 {
	var list []float64
	for opening := range openings {
		at := len(list)
		for at > 0 && list[at-1] < opening {
			at--
		}
		list = append(list[:at], append([]float64{opening}, list[at:]...)...)
	}
	return list
}

// A target of 10 in/h accepts 8 to 12 in/h (a published worked example of the
// 20 % interval).
func TestDeliveryTolerance(t *testing.T) {
	const mm = 25.4
	for inches, want := range map[float64]bool{7.99: false, 8: true, 10: true, 12: true, 12.01: false} {
		check := layered.CheckDelivery(10*mm, inches*mm)
		if check.Pass != want {
			t.Errorf("%g in/h: pass is %v", inches, check.Pass)
		}
		near(t, "least", *check.AtLeast, 8*mm, 1e-9)
		near(t, "most", *check.AtMost, 12*mm, 1e-9)
	}
}

func TestDeliveryIsJudgedWithTheSample(t *testing.T) {
	s := mix([8]float64{1, 5, 40, 35, 11, 3, 3, 2})
	s.ConductivityMMPerH, s.DeliveredMMPerH = at(254), at(200)
	report, faults := layered.CheckMaterials(layered.MaterialSamples{RootZone: &s}, layered.Design{})
	if faults != nil || report.Delivery == nil || report.Delivery.Pass || report.Without != nil || report.Gravel != nil {
		t.Errorf("%+v, %v", report, faults)
	}
}

// FuzzMaterials: whatever is sent, the answer is a report or faults.
func FuzzMaterials(f *testing.F) {
	f.Add(2.0, 5.0, 1.0, 10.0, 0.25, 70.0, 13.0, 1.0)
	f.Add(math.NaN(), math.Inf(1), -1.0, 0.0, 1e300, 1e-300, 0.0, 101.0)
	f.Fuzz(func(t *testing.T, a, wa, b, wb, c, wc, pan, clay float64) {
		s := layered.Sieving{Sieves: []layered.Sieve{{OpeningMM: a, RetainedG: wa}, {OpeningMM: b, RetainedG: wb}, {OpeningMM: c, RetainedG: wc}}, PanG: pan, ClayPct: &clay}
		g, faults := layered.NewGrading(s)
		if faults == nil {
			for _, p := range g.Points() {
				if !(p.FinerPct >= 0 && p.FinerPct <= 100) {
					t.Errorf("%g %% finer than %g mm", p.FinerPct, p.OpeningMM)
				}
			}
		}
		layered.CheckMaterials(layered.MaterialSamples{RootZone: &layered.RootZoneSample{Sieving: s, ConductivityMMPerH: &a, DeliveredMMPerH: &b}, Blinding: &s, Gravel: &s}, layered.Design{AreaM2: 500})
	})
}
