package survey

import (
	"encoding/json"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// typical is a survey as a careful club would hand it in: nine rings, three of
// them again under the mat and lower down, a double ring, ten cores, ten
// quadrats, two years of closed days, organic matter and three pits.
func typical() Survey {
	s := Survey{
		SurveyedOn: "2026-01-20", Infiltration: &InfiltrationReadings{}, ThatchDepth: &ThatchReadings{},
		AnnualMeadowGrass: &AnnualMeadowGrassReadings{}, MonthsPlayable: &PlayRecord{}, RootDepthMM: of(90.0),
	}
	positions := []string{"front", "back left", "back right"}
	for i := range 9 {
		s.Infiltration.RingTests = append(s.Infiltration.RingTests, ring(4+2.5*float64(i), positions[i%3]))
	}
	for i, p := range positions {
		s.Infiltration.RingTests = append(s.Infiltration.RingTests, below(ring(30+float64(i), p), 50), below(ring(3+float64(i), p), 150))
		s.Pits = append(s.Pits, Pit{p, 600, of(300.0 + float64(i)), of(80.0), of(i == 0)})
		s.OrganicMatter = append(s.OrganicMatter, OrganicMatterReading{p, 0, 20, 8}, OrganicMatterReading{p, 20, 40, 5}, OrganicMatterReading{p, 40, 80, 3 + float64(i)})
	}
	for i := range 10 {
		s.ThatchDepth.Readings = append(s.ThatchDepth.Readings, ThatchReading{positions[i%3], 14 + float64(i)})
		s.AnnualMeadowGrass.PointQuadrats = append(s.AnnualMeadowGrass.PointQuadrats, PointQuadrat{positions[i%3], 20 + i, 50})
	}
	days := append(openYear(2024, 1), openYear(2025, 1)...)
	for i := range days {
		days[i].WaterloggedGreenDays, days[i].FrostDays = of(float64(i%7)), of(float64(i%3))
	}
	s.MonthsPlayable.ClosedDays = days
	s.Infiltration.DoubleRingTests = []DoubleRingTest{{Position: "front", WaterTemperatureC: 8, Surface: Wet, Intervals: []RingInterval{{10, 9}, {10, 5}, {20, 8}, {20, 7}}}}
	return s
}

func FuzzSummarise(f *testing.F) {
	whole, err := json.Marshal(typical())
	if err != nil {
		f.Fatal(err)
	}
	f.Add(whole)
	f.Add([]byte(`{"surveyed_on":"2026-02-31","infiltration":{"ring_tests":[{"volume_ml":1e308,"bore_mm":-0,"minutes":1e-300}]}}`))
	f.Add([]byte(`{"surveyed_on":"2026-02-01","infiltration":{"ring_tests":[{"volume_ml":20,"bore_mm":1000,"minutes":100,"water_temperature_c":9},{"volume_ml":50000,"bore_mm":200,"minutes":100,"water_temperature_c":9}]}}`))
	f.Add([]byte(`{"surveyed_on":"2026-02-01","annual_meadow_grass":{"point_quadrats":[{"hits":-9223372036854775808,"points":9223372036854775807}]}}`))
	f.Fuzz(func(t *testing.T, raw []byte) {
		var s Survey
		if json.Unmarshal(raw, &s) != nil {
			return
		}
		out, faults := Summarise(s, defaults)
		if len(faults) > 0 {
			return
		}
		// What is written must be JSON, which has no infinity and no NaN.
		if _, err := json.Marshal(out); err != nil {
			t.Fatal(err)
		}
	})
}

func TestHostileNumbersAreRefused(t *testing.T) {
	hostile := rapid.SampledFrom([]float64{
		math.NaN(), math.Inf(1), math.Inf(-1), math.MaxFloat64, -math.MaxFloat64, -1, 1e9,
	})
	rapid.Check(t, func(t *rapid.T) {
		s := typical()
		bad := hostile.Draw(t, "bad")
		numbers := []*float64{
			&s.Infiltration.RingTests[0].VolumeML, &s.Infiltration.RingTests[0].BoreMM, &s.Infiltration.RingTests[0].Minutes,
			&s.Infiltration.RingTests[0].WaterTemperatureC, &s.Infiltration.DoubleRingTests[0].Intervals[1].Minutes,
			&s.Infiltration.DoubleRingTests[0].Intervals[1].DropMM, &s.Infiltration.DoubleRingTests[0].WaterTemperatureC,
			&s.ThatchDepth.Readings[0].DepthMM, s.MonthsPlayable.ClosedDays[0].FrostDays, &s.OrganicMatter[0].DepthFromMM,
			&s.OrganicMatter[0].DepthToMM, &s.OrganicMatter[0].OrganicMatterPct, &s.Pits[0].DepthMM, s.Pits[0].FreeWaterDepthMM,
			s.Pits[0].RootDepthMM, s.RootDepthMM,
		}
		*numbers[rapid.IntRange(0, len(numbers)-1).Draw(t, "which")] = bad
		if out, faults := Summarise(s, defaults); len(faults) == 0 || out.SurveyedOn != "" {
			t.Fatalf("%g was taken", bad)
		}
	})
}

func TestTheMostExtremeReadingsStayFinite(t *testing.T) {
	slow, fast := ring(0.0101, "a"), ring(1999, "b")
	slow.BoreMM, fast.Minutes = 1000, 60
	slow.VolumeML *= 100
	s := rings(slow, fast, below(slow, 50), below(fast, 150))
	s.SurveyedOn = "2026-01-20"
	p := defaults
	p.ConfidencePct = 99.9
	out, faults := Summarise(s, p)
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	if out.Infiltration.Interval.High != 2000 || !hasNote(out.Infiltration.Notes, "cut at 2000 mm/h") {
		t.Errorf("%+v", out.Infiltration)
	}
	if _, err := json.Marshal(out); err != nil {
		t.Fatal(err)
	}
}

func BenchmarkSummarise(b *testing.B) {
	nine := Survey{SurveyedOn: "2026-01-20", Infiltration: &InfiltrationReadings{RingTests: typical().Infiltration.RingTests[:9]}}
	for name, s := range map[string]Survey{"nine rings": nine, "whole survey": typical()} {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, faults := Summarise(s, defaults); len(faults) > 0 {
					b.Fatal(faults)
				}
			}
		})
	}
}
