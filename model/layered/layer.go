package layered

// Layer is one layer of the new profile as it is to be placed.
type Layer struct {
	Name LayerName `json:"name"`
	// DepthMM is the least firm depth; MeanDepthMM adds what takes up an uneven
	// formation, so that the least depth holds everywhere.
	DepthMM     float64 `json:"depth_mm"`
	MeanDepthMM float64 `json:"mean_depth_mm"`
	FirmM3      float64 `json:"firm_m3"`  // in place
	LooseM3     float64 `json:"loose_m3"` // as it arrives, before it settles
	// DensityTPerM3 is in place; TonnesT is what stays in the green and
	// DeliveredT what must be bought, handling losses included.
	DensityTPerM3 float64 `json:"density_t_per_m3"`
	TonnesT       float64 `json:"tonnes_t"`
	DeliveredT    float64 `json:"delivered_t"`
}

// bulk is how a material behaves between lorry and green.
type bulk struct {
	item                         string
	densityTPerM3, settlementPct float64
}

func (p *Parameters) bulkOf(name LayerName) bulk {
	switch name {
	case Gravel:
		return bulk{"drainage_gravel", p.GravelFirmDensityTPerM3, p.GravelSettlementPct}
	case Blinding:
		return bulk{"blinding_sand", p.BlindingFirmDensityTPerM3, p.BlindingSettlementPct}
	default:
		return bulk{"root_zone_mix", p.RootZoneFirmDensityTPerM3, p.RootZoneSettlementPct}
	}
}

// layer multiplies out one layer over the whole green.
func (s *scheme) layer(name LayerName, depthMM, allowanceMM float64) Layer {
	b := s.p.bulkOf(name)
	l := Layer{Name: name, DepthMM: depthMM, MeanDepthMM: depthMM + allowanceMM, DensityTPerM3: b.densityTPerM3}
	l.FirmM3 = s.in.AreaM2 * l.MeanDepthMM / 1000
	l.LooseM3 = LooseFromBank(l.FirmM3, b.settlementPct)
	l.TonnesT = l.FirmM3 * b.densityTPerM3
	l.DeliveredT = l.TonnesT * (1 + s.p.MaterialWastePct/100)
	return l
}

// gangHours is how long a gang places the layer, by an output rate that is
// quoted for one depth and taken to fall in proportion as the depth grows.
func (s *scheme) gangHours(l Layer) float64 {
	rate, forDepthMM := s.outputRate(l.Name)
	return s.in.AreaM2 / rate * l.MeanDepthMM / forDepthMM
}

// outputRate is in m2 per gang hour at the depth (mm) it is quoted for.
func (s *scheme) outputRate(name LayerName) (rate, forDepthMM float64) {
	switch name {
	case Gravel:
		return s.p.GravelM2PerGangH, 100
	case Blinding:
		return s.p.BlindingM2PerGangH, 50
	default:
		return s.p.RootZoneM2PerGangH, 300
	}
}
