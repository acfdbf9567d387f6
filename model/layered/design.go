package layered

import "swardcase/model/fault"

// Design is one option designed: quantities that can be priced, the works in
// weeks, and what stands against it. Lists are never nil.
type Design struct {
	Route   Route   `json:"route"`
	Package Package `json:"package,omitempty"`
	Surface Surface `json:"surface"`
	AreaM2  float64 `json:"area_m2"`

	Layers     []Layer    `json:"layers"` // top down
	Excavation Excavation `json:"excavation"`
	Drains     *Drains    `json:"drains"` // nil when nothing is drained
	Slits      *Slit      `json:"slits"`  // nil but for slit drains
	Trenches   []Trench   `json:"trenches"`
	Covering   Covering   `json:"covering"`
	Lifting    *Lifting   `json:"lifting"` // nil when no turf is lifted to be laid again
	Labour     Labour     `json:"labour"`
	Programme  Programme  `json:"programme"`

	SurroundsM2      float64 `json:"surrounds_m2"`
	HaulRouteM2      float64 `json:"haul_route_m2"`
	TemporaryGreenM2 float64 `json:"temporary_green_m2"` // to prepare; 0 when one stands ready

	Quantities     []Quantity `json:"quantities"`
	AftercareYear1 []Quantity `json:"aftercare_year_1"`
	AftercareYear2 []Quantity `json:"aftercare_year_2"`

	WorkingLifeYears Range    `json:"working_life_years"`
	Infeasible       []Reason `json:"infeasible"` // each of them rules the design out
	Cautions         []Reason `json:"cautions"`
}

// Labour is the person hours of the works, aftercare not included.
type Labour struct {
	TotalH float64 `json:"total_h"`
	// OwnH is what the club's own people can give over the likely works weeks,
	// at most the total; ShortH is what is left. Both are nil when the club's
	// hours are not stated.
	OwnH   *float64 `json:"own_h"`
	ShortH *float64 `json:"short_h"`
}

// Reason is a plain statement with a code to tell it by.
type Reason struct {
	Code string `json:"code"`
	Text string `json:"text"`
}

// NewDesign designs one option. It returns every fault of the input, with
// pointers relative to it; a design that is sound but cannot be built comes back
// without faults and with the reasons in Infeasible.
func NewDesign(in Input, p Parameters) (Design, fault.List) {
	var faults fault.List
	in.check(&faults)
	p.check(&faults)
	if len(faults) > 0 {
		return Design{}, faults
	}
	s := newScheme(&in, &p)
	if s.checkSlits(&faults); len(faults) > 0 {
		return Design{}, faults
	}
	return s.design(), nil
}

func (s *scheme) design() Design {
	in := s.in
	d := Design{
		Route: in.Route, Package: in.Package, Surface: in.Surface, AreaM2: in.AreaM2,
		Layers: s.layers, Drains: s.drains, Slits: s.slits, Trenches: s.trenches(),
		Covering:    s.covering(),
		SurroundsM2: s.surroundsM2, HaulRouteM2: s.haulRouteM2, TemporaryGreenM2: s.temporaryM2,
		WorkingLifeYears: s.workingLife(),
	}
	d.Lifting = s.lifting(d.Covering.LayingH)
	usable := 0.0
	if d.Lifting != nil {
		usable = d.Lifting.UsableM2
	}
	d.Excavation = s.excavation(d.Trenches, usable)
	d.Programme = s.programme(&d)
	s.store(d.Lifting, d.Programme.storedWeeks())
	d.Quantities = s.quantities(&d)
	d.AftercareYear1, d.AftercareYear2 = s.aftercare(1), s.aftercare(2)
	s.setOwnLabour(&d)
	d.Infeasible, d.Cautions = s.infeasible(&d), s.cautions(&d)
	return d
}

func (s *scheme) workingLife() Range {
	p := s.p
	if s.in.Route == LayeredRebuild {
		return Range{p.LifeLayeredRebuildYearsLow, p.LifeLayeredRebuildYears, p.LifeLayeredRebuildYearsHigh}
	}
	return Range{p.LifePartialRenovationYearsLow, p.LifePartialRenovationYears, p.LifePartialRenovationYearsHigh}
}

func (s *scheme) setOwnLabour(d *Design) {
	if s.in.OwnLabourHPerWk == nil {
		return
	}
	own := min(d.Labour.TotalH, *s.in.OwnLabourHPerWk*d.Programme.Weeks.Likely)
	short := d.Labour.TotalH - own
	d.Labour.OwnH, d.Labour.ShortH = &own, &short
}
