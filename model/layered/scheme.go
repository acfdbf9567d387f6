package layered

// LayerName is the name of a layer of the new profile.
type LayerName string

// The layers, top down.
const (
	RootZone LayerName = "root_zone"
	Blinding LayerName = "blinding"
	Gravel   LayerName = "gravel"
)

// scheme is an input with every default written in: what is dug, what is put
// back, and what the drains are. The rest of the package only multiplies it out.
type scheme struct {
	in *Input
	p  *Parameters

	layers     []Layer
	cutMM      float64 // thickness at which turf is lifted
	laidTurfMM float64 // thickness of the turf that is laid; 0 for seed
	leftMM     float64 // thatch that stays below the cut
	digMM      float64 // mean depth dug over the whole green, turf and all

	slits  *Slit
	drains *Drains

	surroundsM2, haulRouteM, haulRouteM2, temporaryM2 float64
}

// newScheme resolves an input that has been checked.
func newScheme(in *Input, p *Parameters) *scheme {
	s := &scheme{in: in, p: p}
	s.resolveTurf()
	s.resolveLayers()
	s.resolveDrains()
	s.resolvePlace()
	return s
}

// keepsTurf is true when the turf over the whole green is lifted to be relaid.
func (s *scheme) keepsTurf() bool {
	return s.in.Surface == ExistingTurf && s.in.Package != DrainsOnly
}

// digs is true when the whole green is opened, not only trenches.
func (s *scheme) digs() bool { return s.in.Package != DrainsOnly }

// stripsWithCutter is true when the turf comes off the whole green in rolls
// rather than with the first bucket.
func (s *scheme) stripsWithCutter() bool {
	return s.keepsTurf() || s.in.Package == ResurfaceOnly
}

func (s *scheme) resolveTurf() {
	in, p := s.in, s.p
	s.cutMM = orDefault(in.Turf.CutThicknessMM, p.CutThicknessMM)
	switch in.Surface {
	case ExistingTurf:
		s.laidTurfMM = s.cutMM
	case NurseryTurf:
		s.laidTurfMM = p.NurseryTurfThicknessMM
	case SupplierTurf:
		_, s.laidTurfMM = s.supplierTurf()
		if in.Package == DrainsOnly {
			s.cutMM = s.laidTurfMM // strips are cut to the thickness that goes back
		}
	}
	s.leftMM = max(0, in.Turf.ThatchDepthMM-s.cutMM)
}

// supplierTurf is the priced item and the thickness in mm of supplier turf.
func (s *scheme) supplierTurf() (item string, thicknessMM float64) {
	switch s.in.SupplierTurfSoil {
	case Washed:
		return "turf_washed", s.p.WashedTurfThicknessMM
	case SoilGrown:
		return "turf_soil_grown", s.p.SoilTurfThicknessMM
	}
	return "turf_sand_grown", s.p.SandTurfThicknessMM
}

// leastLayerMM is the thinnest layer worth spreading.
const leastLayerMM = 1

// resolveLayers sets the layers and the depth of the dig, so that the new
// surface lies where the old one did: the dig is the layers with their
// allowance and the turf laid on them.
func (s *scheme) resolveLayers() {
	in, p := s.in, s.p
	switch {
	case in.Route == LayeredRebuild:
		depths := LayerDepths{RootZoneMM: p.RootZoneDepthMM, BlindingMM: p.BlindingDepthMM, GravelMM: p.GravelDepthMM}
		if in.LayerDepths != nil {
			depths = *in.LayerDepths
		}
		s.layers = append(make([]Layer, 0, 3), s.layer(RootZone, depths.RootZoneMM, 0))
		if depths.BlindingMM > 0 {
			s.layers = append(s.layers, s.layer(Blinding, depths.BlindingMM, 0))
		}
		s.layers = append(s.layers, s.layer(Gravel, depths.GravelMM, p.GravelEvennessAllowanceMM))
		s.digMM = s.laidTurfMM
		for _, l := range s.layers {
			s.digMM += l.MeanDepthMM
		}
	case in.Package == DrainsOnly:
		s.layers = []Layer{}
	default:
		top := 0.0
		if in.Package == TopAndDrains {
			top = p.TopDepthMM
			if in.TopDepthMM != nil {
				top = *in.TopDepthMM
			}
		}
		// The whole of the thatch comes out, however thin the top.
		s.digMM = max(top+s.laidTurfMM, s.cutMM+s.leftMM)
		s.layers = make([]Layer, 0, 1)
		if depth := s.digMM - s.laidTurfMM; depth >= leastLayerMM {
			s.layers = append(s.layers, s.layer(RootZone, depth, 0))
		}
	}
}

// resolveDrains takes a drawn layout or reckons runs from the area. Resurfacing
// alone has no drains.
func (s *scheme) resolveDrains() {
	in, p := s.in, s.p
	if in.Package == ResurfaceOnly {
		return
	}
	spacing, edge := p.LateralSpacingM, p.EdgeDrainShare
	if in.Route == PartialRenovation {
		slit := s.slit()
		s.slits = &slit
		spacing, edge = slit.Spacing.SpacingM, 0
	}
	if in.Drains != nil {
		drawn := *in.Drains
		s.drains = &drawn
	} else {
		run := p.OutfallRunM
		if in.Outfall.DistanceM != nil {
			run = *in.Outfall.DistanceM
		}
		reckoned := DrainsFromArea(in.AreaM2, in.PerimeterM, spacing, run, edge)
		s.drains = &reckoned
	}
	pipe := 100.0
	if in.AreaM2 > p.Main100LargestGreenM2 {
		pipe = 150
	}
	s.drains.MainPipeMM = orDefault(s.drains.MainPipeMM, pipe)
	s.drains.OutfallPipeMM = max(orDefault(s.drains.OutfallPipeMM, pipe), s.drains.MainPipeMM)
}

func (s *scheme) resolvePlace() {
	in, p := s.in, s.p
	share := p.SurroundsSharePct
	if in.Package == DrainsOnly || in.Package == ResurfaceOnly {
		share = p.LightWorksSurroundsSharePct
	}
	s.surroundsM2 = in.AreaM2 * share / 100
	if in.SurroundsM2 != nil {
		s.surroundsM2 = *in.SurroundsM2
	}
	s.haulRouteM = p.HaulRouteM
	if in.HaulRouteM != nil {
		s.haulRouteM = *in.HaulRouteM
	}
	s.haulRouteM2 = s.haulRouteM * p.HaulRouteWidthM
	if !in.TemporaryGreen.Ready {
		s.temporaryM2 = orDefault(in.TemporaryGreen.AreaM2, p.TemporaryGreenM2)
	}
}
