package model

import (
	"math"
	"runtime"
	"strings"
	"testing"
)

func drawnCase(t testing.TB, name string, draws int, seed int64) Case {
	t.Helper()
	c := readDrawnCase(t, name)
	c.Confidence = &ConfidenceSettings{Draws: &draws, Seed: seed}
	return c
}

// TestTheSameSeedGivesTheSameBytes on any number of processors, and another seed
// gives others.
func TestTheSameSeedGivesTheSameBytes(t *testing.T) {
	c := drawnCase(t, "green_14", 2000, 5)
	first := asJSON(t, mustAppraise(t, c).Confidence)
	before := runtime.GOMAXPROCS(1)
	alone := asJSON(t, mustAppraise(t, c).Confidence)
	runtime.GOMAXPROCS(before)
	if first != alone {
		t.Error("the number of processors changes the draws")
	}
	if other := asJSON(t, mustAppraise(t, drawnCase(t, "green_14", 2000, 6)).Confidence); other == first {
		t.Error("another seed gives the same draws")
	}
}

// TestChancesAddUp: in every draw one option is best, or none qualifies; no
// option is best more often than it qualifies, and none qualifies more often than
// it meets any one requirement.
func TestChancesAddUp(t *testing.T) {
	for _, name := range append([]string{"money"}, demoCases...) {
		a := mustAppraise(t, drawnCase(t, name, 1000, 1))
		total := a.Confidence.NoOption.Draws
		for i, o := range a.Confidence.Options {
			total += o.Best.Draws
			if o.Best.Draws > o.MeetsRequirements.Draws || len(a.Options[i].Infeasible) > 0 && o.Best.Draws > 0 {
				t.Errorf("%s, %s: best in %d draws, qualifies in %d", name, o.Option, o.Best.Draws, o.MeetsRequirements.Draws)
			}
			for _, r := range o.Requirements {
				if o.MeetsRequirements.Draws > r.Met.Draws {
					t.Errorf("%s, %s: meets all in %d draws, %s in %d", name, o.Option, o.MeetsRequirements.Draws, r.Requirement, r.Met.Draws)
				}
			}
			for _, band := range []MoneyBand{o.Capital, o.NetPresentValue} {
				if band.P10.Float() > band.P50.Float() || band.P50.Float() > band.P80.Float() || band.P80.Float() > band.P90.Float() {
					t.Errorf("%s, %s: %v is out of order", name, o.Option, band)
				}
			}
		}
		if total != a.Confidence.Draws {
			t.Errorf("%s: chances add up to %d of %d draws", name, total, a.Confidence.Draws)
		}
	}
}

// TestTheLikelyLiesInsideTheBand: the likely figure lies inside the P10 to P90 of
// the draws. Means need not agree, since ranges lean to one side.
func TestTheLikelyLiesInsideTheBand(t *testing.T) {
	a := mustAppraise(t, drawnCase(t, "green_14", 4000, 1))
	for i, o := range a.Confidence.Options {
		likely := a.Options[i].Money.Capital.Float()
		if low, high := o.Capital.P10.Float(), o.Capital.P90.Float(); likely < low || likely > high {
			t.Errorf("%s: capital %.0f outside %.0f to %.0f", o.Option, likely, low, high)
		}
	}
}

// TestTheAdviceReadsTheDraws: what to approve is P80 to P90 of the advised
// option, and its chances stand in the advice.
func TestTheAdviceReadsTheDraws(t *testing.T) {
	a := mustAppraise(t, drawnCase(t, "green_14", 1000, 1))
	r, of := a.Recommendation, a.Confidence.of(a.Recommendation.Option)
	if !r.ApproveCapital.Equal(of.Capital.P80) || r.ApproveCapitalP90 == nil || !r.ApproveCapitalP90.Equal(of.Capital.P90) {
		t.Errorf("approve %s to %v; P80 is %s, P90 %s", r.ApproveCapital, r.ApproveCapitalP90, of.Capital.P80, of.Capital.P90)
	}
	if likely := a.option(t, r.Option).Money.Capital.Float(); r.ApproveCapital.Float() <= likely {
		t.Errorf("approve %s for a likely %.2f", r.ApproveCapital, likely)
	}
	if r.MeetsRequirements == nil || *r.MeetsRequirements != of.MeetsRequirements || *r.Best != of.Best {
		t.Error("the chances in the advice are not those of the draws")
	}
	undrawnAdvice := mustAppraise(t, readCase(t, "green_14")).Recommendation
	if undrawnAdvice.Best != nil || undrawnAdvice.ApproveCapitalP90 != nil || undrawnAdvice.ApproveCapital.Sign() <= 0 {
		t.Errorf("without draws: %+v", undrawnAdvice)
	}
}

// TestACloseCallIsCalledClose asks for more and more before an option counts as
// clearly the best.
func TestACloseCallIsCalledClose(t *testing.T) {
	c := drawnCase(t, "green_14", 1000, 1)
	at := func(share float64) Recommendation {
		return mustAppraise(t, stated(c, map[string]float64{"close_call_best_share": share})).Recommendation
	}
	best := at(0.5).Best.Probability
	clear, near := at(best-0.05), at(min(1, best+0.05))
	if clear.CloseCall || !near.CloseCall {
		t.Fatalf("best in %.2f of the draws: %v below, %v above", best, clear.CloseCall, near.CloseCall)
	}
	if !strings.HasPrefix(near.Reasons[0], "A close call") {
		t.Errorf("the first reason is %q", near.Reasons[0])
	}
	for _, text := range append(near.Reasons, near.Headline) {
		if strings.Contains(strings.ToLower(text), "success") {
			t.Errorf("%q speaks of success", text)
		}
	}
}

// TestTheTornadoIsOfWholeAppraisals: each bar's ends are the differences that two
// whole appraisals give.
func TestTheTornadoIsOfWholeAppraisals(t *testing.T) {
	c := drawnCase(t, "green_14", 100, 1)
	a := mustAppraise(t, c)
	if len(a.Confidence.Tornado.Bars) < 5 {
		t.Fatalf("only %d bars", len(a.Confidence.Tornado.Bars))
	}
	value := func(moved map[string]float64) float64 {
		again := mustAppraise(t, undrawn(stated(c, moved)))
		v := again.option(t, a.Confidence.Tornado.Option).Money.AgainstPresent.NetPresentValue.Float()
		if less := a.Confidence.Tornado.Less; less != "" {
			v -= again.option(t, less).Money.AgainstPresent.NetPresentValue.Float()
		}
		return v
	}
	for i, bar := range a.Confidence.Tornado.Bars {
		if i > 0 && bar.Swing.Float() > a.Confidence.Tornado.Bars[i-1].Swing.Float() {
			t.Errorf("%s is wider than the bar before it", bar.Input)
		}
		for at, shown := range map[float64]float64{bar.Low: bar.AtLow.Float(), bar.High: bar.AtHigh.Float()} {
			if want := value(map[string]float64{bar.Input: at}); math.Abs(shown-want) > 2*roundings {
				t.Errorf("%s at %g: %.2f, whole appraisals give %.2f", bar.Input, at, shown, want)
			}
		}
	}
}

func TestDrawsThatCannotBe(t *testing.T) {
	for _, draws := range []int{-1, 1, 99, 100_001} {
		_, err := AppraiseWith(drawnCase(t, "green_14", draws, 0), testCurves)
		if list := listOf(err); len(list) != 1 || list[0].Pointer != "/confidence/draws" {
			t.Errorf("%d draws: %v", draws, err)
		}
	}
	_, err := AppraiseWith(drawnCase(t, "green_14", 100, -1), testCurves)
	if list := listOf(err); len(list) != 1 || list[0].Pointer != "/confidence/seed" {
		t.Errorf("seed -1: %v", err)
	}
}
