package water

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"swardcase/model/fault"
)

// A record made by the model itself comes back: the days to a thousandth, and the
// discharge that made it within the bounds that are stated.
func TestCalibrationFindsWhatMadeTheRecord(t *testing.T) {
	c, _ := curve(t)
	p := defaults()
	rapid.Check(t, func(t *rapid.T) {
		ring := RingMMPerH(logRange(t, "ring", 2, 100))
		discharge := logRange(t, "discharge", 0.2, 50)
		soft := rapid.Float64Range(0.5, 0.95).Draw(t, "soft above")
		recorded := c.Lookup(Point{Rates{ring.WhenWet(p.WetSurfaceToRingRatio), discharge}, soft}).WaterloggedDays
		got, err := c.Calibrate(recorded, ring, soft, p)
		if err != nil {
			t.Fatal(err)
		}
		if got.Outcome != DischargeFound || !got.Outcome.Explained() || got.WetSurfaceToRingRatio != p.WetSurfaceToRingRatio {
			t.Fatalf("%+v", got)
		}
		if math.Abs(got.ModelledDays-recorded.Sum()) > 1e-3 || got.MisplacedDays > 1e-3 {
			t.Fatalf("recorded %g days, came back %g, %g misplaced", recorded.Sum(), got.ModelledDays, got.MisplacedDays)
		}
		if !(discharge >= got.DischargeLowMMPerDay*(1-1e-6) && discharge <= got.DischargeHighMMPerDay*(1+1e-6)) {
			t.Fatalf("made with %g mm/day, found %g to %g", discharge, got.DischargeLowMMPerDay, got.DischargeHighMMPerDay)
		}
	})
}

// A heavier record never gives a higher discharge.
func TestCalibrationIsMonotone(t *testing.T) {
	c, _ := curve(t)
	p := defaults()
	rapid.Check(t, func(t *rapid.T) {
		ring := RingMMPerH(logRange(t, "ring", 2, 100))
		var light, heavy Months
		for month := range light {
			light[month] = rapid.Float64Range(0, 15).Draw(t, "light")
			heavy[month] = light[month] + rapid.Float64Range(0, 10).Draw(t, "heavier by")
		}
		a, err := c.Calibrate(light, ring, 0.85, p)
		if err != nil {
			t.Fatal(err)
		}
		b, err := c.Calibrate(heavy, ring, 0.85, p)
		if err != nil {
			t.Fatal(err)
		}
		if b.DischargeMMPerDay > a.DischargeMMPerDay*(1+1e-9) || b.WetSurfaceToRingRatio > a.WetSurfaceToRingRatio*(1+1e-9) {
			t.Fatalf("light record: %+v\nheavy record: %+v", a, b)
		}
	})
}

func winter(days float64) Months {
	return Months{days, 0.8 * days, 0.4 * days, 0, 0, 0, 0, 0, 0, 0.3 * days, 0.7 * days, days}
}

func TestOutcomes(t *testing.T) {
	c, _ := curve(t)
	p := defaults()
	for _, tt := range []struct {
		name     string
		recorded Months
		ring     RingMMPerH
		want     Outcome
		says     string
	}{
		{"a poor green", winter(10), 15, DischargeFound, "discharge of"},
		{"no day lost", Months{}, 40, DischargeFound, "discharge of"},
		{"slow readings, few days", winter(2), 4, RatioRaised, "more than assumed"},
		{"hopeless readings, no day lost", Months{}, 1, RecordBelowModel, "worst part only"},
		{"every day lost", monthDays, 30, RecordAboveModel, "run in from outside"},
	} {
		got, err := c.Calibrate(tt.recorded, tt.ring, 0.9, p)
		if err != nil {
			t.Fatal(err)
		}
		t.Logf("%s: %s: %s", tt.name, got.Outcome, got.Reason)
		if got.Outcome != tt.want || !strings.Contains(got.Reason, tt.says) {
			t.Errorf("%s: %s: %s", tt.name, got.Outcome, got.Reason)
		}
		if got.Outcome.Explained() != (math.Abs(got.ModelledDays-got.RecordedDays) <= withinDays) {
			t.Errorf("%s: recorded %g days, modelled %g, explained %v", tt.name, got.RecordedDays, got.ModelledDays, got.Outcome.Explained())
		}
		if !(got.DischargeLowMMPerDay <= got.DischargeMMPerDay && got.DischargeMMPerDay <= got.DischargeHighMMPerDay) {
			t.Errorf("%s: %+v", tt.name, got)
		}
		if !(got.WetSurfaceToRingRatio >= p.WetSurfaceToRingRatioLow-1e-12 && got.WetSurfaceToRingRatio <= p.WetSurfaceToRingRatioHigh+1e-12) {
			t.Errorf("%s: the ratio %g left its range", tt.name, got.WetSurfaceToRingRatio)
		}
	}
}

// The ratio is lowered only when no discharge at all is not enough: just above
// what the likely ratio can lose, and within what the lowest can.
func TestRatioIsLoweredLast(t *testing.T) {
	c, _ := curve(t)
	p := defaults()
	const ring = 1.0
	none := func(ratio float64) float64 {
		return c.Lookup(Point{Rates{RingMMPerH(ring).WhenWet(ratio), 0.1}, 0.95}).WaterloggedDays.Sum()
	}
	likely, low := none(p.WetSurfaceToRingRatio), none(p.WetSurfaceToRingRatioLow)
	if !(low > likely+2) {
		t.Fatalf("the curve leaves no room: %g to %g days", likely, low)
	}
	target := likely + 0.5*(low-likely)
	got, err := c.Calibrate(Months{31, 28, 31, target - 90}, ring, 0.95, p)
	if err != nil {
		got, err = c.Calibrate(scaled(monthDays, target/365), ring, 0.95, p)
	}
	if err != nil {
		t.Fatal(err)
	}
	if got.Outcome != RatioLowered || math.Abs(got.ModelledDays-target) > 1e-3 {
		t.Errorf("recorded %g: %+v", target, got)
	}
}

func scaled(m Months, by float64) Months {
	for month := range m {
		m[month] *= by
	}
	return m
}

func TestBadRecordsAndReadingsAreNamed(t *testing.T) {
	c, _ := curve(t)
	recorded := Months{math.NaN(), 40, -1}
	_, err := c.Calibrate(recorded, RingMMPerH(math.Inf(1)), math.NaN(), defaults())
	list, _ := err.(fault.List)
	if len(list) != 5 || list[0].Pointer != "/waterlogged_green_days/0" {
		t.Errorf("%d faults, want 5: %v", len(list), err)
	}
}
