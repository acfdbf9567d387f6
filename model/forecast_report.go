package model

import (
	"swardcase/costs"
	"swardcase/model/aeration"
)

// ForecastReport is what each option does to the green, year by year, without
// what it costs.
type ForecastReport struct {
	EngineVersion string `json:"engine_version"`
	Title         string `json:"title,omitempty"`
	Green         string `json:"green"`
	// FirstMonth is the month from which years are counted.
	FirstMonth costs.YearMonth `json:"first_month"`
	// LeastMonthsPlayable is the club's requirement; null where it has none.
	LeastMonthsPlayable *float64 `json:"least_months_playable"`
	LostDays            LostDays `json:"lost_days"`
	// CeilingMonths is the most that work on this green could give: every day
	// that neither the rest of the course, frost, policy nor works take.
	CeilingMonths float64          `json:"ceiling_months"`
	Weather       Weather          `json:"weather"`
	Calibration   Calibration      `json:"calibration"`
	Programmes    []ProgrammeYear  `json:"programmes"`
	Options       []ForecastOption `json:"options"`
	Cautions      []string         `json:"cautions"`
}

// ProgrammeYear is a year's upkeep and what it does, as a working life assumes
// it.
type ProgrammeYear struct {
	// Name is the code by which options name it.
	Name string `json:"name"`
	// Programme is the programme as a case would state it, every default written
	// in: the place to start from for an edited one.
	Programme             aeration.Programme `json:"programme"`
	SandTPerHaPerYear     float64            `json:"sand_t_per_ha_per_year"`
	CoredAreaPctPerYear   float64            `json:"cored_area_pct_per_year"`
	DisturbedWeeksPerYear float64            `json:"disturbed_weeks_per_year"`
	// FeedingAndIrrigation is what changes against ordinary upkeep, and what that
	// is taken to do to growth, organic matter and annual meadow grass.
	FeedingAndIrrigation aeration.FeedingAndIrrigation `json:"feeding_and_irrigation"`
	Targets              []aeration.Target             `json:"targets"`
	Warnings             []aeration.Warning            `json:"warnings"`
}

// ForecastOption is the forecast of one option.
type ForecastOption struct {
	Option        Option `json:"option"`
	Words         string `json:"words"`
	Package       string `json:"package,omitempty"`
	PackageReason string `json:"package_reason,omitempty"`
	// Programme names the yearly programme that the option is kept up by.
	Programme       string    `json:"programme"`
	Timeline        *Timeline `json:"timeline"`
	MonthsOutOfPlay float64   `json:"months_out_of_play"`
	Forecast        Forecast  `json:"forecast"`
	// Infeasible lists why the option cannot be done; its forecast then says what
	// it would do if it could.
	Infeasible []Reason `json:"infeasible"`
}

// Forecasts resolves a case and follows the green through the horizon under the
// yardstick and the seven options. It needs no terms of money: the horizon is
// then the usual one. The error is a fault.List when the case has faults.
func Forecasts(c Case, keeper CurveKeeper) (ForecastReport, error) {
	a, err := newAppraiser(c, nil)
	if err != nil {
		return ForecastReport{}, err
	}
	if err := a.openForecasts(keeper); err != nil {
		return ForecastReport{}, err
	}
	report := ForecastReport{
		EngineVersion:       EngineVersion,
		Title:               a.Case.Title,
		Green:               a.Case.Green.Name,
		FirstMonth:          a.Case.Available.FirstMonth,
		LeastMonthsPlayable: a.Case.Requirements.LeastMonthsPlayable,
		LostDays:            a.report.LostDays,
		CeilingMonths:       roundTo(a.report.LostDays.mostMonthsPlayable(), 10_000),
		Weather:             a.weatherBasis(),
		Calibration:         a.calibration(),
		Cautions:            forecastCautions(),
	}
	for i := range a.programmes.all() {
		report.Programmes = append(report.Programmes, a.programmes.year(i))
	}
	for _, option := range Options() {
		out, err := a.appraiseOption(option)
		if err != nil {
			return ForecastReport{}, err
		}
		report.Options = append(report.Options, ForecastOption{
			Option: option, Words: out.Words, Package: out.Package, PackageReason: out.PackageReason,
			Programme: out.Programme, Timeline: out.Timeline, MonthsOutOfPlay: out.MonthsOutOfPlay,
			Forecast: out.Forecast, Infeasible: out.Infeasible,
		})
	}
	return report, nil
}

// year is one of the programmes, in the order of all.
func (p programmes) year(i int) ProgrammeYear {
	c := p.all()[i]
	return ProgrammeYear{
		Name:                  c.ProgrammeName,
		Programme:             p.written[i],
		SandTPerHaPerYear:     c.Totals.Amounts.SandTPerHa,
		CoredAreaPctPerYear:   c.Totals.Amounts.CoredAreaPct,
		DisturbedWeeksPerYear: c.Totals.DisturbedDays / 7,
		FeedingAndIrrigation:  c.FeedingAndIrrigation,
		Targets:               c.Targets,
		Warnings:              c.Warnings,
	}
}

func forecastCautions() []string {
	return []string{
		"A forecast is a mean over many years of weather, not a promise for any one of them: beyond ten years read it as a direction.",
		"Months playable means open on the main green, not perfect putting. Months out of play means this green on a temporary, not the course shut.",
		"It rests on the programme named beside each option being carried out every year.",
		"Before money is committed: independent advice, laboratory tests of sand and root zone, and ring tests on the green when it is wet.",
	}
}
