package model

import "testing"

// BenchmarkAppraise works through the yardstick and seven options of one green
// over 25 years.
func BenchmarkAppraise(b *testing.B) {
	c := readCase(b, "green_14")
	b.ReportAllocs()
	mustAppraise(b, c) // the curve is made once and kept
	for b.Loop() {
		if _, err := AppraiseWith(c, testCurves); err != nil {
			b.Fatal(err)
		}
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
