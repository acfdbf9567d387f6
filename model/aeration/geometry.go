package aeration

import "math"

// HoleAreaPct is the share of the surface, in percent, taken by round holes of
// one diameter on a rectangular grid of centres:
//
//	100 · (π d² / 4) ÷ (a · b) · passes
//
// Passes add without a correction for overlap, as the published worked
// examples do. Give the outside diameter for the hole and the disturbance, the
// inside diameter for the core that leaves. All lengths in millimetres.
func HoleAreaPct(diameterMM, acrossMM, alongMM float64, passes int) float64 {
	return 100 * math.Pi / 4 * diameterMM * diameterMM / (acrossMM * alongMM) * float64(passes)
}

// HolesPerM2 counts the holes on a square metre for a grid of centres in
// millimetres: 10⁶ ÷ (a · b) · passes.
func HolesPerM2(acrossMM, alongMM float64, passes int) float64 {
	return 1e6 / (acrossMM * alongMM) * float64(passes)
}

// SlitAreaPct is the share of the surface, in percent, opened by slits of one
// thickness and length on a grid of centres. A continuous slit is as long as
// the spacing along it. All lengths in millimetres.
func SlitAreaPct(thicknessMM, lengthMM, acrossMM, alongMM float64, passes int) float64 {
	return 100 * thicknessMM * lengthMM / (acrossMM * alongMM) * float64(passes)
}

// OpenedDepthMM is the volume opened per area, as a depth in millimetres: the
// share of the surface times the depth of the holes or slits.
func OpenedDepthMM(areaPct, depthMM float64) float64 { return areaPct / 100 * depthMM }

// Tines are the tools of hollow coring and deep tining. The inside diameter is
// that of the core, 0 for a solid tine; the outside diameter is that of the
// hole. Spacings run between centres, across and along the machine's way.
type Tines struct {
	InsideDiameterMM  float64 `json:"inside_diameter_mm"`
	OutsideDiameterMM float64 `json:"outside_diameter_mm"`
	SpacingAcrossMM   float64 `json:"spacing_across_mm"`
	SpacingAlongMM    float64 `json:"spacing_along_mm"`
	DepthMM           float64 `json:"depth_mm"`
	Passes            int     `json:"passes"`
	// Filled is true where the holes are filled with sand on the day.
	Filled bool `json:"filled"`
	// CoresRemoved is true where the cores are carried away, false where they
	// are broken up and brushed back, which removes nothing.
	CoresRemoved bool `json:"cores_removed"`
}

// Blades are the tools of slit tining, scarifying and overseeding. SlitLengthMM
// and SpacingAlongMM are 0 where the slit is continuous.
type Blades struct {
	ThicknessMM     float64 `json:"thickness_mm"`
	SlitLengthMM    float64 `json:"slit_length_mm"`
	SpacingAcrossMM float64 `json:"spacing_across_mm"`
	SpacingAlongMM  float64 `json:"spacing_along_mm"`
	DepthMM         float64 `json:"depth_mm"`
	Passes          int     `json:"passes"`
	// Filled is true where the slots are filled with sand on the day.
	Filled bool `json:"filled"`
}

// MoleChannels are what a mole plough leaves: a channel at depth below the
// slot cut by its leg.
type MoleChannels struct {
	SpacingMM         float64 `json:"spacing_mm"`
	LegThicknessMM    float64 `json:"leg_thickness_mm"`
	ChannelDiameterMM float64 `json:"channel_diameter_mm"`
	DepthMM           float64 `json:"depth_mm"`
}

// opening is the geometry of one visit reduced to what the amounts need.
type opening struct {
	outsidePct, insidePct float64 // hole made; material lifted out
	holesPerM2            float64
	slitMPerM2            float64
	depthMM               float64
	passes                float64
	filled, removed       bool
}

// opening of a work: nothing where it does not break the surface.
func (w Work) opening() opening {
	switch {
	case w.Tines != nil:
		return w.Tines.opening()
	case w.Blades != nil:
		return w.Blades.opening(w.Operation == Scarifying)
	case w.MoleChannels != nil:
		return w.MoleChannels.opening()
	}
	return opening{}
}

func (t Tines) opening() opening {
	return opening{
		outsidePct: HoleAreaPct(t.OutsideDiameterMM, t.SpacingAcrossMM, t.SpacingAlongMM, t.Passes),
		insidePct:  HoleAreaPct(t.InsideDiameterMM, t.SpacingAcrossMM, t.SpacingAlongMM, t.Passes),
		holesPerM2: HolesPerM2(t.SpacingAcrossMM, t.SpacingAlongMM, t.Passes),
		depthMM:    t.DepthMM, passes: float64(t.Passes),
		filled: t.Filled, removed: t.CoresRemoved,
	}
}

// opening of blades: only a scarifier lifts out what it cuts.
func (b Blades) opening(lifts bool) opening {
	length, along := b.SlitLengthMM, b.SpacingAlongMM
	if b.continuous() {
		length, along = 1, 1
	}
	o := opening{
		outsidePct: SlitAreaPct(b.ThicknessMM, length, b.SpacingAcrossMM, along, b.Passes),
		slitMPerM2: 1000 / b.SpacingAcrossMM * length / along * float64(b.Passes),
		depthMM:    b.DepthMM, passes: float64(b.Passes),
		filled: b.Filled, removed: lifts,
	}
	if lifts {
		o.insidePct = o.outsidePct
	}
	return o
}

func (b Blades) continuous() bool { return b.SlitLengthMM == 0 && b.SpacingAlongMM == 0 }

func (m MoleChannels) opening() opening {
	return opening{
		outsidePct: SlitAreaPct(m.LegThicknessMM, 1, m.SpacingMM, 1, 1),
		slitMPerM2: 1000 / m.SpacingMM,
		depthMM:    m.DepthMM, passes: 1,
	}
}
