package layered

import "math"

// TrenchKind is what runs in a trench.
type TrenchKind string

// The kinds of trench.
const (
	MainTrench    TrenchKind = "main"
	LateralTrench TrenchKind = "lateral"
	EdgeTrench    TrenchKind = "edge"
	OutfallTrench TrenchKind = "outfall"
	SlitTrench    TrenchKind = "slit"
)

// Trench is all trench of one kind. Volumes are in the ground for what is dug
// and in place for what goes back.
type Trench struct {
	Kind           TrenchKind `json:"kind"`
	LengthM        float64    `json:"length_m"`
	WidthMM        float64    `json:"width_mm"`
	DepthMM        float64    `json:"depth_mm"` // below the formation, or below the surface where only drains are cut
	PipeMM         float64    `json:"pipe_mm"`  // nominal bore; 0 for none
	TrenchM3       float64    `json:"trench_m3"`
	PipeM3         float64    `json:"pipe_m3"` // by the outside of the pipe
	GravelM3       float64    `json:"gravel_m3"`
	SandM3         float64    `json:"sand_m3"`
	ReturnedSoilM3 float64    `json:"returned_soil_m3"`
	TurfM3         float64    `json:"turf_m3"` // sods over a slit, put back or replaced
	GravelT        float64    `json:"gravel_t"`
	SandT          float64    `json:"sand_t"`
}

// fill is what a trench is filled with, from the bottom up, in mm.
type fill struct{ gravelMM, sandMM, soilMM, turfMM float64 }

func (s *scheme) trench(kind TrenchKind, lengthM, widthMM, pipeMM float64, f fill) Trench {
	depth := f.gravelMM + f.sandMM + f.soilMM + f.turfMM
	face := lengthM * widthMM / 1e6 // m3 for each mm of depth
	t := Trench{
		Kind: kind, LengthM: lengthM, WidthMM: widthMM, DepthMM: depth, PipeMM: pipeMM,
		TrenchM3: face * depth, SandM3: face * f.sandMM, ReturnedSoilM3: face * f.soilMM, TurfM3: face * f.turfMM,
	}
	outside := s.p.pipeOutsideMM(pipeMM) / 1000
	t.PipeM3 = min(math.Pi/4*outside*outside*lengthM, face*f.gravelMM)
	t.GravelM3 = face*f.gravelMM - t.PipeM3
	t.GravelT = t.GravelM3 * s.p.GravelFirmDensityTPerM3
	t.SandT = t.SandM3 * s.p.SlitSandFirmDensityTPerM3
	return t
}

// pipeOutsideMM is the outside diameter of a pipe by its nominal bore.
func (p *Parameters) pipeOutsideMM(boreMM float64) float64 {
	switch boreMM {
	case 60:
		return p.Pipe60OutsideMM
	case 100:
		return p.Pipe100OutsideMM
	case 150:
		return p.Pipe150OutsideMM
	}
	return 0
}

// trenches lists the trenches in the order in which they are dug: from the
// outfall up.
func (s *scheme) trenches() []Trench {
	if s.drains == nil {
		return []Trench{}
	}
	p, d := s.p, s.drains
	list := make([]Trench, 0, 4)
	list = append(list, s.trench(OutfallTrench, d.OutfallM, p.outfallWidthMM(d.OutfallPipeMM), d.OutfallPipeMM, p.outfallFill(d.OutfallPipeMM)))
	if s.slits != nil {
		return append(list, s.slitTrenches()...)
	}
	dug := func(kind TrenchKind, lengthM, pipeMM, deepenedMM float64) Trench {
		return s.trench(kind, lengthM, s.trenchWidthMM(pipeMM), pipeMM, fill{gravelMM: p.trenchDepthMM(pipeMM) + deepenedMM})
	}
	list = append(list, dug(MainTrench, d.MainM, d.MainPipeMM, d.MainDeepenedMM), dug(LateralTrench, d.LateralM, 100, d.LateralDeepenedMM))
	if d.EdgeM > 0 {
		list = append(list, dug(EdgeTrench, d.EdgeM, 100, d.EdgeDeepenedMM))
	}
	return list
}

// pipeRoomMM is the least gravel beside or below a pipe (25 mm: Golf Course
// Builders Association of America 2017, practice under the 2004 recommendations).
const pipeRoomMM = 25

// trenchWidthMM is the stated or the usual width, or the pipe with room at both
// sides.
func (s *scheme) trenchWidthMM(pipeMM float64) float64 {
	return max(orDefault(s.drains.TrenchWidthMM, s.p.TrenchWidthMM), s.p.pipeOutsideMM(pipeMM)+2*pipeRoomMM)
}

// trenchDepthMM is the usual depth, or the pipe with room above and below.
func (p *Parameters) trenchDepthMM(pipeMM float64) float64 {
	return max(p.TrenchDepthMM, p.pipeOutsideMM(pipeMM)+2*pipeRoomMM)
}

func (p *Parameters) outfallWidthMM(pipeMM float64) float64 {
	return max(p.OutfallTrenchWidthMM, p.pipeOutsideMM(pipeMM)+2*pipeRoomMM)
}

// outfallFill beds the solid pipe in gravel and returns the soil above it.
func (p *Parameters) outfallFill(pipeMM float64) fill {
	bedding := max(p.OutfallBeddingDepthMM, p.pipeOutsideMM(pipeMM)+2*pipeRoomMM)
	return fill{gravelMM: bedding, soilMM: max(0, p.OutfallTrenchDepthMM-bedding)}
}

// slitTrenches are the slits and the main that collects them, which is dug
// deeper so that a slit's pipe enters it from above.
func (s *scheme) slitTrenches() []Trench {
	slit, d := s.slits, s.drains
	f := fill{gravelMM: slit.GravelMM, sandMM: slit.SandMM}
	if s.in.Package == DrainsOnly {
		f.turfMM = min(s.laidTurfMM, slit.DepthMM)
		f.soilMM = max(0, slit.BackfillTopMM-f.turfMM)
	} else {
		f.soilMM = max(0, slit.BackfillTopMM-s.digMM)
	}
	collector := f
	collector.gravelMM = max(f.gravelMM, s.p.pipeOutsideMM(d.MainPipeMM)+2*pipeRoomMM)
	deeper := func(f fill, byMM float64) fill { f.gravelMM += byMM; return f }
	list := []Trench{
		s.trench(MainTrench, d.MainM, s.trenchWidthMM(d.MainPipeMM), d.MainPipeMM, deeper(collector, d.MainDeepenedMM)),
		s.trench(SlitTrench, d.LateralM, slit.WidthMM, slit.PipeMM, deeper(f, d.LateralDeepenedMM)),
	}
	if d.EdgeM > 0 {
		list = append(list, s.trench(EdgeTrench, d.EdgeM, s.trenchWidthMM(100), 100, deeper(collector, d.EdgeDeepenedMM)))
	}
	return list
}
