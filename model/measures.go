package model

import (
	"fmt"
	"math"

	"swardcase/model/fault"
	"swardcase/model/outline"
)

// mostLatitudeApartDeg lets the latitude of a site stand rounded.
const mostLatitudeApartDeg = 1

// resolveMeasures takes area and perimeter from the outline, where there is one.
// Stated figures must agree with it, since a reader cannot know which of two was
// meant; without an outline both must be stated, and be those of some shape.
func (r *Resolved) resolveMeasures(faults *fault.List) {
	green := &r.Case.Green
	if green.Outline == nil {
		r.checkStatedMeasures(faults)
		return
	}
	shape, bad := outline.Read(*green.Outline)
	if len(bad) > 0 {
		faults.Under("/green/outline", bad)
		return
	}
	if latitude, known := shape.LatitudeDeg(); known && math.Abs(latitude-r.Case.Site.LatitudeDeg) > mostLatitudeApartDeg {
		faults.Add("/site/latitude_deg", r.Case.Site.LatitudeDeg,
			fmt.Sprintf("is more than a degree (111 km) from the green's outline, which lies at %.3f", latitude),
			"correct the latitude of the site, or the outline's origin; longitude stands first in GeoJSON")
	}
	measured := shape.Measures()
	r.agree(faults, "/green/area_m2", green.AreaM2, measured.AreaM2, "m²")
	r.agree(faults, "/green/perimeter_m", green.PerimeterM, measured.PerimeterM, "m")
	green.AreaM2, green.PerimeterM, r.shape = measured.AreaM2, measured.PerimeterM, shape
}

func (r *Resolved) checkStatedMeasures(faults *fault.List) {
	green := r.Case.Green
	const remedy = "give green.outline, or both area_m2 and perimeter_m"
	if green.AreaM2 == 0 {
		faults.Add("/green/area_m2", nil, "the green has neither an outline nor an area", remedy)
	}
	if green.PerimeterM == 0 {
		faults.Add("/green/perimeter_m", nil, "the green has neither an outline nor a perimeter", remedy)
	}
	// The circle has the least perimeter of all shapes of one area.
	if least := 2 * math.Sqrt(math.Pi*green.AreaM2); green.PerimeterM > 0 && green.PerimeterM < least*0.999 {
		faults.Add("/green/perimeter_m", green.PerimeterM,
			fmt.Sprintf("no shape of %g m² has so short an edge: a circle has %.1f m", green.AreaM2, least),
			"measure the perimeter again, or correct the area")
	}
}

// agree holds a stated figure, 0 for none, to that of the outline.
func (r *Resolved) agree(faults *fault.List, pointer string, stated, measured float64, unit string) {
	tolerancePct := max(0, r.assumptions.Likely("outline_measure_tolerance_pct")) + 1e-9
	if stated == 0 || math.Abs(stated-measured) <= measured*tolerancePct/100 {
		return
	}
	faults.Add(pointer, stated,
		fmt.Sprintf("%g %s is stated and the outline measures %.1f %s: they differ by more than %.3g %%", stated, unit, measured, unit, tolerancePct),
		"leave it out to take the outline's figure, or correct one of the two")
}
