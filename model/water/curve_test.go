package water

import (
	"math"
	"math/rand/v2"
	"sync"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"swardcase/model/fault"
)

// curveOnce builds the curve of the Dublin record for the first test that asks.
var curveOnce struct {
	sync.Once
	curve   *Curve
	weather *Weather
}

func curve(tb testing.TB) (*Curve, *Weather) {
	tb.Helper()
	curveOnce.Do(func() {
		weather := dublinWeather(tb, 1)
		c, err := NewCurve(weather, defaults().Stores())
		if err != nil {
			tb.Fatal(err)
		}
		curveOnce.curve, curveOnce.weather = c, weather
	})
	return curveOnce.curve, curveOnce.weather
}

func anyPoint(t *rapid.T) Point {
	return Point{
		Rates:          Rates{WetSurfaceMMPerH(logRange(t, "surface", 0.01, 200)), logRange(t, "discharge", 0.01, 1000)},
		SoftAboveShare: rapid.Float64Range(leastSoftShare, mostSoftShare).Draw(t, "soft above"),
	}
}

func TestCurveIsMonotone(t *testing.T) {
	c, _ := curve(t)
	if c.straightened > 1e-9 {
		t.Errorf("the runs were not monotone: a point was lowered by %g days", c.straightened)
	}
	rapid.Check(t, func(t *rapid.T) {
		worse := anyPoint(t)
		better := worse
		better.SurfaceMMPerH *= WetSurfaceMMPerH(rapid.Float64Range(1, 10).Draw(t, "more surface"))
		better.DischargeMMPerDay *= rapid.Float64Range(1, 10).Draw(t, "more discharge")
		better.SoftAboveShare = rapid.Float64Range(worse.SoftAboveShare, mostSoftShare).Draw(t, "firmer")
		more, less := c.Lookup(worse).WaterloggedDays, c.Lookup(better).WaterloggedDays
		for month := range more {
			if !(less[month] <= more[month]+1e-9) {
				t.Fatalf("month %d: %g days, and %g where the green is better", month, more[month], less[month])
			}
		}
	})
}

func TestCurveIsTheRunsAtItsGridPoints(t *testing.T) {
	c, w := curve(t)
	for _, g := range [][3]int{{0, 0, 0}, {5, 20, 3}, {12, 30, 10}, {19, 43, 13}} {
		at := Point{Rates{WetSurfaceMMPerH(math.Exp(surfaceAxis.at(g[0]))), math.Exp(dischargeAxis.at(g[1]))}, softAxis.at(g[2])}
		run, err := w.Run(at.Rates, at.SoftAboveShare, defaults().Stores())
		if err != nil {
			t.Fatal(err)
		}
		got := c.Lookup(at)
		for month, want := range run.Lost.WaterloggedDays {
			near(t, "days", got.WaterloggedDays[month], want, 1e-6)
		}
		if got.FrostDays != run.Lost.FrostDays {
			t.Errorf("frost %v, want %v", got.FrostDays, run.Lost.FrostDays)
		}
	}
}

// How far the curve lies from direct simulation, over the whole of it: in the mean
// under half a day a year, at worst 4, where a discharge of 1 to 2 mm/day is
// about the winter's surplus and decides a month.
func TestCurveAgainstDirectSimulation(t *testing.T) {
	c, w := curve(t)
	random := rand.New(rand.NewPCG(11, 12))
	sum, bias, worst := 0.0, 0.0, 0.0
	const points = 1500
	for range points {
		at := Point{Rates{
			WetSurfaceMMPerH(math.Exp(surfaceAxis.low + random.Float64()*(surfaceAxis.high-surfaceAxis.low))),
			math.Exp(dischargeAxis.low + random.Float64()*(dischargeAxis.high-dischargeAxis.low)),
		}, 0.5 + 0.45*random.Float64()}
		run, err := w.Run(at.Rates, at.SoftAboveShare, defaults().Stores())
		if err != nil {
			t.Fatal(err)
		}
		difference := c.Lookup(at).WaterloggedDays.Sum() - run.Lost.WaterloggedDays.Sum()
		sum += math.Abs(difference)
		bias += difference
		worst = math.Max(worst, math.Abs(difference))
	}
	t.Logf("mean difference %.2f days a year, bias %.2f, worst %.2f", sum/points, bias/points, worst)
	between(t, "mean difference", sum/points, 0, 0.5)
	between(t, "bias", bias/points, -0.25, 0.25)
	between(t, "worst difference", worst, 0, 4)
}

func TestLookupIsSafeOnAnything(t *testing.T) {
	c, _ := curve(t)
	for _, x := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), -1, 0, 1e300, 1e-300} {
		for _, at := range []Point{
			{Rates{WetSurfaceMMPerH(x), 2}, 0.9},
			{Rates{2, x}, 0.9},
			{Rates{2, 2}, x},
		} {
			lost := c.Lookup(at)
			for month, days := range lost.WaterloggedDays {
				if !(days >= 0 && days <= monthDays[month]) {
					t.Errorf("%+v loses %g days in month %d", at, days, month)
				}
			}
		}
	}
	if got := len((Point{Rates{WetSurfaceMMPerH(math.NaN()), math.Inf(1)}, 2}).Check()); got != 3 {
		t.Errorf("%d faults, want 3", got)
	}
	if diff := cmp.Diff(c.Lookup(Point{Rates{WetSurfaceMMPerH(math.NaN()), 2}, 0.9}), c.Lookup(Point{Rates{0, 2}, 0.9})); diff != "" {
		t.Error("NaN is not read as the worst:", diff)
	}
}

func TestRunAndCurveRefuseBadFigures(t *testing.T) {
	w := dublinWeather(t, 1)
	bad := Stores{math.NaN(), -1, math.Inf(1), 1e9}
	_, err := w.Run(Rates{-1, math.NaN()}, 1.5, bad)
	if list, _ := err.(fault.List); len(list) != 7 {
		t.Errorf("%d faults of a run, want 7: %v", len(list), err)
	}
	_, err = NewCurve(w, bad)
	if list, _ := err.(fault.List); len(list) != 4 {
		t.Errorf("%d faults of a curve, want 4: %v", len(list), err)
	}
}
