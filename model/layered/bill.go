package layered

import "math"

// bill multiplies a scheme out into quantities, section by section.
type bill struct {
	*scheme
	takeOff
	d *Design
	// person hours, which the own labour of the club is set against
	personHours float64
}

// quantities is the whole bill in its fixed order.
func (s *scheme) quantities(d *Design) []Quantity {
	b := bill{scheme: s, takeOff: newTakeOff(72), d: d}
	b.preliminaries()
	b.stripping()
	b.excavating()
	b.drainage()
	b.layering()
	b.surfacing()
	b.surroundings()
	b.tests()
	d.Labour.TotalH = b.personHours
	return b.takeOff.quantities()
}

// labour splits person hours into skilled and general.
func (b *bill) labour(section Section, description string, personHours float64, working string, values ...float64) {
	if personHours <= 0 {
		return
	}
	b.personHours += personHours
	skilled := b.p.SkilledSharePct
	for _, part := range [...]struct {
		item, words string
		pct         float64
	}{{"skilled_labour", " × {} % skilled", skilled}, {"general_labour", " × {} % general", 100 - skilled}} {
		if part.pct <= 0 {
			continue
		}
		b.text = appendSentence(b.text, working, values)
		b.text = appendSentence(b.text, part.words, []float64{part.pct})
		b.close(Quantity{Section: section, Item: part.item, Description: description, Amount: personHours * part.pct / 100, Unit: "h"})
	}
}

// days charges plant by the whole day.
func (b *bill) days(section Section, item, description string, hours float64) {
	b.add(section, item, description, "day", math.Ceil(hours/b.p.WorksDayH), "{} h ÷ {} h a day, rounded up", hours, b.p.WorksDayH)
}

func (b *bill) preliminaries() {
	p, one := b.p, 1.0
	b.add(Preliminaries, "mobilisation", "Bring plant and people to site and take them away", "item", one, "once")
	b.add(Preliminaries, "services_survey", "Trace buried services before any digging", "item", one, "once")
	surveys := 2.0
	if b.in.Package == DrainsOnly {
		surveys = 1
	}
	b.add(Preliminaries, "level_survey", "Record levels before stripping, and check them when finished", "item", surveys, "before and after, or once for drains alone")
	b.add(Preliminaries, "haul_route_protection", "Protect the route for machines", "m2", b.haulRouteM2, "{} m × {} m", b.haulRouteM, p.HaulRouteWidthM)
	b.add(Preliminaries, "haul_route_repair", "Repair the route for machines", "m2", b.haulRouteM2*p.HaulRouteRepairPct/100,
		"{} m² × {} %", b.haulRouteM2, p.HaulRouteRepairPct)
	if b.digs() {
		hours := 0.0
		for _, stage := range b.d.Programme.Stages {
			if stage.Name != SettingUp && stage.Name != MendSurrounds {
				hours += stage.GangHours
			}
		}
		b.days(Preliminaries, "laser_level", "Levels of formation, layers and surface", hours)
	}
}

func (b *bill) stripping() {
	p, area := b.p, b.in.AreaM2
	l := b.d.Lifting
	switch {
	case b.keepsTurf():
		b.days(Stripping, "turf_cutter", "Cut the existing turf", l.CutterGangH)
		b.labour(Stripping, "Cut the existing turf, with the cutter", l.CutterGangH*p.StrippingGangPersons,
			"{} m² ÷ {} m²/h × {} people", area, p.StrippingM2PerGangH, p.StrippingGangPersons)
		b.labour(Stripping, "Lift the turf and lay it out flat in one layer", l.LiftingH, "{} m² ÷ {} m²/h", area, p.LiftingM2PerPersonH)
		b.add(Stripping, "storage_sheet", "Sheet under the stored turf", "m2", l.SheetM2,
			"{} m² × (1 + {} % gaps) × (1 + {} % laps)", area, p.StorageGapPct, p.StorageSheetLapsPct)
		b.labour(Stripping, "Water the stored turf", l.WateringH, "{} days × {} m² × {} h ÷ 100 m²", l.WateringDays, area, p.StoredTurfWateringHPer100M2)
	case b.in.Package == DrainsOnly:
		strips, hours := b.stripsM2(), b.strippingHours(l)
		b.days(Stripping, "turf_cutter", "Cut turf over the trenches", hours)
		b.labour(Stripping, "Cut and set aside turf over the trenches", hours*p.StrippingGangPersons,
			"{} m² ÷ {} m²/h × {} people", strips, p.StrippingM2PerGangH, p.StrippingGangPersons)
	case b.stripsWithCutter():
		hours := b.strippingHours(l)
		b.days(Stripping, "turf_cutter", "Strip the old turf", hours)
		b.labour(Stripping, "Strip the old turf, with the cutter", hours*p.StrippingGangPersons,
			"{} m² ÷ {} m²/h × {} people", area, p.StrippingM2PerGangH, p.StrippingGangPersons)
	}
}

func (b *bill) excavating() {
	p, area, e := b.p, b.in.AreaM2, &b.d.Excavation
	b.add(Excavating, "excavator_with_dumper", "Excavate to formation and carry to the heap", "h", e.ExcavatorH,
		"{} m² ÷ {} m²/h × {} mm ÷ 450 mm", area, p.ExcavationM2PerH, e.ExcavatorDepthMM)
	b.add(Excavating, "spoil_disposal", "Take spoil away, measured loose", "m3", e.SpoilLooseM3,
		"({} m³ cavity + {} m³ trenches - {} m³ turf kept - {} m³ soil returned) × (1 + {} % bulking)",
		e.CavityM3, e.TrenchM3, e.KeptTurfM3, e.ReturnedSoilM3, p.BulkingPct)
	if b.in.Route == LayeredRebuild {
		depth := e.MeanDepthMM / 1000
		b.add(Excavating, "wall_barrier", "Barrier at the wall of the cavity", "m2", b.in.PerimeterM*depth*(1+p.WallBarrierOverlapPct/100),
			"{} m × {} m × (1 + {} % laps)", b.in.PerimeterM, depth, p.WallBarrierOverlapPct)
	}
}

func (b *bill) drainage() {
	if b.drains == nil {
		return
	}
	p, hours := b.p, 0.0
	waste := 1 + p.MaterialWastePct/100
	for i := range b.d.Trenches {
		t := &b.d.Trenches[i]
		words := t.Kind.words()
		b.add(Drainage, t.pipeItem(), words.pipe, "m", t.LengthM*(1+p.PipeWastePct/100), "{} m × (1 + {} %)", t.LengthM, p.PipeWastePct)
		b.add(Drainage, "drainage_gravel", words.gravel, "t", t.GravelT*waste,
			"({} m × {} m × {} m of gravel - {} m³ of pipe) × {} t/m³ × (1 + {} %)",
			t.LengthM, t.WidthMM/1000, t.gravelMM()/1000, t.PipeM3, p.GravelFirmDensityTPerM3, p.MaterialWastePct)
		b.add(Drainage, "slit_drain_sand", words.sand, "t", t.SandT*waste,
			"{} m³ × {} t/m³ × (1 + {} %)", t.SandM3, p.SlitSandFirmDensityTPerM3, p.MaterialWastePct)
		on := b.gangHoursOn(*t)
		hours += on
		b.labour(Drainage, words.dig, on*p.GangPersons, "{} m ÷ {} m/h × {} people", t.LengthM, t.LengthM/max(on, 1e-9), p.GangPersons)
	}
	b.days(Drainage, "trencher", "Cut trenches and slits", hours)
	b.add(Drainage, "pipe_fitting", "A junction and an end cap for each lateral, a cap and a connector for the main", "each",
		float64(2*b.drains.Laterals+2), "2 × {} + 2", float64(b.drains.Laterals))
	b.add(Drainage, "inspection_chamber", "Chambers on the main", "each", math.Ceil(p.InspectionChambersEach), "as many as the main needs")
}

// gravelMM is the depth of gravel in a trench, pipe included.
func (t *Trench) gravelMM() float64 {
	if t.LengthM <= 0 {
		return 0
	}
	return (t.GravelM3 + t.PipeM3) / (t.LengthM * t.WidthMM) * 1e6
}

// pipeItem is the priced item of the pipe in a trench; the outfall run is
// solid, since it must not soak the ground it crosses.
func (t *Trench) pipeItem() string {
	switch {
	case t.Kind == OutfallTrench && t.PipeMM == 150:
		return "solid_pipe_150_mm"
	case t.Kind == OutfallTrench:
		return "solid_pipe_100_mm"
	case t.PipeMM == 150:
		return "perforated_pipe_150_mm"
	case t.PipeMM == 100:
		return "perforated_pipe_100_mm"
	}
	return "perforated_pipe_60_mm"
}

// trenchWords are the descriptions of the lines of one kind of trench.
type trenchWords struct{ pipe, gravel, sand, dig string }

func (k TrenchKind) words() trenchWords {
	switch k {
	case OutfallTrench:
		return trenchWords{"Pipe to the outfall", "Gravel round the outfall pipe", "Sand over the outfall pipe", "Dig, pipe and fill the outfall run"}
	case MainTrench:
		return trenchWords{"Pipe of the main", "Gravel in the main trench", "Sand in the main trench", "Dig, pipe and fill the main"}
	case EdgeTrench:
		return trenchWords{"Pipe along the low edge", "Gravel in the edge trench", "Sand in the edge trench", "Dig, pipe and fill the edge drain"}
	case SlitTrench:
		return trenchWords{"Pipe in the slits", "Gravel in the slits", "Sand in the slits", "Cut and fill the slits"}
	default:
		return trenchWords{"Pipe of the laterals", "Gravel in the lateral trenches", "Sand in the lateral trenches", "Dig, pipe and fill the laterals"}
	}
}

func (b *bill) layering() {
	p, area, hours := b.p, b.in.AreaM2, 0.0
	for i := len(b.layers) - 1; i >= 0; i-- { // placed from the bottom up
		l := &b.layers[i]
		bulk := p.bulkOf(l.Name)
		words := l.Name.descriptions()
		b.add(Layering, bulk.item, words.material, "t", l.DeliveredT, "{} m² × {} m firm × {} t/m³ × (1 + {} %)",
			area, l.MeanDepthMM/1000, bulk.densityTPerM3, p.MaterialWastePct)
		rate, at := b.outputRate(l.Name)
		on := b.gangHours(*l)
		hours += on
		b.labour(Layering, words.place, on*p.GangPersons, "{} m² ÷ {} m²/h × {} mm ÷ {} mm × {} people", area, rate, l.MeanDepthMM, at, p.GangPersons)
	}
	b.add(Layering, "excavator_with_dumper", "Carry and tip the layers", "h", hours, "{} h, the gang's on all layers", hours)
	b.days(Layering, "plate_compactor", "Firm the layers", hours)
}

type layerWords struct{ material, place string }

func (n LayerName) descriptions() layerWords {
	switch n {
	case Gravel:
		return layerWords{"Gravel carpet", "Place and level the gravel carpet"}
	case Blinding:
		return layerWords{"Blinding", "Place and level the blinding"}
	default:
		return layerWords{"Root zone", "Place, firm and level the root zone"}
	}
}

func (b *bill) surroundings() {
	p := b.p
	sprinklers := 0.0
	if b.in.Route == LayeredRebuild || b.in.Package == TopAndDrains {
		sprinklers = math.Ceil(b.in.PerimeterM / p.SprinklerSpacingM)
	}
	if b.in.Sprinklers != nil {
		b.add(Irrigation, "sprinkler_reinstatement", "Take out, keep and reset sprinklers to the new levels", "each", float64(*b.in.Sprinklers), "as counted")
	} else {
		b.add(Irrigation, "sprinkler_reinstatement", "Take out, keep and reset sprinklers to the new levels", "each", sprinklers,
			"{} m ÷ {} m, rounded up", b.in.PerimeterM, p.SprinklerSpacingM)
	}
	if b.in.SurroundsM2 != nil {
		b.add(Surrounds, "surrounds_reinstatement", "Make good collar, apron and surrounds", "m2", b.surroundsM2, "as measured")
	} else {
		b.add(Surrounds, "surrounds_reinstatement", "Make good collar, apron and surrounds", "m2", b.surroundsM2,
			"{} m² × {} %", b.in.AreaM2, 100*b.surroundsM2/b.in.AreaM2)
	}
	b.add(TemporaryGreens, "temporary_green_preparation", "Prepare a temporary green, 6 to 12 months ahead", "m2", b.temporaryM2, "one green")
}

func (b *bill) tests() {
	p := b.p
	rootZone, gravel := 0.0, 0.0
	for _, l := range b.layers {
		switch l.Name {
		case RootZone:
			rootZone = l.DeliveredT
		case Gravel:
			gravel += l.DeliveredT
		}
	}
	for _, t := range b.d.Trenches {
		gravel += t.GravelT
	}
	if b.in.Package != ResurfaceOnly { // a skim of root zone is bought with its maker's certificate
		b.add(Tests, "root_zone_laboratory_test", "Root zone: approval, then delivery", "each", testsFor(rootZone, p.RootZoneTPerTest),
			"1 + {} t ÷ {} t, rounded up", rootZone, p.RootZoneTPerTest)
		if rootZone > 0 {
			b.add(Tests, "organic_matter_laboratory_test", "Organic matter of the root zone", "each", math.Ceil(p.OrganicMatterTestsEach), "with the approval")
		}
	}
	b.add(Tests, "gravel_laboratory_test", "Gravel: approval, then delivery", "each", testsFor(gravel, p.GravelTPerTest),
		"1 + {} t ÷ {} t, rounded up", gravel, p.GravelTPerTest)
	spoil := b.d.Excavation.SpoilBankM3
	b.add(Tests, "spoil_classification_test", "Classify spoil before it leaves the site", "each", math.Ceil(spoil/p.SpoilM3PerTest),
		"{} m³ ÷ {} m³, rounded up", spoil, p.SpoilM3PerTest)
}

// testsFor is one test for approval and one for each lot delivered.
func testsFor(tonnes, perTest float64) float64 {
	if tonnes <= 0 {
		return 0
	}
	return 1 + math.Ceil(tonnes/perTest)
}
