package layered

import (
	"fmt"

	"swardcase/model/assumption"
	"swardcase/model/fault"
)

// Parameters are the constants that a design takes on trust, each from the
// table of assumptions, where its meaning, range and source stand. The unit is
// in the field's name. They are plain numbers so that a draw can vary them.
type Parameters struct {
	// Depths and falls.
	RootZoneDepthMM           float64
	BlindingDepthMM           float64
	GravelDepthMM             float64
	GravelEvennessAllowanceMM float64
	TopDepthMM                float64
	LeastFallPct              float64

	// Drains.
	LateralSpacingM        float64
	EdgeDrainShare         float64
	OutfallRunM            float64
	Main100LargestGreenM2  float64
	TrenchWidthMM          float64
	TrenchDepthMM          float64
	OutfallTrenchWidthMM   float64
	OutfallTrenchDepthMM   float64
	OutfallBeddingDepthMM  float64
	Pipe60OutsideMM        float64
	Pipe100OutsideMM       float64
	Pipe150OutsideMM       float64
	PipeWastePct           float64
	InspectionChambersEach float64

	// Slit drains.
	SlitSpacingM           float64
	SlitLeastSpacingM      float64
	SlitWidthMM            float64
	SlitDepthMM            float64
	SlitGravelDepthMM      float64
	SlitPipeLeastWidthMM   float64
	SlitTurfStripWidthMM   float64
	SlitSandOverlapMM      float64
	SlitDesignRateMMPerDay float64
	SlitWaterTableDepthMM  float64

	// Materials.
	GravelFirmDensityTPerM3   float64
	GravelSettlementPct       float64
	BlindingFirmDensityTPerM3 float64
	BlindingSettlementPct     float64
	RootZoneFirmDensityTPerM3 float64
	RootZoneSettlementPct     float64
	SlitSandFirmDensityTPerM3 float64
	MaterialWastePct          float64
	BulkingPct                float64
	LorryLoadM3               float64
	WallBarrierOverlapPct     float64

	// Output rates.
	StrippingM2PerGangH      float64
	StrippingGangPersons     float64
	LiftingM2PerPersonH      float64
	CarryingBackM2PerPersonH float64
	ExcavationM2PerH         float64
	DrainTrenchMPerGangH     float64
	SlitTrenchMPerGangH      float64
	GravelM2PerGangH         float64
	BlindingM2PerGangH       float64
	RootZoneM2PerGangH       float64
	LayingTurfM2PerPersonH   float64
	SowingM2PerPersonH       float64
	SurroundsM2PerGangH      float64
	GangPersons              float64
	SkilledSharePct          float64
	WorksDayH                float64
	WorkingWeekH             float64
	ProductiveShare          float64
	SettingUpWeeks           float64
	FinishingWeeks           float64
	PartialFixedWeeksShare   float64
	WinterExtraPct           float64

	// Turf and seed.
	WasteSupplierTurfPct        float64
	WasteNurseryTurfPct         float64
	WasteExistingTurfPct        float64
	WasteSeedPct                float64
	CutThicknessMM              float64
	ThatchTravellingShare       float64
	WashedTurfThicknessMM       float64
	SandTurfThicknessMM         float64
	SoilTurfThicknessMM         float64
	NurseryTurfThicknessMM      float64
	TurfRollM2                  float64
	StorageGapPct               float64
	StorageSheetLapsPct         float64
	StoredTurfWateringShare     float64
	StoredTurfWateringHPer100M2 float64
	SeedRateGPerM2              float64
	StarterNitrogenKgPerHa      float64
	FertiliserNitrogenPct       float64

	// Around the works.
	SurroundsSharePct           float64
	LightWorksSurroundsSharePct float64
	HaulRouteM                  float64
	HaulRouteWidthM             float64
	HaulRouteRepairPct          float64
	TemporaryGreenM2            float64
	SprinklerSpacingM           float64
	RootZoneTPerTest            float64
	GravelTPerTest              float64
	SpoilM3PerTest              float64
	OrganicMatterTestsEach      float64

	// Aftercare.
	NitrogenFirstYearKgPerHa    float64
	NitrogenSecondYearKgPerHa   float64
	NitrogenOrdinaryKgPerHa     float64
	OrdinaryUpkeepHPerM2PerYear float64
	AftercareHoursFactorYear1   float64
	AftercareHoursFactorYear2   float64
	HandWateringHPer100M2       float64
	HandWateringYear2Share      float64
	LightDressingsYear1         float64
	LightDressingsYear2         float64
	LightDressingDepthMM        float64
	DressingSandDensityTPerM3   float64

	// Working life.
	LifePartialRenovationYears float64
	LifeLayeredRebuildYears    float64

	// The far ends of three assumptions, from which the quickest and the slowest
	// programme of works are made.
	ProductiveShareLow, ProductiveShareHigh float64
	SettingUpWeeksLow, SettingUpWeeksHigh   float64
	FinishingWeeksLow, FinishingWeeksHigh   float64
	// The ends of the working lives.
	LifePartialRenovationYearsLow, LifePartialRenovationYearsHigh float64
	LifeLayeredRebuildYearsLow, LifeLayeredRebuildYearsHigh       float64
}

// parameter ties a field to its assumption and to the bounds within which the
// arithmetic makes sense (no rate of nothing, no density of a cloud).
type parameter struct {
	name        string
	field       func(*Parameters) *float64
	least, most float64
}

// ParametersFrom takes the likely values (and the ends of the ranges named in
// Parameters) out of the table.
func ParametersFrom(set assumption.Set) Parameters {
	var p Parameters
	for i := range parameters {
		*parameters[i].field(&p) = set.Likely(parameters[i].name)
	}
	ends := func(name string, low, high *float64) {
		a := set.Get(name)
		*low, *high = a.Low, a.High
	}
	ends("productive_share", &p.ProductiveShareLow, &p.ProductiveShareHigh)
	ends("setting_up_weeks", &p.SettingUpWeeksLow, &p.SettingUpWeeksHigh)
	ends("finishing_weeks", &p.FinishingWeeksLow, &p.FinishingWeeksHigh)
	ends("life_partial_renovation_years", &p.LifePartialRenovationYearsLow, &p.LifePartialRenovationYearsHigh)
	ends("life_layered_rebuild_years", &p.LifeLayeredRebuildYearsLow, &p.LifeLayeredRebuildYearsHigh)
	return p
}

// check refuses what an override in a case could do to the arithmetic.
func (p *Parameters) check(faults *fault.List) {
	for i := range parameters {
		row := &parameters[i]
		value := *row.field(p)
		if !within(value, row.least, row.most) {
			faults.Add("/assumptions", value, row.name+" is outside what the arithmetic can use",
				fmt.Sprintf("give %s between %g and %g", row.name, row.least, row.most))
		}
	}
	ends := [...]struct {
		name                   string
		low, high, least, most float64
	}{
		{"productive_share", p.ProductiveShareLow, p.ProductiveShareHigh, 0.05, 1},
		{"setting_up_weeks", p.SettingUpWeeksLow, p.SettingUpWeeksHigh, 0, 10},
		{"finishing_weeks", p.FinishingWeeksLow, p.FinishingWeeksHigh, 0, 10},
		{"life_partial_renovation_years", p.LifePartialRenovationYearsLow, p.LifePartialRenovationYearsHigh, 1, 60},
		{"life_layered_rebuild_years", p.LifeLayeredRebuildYearsLow, p.LifeLayeredRebuildYearsHigh, 1, 60},
	}
	for _, end := range ends {
		if !within(end.low, end.least, end.most) || !within(end.high, end.least, end.most) {
			faults.Add("/assumptions", end.low, "the range of "+end.name+" is outside what the arithmetic can use",
				fmt.Sprintf("give low and high of %s between %g and %g", end.name, end.least, end.most))
		}
	}
}

// within is false for what is not a number.
func within(value, least, most float64) bool {
	return value >= least && value <= most
}
