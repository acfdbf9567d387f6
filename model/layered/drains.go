package layered

import "math"

// DrainSource says where the lengths of the drain runs come from.
type DrainSource string

// The sources of drain runs.
const (
	AreaBySpacing DrainSource = "area_by_spacing" // area ÷ spacing, before anything is drawn
	Outline       DrainSource = "outline"         // measured on a drawn layout
)

// Drains are the lengths of drain runs by kind, in m along the run. Laterals
// are slit drains in a partial renovation. A drawn layout fills the lengths and
// leaves a pipe size zero to have it chosen from the area drained.
type Drains struct {
	Source          DrainSource `json:"source"`
	MainM           float64     `json:"main_m"`
	LateralM        float64     `json:"lateral_m"`
	OutfallM        float64     `json:"outfall_m"` // from the edge of the green to the outfall
	EdgeM           float64     `json:"edge_m"`    // along the cavity wall at the low side
	LateralSpacingM float64     `json:"lateral_spacing_m"`
	Laterals        int         `json:"laterals"`        // how many, for junctions and end caps
	MainPipeMM      float64     `json:"main_pipe_mm"`    // nominal bore, 100 or 150
	OutfallPipeMM   float64     `json:"outfall_pipe_mm"` // nominal bore, 100 or 150

	// What a drawn layout says of the trenches, zero where nothing is drawn: a
	// stated width, 0 for the usual; how much deeper than usual the trenches of a
	// kind are dug on average, to give their drains a fall; and the depth of the
	// main below the formation where it leaves the green, 0 for its mean depth.
	TrenchWidthMM     float64 `json:"trench_width_mm"`
	MainDeepenedMM    float64 `json:"main_deepened_mm"`
	LateralDeepenedMM float64 `json:"lateral_deepened_mm"`
	EdgeDeepenedMM    float64 `json:"edge_deepened_mm"`
	ExitDepthMM       float64 `json:"exit_depth_mm"`
}

// Total is the length of all runs in m.
func (d Drains) Total() float64 { return d.MainM + d.LateralM + d.OutfallM + d.EdgeM }

// DrainsFromArea reckons drain runs before a layout is drawn: laterals are
// area ÷ spacing, which is exact for parallel lines far from the edge; the main
// runs the longest dimension of the ellipse that has the green's area and
// perimeter; two laterals leave it at each spacing; the edge drain takes
// edgeShare of the perimeter. Lengths in m, area in m2, spacing above zero.
func DrainsFromArea(areaM2, perimeterM, spacingM, outfallM, edgeShare float64) Drains {
	long, _ := EllipseAxes(areaM2, perimeterM)
	return Drains{
		Source:          AreaBySpacing,
		MainM:           long,
		LateralM:        areaM2 / spacingM,
		OutfallM:        outfallM,
		EdgeM:           edgeShare * perimeterM,
		LateralSpacingM: spacingM,
		Laterals:        2 * int(math.Ceil(long/spacingM)),
	}
}

// EllipseAxes returns the long and the short axis (full lengths, m) of the
// ellipse with the given area (m2) and perimeter (m), by Ramanujan's second
// approximation of the perimeter (1914), which is within 0.04 % however flat
// the ellipse. A perimeter shorter than the circle's is read as the circle's.
func EllipseAxes(areaM2, perimeterM float64) (long, short float64) {
	least := 2 * math.Sqrt(areaM2/math.Pi) // a + b of the circle
	// The perimeter is at least π(a+b), which bounds the sum from above.
	low, high := least, max(least, perimeterM/math.Pi)
	for range 60 {
		middle := (low + high) / 2
		if ellipsePerimeter(middle, areaM2) < perimeterM {
			low = middle
		} else {
			high = middle
		}
		if high-low < 1e-9*high {
			break
		}
	}
	sum := (low + high) / 2
	difference := math.Sqrt(max(0, sum*sum-least*least))
	return sum + difference, sum - difference
}

// ellipsePerimeter is Ramanujan's second approximation for the ellipse whose
// half-axes add up to sum and whose area is given.
func ellipsePerimeter(sum, areaM2 float64) float64 {
	h := max(0, 1-4*areaM2/(math.Pi*sum*sum))
	return math.Pi * sum * (1 + 3*h/(10+math.Sqrt(4-3*h)))
}
