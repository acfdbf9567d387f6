// Package model is the business case for a sward: what is known of one green
// (a Case), how bad it is (JudgeCondition), what the works would be built as
// (DesignWorks), what each option would take and give, and which one the
// evidence favours (Appraise).
//
// Everything here is a pure function of the case: no clock, no random source,
// no store and no network. The same resolved case and the same engine version
// give the same result.
//
// The sub-packages each answer one question and know nothing of one another;
// this package composes them in the order
//
//	case → survey → condition → designs → forecast → money → comparison → recommendation
package model

import (
	"swardcase/costs"
	"swardcase/model/aeration"
	"swardcase/model/assumption"
	"swardcase/model/climate"
	"swardcase/model/condition"
	"swardcase/model/layered"
	"swardcase/model/outline"
	"swardcase/model/survey"
)

// EngineVersion names the computation. It rises whenever the same case would
// give another result, so that a stored result can be told from a changed
// engine; a golden test holds it to that.
const EngineVersion = "14"

// CaseFormat is the version of the case document that this engine writes.
// Older formats stay readable.
const CaseFormat = 1

// Case is everything known about one green and what the club wants of it.
// The contract (schema Case) bounds each field; Resolve checks what the
// contract cannot and writes every default in.
type Case struct {
	CaseFormat   int           `json:"case_format"`
	Title        string        `json:"title,omitempty"`
	Site         Site          `json:"site"`
	Green        Green         `json:"green"`
	Survey       survey.Survey `json:"survey"`
	Upkeep       Upkeep        `json:"upkeep,omitzero"`
	Requirements Requirements  `json:"requirements,omitzero"`
	Available    *Available    `json:"available,omitempty"`
	Choices      Choices       `json:"choices,omitzero"`
	Money        *MoneyTerms   `json:"money,omitempty"`
	// Materials are laboratory results of the gravel, blinding and root zone.
	Materials *layered.MaterialSamples `json:"materials,omitempty"`
	// Confidence is how the answer is tried by draws.
	Confidence  *ConfidenceSettings   `json:"confidence,omitempty"`
	Scales      *condition.Scales     `json:"scales,omitempty"`
	Assumptions []assumption.Override `json:"assumptions,omitempty"`
}

// Site is where the course lies.
type Site struct {
	// LatitudeDeg is in degrees, north positive, -66 to 66.
	LatitudeDeg float64         `json:"latitude_deg"`
	Climate     climate.Climate `json:"climate"`
}

// Upkeep is what is done to the green now and what has been tried.
type Upkeep struct {
	Operations []UpkeepOperation `json:"operations,omitempty"`
	// SandTPerHaPerYear is top-dressing sand in tonnes per hectare a year.
	SandTPerHaPerYear *float64 `json:"sand_t_per_ha_per_year,omitempty"`
	// PresentProgramme is the present programme in full, in place of the list of
	// operations and the sand; IntensifiedProgramme takes the place of the
	// built-in intensified one.
	PresentProgramme     *aeration.Programme `json:"present_programme,omitempty"`
	IntensifiedProgramme *aeration.Programme `json:"intensified_programme,omitempty"`
	// CostPerYear, when the club knows it, replaces the priced programme as
	// the base that other options' upkeep is added to or taken from.
	CostPerYear *costs.Money    `json:"cost_per_year,omitempty"`
	Trial       *ProgrammeTrial `json:"trial,omitempty"`
}

// UpkeepOperation is one operation of the present programme.
type UpkeepOperation struct {
	Operation    string  `json:"operation"`
	TimesPerYear float64 `json:"times_per_year"`
}

// ProgrammeTrial is an intensified programme that has already been tried on
// this green.
type ProgrammeTrial = condition.ProgrammeTrial

// Requirements are what the club insists on; each may be left out.
type Requirements struct {
	LeastMonthsPlayable      *float64     `json:"least_months_playable,omitempty"`
	LeastIndex               *float64     `json:"least_index,omitempty"`
	MostMonthsOutOfPlay      *float64     `json:"most_months_out_of_play,omitempty"`
	MostAnnualMeadowGrassPct *float64     `json:"most_annual_meadow_grass_pct,omitempty"`
	CapitalCeiling           *costs.Money `json:"capital_ceiling,omitempty"`
}

// Available is what the club has to work with.
type Available struct {
	// FirstMonth is the first calendar month in which works could begin; money
	// and payback are counted from its first day.
	FirstMonth                  costs.YearMonth `json:"first_month"`
	NurseryTurfM2               *float64        `json:"nursery_turf_m2,omitempty"`
	NurseryTurfSurplusM2PerYear *float64        `json:"nursery_turf_surplus_m2_per_year,omitempty"`
	OwnLabourHPerWeek           *float64        `json:"own_labour_h_per_week,omitempty"`
	FlatStorageM2               *float64        `json:"flat_storage_m2,omitempty"`
	TemporaryGreen              bool            `json:"temporary_green,omitempty"`
}

// Choices are the consultant's decisions and expectations, where they differ
// from the defaults.
type Choices struct {
	PartialRenovationPackage string   `json:"partial_renovation_package,omitempty"`
	PartialRenovationDepthMM *float64 `json:"partial_renovation_depth_mm,omitempty"`
	SupplierTurfSoil         string   `json:"supplier_turf_soil,omitempty"`
	// CutThicknessMM is the thickness at which the turf is lifted: a thin cut
	// leaves most of the thatch behind.
	CutThicknessMM *float64             `json:"cut_thickness_mm,omitempty"`
	LayerDepths    *layered.LayerDepths `json:"layer_depths,omitempty"`
	Slits          *layered.Slits       `json:"slits,omitempty"`
	// Drains need an outline to be drawn in.
	Drains       *outline.Options `json:"drains,omitempty"`
	Expectations []Expectation    `json:"expectations,omitempty"`
}

// Expectation is what the consultant expects of one option. It overrides the
// forecast; the appraisal shows both.
type Expectation struct {
	Option           Option   `json:"option"`
	MonthsPlayable   *float64 `json:"months_playable,omitempty"`
	WorkingLifeYears *float64 `json:"working_life_years,omitempty"`
	Reason           string   `json:"reason,omitempty"`
}
