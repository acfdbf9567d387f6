package confidence

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/mathext"

	"swardcase/model/assumption"
	"swardcase/model/published"
)

// defaults are the parameters that a case has when it overrides nothing.
var defaults = ParametersFrom(assumption.Defaults())

// likelyWeight is the defaults with another λ: 0 makes a PERT uniform, and 6
// makes a symmetric one as wide as the rule of thumb ((b − a)/6)² has it.
func likelyWeight(lambda float64) Parameters {
	p := defaults
	p.PERTLikelyWeight = lambda
	return p
}

func load(t testing.TB, name string, into any) {
	t.Helper()
	published.JSON(t, "confidence/"+name, into)
}

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s = %.9g, want %.9g within %g", what, got, want, tolerance)
	}
}

// network is a project of activities with three points each. The first of its
// paths is the critical one.
type network struct {
	Name, Source string
	Inputs       [][4]any
	Paths        []string
	Published    struct {
		Mean                float64
		RuleOfThumbVariance float64 `json:"rule_of_thumb_variance"`
		By                  float64
		ProbabilityBy       float64 `json:"probability_by"`
		Quantile30Pct       float64 `json:"quantile_30_pct"`
		Quantile60Pct       float64 `json:"quantile_60_pct"`
		Trials              int
		Deciles             []float64
		AtLikely            float64 `json:"at_likely"`
	}
}

func networks(t testing.TB) map[string]network {
	t.Helper()
	var list []network
	load(t, "networks.json", &list)
	byName := map[string]network{}
	for _, n := range list {
		byName[n.Name] = n
	}
	return byName
}

func (n network) inputs() []Input {
	var inputs []Input
	for _, row := range n.Inputs {
		inputs = append(inputs, Input{
			Name: row[0].(string), Unit: "weeks", Shape: PERT,
			Low: row[1].(float64), Likely: row[2].(float64), High: row[3].(float64),
		})
	}
	return inputs
}

// study has one option with two outcomes, the length of the first path and that
// of the longest, and asks whether the first is done in time.
func (n network) study() Study {
	inputs := n.inputs()
	paths := make([][]int, len(n.Paths))
	for i, path := range n.Paths {
		for _, letter := range path {
			paths[i] = append(paths[i], slices.IndexFunc(inputs, func(in Input) bool { return in.Name == string(letter) }))
		}
	}
	return Study{
		Inputs: inputs, Options: []Option{{"project", true}}, RankBy: "path",
		Outcomes:     []Outcome{{"path", "weeks"}, {"longest", "weeks"}},
		Requirements: []Requirement{{Outcome: "path", AtMost: &n.Published.By}},
		NewEvaluate: func() Evaluate {
			return func(draw, out []float64) {
				out[1] = 0
				for i, path := range paths {
					length := 0.0
					for _, activity := range path {
						length += draw[activity]
					}
					if i == 0 {
						out[0] = length
					}
					out[1] = max(out[1], length)
				}
			}
		},
	}
}

// pathMoments adds the moments of the activities on the first path, and what the
// rule of thumb gives for the variance.
func (n network) pathMoments(p Parameters) (mean, variance, ruleOfThumb float64) {
	for _, in := range n.inputs() {
		for _, letter := range n.Paths[0] {
			if in.Name == string(letter) {
				m, v := in.Moments(p)
				mean += m
				variance += v
				ruleOfThumb += (in.High - in.Low) * (in.High - in.Low) / 36
			}
		}
	}
	return mean, variance, ruleOfThumb
}

func run(t testing.TB, s Study, draws int, seed int64, p Parameters) Result {
	t.Helper()
	result, err := s.Run(t.Context(), Settings{Draws: draws, Seed: seed}, p)
	if err != nil {
		t.Fatal(err)
	}
	return result
}

func normal(x, mean, deviation float64) float64 {
	return math.Erfc(-(x-mean)/deviation/math.Sqrt2) / 2
}

func TestNineActivities(t *testing.T) {
	// critpath (R package), vignette CPMandPERT: mean 31, sd 1.490712, P(T ≤ 30) 0.2511675, quantiles
	// 30.21827 and 31.37767, all by the normal distribution and the rule of thumb.
	// Every activity of the critical path is symmetric, so a likely weight of 6 gives
	// the rule of thumb's variance exactly. The figures are printed to 7 digits.
	n := networks(t)["nine activities"]
	mean, variance, rule := n.pathMoments(likelyWeight(6))
	near(t, "mean", mean, n.Published.Mean, 1e-12)
	near(t, "variance", variance, n.Published.RuleOfThumbVariance, 1e-6)
	near(t, "rule of thumb", rule, variance, 1e-12)
	deviation := math.Sqrt(variance)
	near(t, "standard deviation", deviation, 1.490712, 5e-7)
	near(t, "normal probability", normal(30, mean, deviation), n.Published.ProbabilityBy, 5e-8)

	// The sum of five such activities is a little less peaked than the normal
	// (excess kurtosis −0.11: up to 0.003 in probability, 0.01 in a quantile).
	s := n.study()
	result := run(t, s, 100000, 1, likelyWeight(6)).Options[0]
	met := result.Requirements[0].Met
	near(t, "probability drawn", met.Probability, n.Published.ProbabilityBy, 0.003+4*met.StandardError)
	sorted := drawn(s, 100000, 1, likelyWeight(6))
	near(t, "30 % quantile drawn", *quantile(sorted, len(sorted), 0.3), n.Published.Quantile30Pct, 0.03)
	near(t, "60 % quantile drawn", *quantile(sorted, len(sorted), 0.6), n.Published.Quantile60Pct, 0.03)
	near(t, "mean drawn", *result.Outcomes[0].Mean, 31, 4**result.Outcomes[0].MeanStandardError)
	near(t, "standard deviation drawn", *result.Outcomes[0].StandardDeviation, 1.490712, 0.02)
}

// drawn gives the first outcome over some draws, sorted.
func drawn(s Study, draws int, seed int64, p Parameters) []float64 {
	sampler, evaluate := newSampler(s.Inputs, seed, p), s.NewEvaluate()
	draw, out := make([]float64, len(s.Inputs)), make([]float64, len(s.Options)*len(s.Outcomes))
	values := make([]float64, draws)
	for i := range values {
		sampler.Draw(i, draw)
		evaluate(draw, out)
		values[i] = out[0]
	}
	slices.Sort(values)
	return values
}

func TestRuleOfThumbVarianceIsATrap(t *testing.T) {
	// The published variances of both projects are the rule of thumb's. What a PERT
	// with the usual weight of 4 has, and what is drawn, is more: 20/7 for the nine
	// activities by hand (five times 2·2/7), and for the fourteen the sum over the
	// path of (mean − a)(b − mean)/7.
	for name, want := range map[string]float64{"nine activities": 20. / 7, "fourteen activities": (1 + 8 + 32 + 3 + 5 + 5 + 8 + 3.) / 7} {
		n := networks(t)[name]
		mean, variance, rule := n.pathMoments(defaults)
		near(t, name+": mean", mean, n.Published.Mean, 1e-12)
		near(t, name+": rule of thumb", rule, n.Published.RuleOfThumbVariance, 1e-6)
		near(t, name+": variance", variance, want, 1e-12)
		near(t, name+": normal probability", normal(n.Published.By, mean, math.Sqrt(rule)), n.Published.ProbabilityBy, 1e-6)
		const draws = 100000
		band := run(t, n.study(), draws, 7, defaults).Options[0].Outcomes[0]
		near(t, name+": mean drawn", *band.Mean, mean, 4*math.Sqrt(variance/draws))
		// The variance of a sample variance is near 2σ⁴/n: four of its deviations.
		near(t, name+": variance drawn", *band.StandardDeviation**band.StandardDeviation, variance, 4*variance*math.Sqrt(2./draws))
		if math.Abs(variance-rule) < 6*variance*math.Sqrt(2./draws) {
			t.Errorf("%s: the test cannot tell the two variances apart", name)
		}
	}
}

func TestSixActivitiesAgainstPublishedDeciles(t *testing.T) {
	// Sallan 2024: deciles of 1,000 trials. Tolerance: four standard errors of a
	// decile of 1,000 trials, √(p(1 − p)/1000)/f, with the normal density of the
	// spread drawn here.
	n := networks(t)["six activities"]
	s := n.study()
	result := run(t, s, 100000, 3, defaults).Options[0].Outcomes[1]
	longest := func() []float64 {
		s := s
		s.Outcomes = []Outcome{{"longest", "weeks"}}
		evaluate := s.NewEvaluate()
		both := make([]float64, 2)
		s.NewEvaluate = func() Evaluate {
			return func(draw, out []float64) { evaluate(draw, both); out[0] = both[1] }
		}
		return drawn(s, 100000, 3, defaults)
	}()
	for k := 1; k <= 9; k++ {
		p := float64(k) / 10
		got := *quantile(longest, len(longest), p)
		z := (got - *result.Mean) / *result.StandardDeviation
		density := math.Exp(-z*z/2) / math.Sqrt(2*math.Pi) / *result.StandardDeviation
		near(t, fmt.Sprintf("decile %d", k), got, n.Published.Deciles[k], 4*math.Sqrt(p*(1-p)/float64(n.Published.Trials))/density)

		// And against the exact distribution, by quadrature: four standard errors of
		// 100,000 draws.
		near(t, fmt.Sprintf("exact probability at decile %d", k), n.exactLongest(got), p, 4*math.Sqrt(p*(1-p)/100000))
	}
	out := make([]float64, 2)
	s.NewEvaluate()(s.likely(), out)
	near(t, "all likely", out[1], n.Published.AtLikely, 0)
}

// exactLongest is the probability that max(a+b+e, c+d+e, c+f) ≤ x. Given c and e
// the three parts are independent; what is left is three integrals, done by
// Gauss-Legendre quadrature with the incomplete beta function and no draw.
func (n network) exactLongest(x float64) float64 {
	inputs := n.inputs()
	cdf := func(i int, x float64) float64 {
		in := inputs[i]
		share := min(max((x-in.Low)/(in.High-in.Low), 0), 1)
		s := pertShapes((in.Likely-in.Low)/(in.High-in.Low), 4)
		return mathext.RegIncBeta(s[0], s[1], share)
	}
	expect := func(i, nodes int, f func(x float64) float64) float64 {
		in := inputs[i]
		mode := (in.Likely - in.Low) / (in.High - in.Low)
		s := pertShapes(mode, 4)
		return quad.Fixed(func(share float64) float64 {
			density := math.Pow(share, s[0]-1) * math.Pow(1-share, s[1]-1) / mathext.Beta(s[0], s[1])
			return density * f(in.Low+share*(in.High-in.Low))
		}, 0, 1, nodes, quad.Legendre{}, 0)
	}
	const a, b, c, d, e, f = 0, 1, 2, 3, 4, 5
	return expect(e, 40, func(ev float64) float64 {
		both := expect(a, 40, func(av float64) float64 { return cdf(b, x-ev-av) })
		return both * expect(c, 40, func(cv float64) float64 { return cdf(d, x-ev-cv) * cdf(f, x-cv) })
	})
}

func TestMomentsOfOnePERT(t *testing.T) {
	// Three points 300, 400, 600 with the formulas of Malcolm and others 1959 and of
	// the beta distribution: shapes 7/3 and 11/3, mean 416.6667, variance 3055.5556.
	in := Input{Low: 300, Likely: 400, High: 600, Shape: PERT}
	mean, variance := in.Moments(defaults)
	near(t, "mean", mean, 2500./6, 1e-10)
	near(t, "variance", variance, 3055.5556, 5e-5)
	shapes := pertShapes(1./3, 4)
	near(t, "alpha", shapes[0], 7./3, 1e-12)
	near(t, "beta", shapes[1], 11./3, 1e-12)
	// Any beta distribution's variance is αβ/((α + β)²(α + β + 1)) of its width squared.
	a, b := shapes[0], shapes[1]
	near(t, "variance of the beta", variance, 300*300*a*b/((a+b)*(a+b)*(a+b+1)), 1e-9)

	in.Shape = Triangular
	mean, variance = in.Moments(defaults)
	near(t, "triangular mean", mean, 1300./3, 1e-10)
	near(t, "triangular variance", variance, (300*300+400*400+600*600-300*400-300*600-400*600)/18., 1e-9)

	in.Shape = Fixed
	if mean, variance = in.Moments(defaults); mean != 400 || variance != 0 {
		t.Errorf("fixed: mean %g, variance %g", mean, variance)
	}
}

func TestFourRectangulars(t *testing.T) {
	// From memory: JCGM 101:2008, 9.2.3: four rectangular inputs of unit variance.
	// The shortest 95 % interval of their sum is ±3.88, where a normal would give
	// ±3.92; exactly ±2√3(2 − (3/5)^¼) = ±3.8794. A PERT of likely weight 0 is
	// rectangular. Tolerance: four standard errors of a 2.5 % quantile of a million
	// draws, where the density is 0.0328: half of what tells it from a normal's.
	half := math.Sqrt(3)
	var inputs []Input
	for i := range 4 {
		inputs = append(inputs, Input{Name: fmt.Sprint(i), Low: -half, High: half, Shape: PERT})
	}
	_, variance := inputs[0].Moments(likelyWeight(0))
	near(t, "variance of one", variance, 1, 1e-12)
	sorted := drawn(sumStudy(inputs, 1, 1), 1_000_000, 5, likelyWeight(0))
	low, high := *quantile(sorted, len(sorted), 0.025), *quantile(sorted, len(sorted), 0.975)
	exact := 2 * half * (2 - math.Pow(0.6, 0.25))
	near(t, "half the exact interval", exact, 3.88, 5e-3)
	near(t, "lower end", low, -exact, 0.019)
	near(t, "upper end", high, exact, 0.019)
}

func TestThreePointScores(t *testing.T) {
	// Test case of a published implementation of Hodgett and others 2014: triangular
	// scores, each criterion divided by its sum over the routes within the draw, then
	// weighted. Means .47, .25, .28, and .42, .56 for the last two routes on the first
	// four criteria; printed to two places, so within 0.005 of them.
	var data struct {
		Weights                                      []float64
		Low, Mode, High                              [][]float64
		PublishedMeans                               []float64 `json:"published_means"`
		PublishedMeansLastTwoRoutesFirstFourCriteria []float64 `json:"published_means_last_two_routes_first_four_criteria"`
	}
	load(t, "three_point_scores.json", &data)
	check := func(routes []int, criteria int, want []float64) {
		var inputs []Input
		s := Study{RankBy: "score", Outcomes: []Outcome{{"score", "1"}}}
		for _, r := range routes {
			s.Options = append(s.Options, Option{fmt.Sprint("route ", r), true})
			for c := range criteria {
				inputs = append(inputs, Input{
					Name: fmt.Sprint(r, c), Shape: Triangular,
					Low: data.Low[r][c], Likely: data.Mode[r][c], High: data.High[r][c],
				})
			}
		}
		s.Inputs = inputs
		s.NewEvaluate = func() Evaluate {
			return func(draw, out []float64) {
				clear(out)
				for c := range criteria {
					total := 0.0
					for r := range routes {
						total += draw[r*criteria+c]
					}
					for r := range routes {
						out[r] += data.Weights[c] * draw[r*criteria+c] / total
					}
				}
			}
		}
		result := run(t, s, 20000, 11, defaults)
		for r, option := range result.Options {
			near(t, option.Option, *option.Outcomes[0].Mean, want[r], 0.005+4**option.Outcomes[0].MeanStandardError)
		}
	}
	check([]int{0, 1, 2}, 5, data.PublishedMeans)
	check([]int{1, 2}, 4, data.PublishedMeansLastTwoRoutesFirstFourCriteria)
}

func TestQuantileDefinition(t *testing.T) {
	// Definition 7 of Hyndman and Fan 1996, worked by hand: of 1, 2, 3, 4 the 30 %
	// quantile lies at place 0.9, so 1.9 (other definitions give 1.2 to 2).
	for _, tt := range []struct {
		sorted []float64
		n      int
		p      float64
		want   float64 // NaN for none
	}{
		{[]float64{1, 2, 3, 4}, 4, 0.3, 1.9},
		{[]float64{1, 2, 3, 4}, 4, 0, 1},
		{[]float64{1, 2, 3, 4}, 4, 1, 4},
		{[]float64{7}, 1, 0.8, 7},
		// Five draws, two of them without a value: place 2 is the last that has one.
		{[]float64{1, 2, 3}, 5, 0.5, 3},
		{[]float64{1, 2, 3}, 5, 0.51, math.NaN()},
		{nil, 5, 0, math.NaN()},
	} {
		got := quantile(tt.sorted, tt.n, tt.p)
		switch {
		case math.IsNaN(tt.want) != (got == nil):
			t.Errorf("quantile %g of %v in %d: present %v", tt.p, tt.sorted, tt.n, got != nil)
		case got != nil:
			near(t, fmt.Sprintf("quantile %g of %v in %d", tt.p, tt.sorted, tt.n), *got, tt.want, 1e-12)
		}
	}
}
