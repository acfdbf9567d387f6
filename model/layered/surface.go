package layered

// Covering is the turf or seed that the surface takes.
type Covering struct {
	AreaM2    float64 `json:"area_m2"`    // to be covered
	OrderedM2 float64 `json:"ordered_m2"` // turf lifted or bought, waste included; 0 for seed
	SeedKg    float64 `json:"seed_kg"`    // 0 for turf
	WastePct  float64 `json:"waste_pct"`  // above the area to be covered; for existing turf, of what is lifted
	MadeUpM2  float64 `json:"made_up_m2"` // of other turf, where existing turf falls short
	MadeUpBy  string  `json:"made_up_by"` // the priced item of that turf; empty when none
	LaidMM    float64 `json:"laid_mm"`    // thickness of turf as laid; 0 for seed
	LayingH   float64 `json:"laying_h"`   // person hours, sowing included
	StarterKg float64 `json:"starter_kg"` // fertiliser before sowing or turfing
}

// coveredM2 is what is surfaced: the green, or the strips over trenches.
func (s *scheme) coveredM2() float64 {
	if s.in.Package == DrainsOnly {
		return s.stripsM2()
	}
	return s.in.AreaM2
}

func (s *scheme) covering() Covering {
	in, p, area := s.in, s.p, s.coveredM2()
	c := Covering{AreaM2: area, LaidMM: s.laidTurfMM, LayingH: area / p.LayingTurfM2PerPersonH}
	switch in.Surface {
	case Seed:
		c.WastePct = p.WasteSeedPct
		c.SeedKg = area * p.SeedRateGPerM2 / 1000 * (1 + c.WastePct/100)
		c.LayingH = area / p.SowingM2PerPersonH
	case SupplierTurf:
		c.WastePct = p.WasteSupplierTurfPct
		c.OrderedM2 = area * (1 + c.WastePct/100)
	case NurseryTurf:
		c.WastePct = p.WasteNurseryTurfPct
		c.OrderedM2 = area * (1 + c.WastePct/100)
	case ExistingTurf:
		c.WastePct = p.WasteExistingTurfPct
		c.OrderedM2 = area
		c.MadeUpM2 = area * c.WastePct / 100
		c.MadeUpBy, _ = s.supplierTurf()
		if in.NurseryTurfM2 >= c.MadeUpM2 {
			c.MadeUpBy = "nursery_turf_replacement"
		}
	}
	if s.digs() {
		c.StarterKg = s.fertiliserKg(p.StarterNitrogenKgPerHa, area)
	}
	return c
}

// fertiliserKg is the product that carries a dose of nitrogen (kg/ha).
func (s *scheme) fertiliserKg(nitrogenKgPerHa, areaM2 float64) float64 {
	return nitrogenKgPerHa * areaM2 / 10000 / (s.p.FertiliserNitrogenPct / 100)
}

func (b *bill) surfacing() {
	p, c := b.p, &b.d.Covering
	b.add(Surfacing, "fertiliser", "Starter fertiliser raked in", "kg", c.StarterKg, "{} kg/ha of nitrogen × {} m² ÷ 10000 ÷ {} %",
		p.StarterNitrogenKgPerHa, c.AreaM2, p.FertiliserNitrogenPct)
	switch b.in.Surface {
	case Seed:
		b.add(Surfacing, "seed", "Seed", "kg", c.SeedKg, "{} m² × {} g/m² ÷ 1000 × (1 + {} %)", c.AreaM2, p.SeedRateGPerM2, c.WastePct)
		b.labour(Surfacing, "Rake and sow", c.LayingH, "{} m² ÷ {} m²/h", c.AreaM2, p.SowingM2PerPersonH)
	case SupplierTurf:
		item, _ := b.supplierTurf()
		b.add(Surfacing, item, "Supplier turf", "m2", c.OrderedM2, "{} m² × (1 + {} %)", c.AreaM2, c.WastePct)
	case NurseryTurf:
		b.nurseryLifting()
		b.add(Surfacing, "nursery_turf_replacement", "Grow again the nursery turf that is used", "m2", c.OrderedM2, "{} m² × (1 + {} %)", c.AreaM2, c.WastePct)
	case ExistingTurf:
		if l := b.d.Lifting; l != nil {
			b.labour(Surfacing, "Take up the stored turf and carry it back", l.CarryBackH, "{} m² ÷ {} m²/h", l.UsableM2, p.CarryingBackM2PerPersonH)
		}
		b.add(Surfacing, c.MadeUpBy, "Turf to make up what is lost of the existing turf", "m2", c.MadeUpM2, "{} m² × {} %", c.AreaM2, c.WastePct)
	}
	if b.in.Surface != Seed {
		b.labour(Surfacing, "Lay turf", c.LayingH, "{} m² ÷ {} m²/h", c.AreaM2, p.LayingTurfM2PerPersonH)
	}
	if b.digs() {
		b.add(Surfacing, "roller", "Firm and finish the surface", "day", 1, "one visit")
	}
}

func (b *bill) nurseryLifting() {
	p, l := b.p, b.d.Lifting
	b.days(Surfacing, "turf_cutter", "Cut the nursery turf", l.CutterGangH)
	b.labour(Surfacing, "Cut the nursery turf, with the cutter", l.CutterGangH*p.StrippingGangPersons,
		"{} m² ÷ {} m²/h × {} people", l.LiftedM2, p.StrippingM2PerGangH, p.StrippingGangPersons)
	b.labour(Surfacing, "Lift and carry the nursery turf", l.LiftingH, "{} m² ÷ {} m²/h", l.LiftedM2, p.LiftingM2PerPersonH)
}
