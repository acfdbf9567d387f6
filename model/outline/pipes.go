package outline

import (
	"fmt"
	"math"
	"slices"

	"swardcase/model/fault"
)

// FullBoreLPS is what a round pipe carries running full, in litres a second,
// by Manning's formula in SI units:
//
//	Q = (1/n)·A·(D/4)^(2/3)·√S, A = π·D²/4
//
// boreMM is the inside diameter (never the nominal size), fall is metres per
// metre and n the Manning roughness in s/m^(1/3).
func FullBoreLPS(boreMM, fall, n float64) float64 {
	return 1000 * pipeAreaM2(boreMM) * FullBoreVelocityMPS(boreMM, fall, n)
}

// FullBoreVelocityMPS is the mean velocity in a pipe running full or half full,
// in metres a second (Manning).
func FullBoreVelocityMPS(boreMM, fall, n float64) float64 {
	return math.Pow(boreMM/4000, 2.0/3) * math.Sqrt(fall) / n
}

func pipeAreaM2(boreMM float64) float64 { return math.Pi * boreMM * boreMM / 4e6 }

// BoreNeededMM is the inside diameter that carries the flow running full:
// FullBoreLPS solved for the bore.
func BoreNeededMM(flowLPS, fall, n float64) float64 {
	// Q = π·4^(-5/3)·D^(8/3)·√S/n
	coefficient := math.Pi * math.Pow(4, -5.0/3)
	return 1000 * math.Pow(flowLPS/1000*n/(coefficient*math.Sqrt(fall)), 3.0/8)
}

// PartFull is the flow in a pipe filled to depthShare of its bore, as shares of
// running full: discharge and velocity (Manning with n constant).
//
//	θ = 2·acos(1-2y/D), A = D²(θ-sin θ)/8, P = D·θ/2
func PartFull(depthShare float64) (discharge, velocity float64) {
	theta := 2 * math.Acos(1-2*depthShare)
	if theta <= 0 {
		return 0, 0
	}
	area := (theta - math.Sin(theta)) / (2 * math.Pi)
	velocity = math.Pow((theta-math.Sin(theta))/theta, 2.0/3)
	return area * velocity, velocity
}

// depthShareFor finds how full the pipe runs at a share of its full discharge,
// 0 to 1: PartFull rises up to a depth of 0.938, and meets 1 before that.
func depthShareFor(discharge float64) float64 {
	low, high := 0.0, 0.93
	for range 60 {
		middle := (low + high) / 2
		if q, _ := PartFull(middle); q < discharge {
			low = middle
		} else {
			high = middle
		}
	}
	return high
}

// GatheringLPS is what a drain carries that gathers its flow evenly along its
// length, in litres a second, from the head lost over length, s (not the fall
// of the pipe):
//
//	Q = C·d^(19/7)·s^(4/7), C = [2g·(11/4)·(π/4)^(7/4) / (a·ν^(1/4))]^(4/7)
//
// which is Blasius's friction λ = a·Re^(-1/4) integrated along the drain
// (Food and Agriculture Organization 2007, Irrigation and Drainage Paper 62,
// Annex 20). a is 0.3164 for a smooth pipe, 0.40 for a smooth slotted one and
// 0.77 for small corrugations; ν is the viscosity in m²/s. The paper rounds
// the exponents to 2.714 and 0.571, and C for a = 0.40 to 89.
func GatheringLPS(boreMM, headLossPerM, coefficient float64) float64 {
	return 1000 * coefficient * math.Pow(boreMM/1000, 19.0/7) * math.Pow(headLossPerM, 4.0/7)
}

// GatheringCoefficient is C of GatheringLPS.
func GatheringCoefficient(a, viscosityM2PerS float64) float64 {
	const g = 9.81
	return math.Pow(2*g*(11.0/4)*math.Pow(math.Pi/4, 7.0/4)/(a*math.Pow(viscosityM2PerS, 0.25)), 4.0/7)
}

// RainLPS is the flow of a rate of rain over a catchment: mm/h × m² ÷ 3600 is
// litres a second.
func RainLPS(rateMMPerH, areaM2 float64) float64 { return rateMMPerH * areaM2 / 3600 }

// PipeChoice is the pipe for the main and what it must carry.
type PipeChoice struct {
	// Wall is corrugated, smooth, smooth_slotted or clay; corrugated when
	// left out.
	Wall string `json:"wall,omitempty"`
	// BoresMM are the inside diameters on offer.
	BoresMM []float64 `json:"bores_mm,omitempty"`
	// DesignRateMMPerH falls on the catchment, or DesignRateMMPerDay, which is
	// spread over 24 hours; one of the two. CatchmentM2 is the area of the green
	// when left out.
	DesignRateMMPerH   *float64 `json:"design_rate_mm_per_h,omitempty"`
	DesignRateMMPerDay *float64 `json:"design_rate_mm_per_day,omitempty"`
	CatchmentM2        *float64 `json:"catchment_m2,omitempty"`
}

// PipeSize is a size of pipe found for a main.
type PipeSize struct {
	Wall             string   `json:"wall"`
	ManningN         float64  `json:"manning_n_s_per_m_third"`
	DesignRateMMPerH float64  `json:"design_rate_mm_per_h"`
	CatchmentM2      float64  `json:"catchment_m2"`
	FlowLPS          float64  `json:"flow_l_per_s"`
	FallPct          float64  `json:"fall_pct"`
	BoreNeededMM     float64  `json:"bore_needed_mm"`
	BoreMM           *float64 `json:"bore_mm"` // null when none on offer is wide enough
	CapacityLPS      float64  `json:"capacity_l_per_s"`
	VelocityMPerS    float64  `json:"velocity_m_per_s"` // at the design flow
	Enough           bool     `json:"enough"`
	Notes            []string `json:"notes"`
}

// commonBoresMM are inside diameters on offer when the case names none. The
// bores of 149 and 200 mm belong to pipes sold as 170 and 230 mm; the smaller
// pipes are sold by their bore or close to it.
func commonBoresMM() []float64 { return []float64{60, 80, 100, 149, 200} }

// SizePipe finds the smallest bore on offer that carries the design rate off
// the catchment at the given fall (metres per metre) running full.
func SizePipe(choice *PipeChoice, areaM2, fall float64, p Parameters) (PipeSize, fault.List) {
	if choice == nil {
		choice = &PipeChoice{}
	}
	var faults fault.List
	take := func(name string, given *float64, assumption string, fallback, low, high float64, remedy string) float64 {
		return option{name, given, assumption, fallback, low, high, remedy}.take(&faults)
	}
	rate := take("design_rate_mm_per_h", choice.DesignRateMMPerH, "drain_design_rate_mm_per_h", p.DesignRateMMPerH, 0.01, 200, "give the rate in mm/h")
	if choice.DesignRateMMPerDay != nil {
		rate = take("design_rate_mm_per_day", choice.DesignRateMMPerDay, "", 0, 0.24, 4800, "give the rate in mm/day") / 24
		if choice.DesignRateMMPerH != nil {
			faults.Add("/design_rate_mm_per_day", *choice.DesignRateMMPerDay, "the design rate is given twice, by the hour and by the day", "keep one of the two")
		}
	}
	size := PipeSize{
		Wall:             choice.Wall,
		DesignRateMMPerH: rate,
		CatchmentM2:      take("catchment_m2", choice.CatchmentM2, "", areaM2, 1, 20000, "give the ground that drains to the main in square metres"),
		FallPct:          100 * fall, Notes: []string{},
	}
	if size.Wall == "" {
		size.Wall = "corrugated"
	}
	roughness, known := map[string]float64{
		"corrugated": p.CorrugatedN, "smooth": p.SmoothN, "smooth_slotted": p.SmoothSlottedN, "clay": p.ClayN,
	}[size.Wall]
	if !known {
		faults.Add("/wall", size.Wall, "not a wall of pipe", "give corrugated, smooth, smooth_slotted or clay")
	}
	size.ManningN = roughness
	bores := slices.Clone(choice.BoresMM)
	if len(bores) == 0 {
		bores = commonBoresMM()
	}
	if len(bores) > 20 {
		faults.Add("/bores_mm", len(bores), "too many bores", "give at most 20")
	}
	for i, bore := range bores {
		if !(bore >= 30 && bore <= 600) {
			faults.Add(fault.Pointer("bores_mm", i), bore, "not the bore of a drain", "give inside diameters from 30 to 600 mm")
		}
	}
	if known && !(roughness >= 0.005 && roughness <= 0.05) {
		faults.Add("/wall", roughness, "the Manning roughness of this wall must lie between 0.005 and 0.05", "mend the assumption")
	}
	if !(fall > 0 && fall <= 1) {
		faults.Add("", fall, "the main has no fall", "find it a fall before sizing its pipe")
	}
	if len(faults) > 0 {
		return PipeSize{}, faults
	}
	size.choose(bores, fall, p)
	return size, nil
}

func (size *PipeSize) choose(bores []float64, fall float64, p Parameters) {
	slices.Sort(bores)
	size.FlowLPS = RainLPS(size.DesignRateMMPerH, size.CatchmentM2)
	size.BoreNeededMM = BoreNeededMM(size.FlowLPS, fall, size.ManningN)
	bore := bores[len(bores)-1]
	for _, b := range bores {
		if FullBoreLPS(b, fall, size.ManningN) >= size.FlowLPS {
			size.BoreMM, size.Enough, bore = &b, true, b
			break
		}
	}
	size.CapacityLPS = FullBoreLPS(bore, fall, size.ManningN)
	full := FullBoreVelocityMPS(bore, fall, size.ManningN)
	size.VelocityMPerS = full
	if size.Enough {
		_, share := PartFull(depthShareFor(size.FlowLPS / size.CapacityLPS))
		size.VelocityMPerS = share * full
	} else {
		size.Notes = append(size.Notes, fmt.Sprintf(
			"the widest bore on offer (%.0f mm) carries %.2f L/s, short of %.2f L/s: take a bore of at least %.0f mm, a second main or more fall",
			bore, size.CapacityLPS, size.FlowLPS, size.BoreNeededMM))
	}
	if size.VelocityMPerS < p.LeastVelocityMPS {
		size.Notes = append(size.Notes, fmt.Sprintf(
			"at the design flow the water moves at %.2f m/s, below %.2f m/s: silt may settle, so lay it steeper or leave access for flushing",
			size.VelocityMPerS, p.LeastVelocityMPS))
	}
	if size.VelocityMPerS > p.GreatestVelocityMPS {
		size.Notes = append(size.Notes, fmt.Sprintf(
			"at the design flow the water moves at %.2f m/s, above %.2f m/s: bed the joints in gravel or ease the fall",
			size.VelocityMPerS, p.GreatestVelocityMPS))
	}
}
