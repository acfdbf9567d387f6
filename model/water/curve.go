package water

import (
	"math"

	"swardcase/model/fault"
)

// The grid of the playability curve. Rates are spaced evenly in their logarithm,
// the share of the store evenly. Beyond the ends the curve is flat: a surface of
// 50 mm/h takes any rain, and a discharge of 0.1 mm/day is as good as none.
var (
	surfaceAxis   = axis{low: math.Log(0.05), high: math.Log(50), points: 20}
	dischargeAxis = axis{low: math.Log(0.1), high: math.Log(200), points: 44}
	softAxis      = axis{low: leastSoftShare, high: mostSoftShare, points: 14}
)

// axis is one evenly spaced side of the grid.
type axis struct {
	low, high float64
	points    int
}

func (a axis) at(i int) float64 {
	return a.low + (a.high-a.low)*float64(i)/float64(a.points-1)
}

// find returns the grid point at or below x and how far x is on the way to the
// next, 0 to 1. NaN is read as the low end, which loses the most days.
func (a axis) find(x float64) (int, float64) {
	along := (clamp(x, a.low, a.high) - a.low) / (a.high - a.low) * float64(a.points-1)
	i := min(int(along), a.points-2)
	return i, along - float64(i)
}

// Curve is the playability curve of one site and one set of stores: days lost to
// water by month over the rate of the wet surface, the discharge, and the share of
// the store above which the surface is soft. It is read only once made: keep it,
// and share it between goroutines.
type Curve struct {
	frost Months
	// lost holds the grid, softness fastest, then discharge, then surface.
	lost []Months
	// straightened is the most, in days of a year, that any point was lowered to
	// make the curve monotone.
	straightened float64
}

// Point is where a green lies on the curve.
type Point struct {
	Rates
	// SoftAboveShare comes from SoftAboveShare.
	SoftAboveShare float64 `json:"soft_above_store_share"`
}

// Check returns a fault for each figure that is not a number or cannot be.
func (at Point) Check() fault.List {
	return append(at.check(), checkBounds(bound{"/soft_above_store_share", at.SoftAboveShare, leastSoftShare, mostSoftShare, ""})...)
}

// NewCurve runs the weather through every point of the grid. It takes some 0.6 s
// for 30 years; one pass serves every softness. The error is a fault.List.
func NewCurve(w *Weather, s Stores) (*Curve, error) {
	if err := s.check().Err(); err != nil {
		return nil, err
	}
	shares := make([]float64, softAxis.points)
	for i := range shares {
		shares[i] = softAxis.at(i)
	}
	c := &Curve{frost: w.FrostDays(), lost: make([]Months, surfaceAxis.points*dischargeAxis.points*softAxis.points)}
	counts := c.lost
	for i := range surfaceAxis.points {
		for j := range dischargeAxis.points {
			at := Rates{WetSurfaceMMPerH(math.Exp(surfaceAxis.at(i))), math.Exp(dischargeAxis.at(j))}
			w.run(at, shares, s, counts[:softAxis.points])
			counts = counts[softAxis.points:]
		}
	}
	for i := range c.lost {
		c.lost[i] = w.perYear(c.lost[i])
	}
	c.straighten()
	return c, nil
}

// straighten makes the curve fall along each axis, by taking for each point the
// least of those that cannot lose more. The balance is monotone in itself, so this
// only takes out what rounding may have put in.
func (c *Curve) straighten() {
	strides := [3]int{dischargeAxis.points * softAxis.points, softAxis.points, 1}
	lengths := [3]int{surfaceAxis.points, dischargeAxis.points, softAxis.points}
	for side, stride := range strides {
		for i := range c.lost {
			if i/stride%lengths[side] == 0 {
				continue
			}
			before, lowered := &c.lost[i-stride], 0.0
			for month, days := range before {
				if over := c.lost[i][month] - days; over > 0 {
					c.lost[i][month] = days
					lowered += over
				}
			}
			c.straightened = max(c.straightened, lowered)
		}
	}
}

// Lookup reads the days lost in a mean year off the curve, between grid points in
// proportion along each axis, which keeps it monotone. Beyond the grid its end
// holds, and a figure that is not a number is read as the end that loses most:
// Check names it.
func (c *Curve) Lookup(at Point) LostDays {
	i, u := surfaceAxis.find(math.Log(float64(at.SurfaceMMPerH)))
	j, v := dischargeAxis.find(math.Log(at.DischargeMMPerDay))
	k, t := softAxis.find(at.SoftAboveShare)
	lost := LostDays{FrostDays: c.frost}
	for corner := range 8 {
		a, b, d := corner>>2, corner>>1&1, corner&1
		weight := pick(a, u) * pick(b, v) * pick(d, t)
		if weight == 0 {
			continue
		}
		point := &c.lost[((i+a)*dischargeAxis.points+j+b)*softAxis.points+k+d]
		for month, days := range point {
			lost.WaterloggedDays[month] += weight * days
		}
	}
	return lost
}

// pick is the weight of the far or the near end of a side.
func pick(far int, share float64) float64 {
	if far == 1 {
		return share
	}
	return 1 - share
}
