package confidence

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/stat"
	"pgregory.net/rapid"
)

func TestStreamWordsArePublished(t *testing.T) {
	// From memory: the five words that are widely printed for SplitMix64 started at
	// 1234567, to check implementations against.
	want := []uint64{
		6457827717110365317, 3203168211198807973, 9817491932198370423,
		4593380528125082431, 16408922859458223821,
	}
	for n, w := range want {
		if got := streamWord(1234567, uint64(n)); got != w {
			t.Errorf("word %d = %d, want %d", n, got, w)
		}
	}
}

func TestStreamKeysAreTheHash(t *testing.T) {
	// By the system's SHA-256 of eight bytes of seed and the name: a stored result
	// must come out again from its seed in every later version.
	for _, tt := range []struct {
		seed int64
		name string
		want uint64
	}{{0, "a", 0xd7fe8b5c4a504869}, {1<<53 - 1, "gravel_rate", 0xdd86f4bdbd0c087b}} {
		if got := streamKey(tt.seed, tt.name); got != tt.want {
			t.Errorf("key of %d %q = %#x, want %#x", tt.seed, tt.name, got, tt.want)
		}
	}
}

func TestUniformStaysInside(t *testing.T) {
	for _, word := range []uint64{0, 1, 1<<12 - 1, 1 << 63, math.MaxUint64} {
		if u := uniform(word); !(u > 0 && u < 1) {
			t.Errorf("uniform(%#x) = %v, not between 0 and 1", word, u)
		}
	}
}

func TestTableKeepsToItsStatedError(t *testing.T) {
	// Against the incomplete beta function: F(Q(u)) − u within tableError, for every
	// lean, and for likely weights from none to very peaked.
	for _, lambda := range []float64{0, 0.5, 4, 20, 100} {
		for _, mode := range []float64{0, 1e-9, 0.01, 0.2, 1. / 3, 0.5, 0.77, 0.999, 1} {
			s := pertShapes(mode, lambda)
			table := newQuantileTable(s[0], s[1])
			before := -1.0
			for i := range 5000 {
				u := (float64(i) + 0.37) / 5000
				x := table.at(u)
				if miss := math.Abs(mathext.RegIncBeta(s[0], s[1], x) - u); !(miss <= tableError) {
					t.Fatalf("λ %g, mode %g: Q(%g) = %g misses by %g", lambda, mode, u, x, miss)
				}
				if x < before {
					t.Fatalf("λ %g, mode %g: Q falls at %g", lambda, mode, u)
				}
				before = x
			}
			for u := 1e-9; u < 1e-3; u *= 1.01 { // the tails, where cells are long
				here, next := table.at(u), table.at(u*1.01)
				if miss := math.Abs(mathext.RegIncBeta(s[0], s[1], here) - u); next < here || miss > tableError {
					t.Fatalf("λ %g, mode %g: Q(%g) = %g, then %g", lambda, mode, u, here, next)
				}
				if table.at(1-u) < table.at(1-u*1.01) {
					t.Fatalf("λ %g, mode %g: Q falls before %g", lambda, mode, 1-u)
				}
			}
			for _, u := range []float64{0x1p-53, 1e-12, 1 - 0x1p-53} {
				if x := table.at(u); !(x >= 0 && x <= 1) {
					t.Errorf("λ %g, mode %g: Q(%g) = %g", lambda, mode, u, x)
				}
			}
		}
	}
}

func TestTableAgainstClosedForms(t *testing.T) {
	// With λ = 4: a likely value at low has F = 1 − (1 − x)⁵, one in the middle
	// F = x³(10 − 15x + 6x²); both by integrating the density by hand. The inverse of
	// the first is exact, so the value itself is compared: where the density is at
	// least 0.05 an error of 1e-7 in probability is at most 2e-6 in value.
	leaning, middle := newQuantileTable(1, 5), newQuantileTable(3, 3)
	// At a likely value at low the density of the first is 5, so its slope 1/5.
	builder := tableBuilder{alpha: 1, beta: 5, logComplete: mathext.Lbeta(1, 5)}
	near(t, "slope at low", builder.knot(0).slope, 0.2, 1e-12)
	for u := 0.001; u < 0.99; u += 0.001 {
		near(t, "leaning", leaning.at(u), 1-math.Pow(1-u, 0.2), 2e-6)
		x := middle.at(u)
		near(t, "middle", x*x*x*(10-15*x+6*x*x), u, tableError)
	}
}

func TestDrawsFollowTheDistribution(t *testing.T) {
	// Kolmogorov and Smirnov: with n draws, √n times the largest gap between the two
	// distribution functions exceeds 1.95 once in a thousand samples.
	const n = 20000
	for _, in := range []Input{
		{Name: "pert", Low: -5, Likely: -4, High: 3, Shape: PERT},
		{Name: "pert at low", Low: 2, Likely: 2, High: 4, Shape: PERT},
		{Name: "triangular", Low: 10, Likely: 17, High: 20, Shape: Triangular},
		{Name: "triangular at high", Low: 10, Likely: 20, High: 20, Shape: Triangular},
	} {
		sampler := newSampler([]Input{in}, 42, defaults)
		values := make([]float64, n)
		for i := range values {
			sampler.Draw(i, values[i:i+1])
		}
		slices.Sort(values)
		gap := 0.0
		for i, x := range values {
			exact := in.distribution(x)
			gap = max(gap, exact-float64(i)/n, float64(i+1)/n-exact)
		}
		if gap*math.Sqrt(n) > 1.95 {
			t.Errorf("%s: gap %g of %d draws", in.Name, gap, n)
		}
	}
}

// distribution is the probability of at most x, in closed form or by gonum.
func (in Input) distribution(x float64) float64 {
	width := in.High - in.Low
	share, mode := (x-in.Low)/width, (in.Likely-in.Low)/width
	if in.Shape == PERT {
		return mathext.RegIncBeta(1+4*mode, 5-4*mode, share)
	}
	if share < mode {
		return share * share / mode
	}
	return 1 - (1-share)*(1-share)/(1-mode)
}

func TestStreamsAreUnrelated(t *testing.T) {
	// Correlations of 20,000 uniform numbers: beyond 4/√n once in 16,000.
	const n = 20000
	stream := func(seed int64, name string, from uint64) []float64 {
		key := streamKey(seed, name)
		values := make([]float64, n)
		for i := range values {
			values[i] = uniform(streamWord(key, from+uint64(i)))
		}
		return values
	}
	base := stream(1, "gravel_rate", 0)
	for what, other := range map[string][]float64{
		"another name":     stream(1, "gravel_rate_2", 0),
		"another seed":     stream(2, "gravel_rate", 0),
		"the draw after":   stream(1, "gravel_rate", 1),
		"swapped in a way": stream(1, "rate_gravel", 0),
	} {
		if r := stat.Correlation(base, other, nil); math.Abs(r) > 4/math.Sqrt(n) {
			t.Errorf("%s: correlation %g", what, r)
		}
	}
}

func TestSteppedDrawsKeepToTheirSteps(t *testing.T) {
	// Each whole number is drawn as often as the smooth distribution lies nearer to
	// it than to any other: within four standard errors.
	in := Input{Name: "works", Low: 3, Likely: 5, High: 9, Shape: PERT, Step: 1}
	const n = 20000
	sampler := newSampler([]Input{in}, 9, defaults)
	seen := map[float64]int{}
	draw := make([]float64, 1)
	for i := range n {
		sampler.Draw(i, draw)
		seen[draw[0]]++
	}
	total := 0
	for week := 3.0; week <= 9; week++ {
		smooth := in
		want := smooth.distribution(min(week+0.5, 9)) - smooth.distribution(max(week-0.5, 3))
		near(t, "share of a week", float64(seen[week])/n, want, 4*math.Sqrt(want*(1-want)/n))
		total += seen[week]
	}
	if total != n {
		t.Errorf("%d draws lie off the whole numbers", n-total)
	}
}

// anyInput draws an input of any shape, now and then without width, or stepped.
func anyInput(name string) *rapid.Generator[Input] {
	return rapid.Custom(func(t *rapid.T) Input {
		points := rapid.SliceOfN(rapid.Float64Range(-1000, 1000), 3, 3).Draw(t, "points")
		in := Input{Name: name, Unit: "1", Shape: rapid.SampledFrom([]Shape{PERT, Triangular, Fixed}).Draw(t, "shape")}
		if rapid.Bool().Draw(t, "stepped") {
			in.Step = rapid.SampledFrom([]float64{1, 0.1, 2.5}).Draw(t, "step")
			for i := range points {
				points[i] = in.Step * math.Round(points[i]/in.Step)
			}
		}
		slices.Sort(points)
		in.Low, in.Likely, in.High = points[0], points[1], points[2]
		return in
	})
}

func TestDrawsStayInRangeAndOthersDoNotMoveThem(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		inputs := []Input{
			anyInput("a").Draw(t, "a"), anyInput("b").Draw(t, "b"), anyInput("c").Draw(t, "c"), anyInput("d").Draw(t, "d"),
		}
		seed := rapid.Int64Range(0, mostSeed).Draw(t, "seed")
		all, faults := NewSampler(inputs, seed, defaults)
		if err := faults.Err(); err != nil {
			t.Fatal(err)
		}
		fewer := newSampler([]Input{inputs[2], inputs[0]}, seed, defaults)
		index := rapid.IntRange(0, 1<<40).Draw(t, "index")
		wide, narrow := make([]float64, 4), make([]float64, 2)
		all.Draw(index, wide)
		fewer.Draw(index, narrow)
		if diff := cmp.Diff([]float64{wide[2], wide[0]}, narrow); diff != "" {
			t.Errorf("other inputs moved a draw: %s", diff)
		}
		for i, in := range inputs {
			if !(wide[i] >= in.Low && wide[i] <= in.High) {
				t.Errorf("%+v drew %v", in, wide[i])
			}
			if in.Step > 0 && in.Shape != Fixed && !in.onGrid(wide[i]) {
				t.Errorf("%+v drew %v, off its steps", in, wide[i])
			}
		}
	})
}

func TestMomentsMatchTheQuantileFunction(t *testing.T) {
	// The mean and variance are integrals of the quantile function over (0, 1); by
	// the midpoint rule with 100,000 points, whose error at the steep ends of the
	// widest shape is under 1e-6 of the range.
	random := rand.New(rand.NewPCG(1, 2))
	for range 20 {
		in := Input{Name: "x", High: 1, Likely: random.Float64(), Shape: PERT}
		if random.IntN(2) == 0 {
			in.Shape = Triangular
		}
		source := newSampler([]Input{in}, 0, defaults).sources[0]
		wantMean, wantVariance := in.Moments(defaults)
		var mean, square float64
		const n = 100000
		for i := range n {
			x := source.quantile((float64(i) + 0.5) / n)
			mean += x / n
			square += x * x / n
		}
		near(t, "mean", mean, wantMean, 1e-6)
		near(t, "variance", square-mean*mean, wantVariance, 1e-6)
	}
}

func TestSamplingAllocatesNothing(t *testing.T) {
	sampler := newSampler(manyInputs(40, PERT), 1, defaults)
	draw := make([]float64, 40)
	index := 0
	if n := testing.AllocsPerRun(1000, func() { sampler.Draw(index, draw); index++ }); n != 0 {
		t.Errorf("%v allocations a draw", n)
	}
}

func TestSortAgreesWithTheStandardLibrary(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 4))
	for _, n := range []int{0, 1, 2, 100, 2047, 2048, 5000, 100000} {
		values := make([]float64, n)
		for i := range values {
			switch random.IntN(3) {
			case 0: // over all magnitudes and both signs
				values[i] = math.Copysign(math.Exp(random.NormFloat64()*20), random.Float64()-0.5)
			case 1:
				values[i] = float64(random.IntN(20) - 10)
			default:
				values[i] = 1e5 + random.Float64()
			}
		}
		want := slices.Sorted(slices.Values(values))
		sortFloats(values, make([]float64, n))
		if !slices.Equal(values, want) {
			t.Errorf("%d values came out in another order", n)
		}
	}
	equal := slices.Repeat([]float64{4.5}, 3000)
	sortFloats(equal, make([]float64, 3000))
	if equal[0] != 4.5 || equal[2999] != 4.5 {
		t.Error("equal values were lost")
	}
}
