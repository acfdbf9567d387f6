package model

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"swardcase/model/aeration"
)

// TestAProgrammeThatIsShownCanBeStated: the programmes of an answer, put into the
// case that gave it, change nothing.
func TestAProgrammeThatIsShownCanBeStated(t *testing.T) {
	for _, name := range demoCases {
		c := readCase(t, name)
		before := mustForecast(t, c)
		c.Upkeep.Operations, c.Upkeep.SandTPerHaPerYear = nil, nil
		c.Upkeep.PresentProgramme, c.Upkeep.IntensifiedProgramme = &before.Programmes[0].Programme, &before.Programmes[1].Programme
		after := mustForecast(t, c)
		if diff := cmp.Diff(asJSON(t, before.Options), asJSON(t, after.Options)); diff != "" {
			t.Errorf("%s: (- short account, + in full)\n%s", name, diff)
		}
		if diff := cmp.Diff(asJSON(t, before.Programmes), asJSON(t, after.Programmes)); diff != "" {
			t.Errorf("%s: (- short account, + in full)\n%s", name, diff)
		}
	}
}

// TestAnEditedProgrammeMovesTheForecast: more sand lowers organic matter at the
// surface, leaner feeding makes less of it, and both show in the money.
func TestAnEditedProgrammeMovesTheForecast(t *testing.T) {
	edit := func(change func(*aeration.Programme)) Appraisal {
		c := readCase(t, "green_04")
		programme := mustForecast(t, c).Programmes[1].Programme
		for i := range programme.Works {
			programme.Works[i].DressingMM = nil // the dressings share the year's sand
		}
		change(&programme)
		c.Upkeep.IntensifiedProgramme = &programme
		return mustAppraise(t, c)
	}
	at := func(a Appraisal) (organicPct, sandTPerHa, upkeep float64) {
		o := a.option(t, Option(IntensifiedAeration))
		return o.Forecast.Years[4].OrganicMatterTop20MMPct, a.Programmes[1].SandTPerHaPerYear, o.Money.YearlyUpkeep.Float()
	}
	organic, sand, upkeep := at(edit(func(*aeration.Programme) {}))
	more, fed := 180.0, 200.0
	organicSanded, sandSanded, upkeepSanded := at(edit(func(p *aeration.Programme) { p.SandTPerHaPerYear = &more }))
	if organicSanded >= organic || sandSanded <= sand || upkeepSanded <= upkeep {
		t.Errorf("180 t/ha of sand: organic matter %.2f (%.2f), sand %.0f (%.0f), upkeep %.0f (%.0f)", organicSanded, organic, sandSanded, sand, upkeepSanded, upkeep)
	}
	organicFed, _, upkeepFed := at(edit(func(p *aeration.Programme) { p.NitrogenKGPerHaPerYear = &fed }))
	if organicFed <= organic || upkeepFed <= upkeep {
		t.Errorf("200 kg/ha of nitrogen: organic matter %.2f (%.2f), upkeep %.0f (%.0f)", organicFed, organic, upkeepFed, upkeep)
	}
}

// TestFaultsOfAProgrammeAreNamedInIt, whichever of the two it is, and nothing that
// was written is passed over.
func TestFaultsOfAProgrammeAreNamedInIt(t *testing.T) {
	c := readCase(t, "green_04")
	often := 100.0
	c.Upkeep.IntensifiedProgramme = &aeration.Programme{Works: []aeration.Work{{Operation: aeration.TopDressing, TimesPerYear: &often}}}
	if _, err := Forecasts(c, testCurves); !hasFault(err, "/upkeep/intensified_programme/works/0/times_per_year") {
		t.Errorf("got %v", err)
	}
	c = readCase(t, "green_04")
	c.Upkeep.PresentProgramme = &aeration.Programme{Works: []aeration.Work{{Operation: aeration.MolePloughing}}}
	_, err := Forecasts(c, testCurves)
	if !hasFault(err, "/upkeep/operations") || !hasFault(err, "/upkeep/sand_t_per_ha_per_year") {
		t.Errorf("two accounts of one programme: got %v", err)
	}
	c.Upkeep.Operations, c.Upkeep.SandTPerHaPerYear = nil, nil
	if _, err := Forecasts(c, testCurves); !hasFault(err, "/upkeep/present_programme/works/0/operation") {
		t.Errorf("mole ploughing where it is not known to be safe: got %v", err)
	}
}
