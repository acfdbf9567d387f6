package layered

// StageName is one stage of the works.
type StageName string

// The stages, in their order.
const (
	SettingUp      StageName = "setting_up"
	StripTurf      StageName = "strip_turf"
	Excavate       StageName = "excavate"
	LayDrains      StageName = "lay_drains"
	PlaceGravel    StageName = "place_gravel"
	PlaceBlinding  StageName = "place_blinding"
	PlaceRootZone  StageName = "place_root_zone"
	MakeSurface    StageName = "make_surface"
	MendSurrounds  StageName = "mend_surrounds"
	FinishAndClear StageName = "finish_and_clear"
)

// Range is low, likely and high.
type Range struct {
	Low    float64 `json:"low"`
	Likely float64 `json:"likely"`
	High   float64 `json:"high"`
}

func (r Range) times(k float64) Range { return Range{r.Low * k, r.Likely * k, r.High * k} }

func (r Range) plus(o Range) Range { return Range{r.Low + o.Low, r.Likely + o.Likely, r.High + o.High} }

// Stage is one stage with its length. GangHours is the time a gang works on it;
// the weeks add what weather, deliveries and waiting take.
type Stage struct {
	Name      StageName `json:"name"`
	GangHours float64   `json:"gang_hours"`
	Weeks     Range     `json:"weeks"`
}

// Programme is the works, stage after stage.
type Programme struct {
	Stages  []Stage `json:"stages"`
	Weeks   Range   `json:"weeks"`
	Winter  bool    `json:"winter"` // started in November to February, and lengthened for it
	Working string  `json:"working"`
}

// winter months begin and end the year; works that start in them take longer.
func winter(month int) bool { return month == 11 || month == 12 || month == 1 || month == 2 }

// programme puts the stages in order. Weeks are gang hours ÷ (hours in a week ×
// share of them that is productive); the low length takes the high share.
func (s *scheme) programme(d *Design) Programme {
	p := s.p
	fixed := 1.0
	if s.in.Route == PartialRenovation {
		fixed = p.PartialFixedWeeksShare
	}
	season := 1.0
	if winter(s.in.StartMonth) {
		season = 1 + p.WinterExtraPct/100
	}
	out := Programme{Stages: make([]Stage, 0, 10), Winter: season > 1}
	add := func(name StageName, hours float64, weeks Range) {
		weeks = weeks.plus(Range{hours / p.ProductiveShareHigh, hours / p.ProductiveShare, hours / p.ProductiveShareLow}.
			times(1 / p.WorkingWeekH)).times(season)
		if weeks.High > 0 {
			out.Stages = append(out.Stages, Stage{name, hours, weeks})
			out.Weeks = out.Weeks.plus(weeks)
		}
	}
	add(SettingUp, 0, Range{p.SettingUpWeeksLow, p.SettingUpWeeks, p.SettingUpWeeksHigh}.times(fixed))
	add(StripTurf, s.strippingHours(d.Lifting), Range{})
	add(Excavate, d.Excavation.ExcavatorH, Range{})
	add(LayDrains, s.trenchHours(d.Trenches), Range{})
	for i := len(s.layers) - 1; i >= 0; i-- { // from the bottom up
		add(stageOf(s.layers[i].Name), s.gangHours(s.layers[i]), Range{})
	}
	add(MakeSurface, s.surfacingHours(d), Range{})
	add(MendSurrounds, s.surroundsM2/p.SurroundsM2PerGangH, Range{})
	add(FinishAndClear, 0, Range{p.FinishingWeeksLow, p.FinishingWeeks, p.FinishingWeeksHigh}.times(fixed))
	out.Working = sentence("gang hours ÷ ({} h a week × {} productive) for each stage, {} weeks to set up and {} to finish, × {} for the season: {} weeks",
		p.WorkingWeekH, p.ProductiveShare, p.SettingUpWeeks*fixed, p.FinishingWeeks*fixed, season, out.Weeks.Likely)
	return out
}

func stageOf(name LayerName) StageName {
	switch name {
	case Gravel:
		return PlaceGravel
	case Blinding:
		return PlaceBlinding
	default:
		return PlaceRootZone
	}
}

// strippingHours is elapsed time: cutting and carrying go on together, so the
// slower of the two rules.
func (s *scheme) strippingHours(l *Lifting) float64 {
	p := s.p
	switch {
	case s.keepsTurf():
		return max(l.CutterGangH, l.LiftingH/p.GangPersons)
	case s.in.Package == DrainsOnly:
		return s.stripsM2() / p.StrippingM2PerGangH
	case s.stripsWithCutter():
		return s.in.AreaM2 / p.StrippingM2PerGangH
	}
	return 0
}

// trenchHours is the gang's time on all trenches.
func (s *scheme) trenchHours(trenches []Trench) float64 {
	hours := 0.0
	for _, t := range trenches {
		hours += s.gangHoursOn(t)
	}
	return hours
}

func (s *scheme) gangHoursOn(t Trench) float64 {
	if t.Kind == SlitTrench {
		return t.LengthM / s.p.SlitTrenchMPerGangH
	}
	return t.LengthM / s.p.DrainTrenchMPerGangH
}

// surfacingHours is the gang's time to lay turf or sow; nursery turf is lifted,
// and stored turf carried back, as it is laid.
func (s *scheme) surfacingHours(d *Design) float64 {
	hours := d.Covering.LayingH
	switch {
	case s.in.Surface == NurseryTurf:
		hours += d.Lifting.LiftingH
	case s.keepsTurf():
		hours += d.Lifting.CarryBackH
	}
	return hours / s.p.GangPersons
}

// storedWeeks is the likely time between stripping and laying.
func (p Programme) storedWeeks() float64 {
	weeks := 0.0
	for _, stage := range p.Stages {
		switch stage.Name {
		case Excavate, LayDrains, PlaceGravel, PlaceBlinding, PlaceRootZone:
			weeks += stage.Weeks.Likely
		}
	}
	return weeks
}
