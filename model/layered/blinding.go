package layered

import "swardcase/model/fault"

// BlindingVerdict says whether root zone may lie straight on gravel, and what
// that saves. The sizes must bridge and drain, and the gravel be uniform and
// without fines or large stones: every check must pass.
type BlindingVerdict struct {
	Checks       []Check `json:"checks"`
	MayBeOmitted bool    `json:"may_be_omitted"`
	// What leaving the layer out saves; zero when it may not be.
	DepthSavedMM    float64 `json:"depth_saved_mm"`
	TonnesSavedT    float64 `json:"tonnes_saved_t"`    // in place
	DeliveredSavedT float64 `json:"delivered_saved_t"` // as bought
	ExcavationM3    float64 `json:"excavation_saved_m3"`
}

// The limits of the 2004 edition on gravel without a blinding. (Those of 1993,
// 5 for bridging and 2.5 for uniformity from memory, were tighter.)
const (
	bridgingFactor     = 8.0 // D15 of gravel ÷ D85 of root zone, at most
	permeabilityFactor = 5.0 // D15 of gravel ÷ D15 of root zone, at least
	uniformityRatio    = 3.0 // D90 ÷ D15 of gravel, at most
)

// CheckWithoutBlinding judges a pair of root zone and gravel. The blinding is
// the layer that would be left out, as designed; a zero Layer saves nothing.
// Faults point to /root_zone/sieving and /gravel.
func CheckWithoutBlinding(rootZone, gravel Sieving, blinding Layer, areaM2 float64) (BlindingVerdict, fault.List) {
	var faults fault.List
	mix, wrong := NewGrading(rootZone)
	faults.Under("/root_zone/sieving", wrong)
	stone, wrong := NewGrading(gravel)
	faults.Under("/gravel", wrong)
	if len(faults) > 0 {
		return BlindingVerdict{}, faults
	}
	var missing fault.List
	needs(stone, &missing, 12, 2, 1)
	faults.Under("/gravel", missing)
	size := func(g Grading, pct float64, pointer string) float64 {
		mm, ok := g.D(pct)
		if !ok {
			faults.Add(pointer, pct, "the sieves do not reach the size below which this percentage is finer",
				"have the sample sieved again with wider and finer sieves in the nest")
		}
		return mm
	}
	mix15, mix85 := size(mix, 15, "/root_zone/sieving/sieves"), size(mix, 85, "/root_zone/sieving/sieves")
	stone15, stone90 := size(stone, 15, "/gravel/sieves"), size(stone, 90, "/gravel/sieves")
	if len(faults) > 0 {
		return BlindingVerdict{}, faults
	}
	v := BlindingVerdict{Checks: []Check{
		atMost("bridging", stone15, "mm", bridgingFactor*mix85, greenMethod2004),
		atLeast("permeability", stone15, "mm", permeabilityFactor*mix15, greenMethod2004),
		atMost("uniformity", stone90/stone15, "1", uniformityRatio, greenMethod2004),
		atMost("over_12_mm", over(stone, 12), "%", 0, greenMethod2004),
		atMost("under_2_mm", under(stone, 2), "%", 10, greenMethod2004),
		atMost("under_1_mm", under(stone, 1), "%", 5, greenMethod2004),
	}}
	if v.MayBeOmitted = allPass(v.Checks); v.MayBeOmitted {
		v.DepthSavedMM, v.TonnesSavedT, v.DeliveredSavedT = blinding.MeanDepthMM, blinding.TonnesT, blinding.DeliveredT
		v.ExcavationM3 = areaM2 * blinding.MeanDepthMM / 1000
	}
	return v, nil
}

// MaterialSamples are the samples at hand; what is nil was not sent.
type MaterialSamples struct {
	RootZone *RootZoneSample `json:"root_zone,omitempty"`
	Blinding *Sieving        `json:"blinding,omitempty"`
	Gravel   *Sieving        `json:"gravel,omitempty"`
}

// MaterialsReport is the verdict on the samples; what could not be judged for
// want of a sample is nil.
type MaterialsReport struct {
	RootZone *MaterialReport  `json:"root_zone"`
	Blinding *MaterialReport  `json:"blinding"`
	Gravel   *MaterialReport  `json:"gravel"` // under a blinding
	Without  *BlindingVerdict `json:"without_blinding"`
	Delivery *Check           `json:"delivery"`
}

// CheckMaterials judges every sample, and the pair of root zone and gravel
// against the design that would lose its blinding.
func CheckMaterials(samples MaterialSamples, d Design) (MaterialsReport, fault.List) {
	var out MaterialsReport
	var faults fault.List
	if s := samples.RootZone; s != nil {
		report, wrong := CheckRootZone(*s)
		faults.Under("/root_zone", wrong)
		out.RootZone = &report
		if s.ConductivityMMPerH != nil && s.DeliveredMMPerH != nil {
			check := CheckDelivery(*s.ConductivityMMPerH, *s.DeliveredMMPerH)
			out.Delivery = &check
		}
	}
	if samples.Blinding != nil {
		report, wrong := CheckBlinding(*samples.Blinding)
		faults.Under("/blinding", wrong)
		out.Blinding = &report
	}
	if samples.Gravel != nil {
		report, wrong := CheckGravel(*samples.Gravel)
		faults.Under("/gravel", wrong)
		out.Gravel = &report
	}
	if len(faults) == 0 && samples.RootZone != nil && samples.Gravel != nil {
		verdict, wrong := CheckWithoutBlinding(samples.RootZone.Sieving, *samples.Gravel, d.layer(Blinding), d.AreaM2)
		faults.Under("", wrong)
		out.Without = &verdict
	}
	if len(faults) > 0 {
		return MaterialsReport{}, faults
	}
	return out, nil
}

// layer finds a layer of the design; a zero Layer where there is none.
func (d Design) layer(name LayerName) Layer {
	for _, l := range d.Layers {
		if l.Name == name {
			return l
		}
	}
	return Layer{}
}
