package survey

import (
	"math"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
)

// estimator draws estimates at one confidence. It remembers the quantiles that
// it has worked out, because they cost more than all else together.
type estimator struct {
	p        Parameters
	z        float64
	students []studentQuantile
}

type studentQuantile struct{ freedom, t float64 }

func newEstimator(p Parameters) *estimator {
	return &estimator{p: p, z: distuv.UnitNormal.Quantile(upperTail(p.ConfidencePct))}
}

// upperTail turns a two-sided confidence in % into the probability below its
// upper limit: 95 gives 0.975.
func upperTail(confidencePct float64) float64 { return 0.5 + confidencePct/200 }

// student is the quantile of Student's t for the estimator's confidence;
// freedom is above 0 and need not be whole.
func (e *estimator) student(freedom float64) float64 {
	for _, q := range e.students {
		if q.freedom == freedom {
			return q.t
		}
	}
	t := distuv.StudentsT{Sigma: 1, Nu: freedom}.Quantile(upperTail(e.p.ConfidencePct))
	e.students = append(e.students, studentQuantile{freedom, t})
	return t
}

// interval makes an interval of two limits, held inside the range in which the
// quantity can lie and never so far that it leaves the estimate out.
func (e *estimator) interval(low, value, high float64, within limit) *Interval {
	return &Interval{
		Low:           min(max(low, within.low), value),
		High:          max(min(high, within.high), value),
		ConfidencePct: e.p.ConfidencePct,
	}
}

// meanAndHalfWidth returns the mean of the values and half the width of
// Student's interval for it, t·s/√n; the half width is NaN for one value.
func (e *estimator) meanAndHalfWidth(values []float64) (mean, halfWidth float64) {
	mean, deviation := stat.MeanStdDev(values, nil)
	n := float64(len(values))
	if len(values) < 2 {
		return mean, math.NaN()
	}
	return mean, e.student(n-1) * deviation / math.Sqrt(n)
}

// wilson is the score interval for a share of hits out of points, both limits
// within 0 to 1; z is the normal quantile of its confidence.
//
// Source: E. B. Wilson, Probable inference, the law of succession, and
// statistical inference, Journal of the American Statistical Association 22
// (1927), in the form of R. G. Newcombe, Statistics in Medicine 17 (1998),
// 857-872, method 3 (no continuity correction). Rounding can push a limit past
// 0, 1 or the share itself by a few units in the last place: it is held there.
func wilson(hits, points int, z float64) (low, high float64) {
	n := float64(points)
	share := float64(hits) / n
	centre := share + z*z/(2*n)
	half := z * math.Sqrt(share*(1-share)/n+z*z/(4*n*n))
	scale := 1 + z*z/n
	low = max(0, min((centre-half)/scale, share))
	high = min(1, max((centre+half)/scale, share))
	return low, high
}

// pointsFor is how many points bring the share of hits within the margin (0 to
// 1, either way) whatever the share turns out to be: z²/4 over the margin
// squared, rounded up.
//
// Source: the sample size for a proportion of a half, e.g. OpenStax,
// Introductory Statistics, chapter 8, section 3.
func pointsFor(margin, z float64) int {
	return int(math.Ceil(z * z / (4 * margin * margin)))
}

// welch returns the standard error of the difference of two means and its
// degrees of freedom when the two spreads need not be equal. Each side has two
// values or more; where neither varies the error is 0 and the freedom that of
// the two sides together.
//
// Source: B. L. Welch, Biometrika 34 (1947), 28-35; the degrees of freedom as
// in the NIST/SEMATECH e-Handbook of Statistical Methods, section 1.3.5.3.
func welch(variance1, n1, variance2, n2 float64) (standardError, freedom float64) {
	part1, part2 := variance1/n1, variance2/n2
	sum := part1 + part2
	// The quotients keep the squares of very small variances from vanishing.
	if sum == 0 {
		return 0, n1 + n2 - 2
	}
	share1, share2 := part1/sum, part2/sum
	return math.Sqrt(sum), 1 / (share1*share1/(n1-1) + share2*share2/(n2-1))
}
