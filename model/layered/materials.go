package layered

import (
	"fmt"

	"swardcase/model/fault"
)

// Check is one comparison with a published limit. Pass is the verdict; either
// bound may be absent.
type Check struct {
	Check   string   `json:"check"`
	Value   float64  `json:"value"`
	Unit    string   `json:"unit"`
	AtLeast *float64 `json:"at_least"`
	AtMost  *float64 `json:"at_most"`
	Pass    bool     `json:"pass"`
	Source  string   `json:"source"`
}

// The sources of the limits.
const (
	greenMethod1993 = "USGA Green Section 1993, Recommendations for a method of putting green construction"
	greenMethod2004 = "USGA Green Section 2004, Recommendations for a method of putting green construction"
	mixGuide2008    = "Golf Course Industry, What lies beneath (about 2008), quoting the 2004 recommendations"
	fromMemoryMark  = "from memory"
)

// RootZoneSample is a mix as tested in the laboratory. Its physical properties
// are nil where they were not tested.
type RootZoneSample struct {
	Sieving              Sieving  `json:"sieving"`
	TotalPorosityPct     *float64 `json:"total_porosity_pct,omitempty"`
	AirFilledPorosityPct *float64 `json:"air_filled_porosity_pct,omitempty"`
	CapillaryPorosityPct *float64 `json:"capillary_porosity_pct,omitempty"`
	ConductivityMMPerH   *float64 `json:"conductivity_mm_per_h,omitempty"`
	DeliveredMMPerH      *float64 `json:"delivered_conductivity_mm_per_h,omitempty"` // of a delivery, by the same laboratory
}

// MaterialReport is the verdict on one sample.
type MaterialReport struct {
	Grading   []GradingPoint `json:"grading"` // finest first
	Diameters Diameters      `json:"diameters"`
	Checks    []Check        `json:"checks"`
	Passes    bool           `json:"passes"`     // every check above
	NotJudged []string       `json:"not_judged"` // for want of a test
}

func reportOn(g Grading, checks []Check, notJudged []string) MaterialReport {
	return MaterialReport{Grading: g.Points(), Diameters: g.Diameters(), Checks: checks, Passes: allPass(checks), NotJudged: notJudged}
}

func allPass(checks []Check) bool {
	for _, c := range checks {
		if !c.Pass {
			return false
		}
	}
	return true
}

// rounding keeps a value that is exactly at its limit from failing by the last
// bit of a sum.
const rounding = 1e-9

func atMost(name string, value float64, unit string, limit float64, source string) Check {
	return Check{Check: name, Value: value, Unit: unit, AtMost: &limit, Pass: value <= limit+rounding, Source: source}
}

func atLeast(name string, value float64, unit string, limit float64, source string) Check {
	return Check{Check: name, Value: value, Unit: unit, AtLeast: &limit, Pass: value >= limit-rounding, Source: source}
}

func between(name string, value float64, unit string, least, most float64, source string) Check {
	return Check{
		Check: name, Value: value, Unit: unit, AtLeast: &least, AtMost: &most, Source: source,
		Pass: value >= least-rounding && value <= most+rounding,
	}
}

// needs refuses a nest that lacks a sieve on which a limit rests.
func needs(g Grading, faults *fault.List, sizesMM ...float64) {
	missing := ""
	for _, size := range sizesMM {
		if _, ok := g.at(size); !ok {
			missing += fmt.Sprintf(" %g", size)
		}
	}
	if missing != "" {
		faults.Add("/sieves", nil, "the limits cannot be judged without the sieves of"+missing+" mm", "have the sample sieved again with those sieves in the nest")
	}
}

// retained is the share between two sieves that are there.
func retained(g Grading, aboveMM, belowMM float64) float64 {
	upper, _ := g.at(belowMM)
	lower, _ := g.at(aboveMM)
	return upper - lower
}

func over(g Grading, sizeMM float64) float64 { pct, _ := g.at(sizeMM); return 100 - pct }

func under(g Grading, sizeMM float64) float64 { pct, _ := g.at(sizeMM); return pct }

// CheckRootZone judges a mix by its particle sizes and, where they were tested,
// by its porosities and conductivity.
func CheckRootZone(s RootZoneSample) (MaterialReport, fault.List) {
	var faults fault.List
	g, wrong := NewGrading(s.Sieving)
	faults.Under("/sieving", wrong)
	s.checkProperties(&faults)
	if len(faults) > 0 {
		return MaterialReport{}, faults
	}
	var missing fault.List
	needs(g, &missing, 2, 1, 0.25, 0.15, 0.05)
	if !g.pipette {
		missing.Add("/clay_pct", nil, "silt and clay cannot be told apart without a pipette test", "have clay (finer than 0.002 mm) tested and give its share")
	}
	if faults.Under("/sieving", missing); len(faults) > 0 {
		return MaterialReport{}, faults
	}
	checks, notJudged := rootZoneProperties(s)
	return reportOn(g, append(rootZoneSizes(g), checks...), notJudged), nil
}

func (s RootZoneSample) checkProperties(faults *fault.List) {
	c := checker{faults}
	c.pointed("/total_porosity_pct", s.TotalPorosityPct, 0, 100, "%")
	c.pointed("/air_filled_porosity_pct", s.AirFilledPorosityPct, 0, 100, "%")
	c.pointed("/capillary_porosity_pct", s.CapillaryPorosityPct, 0, 100, "%")
	c.pointed("/conductivity_mm_per_h", s.ConductivityMMPerH, 0.1, 50000, "mm/h")
	c.pointed("/delivered_conductivity_mm_per_h", s.DeliveredMMPerH, 0, 50000, "mm/h")
}

// rootZoneSizes are the limits on particle sizes, alike in the editions read.
// Anything above 2 mm counts as fine gravel.
func rootZoneSizes(g Grading) []Check {
	const source = greenMethod1993
	return []Check{
		atMost("fine_gravel", over(g, 2), "%", 3, source),
		atMost("fine_gravel_and_very_coarse_sand", over(g, 1), "%", 10, source),
		atLeast("coarse_and_medium_sand", retained(g, 0.25, 1), "%", 60, source),
		atMost("fine_sand", retained(g, 0.15, 0.25), "%", 20, source),
		atMost("very_fine_sand", retained(g, 0.05, 0.15), "%", 5, source),
		atMost("silt", retained(g, clayMM, 0.05), "%", 5, source),
		atMost("clay", under(g, clayMM), "%", 3, source),
		atMost("very_fine_sand_silt_and_clay", under(g, 0.15), "%", 10, source),
	}
}

// leastConductivityMMPerH is 6 in/h, which is printed as 150 mm/h.
const leastConductivityMMPerH = 150

func rootZoneProperties(s RootZoneSample) (checks []Check, notJudged []string) {
	notJudged = []string{}
	for _, property := range []struct {
		name  string
		value *float64
		check func(float64) Check
	}{
		{"total_porosity", s.TotalPorosityPct, func(v float64) Check { return between("total_porosity", v, "%", 35, 55, mixGuide2008) }},
		{"air_filled_porosity", s.AirFilledPorosityPct, func(v float64) Check { return between("air_filled_porosity", v, "%", 15, 30, mixGuide2008) }},
		{"capillary_porosity", s.CapillaryPorosityPct, func(v float64) Check { return between("capillary_porosity", v, "%", 15, 25, mixGuide2008) }},
		{"saturated_conductivity", s.ConductivityMMPerH, func(v float64) Check {
			return atLeast("saturated_conductivity", v, "mm/h", leastConductivityMMPerH, mixGuide2008)
		}},
	} {
		if property.value == nil {
			notJudged = append(notJudged, property.name)
			continue
		}
		checks = append(checks, property.check(*property.value))
	}
	return checks, notJudged
}

// CheckBlinding judges a blinding by its particle sizes.
func CheckBlinding(s Sieving) (MaterialReport, fault.List) {
	g, faults := NewGrading(s)
	if len(faults) > 0 {
		return MaterialReport{}, faults
	}
	if needs(g, &faults, 4, 1); len(faults) > 0 {
		return MaterialReport{}, faults
	}
	return reportOn(g, []Check{
		atLeast("between_1_and_4_mm", retained(g, 1, 4), "%", 90, greenMethod1993+"; the sizes of 1 and 4 mm "+fromMemoryMark),
	}, []string{}), nil
}

// CheckGravel judges a gravel that lies under a blinding. The half inch of the
// source is 12.7 mm; a page that prints 10 mm for it is misprinted.
func CheckGravel(s Sieving) (MaterialReport, fault.List) {
	g, faults := NewGrading(s)
	if len(faults) > 0 {
		return MaterialReport{}, faults
	}
	if needs(g, &faults, 12, 9, 6, 2); len(faults) > 0 {
		return MaterialReport{}, faults
	}
	return reportOn(g, []Check{
		atMost("over_12_mm", over(g, 12), "%", 10, greenMethod1993),
		atLeast("between_6_and_9_mm", retained(g, 6, 9), "%", 65, greenMethod1993),
		atMost("under_2_mm", under(g, 2), "%", 10, greenMethod1993),
	}, []string{}), nil
}

// deliveryTolerancePct is how far the conductivity of a delivery may lie from
// that of the approved sample.
const deliveryTolerancePct = 20

// CheckDelivery holds the conductivity of a delivery to that of the approved
// sample, both in mm/h and by one laboratory. Approved must be above zero.
func CheckDelivery(approvedMMPerH, deliveredMMPerH float64) Check {
	return between("delivered_conductivity", deliveredMMPerH, "mm/h",
		approvedMMPerH*(1-deliveryTolerancePct/100.0), approvedMMPerH*(1+deliveryTolerancePct/100.0), mixGuide2008)
}
