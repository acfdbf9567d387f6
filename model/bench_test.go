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
