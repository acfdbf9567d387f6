package confidence

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func TestQuantilesAmongTheAbsentAreNil(t *testing.T) {
	s, p := coin()
	s.NewEvaluate = func() Evaluate {
		return func(draw, out []float64) {
			clear(out)
			if draw[0] > 0.3 {
				out[1] = math.NaN()
			}
			out[3] = 2e15
		}
	}
	result := run(t, s, 1000, 1, p)
	if b := result.Options[0].Outcomes[1]; b.P10 == nil || b.P50 != nil || b.P80 != nil || b.P90 != nil || b.Mean == nil {
		t.Errorf("seven in ten absent: %+v", b)
	}
	want := QuantileBand{Outcome: "length", Unit: "weeks", Absent: probability(1000, 1000)}
	if diff := cmp.Diff(want, result.Options[1].Outcomes[1]); diff != "" {
		t.Errorf("all absent: %s", diff)
	}
	if _, err := json.Marshal(result); err != nil {
		t.Error(err)
	}
}

func TestBandByHand(t *testing.T) {
	// 1, 2, 3, 4: mean 2.5, squares about it 5, so a deviation of √(5/3) and an error
	// of the mean of half that; P10 at place 0.3, P80 at 2.4.
	b := band(Outcome{"x", "1"}, []float64{3, 1, 4, 2}, make([]float64, 4))
	near(t, "mean", *b.Mean, 2.5, 1e-15)
	near(t, "standard deviation", *b.StandardDeviation, math.Sqrt(5./3), 1e-15)
	near(t, "error of the mean", *b.MeanStandardError, math.Sqrt(5./12), 1e-15)
	near(t, "P10", *b.P10, 1.3, 1e-15)
	near(t, "P80", *b.P80, 3.4, 1e-15)
	one := band(Outcome{"x", "1"}, []float64{math.NaN(), 6}, make([]float64, 2))
	// P10 lies at place 0.1, between 6 and the absent one.
	if *one.Mean != 6 || one.StandardDeviation != nil || one.MeanStandardError != nil || one.P10 != nil {
		t.Errorf("one value: %+v", one)
	}
}

func TestStandardErrorIsTheSpreadBetweenSeeds(t *testing.T) {
	// The probability of one thing under 400 seeds spreads by its standard error; a
	// standard deviation from 400 samples is good to 3.5 %, so 15 % is four of those.
	s, p := coin()
	var sum, squares, stated float64
	for seed := range int64(400) {
		q := run(t, s, 500, seed, p).Options[1].Best
		sum += q.Probability
		squares += q.Probability * q.Probability
		stated += q.StandardError / 400
	}
	spread := math.Sqrt((squares - sum*sum/400) / 399)
	near(t, "spread over standard error", spread/stated, 1, 0.15)
}

func TestStandardErrorOfNoneAndAll(t *testing.T) {
	// Of 98 draws none: the beta distribution with shapes 1 and 99 has the standard
	// deviation √(99/(100²·101)), by hand.
	want := math.Sqrt(99. / (100 * 100 * 101))
	near(t, "none", probability(0, 98).StandardError, want, 1e-15)
	near(t, "all", probability(98, 98).StandardError, want, 1e-15)
	near(t, "half", probability(5000, 10000).StandardError, 0.005, 1e-6)
}

func TestTiesGoToTheFirstListed(t *testing.T) {
	s, p := coin()
	s.NewEvaluate = func() Evaluate {
		return func(draw, out []float64) { out[0], out[2] = math.Floor(draw[0]*2), 1 }
	}
	result := run(t, s, 2000, 3, p)
	steady := result.Options[0].Best.Draws
	if result.TiedDraws != steady || steady == 0 || steady == 2000 || result.Options[1].Best.Draws != 2000-steady {
		t.Errorf("tied %d, first %d, second %d", result.TiedDraws, steady, result.Options[1].Best.Draws)
	}
}

func TestChoiceInOneDraw(t *testing.T) {
	nan := math.NaN()
	for _, tt := range []struct {
		what  string
		worth []float64
		want  int
		tied  bool
	}{
		{"the greatest", []float64{1, 3, 2}, 1, false},
		{"the first of equals", []float64{1, 3, 3}, 1, true},
		{"equals below the best are no tie", []float64{1, 1, 2}, 2, false},
		{"equals that come after the best are none", []float64{2, 1, 1}, 0, false},
		{"what is absent cannot win", []float64{nan, 2, 1}, 1, false},
		{"nor what is infinite", []float64{math.Inf(1), 2, 1}, 1, false},
		{"a bound just met is met", []float64{0.5, 0.4, 8.5}, 0, false},
		{"and so is the upper one", []float64{0.4, 8, 8.5}, 1, false},
		{"none", []float64{nan, 9, 0}, -1, false},
	} {
		s := sumStudy(manyInputs(1, PERT), 3, 1)
		s.Requirements = []Requirement{{Outcome: "outcome 0", AtLeast: new(0.5), AtMost: new(8.0)}}
		c := s.newChooser()
		if got, tied := c.best(tt.worth); got != tt.want || tied != tt.tied {
			t.Errorf("%s: option %d, tied %v", tt.what, got, tied)
		}
	}
}

func TestWhatIsAbsentCannotWinWithoutRequirements(t *testing.T) {
	c := sumStudy(manyInputs(1, PERT), 3, 1).newChooser()
	for _, absent := range []float64{math.NaN(), math.Inf(1), 2e15} {
		if got, _ := c.best([]float64{absent, 2, absent}); got != 1 {
			t.Errorf("beside %v the best is option %d", absent, got)
		}
	}
}

func TestOrderOfDrawsDoesNotMatter(t *testing.T) {
	random := rand.New(rand.NewPCG(5, 6))
	for _, n := range []int{101, 3001} {
		values := make([]float64, n)
		for i := range values {
			values[i] = random.NormFloat64() * 1e5
			switch random.IntN(20) {
			case 0:
				values[i] = math.NaN()
			case 1, 2, 3:
				values[i] = math.Copysign(0, random.NormFloat64()) // the median, with either sign
			}
		}
		text := func() string {
			b, err := json.Marshal(band(Outcome{"x", "1"}, append([]float64(nil), values...), make([]float64, n)))
			if err != nil {
				t.Fatal(err)
			}
			return string(b)
		}
		want := text()
		for range 20 {
			random.Shuffle(n, func(i, j int) { values[i], values[j] = values[j], values[i] })
			if got := text(); got != want {
				t.Fatalf("%s\nbecame\n%s", want, got)
			}
		}
	}
}
