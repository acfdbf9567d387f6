package condition_test

import (
	"encoding/json"
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"testing"

	"swardcase/model/condition"
)

// number is one float of an input; bound marks the low or high end of an interval,
// which may lie as far off as it likes while it is finite and on its own side.
type number struct {
	reflect.Value
	path  string
	bound bool
}

// numbersOf walks a value, so that a field added later is tested too.
func numbersOf(v reflect.Value, path string) []number {
	switch v.Kind() {
	case reflect.Float64:
		bound := strings.HasSuffix(path, "Interval.Low") || strings.HasSuffix(path, "Interval.High")
		return []number{{v, path, bound}}
	case reflect.Pointer:
		if !v.IsNil() {
			return numbersOf(v.Elem(), path)
		}
	}
	var out []number
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			out = append(out, numbersOf(v.Field(i), path+"."+v.Type().Field(i).Name)...)
		}
	case reflect.Slice:
		for i := range v.Len() {
			out = append(out, numbersOf(v.Index(i), path+"."+strconv.Itoa(i))...)
		}
	}
	return out
}

// fullGreen fills every field that can hold a number.
func fullGreen() condition.Input {
	in := soundGreen()
	in.SurfaceHardnessGravities = of(90.0)
	in.Infiltration.ByPosition = []condition.PositionEstimate{{Position: "front", Value: 50, Interval: &condition.Interval{Low: 40, High: 60, ConfidencePct: 95}}}
	in.Pits[0].FreeWaterDepthMM = of(590.0)
	in.SoilLayers[0].ConductivityMMPerH = of(200.0)
	in.Trial = fairTrial(of(-0.5), of(-3.0))
	return in
}

func TestEveryNumberThatIsNoneIsRefused(t *testing.T) {
	in := fullGreen()
	numbers := numbersOf(reflect.ValueOf(&in).Elem(), "")
	if len(numbers) < 40 {
		t.Errorf("only %d numbers were found", len(numbers))
	}
	for _, n := range numbers {
		kept := n.Float()
		for _, hostile := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), -1e300, 1e300} {
			n.SetFloat(hostile)
			c, faults := condition.Judge(in, condition.Scales{}, parameters())
			finite := math.Abs(hostile) == 1e300
			if len(faults) == 0 && !(finite && n.bound && c.Interval.Low <= c.Index && c.Index <= c.Interval.High) {
				t.Errorf("%s as %v is not refused", n.path, hostile)
			}
		}
		n.SetFloat(kept)
	}
}

func TestEveryParameterThatIsNoneIsRefused(t *testing.T) {
	p := parameters()
	v := reflect.ValueOf(&p).Elem()
	for i := range v.NumField() {
		kept := v.Field(i).Float()
		for _, hostile := range []float64{math.NaN(), math.Inf(1), -1, 1e6} {
			v.Field(i).SetFloat(hostile)
			if _, faults := condition.Judge(soundGreen(), condition.Scales{}, p); len(faults) == 0 {
				t.Errorf("%s as %v is not refused", v.Type().Field(i).Name, hostile)
			}
		}
		v.Field(i).SetFloat(kept)
	}
}

func TestParametersOutOfOrderAreRefused(t *testing.T) {
	for name, change := range map[string]func(p *condition.Parameters){
		"slow above free":    func(p *condition.Parameters) { p.SlowSubsoilMMPerH = 50 },
		"diluted above rich": func(p *condition.Parameters) { p.DilutedOrganicMatterPct = 11 },
		"least above enough": func(p *condition.Parameters) { p.LeastSunHPerDay = 7 },
	} {
		p := parameters()
		change(&p)
		if _, faults := condition.Judge(soundGreen(), condition.Scales{}, p); len(faults) != 1 || faults[0].Pointer != "/assumptions" {
			t.Errorf("%s: faults %v, want one at the assumptions", name, faults)
		}
	}
}

func TestInputFaultsAreAllNamedAtOnce(t *testing.T) {
	in := soundGreen()
	in.ThatchDepth = condition.Estimate{Interval: &condition.Interval{Low: 1, High: 2, ConfidencePct: 95}}
	in.AnnualMeadowGrass = ranged(60, 50, 70)
	in.MonthsPlayable = bare(13)
	in.Infiltration.ByPosition = []condition.PositionEstimate{{Position: "front", Value: 1}, {Position: "front", Value: 2}, {Value: 3}}
	in.RateBelow.Interval.ConfidencePct = 100
	in.SoilLayers[1].Texture = "marl"
	in.Outfall.State = "ajar"
	in.Surroundings.WalkOnPoints = of(0)
	in.Pits = slices.Repeat(in.Pits, 7)
	_, faults := condition.Judge(in, condition.Scales{PoorFromIndex: of(90.0)}, parameters())
	want := []string{
		"/infiltration_mm_per_h/by_position/1/position", "/infiltration_mm_per_h/by_position/2/position",
		"/thatch_depth_mm/value", "/annual_meadow_grass_pct/interval", "/months_playable/value",
		"/removed_150_mm_per_h/interval/confidence_pct", "/pits", "/soil_layers/1/texture", "/outfall/state",
		"/surroundings/walk_on_points", "/scales/poor_from_index",
	}
	var got []string
	for _, f := range faults {
		got = append(got, f.Pointer)
		if f.Detail == "" || f.Remedy == "" {
			t.Errorf("%s: no detail or no remedy", f.Pointer)
		}
	}
	if !slices.Equal(got, want) {
		t.Errorf("faults at\n%q, want\n%q", got, want)
	}
}

func TestTooManyPositionsAreRefused(t *testing.T) {
	in := soundGreen()
	for i := range 301 {
		in.Infiltration.ByPosition = append(in.Infiltration.ByPosition, condition.PositionEstimate{Position: strconv.Itoa(i), Value: 1})
	}
	if _, faults := condition.Judge(in, condition.Scales{}, parameters()); len(faults) != 1 || faults[0].Pointer != "/infiltration_mm_per_h/by_position" {
		t.Errorf("faults %v", faults)
	}
}

// FuzzJudge puts hostile numbers and words everywhere: the answer is faults, or a
// judgement that holds together and can be written as JSON.
func FuzzJudge(f *testing.F) {
	f.Add(60.0, 20.0, 50.0, 9.0, 40.0, 80.0, 4.0, 3.0, 11.0, 40.0, 350.0, 120.0, 0.25, 50.0, "front", "clay", "blocked", "dry", byte(7))
	f.Add(math.NaN(), math.Inf(1), -1.0, 1e308, -1e308, 0.0, 5e-324, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, "", "", "", "", byte(255))
	f.Fuzz(func(t *testing.T, infiltration, thatch, grass, months, low, high, ratio, below, organic, roots, water, thickness, weight, point float64,
		position, texture, state, after string, switches byte,
	) {
		in := condition.Input{
			Infiltration: ranged(low, infiltration, high), ThatchDepth: bare(thatch), AnnualMeadowGrass: bare(grass), MonthsPlayable: bare(months),
			RatioUnderMat: bare(ratio), RateBelow: bare(below), OrganicMatterTopPct: &organic, RootDepthMM: &roots,
			Pits:       []condition.Pit{{DepthMM: 600, FreeWaterDepthMM: &water}},
			SoilLayers: []condition.SoilLayer{{Texture: condition.Sand, ThicknessMM: thickness}, {Texture: condition.Texture(texture), ThicknessMM: 400}},
			HasDrains:  switches&1 > 0, Outfall: condition.Outfall{State: state, AfterRain: after},
			LostDays: &condition.LostDays{FrostDays: water}, Trial: &condition.ProgrammeTrial{Seasons: months, OperationsDonePct: &grass},
		}
		in.Infiltration.ByPosition = []condition.PositionEstimate{{Position: position, Value: below}}
		for i, e := range measuresOf(&in) {
			if switches&(2<<i) > 0 {
				*e = condition.Estimate{}
			}
		}
		scales := condition.Scales{ThatchDepthMM: &condition.ValueScale{Weight: &weight}}
		if switches&32 > 0 {
			scales.ThatchDepthMM.Points = []condition.ScalePoint{{Value: 0, Score: 100}, {Value: point, Score: weight}}
			scales.InfiltrationReads = condition.WetSurfaceRate
		}
		c, faults := condition.Judge(in, scales, parameters())
		if len(faults) > 0 {
			return
		}
		if !(c.Index >= 0 && c.Index <= 100) || len(c.Diagnosis.Findings) != 16 || c.Headline == "" {
			t.Fatalf("index %v, %d findings", c.Index, len(c.Diagnosis.Findings))
		}
		d := c.Diagnosis
		if d.SurfaceShare < 0 || d.DischargeShare < 0 || d.OtherShare < 0 || !near(d.SurfaceShare+d.DischargeShare+d.OtherShare, 1, 1e-9) {
			t.Fatalf("shares %v, %v, %v", d.SurfaceShare, d.DischargeShare, d.OtherShare)
		}
		if d.Structural && d.UpkeepCanMend {
			t.Fatal("structural, yet upkeep can mend it")
		}
		for _, finding := range d.Findings {
			if finding.Verdict == condition.CannotJudge && finding.SettleBy == "" {
				t.Fatalf("%s cannot be judged, and nothing would settle it", finding.Cause)
			}
		}
		if _, err := json.Marshal(c); err != nil {
			t.Fatal(err)
		}
	})
}

func BenchmarkJudge(b *testing.B) {
	in := fullGreen()
	in.Infiltration.ByPosition = []condition.PositionEstimate{{Position: "front", Value: 60}, {Position: "middle", Value: 40}, {Position: "hollow", Value: 12}}
	p := parameters()
	b.ReportAllocs()
	for b.Loop() {
		if _, faults := condition.Judge(in, condition.Scales{}, p); len(faults) > 0 {
			b.Fatal(faults)
		}
	}
}
