package model

import (
	"swardcase/model/aeration"
	"swardcase/model/fault"
)

// programmes are the three yearly programmes that options are kept up by.
type programmes struct {
	written     []aeration.Programme // the three as a case would state them, every default written in
	present     aeration.Calendar    // what the club does now
	intensified aeration.Calendar    // the fair trial
	afterWorks  aeration.Calendar    // what a renovated or rebuilt green needs to last
}

// buildProgrammes makes the calendars. The programme after works is the usual
// present one with the sand that a new root zone needs if its rate is to hold:
// a working life assumes it.
func (r Resolved) buildProgrammes() (programmes, error) {
	p := aeration.ParametersFrom(r.assumptions)
	var faults fault.List
	var out programmes
	build := func(code string, programme aeration.Programme, homes ...[2]string) aeration.Calendar {
		in := r.aerationInput(programme)
		in.Programme.Name = code
		calendar, bad := aeration.Build(in, p)
		faults = append(faults, r.home(bad, homes...)...)
		programme.Works = make([]aeration.Work, len(calendar.Lines))
		for i, line := range calendar.Lines {
			programme.Works[i] = line.Work
		}
		out.written = append(out.written, programme)
		return calendar
	}
	present, homes := r.presentProgramme(p)
	out.present = build("present", present, homes...)
	intensified, homes := r.intensifiedProgramme(p)
	out.intensified = build("intensified", intensified, homes...)
	afterWorks := aeration.TypicalPresent(r.southern(), p)
	sand := max(r.assumptions.Likely("sand_after_works_t_per_ha_per_year"), valueOr(present.SandTPerHaPerYear, 0))
	afterWorks.Name, afterWorks.SandTPerHaPerYear = "", &sand
	out.afterWorks = build("after_works", afterWorks, [2]string{"", "/assumptions"})
	return out, faults.Err()
}

// presentProgramme is what the club does now: its own programme in full, or made
// from its short account. It also tells where the faults of each part belong.
func (r Resolved) presentProgramme(p aeration.Parameters) (aeration.Programme, [][2]string) {
	ground := [][2]string{{"/soil", "/survey/organic_matter"}, {"", "/green"}}
	if own := r.Case.Upkeep.PresentProgramme; own != nil {
		return *own, append([][2]string{{"/programme", "/upkeep/present_programme"}}, ground...)
	}
	programme := aeration.FromUpkeep(r.presentUpkeep(), p)
	programme.Name = ""
	return programme, append([][2]string{{"/programme/works", "/upkeep/operations"}, {"/programme", "/upkeep"}}, ground...)
}

// intensifiedProgramme is the case's, or the built-in one.
func (r Resolved) intensifiedProgramme(p aeration.Parameters) (aeration.Programme, [][2]string) {
	if own := r.Case.Upkeep.IntensifiedProgramme; own != nil {
		return *own, [][2]string{{"/programme", "/upkeep/intensified_programme"}, {"", "/green"}}
	}
	programme := aeration.Intensified(r.southern(), p)
	programme.Name = ""
	return programme, [][2]string{{"", "/assumptions"}}
}

// all lists the calendars in a fixed order.
func (p programmes) all() []aeration.Calendar {
	return []aeration.Calendar{p.present, p.intensified, p.afterWorks}
}

// of picks the programme that keeps an option up.
func (p programmes) of(o Option) aeration.Calendar {
	switch {
	case o == Yardstick:
		return p.present
	case o.HasWorks():
		return p.afterWorks
	default:
		return p.intensified
	}
}

func (r Resolved) presentUpkeep() aeration.Upkeep {
	upkeep := aeration.Upkeep{SandTPerHaPerYear: r.Case.Upkeep.SandTPerHaPerYear}
	for _, line := range r.Case.Upkeep.Operations {
		upkeep.Operations = append(upkeep.Operations, aeration.UpkeepOperation{
			Operation: aeration.Operation(line.Operation), TimesPerYear: line.TimesPerYear,
		})
	}
	return upkeep
}

// aerationInput describes the green to a programme: its growth by month, the
// organic matter that cores would lift, and what lies in the way of tines.
func (r Resolved) aerationInput(programme aeration.Programme) aeration.Input {
	green := r.Case.Green
	in := aeration.Input{
		Programme:              programme,
		AreaM2:                 green.AreaM2,
		GrowthPotentialByMonth: r.growthPotentialByMonth(),
		Southern:               r.southern(),
	}
	outfall := green.Outfall.State == OutfallFree || green.Outfall.State == OutfallBlocked
	if green.Outfall.State != OutfallNotKnown {
		in.Ground.HasOutfall = &outfall
	}
	if green.HasDrains {
		depth := valueOr(green.Drains.DepthMM, r.assumptions.Likely("existing_drain_depth_mm"))
		in.Ground.BuriedFromMM = &depth
	}
	if len(green.SoilLayers) > 0 {
		lowest := green.SoilLayers[len(green.SoilLayers)-1]
		in.Ground.ClayPct, in.Ground.Stony = lowest.ClayPct, &lowest.Stony
	}
	return in
}

func valueOr(value *float64, otherwise float64) float64 {
	if value != nil {
		return *value
	}
	return otherwise
}
