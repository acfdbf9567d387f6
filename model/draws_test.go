package model

import (
	"context"
	"math"
	"testing"

	"swardcase/costs"
	"swardcase/model/assumption"
	"swardcase/model/confidence"
)

// openDraws appraises a case up to the point at which it is drawn.
func openDraws(t testing.TB, c Case) (*appraiser, []OptionAppraisal, confidence.Study) {
	t.Helper()
	a, err := newAppraiser(c, nil)
	if err != nil {
		t.Fatal(err)
	}
	options, err := a.options(testCurves)
	if err != nil {
		t.Fatal(err)
	}
	study, err := a.study(options)
	if err != nil {
		t.Fatal(err)
	}
	return a, options, study
}

// drawAt evaluates a study with some inputs moved, the others likely.
func drawAt(study confidence.Study, moved map[string]float64) []float64 {
	draw := make([]float64, len(study.Inputs))
	for i, in := range study.Inputs {
		draw[i] = in.Likely
		if x, is := moved[in.Name]; is {
			draw[i] = x
		}
	}
	out := make([]float64, len(study.Options)*outcomeCount)
	study.NewEvaluate()(draw, out)
	return out
}

// stated puts values of inputs into a case; the price level goes by its three
// names.
func stated(c Case, moved map[string]float64) Case {
	c.Assumptions = append([]assumption.Override{}, c.Assumptions...)
	terms := *c.Money
	for name, value := range moved {
		switch name {
		case inputDiscountRate:
			terms.DiscountRatePct = &value
		case inputPriceLevel:
			terms.PriceLevel = map[float64]costs.Level{-1: costs.Low, 0: costs.Likely, 1: costs.High}[value]
		default:
			c.Assumptions = append(c.Assumptions, assumption.Override{Name: name, Likely: value})
		}
	}
	c.Money = &terms
	return c
}

// roundings is how far the float twin may lie from the cash flow: shares of
// months are rounded to 4 places and entries to pennies there, some hundreds of
// each over the horizon.
const roundings = 15.0

// TestADrawIsTheAppraisal holds the form in which an appraisal is drawn to the
// appraisal itself, worked out in decimals from a case that states the same
// values: where all is likely, and with each input alone at its ends.
func TestADrawIsTheAppraisal(t *testing.T) {
	for _, name := range append([]string{"money"}, demoCases...) {
		c := readCase(t, name)
		_, options, study := openDraws(t, c)
		same := func(moved map[string]float64) {
			t.Helper()
			got, want := drawAt(study, moved), mustAppraise(t, stated(c, moved))
			for o, out := range want.Options {
				row := got[o*outcomeCount:][:outcomeCount]
				if held := holdLife(options[o]); held > 0 && *out.Forecast.WorkingLifeYears != min(float64(held), math.Round(out.Design.WorkingLifeYears.Likely)) {
					continue // it falls below the requirement at another age: draws do not follow that
				}
				for _, figure := range []struct {
					name           string
					got, want, off float64
				}{
					{"net present value", row[outcomeValue], out.Money.AgainstPresent.NetPresentValue.Float(), roundings},
					{"capital", row[outcomeCapital], out.Money.Capital.Float(), roundings},
					{"months", row[outcomeMonths], out.Forecast.MonthsPlayableYear5, 1e-6},
					{"index", row[outcomeIndex], out.Expected.Index, 1e-6},
					{"months out", row[outcomeMonthsOut], out.MonthsOutOfPlay, 1e-6},
				} {
					if !(math.Abs(figure.got-figure.want) <= figure.off) {
						t.Errorf("%s, %s, %v: %s %.3f in a draw, %.3f in the appraisal", name, out.Option, moved, figure.name, figure.got, figure.want)
					}
				}
				payback := out.Money.AgainstPresent.Payback.Years
				if drawn := row[outcomePayback]; (payback == nil) != math.IsNaN(drawn) || payback != nil && math.Abs(*payback-drawn) > 0.06 { // it is shown to a tenth
					t.Errorf("%s, %s, %v: payback %.3f in a draw, %+v in the appraisal", name, out.Option, moved, drawn, out.Money.AgainstPresent.Payback)
				}
			}
		}
		same(nil)
		for _, in := range study.Inputs {
			same(map[string]float64{in.Name: in.Low})
			same(map[string]float64{in.Name: in.High})
		}
	}
}

// TestWhatDrawsLeaveOutIsSmall measures what the form leaves out when all inputs
// move at once: the root mean square of the difference in net present value from
// whole appraisals of the same values, against the spread of those appraisals
// about the likely one. A half of the spread would be a quarter of its variance.
func TestWhatDrawsLeaveOutIsSmall(t *testing.T) {
	const draws = 24
	for _, name := range demoCases {
		c := readCase(t, name)
		_, options, study := openDraws(t, c)
		sampler, bad := confidence.NewSampler(study.Inputs, 7, confidence.ParametersFrom(assumption.Defaults()))
		if len(bad) > 0 {
			t.Fatal(bad)
		}
		likely := drawAt(study, nil)
		draw := make([]float64, len(study.Inputs))
		off, spread := make([]float64, len(options)), make([]float64, len(options))
		for n := range draws {
			sampler.Draw(n, draw)
			moved := map[string]float64{}
			for i, in := range study.Inputs {
				if in.Name != inputPriceLevel { // it is linear, and a case has three levels only
					moved[in.Name] = draw[i]
				}
			}
			got, want := drawAt(study, moved), mustAppraise(t, stated(c, moved))
			for o, out := range want.Options {
				value := out.Money.AgainstPresent.NetPresentValue.Float()
				off[o] += math.Pow(got[o*outcomeCount]-value, 2)
				spread[o] += math.Pow(value-likely[o*outcomeCount], 2)
			}
		}
		for o, out := range options {
			if out.Option == Yardstick {
				continue
			}
			share := math.Sqrt(off[o] / spread[o])
			t.Logf("%s, %s: leaves out %.0f %% of a spread of %.0f", name, out.Option, 100*share, math.Sqrt(spread[o]/draws))
			if share > 0.5 {
				t.Errorf("%s, %s: draws differ from appraisals by %.0f %% of the spread", name, out.Option, 100*share)
			}
		}
	}
}

// TestDrawsAllocateNothing guards the time that ten thousand of them take.
func TestDrawsAllocateNothing(t *testing.T) {
	_, _, study := openDraws(t, readCase(t, "green_14"))
	sampler, bad := confidence.NewSampler(study.Inputs, 1, confidence.ParametersFrom(assumption.Defaults()))
	if len(bad) > 0 {
		t.Fatal(bad)
	}
	draw, out := make([]float64, len(study.Inputs)), make([]float64, len(study.Options)*outcomeCount)
	evaluate, n := study.NewEvaluate(), 0
	if got := testing.AllocsPerRun(200, func() {
		sampler.Draw(n, draw)
		evaluate(draw, out)
		n++
	}); got != 0 {
		t.Errorf("%v allocations a draw", got)
	}
}

// BenchmarkDraws makes the form of an appraisal, and then 10,000 draws of eight
// options over 25 years.
func BenchmarkDraws(b *testing.B) {
	a, options, study := openDraws(b, readCase(b, "green_14"))
	b.Run("form", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if _, err := a.study(options); err != nil {
				b.Fatal(err)
			}
		}
	})
	for _, run := range []struct {
		name    string
		workers int
	}{{"one_worker", 1}, {"two_workers", 2}} {
		b.Run(run.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := study.Run(context.Background(), confidence.Settings{Workers: run.workers}, confidence.ParametersFrom(assumption.Defaults())); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
