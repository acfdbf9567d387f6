package outline

import (
	"math"

	"github.com/paulmach/orb"
)

// Levelling is the earth that would be moved on the green to make its surface
// the fitted plane, by the summation method of land levelling: each spot level
// stands for the ground that is nearer to it than to any other (Soil
// Conservation Service, National Engineering Handbook, section 15, chapter 12,
// Land Leveling; from memory). Volumes are in the ground, with no allowance for
// shrinkage.
type Levelling struct {
	CutM3  float64 `json:"cut_m3"`  // above the plane
	FillM3 float64 `json:"fill_m3"` // below it
	NetM3  float64 `json:"net_m3"`  // cut less fill
	// GreatestCutMM and GreatestFillMM are at one spot.
	GreatestCutMM  float64 `json:"greatest_cut_mm"`
	GreatestFillMM float64 `json:"greatest_fill_mm"`
	Method         string  `json:"method"`
	// ErrorM3 is one standard error of the net volume from the error of each
	// level alone: area × error ÷ √spots. Ground between spots may hide more.
	ErrorM3       float64 `json:"error_m3"`
	GroundPerSpot float64 `json:"ground_per_spot_m2"`
}

const levellingMethod = "summation: each spot level stands for the ground that lies nearest to it"

// levellingCellM is the side of the squares of ground that are dealt out to the
// spots.
const levellingCellM = 0.5

// Levelling sets the spot levels against their plane; nil without a plane.
func (s *Shape) Levelling(plane *Plane, p Parameters) *Levelling {
	if plane == nil {
		return nil
	}
	area := s.Measures().AreaM2
	share := s.groundBySpot()
	l := &Levelling{Method: levellingMethod}
	for i, spot := range s.levels {
		above := spot.levelM - plane.levelAt(spot.at)
		ground := share[i] * area
		l.CutM3 += max(0, above) * ground
		l.FillM3 += max(0, -above) * ground
		l.GreatestCutMM = max(l.GreatestCutMM, 1000*above)
		l.GreatestFillMM = max(l.GreatestFillMM, -1000*above)
	}
	l.NetM3 = l.CutM3 - l.FillM3
	spots := float64(len(s.levels))
	l.ErrorM3 = area * p.SpotLevelErrorMM / 1000 / math.Sqrt(spots)
	l.GroundPerSpot = area / spots
	return l
}

// groundBySpot gives the share of the ground that is nearest to each spot. The
// ground is dealt out in squares by their middles; a shape so thin that it holds
// none is dealt out evenly.
func (s *Shape) groundBySpot() []float64 {
	share := make([]float64, len(s.levels))
	squares := 0.0
	s.onGrid(orb.Point{levellingCellM / 2, levellingCellM / 2}, levellingCellM, func(at orb.Point) {
		nearest, best := 0, math.Inf(1)
		for i := range s.levels {
			d := minus(s.levels[i].at, at)
			if squared := dot(d, d); squared < best {
				nearest, best = i, squared
			}
		}
		share[nearest]++
		squares++
	})
	for i := range share {
		if squares == 0 {
			share[i] = 1 / float64(len(share))
			continue
		}
		share[i] /= squares
	}
	return share
}

// onGrid visits the crossings within the shape of a square grid through a point,
// row by row from the bottom left, in local metres.
func (s *Shape) onGrid(through orb.Point, spacingM float64, visit func(orb.Point)) {
	low, high := s.bounds()
	column, columns := math.Ceil((low[0]-through[0])/spacingM), math.Floor((high[0]-through[0])/spacingM)
	row, rows := math.Ceil((low[1]-through[1])/spacingM), math.Floor((high[1]-through[1])/spacingM)
	for j := row; j <= rows; j++ {
		for i := column; i <= columns; i++ {
			if at := (orb.Point{through[0] + i*spacingM, through[1] + j*spacingM}); s.contains(at) {
				visit(at)
			}
		}
	}
}

// bounds are the corners of the upright rectangle about the shape.
func (s *Shape) bounds() (low, high orb.Point) {
	low, high = orb.Point{math.Inf(1), math.Inf(1)}, orb.Point{math.Inf(-1), math.Inf(-1)}
	for _, p := range s.rings[0].at {
		low = orb.Point{min(low[0], p[0]), min(low[1], p[1])}
		high = orb.Point{max(high[0], p[0]), max(high[1], p[1])}
	}
	return low, high
}

// Stake is one level stake: where it stands, and the levels that are marked on
// it; null where the levels of the ground are not known.
type Stake struct {
	XM         float64  `json:"x_m"`
	YM         float64  `json:"y_m"`
	SurfaceM   *float64 `json:"surface_m"`   // of the finished green, on the fitted plane
	FormationM *float64 `json:"formation_m"` // below it by the depth that is dug
}

// LeastStakeGridM is the closest grid on which stakes are set.
const LeastStakeGridM = 1

// Stakes sets level stakes at the crossings of a square grid through the
// centroid, along the axes of the outline's frame. gridM is at least
// LeastStakeGridM; plane may be nil.
func (s *Shape) Stakes(gridM float64, plane *Plane, formationMM float64) []Stake {
	stakes := []Stake{}
	s.onGrid(s.centroid(), max(gridM, LeastStakeGridM), func(at orb.Point) {
		given := s.given(at)
		stake := Stake{XM: given[0], YM: given[1]}
		if plane != nil {
			surface := plane.levelAt(at)
			formation := surface - formationMM/1000
			stake.SurfaceM, stake.FormationM = &surface, &formation
		}
		stakes = append(stakes, stake)
	})
	return stakes
}
