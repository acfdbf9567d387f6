package layered

import (
	"fmt"
	"math"

	"swardcase/model/fault"
)

// Sieving is one dry sample shaken through a nest of sieves.
type Sieving struct {
	Sieves []Sieve `json:"sieves"` // 3 to 40, the widest first
	PanG   float64 `json:"pan_g"`  // what passed the finest
	// ClayPct is the share finer than 0.002 mm by weight of the whole sample,
	// by pipette; nil when it was not tested.
	ClayPct *float64 `json:"clay_pct,omitempty"`
}

// Sieve is one sieve and what stayed on it.
type Sieve struct {
	OpeningMM float64 `json:"opening_mm"` // 0.01 to 200
	RetainedG float64 `json:"retained_g"`
}

// GradingPoint is one point of a grading curve.
type GradingPoint struct {
	OpeningMM float64 `json:"opening_mm"`
	FinerPct  float64 `json:"finer_pct"` // by weight
}

// Grading is the curve of a sample: the share finer than each opening, the
// finest opening first. It never falls.
type Grading struct {
	points  []GradingPoint
	pipette bool // the first point is clay by pipette and not a sieve
}

// clayMM is the upper size of clay.
const clayMM = 0.002

// NewGrading turns weights into a curve, or says what is wrong with them.
func NewGrading(s Sieving) (Grading, fault.List) {
	var faults fault.List
	total := s.checkWeights(&faults)
	if len(faults) > 0 {
		return Grading{}, faults
	}
	g := Grading{points: make([]GradingPoint, 0, len(s.Sieves)+1)}
	finer := s.PanG
	if s.ClayPct != nil {
		g.points, g.pipette = append(g.points, GradingPoint{clayMM, *s.ClayPct}), true
		if pan := 100 * s.PanG / total; *s.ClayPct > pan+1e-9 {
			faults.Add("/clay_pct", *s.ClayPct, fmt.Sprintf("there is more clay than the %.2f %% that passed the finest sieve", pan),
				"give clay as a share of the whole sample")
			return Grading{}, faults
		}
	}
	for i := len(s.Sieves) - 1; i >= 0; i-- {
		g.points = append(g.points, GradingPoint{s.Sieves[i].OpeningMM, min(100, 100*finer/total)})
		finer += s.Sieves[i].RetainedG
	}
	return g, nil
}

// checkWeights returns the weight of the sample in g.
func (s Sieving) checkWeights(faults *fault.List) float64 {
	c := checker{faults}
	if n := len(s.Sieves); n < 3 || n > 40 {
		faults.Add("/sieves", n, "a curve takes 3 to 40 sieves", "give each sieve with its opening in mm and the grams retained")
		return 0
	}
	c.number("/pan_g", s.PanG, 0, 1e6, "g")
	for i, sieve := range s.Sieves {
		c.number(fault.Pointer("sieves", i, "opening_mm"), sieve.OpeningMM, 0.01, 200, "mm")
		c.number(fault.Pointer("sieves", i, "retained_g"), sieve.RetainedG, 0, 1e6, "g")
		if i > 0 && sieve.OpeningMM >= s.Sieves[i-1].OpeningMM {
			faults.Add(fault.Pointer("sieves", i, "opening_mm"), sieve.OpeningMM, "this sieve is not finer than the one above it", "list the sieves from the widest down")
		}
	}
	total := s.PanG // added from the bottom up, as the curve is, so that it ends at 100 %
	for i := len(s.Sieves) - 1; i >= 0; i-- {
		total += s.Sieves[i].RetainedG
	}
	if s.ClayPct != nil {
		c.number("/clay_pct", *s.ClayPct, 0, 100, "%")
	}
	if len(*faults) == 0 && total < 1 {
		faults.Add("/sieves", total, "the sample weighs less than a gram", "give the grams retained on each sieve")
	}
	return total
}

// Points lists the curve, the finest opening first.
func (g Grading) Points() []GradingPoint { return append([]GradingPoint{}, g.points...) }

// Finer is the share by weight (%) finer than a size in mm: between two sieves
// in proportion to the logarithm of the size. It is false for a size outside
// the sieves used, unless everything passed the widest.
func (g Grading) Finer(sizeMM float64) (pct float64, ok bool) {
	if len(g.points) == 0 || !(sizeMM >= g.points[0].OpeningMM) {
		return 0, false
	}
	for i := 1; i < len(g.points); i++ {
		if below, above := g.points[i-1], g.points[i]; sizeMM <= above.OpeningMM {
			share := math.Log(sizeMM/below.OpeningMM) / math.Log(above.OpeningMM/below.OpeningMM)
			return below.FinerPct + share*(above.FinerPct-below.FinerPct), true
		}
	}
	return 100, g.points[len(g.points)-1].FinerPct >= 100
}

// D is the diameter in mm below which pct % by weight is finer, with the same
// interpolation. It is false when the curve does not reach that share.
func (g Grading) D(pct float64) (sizeMM float64, ok bool) {
	for i, above := range g.points {
		switch {
		case above.FinerPct < pct:
			continue
		case above.FinerPct == pct:
			return above.OpeningMM, true
		case i == 0:
			return 0, false
		}
		below := g.points[i-1]
		share := (pct - below.FinerPct) / (above.FinerPct - below.FinerPct)
		return below.OpeningMM * math.Pow(above.OpeningMM/below.OpeningMM, share), true
	}
	return 0, false
}

// openingTolerance lets a sieve of the usual series stand for a limit that is
// printed rounded: 12.5 for 12, 9.5 for 9, 6.3 for 6 and 0.053 for 0.05 mm.
const openingTolerance = 0.07

// at is the share finer than the sieve that stands for a printed size; false
// when the nest has no such sieve. It never interpolates.
func (g Grading) at(sizeMM float64) (pct float64, ok bool) {
	nearest := openingTolerance * sizeMM
	for _, p := range g.points {
		if off := math.Abs(p.OpeningMM - sizeMM); off <= nearest {
			pct, ok, nearest = p.FinerPct, true, off
		}
	}
	return pct, ok
}

// Diameters are the sizes (mm) below which 10 to 90 % by weight are finer, and
// what is made of them. One that the sieves do not reach is nil.
type Diameters struct {
	D10MM *float64 `json:"d10_mm"`
	D15MM *float64 `json:"d15_mm"`
	D30MM *float64 `json:"d30_mm"`
	D50MM *float64 `json:"d50_mm"`
	D60MM *float64 `json:"d60_mm"`
	D85MM *float64 `json:"d85_mm"`
	D90MM *float64 `json:"d90_mm"`
	// Uniformity is D60 ÷ D10; Curvature is D30² ÷ (D10 × D60).
	Uniformity *float64 `json:"uniformity"`
	Curvature  *float64 `json:"curvature"`
}

// Diameters reads the usual sizes off the curve.
func (g Grading) Diameters() Diameters {
	var d Diameters
	for _, want := range []struct {
		pct    float64
		target **float64
	}{{10, &d.D10MM}, {15, &d.D15MM}, {30, &d.D30MM}, {50, &d.D50MM}, {60, &d.D60MM}, {85, &d.D85MM}, {90, &d.D90MM}} {
		if size, ok := g.D(want.pct); ok {
			*want.target = &size
		}
	}
	if d.D10MM != nil && d.D60MM != nil {
		uniformity := *d.D60MM / *d.D10MM
		d.Uniformity = &uniformity
		if d.D30MM != nil {
			curvature := *d.D30MM * *d.D30MM / (*d.D10MM * *d.D60MM)
			d.Curvature = &curvature
		}
	}
	return d
}
