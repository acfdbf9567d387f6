package confidence

import "math"

// rootIterations bounds one search. Brent's method never needs more than the
// square of the bisections that would do (about 45² here), and hardly ever more
// than a dozen.
const rootIterations = 2500

// point is a place and a value there.
type point struct{ x, y float64 }

// root closes in on where a function crosses zero between two points whose values
// have opposite signs, to the given width or a few units in the last place,
// whichever is more. It returns the two ends of the last bracket, the one nearer
// to zero first. A value that is NaN stops it, with the bracket that it had.
//
// It is the zero finder of Brent 1973, Algorithms for Minimization without
// Derivatives, chapter 4: inverse quadratic interpolation where that shrinks the
// bracket, else bisection.
func root(f func(x float64) float64, a, b point, width float64) (near, far point) {
	c := a // b is the best so far, c lies beyond the crossing, a is the last best
	step := b.x - a.x
	before := step
	for range rootIterations {
		if (b.y > 0) == (c.y > 0) {
			c = a
			step = b.x - a.x
			before = step
		}
		if math.Abs(c.y) < math.Abs(b.y) {
			a, b, c = b, c, b
		}
		tolerance := 2*epsilon*math.Abs(b.x) + width/2
		half := (c.x - b.x) / 2
		if math.Abs(half) <= tolerance || b.y == 0 {
			break
		}
		if math.Abs(before) >= tolerance && math.Abs(a.y) > math.Abs(b.y) {
			step, before = interpolate(a, b, c, half, before, step, tolerance)
		} else {
			step, before = half, half
		}
		moved := b.x + step
		if math.Abs(step) <= tolerance {
			moved = b.x + math.Copysign(tolerance, half)
		}
		y := f(moved)
		if math.IsNaN(y) {
			break
		}
		a, b = b, point{moved, y}
	}
	return b, c
}

// epsilon is the distance from 1 to the next greater float64, halved.
const epsilon = 0x1p-53

// interpolate proposes the next step from b, and the step to judge the one after
// by: through three points if they differ, else along the chord; half the bracket
// where the proposal leaves it or does not shrink fast enough.
func interpolate(a, b, c point, half, before, step, tolerance float64) (next, judge float64) {
	s := b.y / a.y
	p, q := 2*half*s, 1-s
	if a.x != c.x {
		u, v := a.y/c.y, b.y/c.y
		p = s * (2*half*u*(u-v) - (b.x-a.x)*(v-1))
		q = (u - 1) * (v - 1) * (s - 1)
	}
	if p > 0 {
		q = -q
	}
	p = math.Abs(p)
	if 2*p < min(3*half*q-math.Abs(tolerance*q), math.Abs(before*q)) {
		return p / q, step
	}
	return half, half
}
