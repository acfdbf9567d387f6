package model

import "testing"

// BenchmarkAppraise works through the yardstick and seven options of one green
// over 25 years: from its area and perimeter, and from an outline in which both
// drain layouts and the slits are drawn.
func BenchmarkAppraise(b *testing.B) {
	for name, green := range map[string]string{"area": "green_04", "outline": "green_14"} {
		b.Run(name, func(b *testing.B) {
			c := readCase(b, green)
			b.ReportAllocs()
			mustAppraise(b, c) // the curve is made once and kept
			for b.Loop() {
				if _, err := AppraiseWith(c, testCurves); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// BenchmarkJudgeCondition reads one survey and diagnoses one green.
func BenchmarkJudgeCondition(b *testing.B) {
	c := readCase(b, "green_14")
	b.ReportAllocs()
	for b.Loop() {
		if _, err := JudgeCondition(c); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkDesignWorks draws both layouts and the slits of a kidney-shaped green
// and designs its six options.
func BenchmarkDesignWorks(b *testing.B) {
	c := readCase(b, "kidney")
	b.ReportAllocs()
	for b.Loop() {
		if _, err := DesignWorks(c); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkForecasts follows one green through 25 years under all eight options,
// resolving the case and designing the works on the way; the curve is kept.
func BenchmarkForecasts(b *testing.B) {
	c := readCase(b, "green_14")
	b.ReportAllocs()
	mustForecast(b, c)
	for b.Loop() {
		if _, err := Forecasts(c, testCurves); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkForecastOfAllOptions is the forecast alone: the designs are made and
// the curve is kept, and what a draw of the confidence would repeat is timed.
func BenchmarkForecastOfAllOptions(b *testing.B) {
	c := readCase(b, "green_14")
	a, err := newAppraiser(c, nil)
	if err != nil {
		b.Fatal(err)
	}
	if err := a.openForecasts(testCurves); err != nil {
		b.Fatal(err)
	}
	var options []OptionAppraisal
	for _, option := range Options() {
		out, err := a.appraiseOption(option)
		if err != nil {
			b.Fatal(err)
		}
		options = append(options, out)
	}
	b.ReportAllocs()
	for b.Loop() {
		if err := a.openForecasts(testCurves); err != nil {
			b.Fatal(err)
		}
		for _, out := range options {
			if _, err := a.forecast(out); err != nil {
				b.Fatal(err)
			}
		}
	}
}
