package aeration

import "fmt"

// FeedingAndIrrigation is how a programme changes feeding and watering against
// ordinary upkeep, and what that is taken to do. Changes may be negative.
type FeedingAndIrrigation struct {
	NitrogenKGPerHaPerYear       float64 `json:"nitrogen_kg_per_ha_per_year"`
	NitrogenChangeKGPerHaPerYear float64 `json:"nitrogen_change_kg_per_ha_per_year"`
	FertiliserChangeKGPerYear    float64 `json:"fertiliser_change_kg_per_year"`
	IrrigationMMPerYear          float64 `json:"irrigation_mm_per_year"`
	IrrigationChangeMMPerYear    float64 `json:"irrigation_change_mm_per_year"`
	WaterChangeM3PerYear         float64 `json:"water_change_m3_per_year"`
	HandWateringHPerYear         float64 `json:"hand_watering_h_per_year"`
	Effect                       Effect  `json:"effect"`
}

// Effect is what a programme's feeding, irrigation and seed are taken to do.
type Effect struct {
	// GrowthMultiplier is growth over growth under ordinary upkeep.
	GrowthMultiplier float64 `json:"growth_multiplier"`
	// OrganicMatterMultiplier is organic matter made, over ordinary upkeep's.
	OrganicMatterMultiplier float64 `json:"organic_matter_multiplier"`
	// AnnualMeadowGrassFallPctPointsPerYear is 0 or more.
	AnnualMeadowGrassFallPctPointsPerYear float64  `json:"annual_meadow_grass_fall_pct_points_per_year"`
	Reasons                               []string `json:"reasons"`
}

func feedingAndIrrigation(in Input, year Amounts, overseedings float64, p Parameters) FeedingAndIrrigation {
	f := FeedingAndIrrigation{NitrogenKGPerHaPerYear: p.OrdinaryNitrogenKGPerHaPerYear, IrrigationMMPerYear: p.OrdinaryIrrigationMMPerYear}
	if n := in.Programme.NitrogenKGPerHaPerYear; n != nil {
		f.NitrogenKGPerHaPerYear = *n
	}
	if mm := in.Programme.IrrigationMMPerYear; mm != nil {
		f.IrrigationMMPerYear = *mm
	}
	if h := in.Programme.HandWateringHPer1000M2; h != nil {
		f.HandWateringHPerYear = *h * in.AreaM2 / 1000
	}
	f.NitrogenChangeKGPerHaPerYear = f.NitrogenKGPerHaPerYear - p.OrdinaryNitrogenKGPerHaPerYear
	f.FertiliserChangeKGPerYear = FertiliserKG(f.NitrogenChangeKGPerHaPerYear, in.AreaM2, p.FertiliserNitrogenPct)
	f.IrrigationChangeMMPerYear = f.IrrigationMMPerYear - p.OrdinaryIrrigationMMPerYear
	f.WaterChangeM3PerYear = WaterM3(f.IrrigationChangeMMPerYear, in.AreaM2)
	f.Effect = effectOf(f, year, overseedings, p)
	return f
}

// FertiliserKG is the product that carries an amount of nitrogen to an area:
// kg/ha × m² ÷ 10 000 ÷ share of nitrogen.
func FertiliserKG(nitrogenKGPerHa, areaM2, nitrogenPct float64) float64 {
	return nitrogenKGPerHa * areaM2 / 10000 / (nitrogenPct / 100)
}

// WaterM3 is the volume of a depth of water over an area.
func WaterM3(depthMM, areaM2 float64) float64 { return depthMM * areaM2 / 1000 }

// effectOf states what the changes do. Growth changes in proportion to the
// relative change of nitrogen and of water, each by its own assumption, and
// organic matter is made in proportion to growth. A fall of annual meadow grass
// is credited only to a programme that is leaner, drier and overseeded at once:
// coring by itself earns nothing, since open holes are a seedbed.
func effectOf(f FeedingAndIrrigation, year Amounts, overseedings float64, p Parameters) Effect {
	nitrogen := f.NitrogenKGPerHaPerYear / p.OrdinaryNitrogenKGPerHaPerYear
	water := f.IrrigationMMPerYear / p.OrdinaryIrrigationMMPerYear
	growth := (1 + p.GrowthPerNitrogen*(nitrogen-1)) * (1 + p.GrowthPerIrrigation*(water-1))
	e := Effect{GrowthMultiplier: growth, OrganicMatterMultiplier: growth, Reasons: []string{
		fmt.Sprintf("nitrogen is %.0f %% and irrigation %.0f %% of ordinary upkeep's: growth, and organic matter made, × %.2f", 100*nitrogen, 100*water, growth),
	}}
	var missing []string
	if nitrogen > p.LeanShare {
		missing = append(missing, "leaner")
	}
	if water > p.LeanShare {
		missing = append(missing, "drier")
	}
	if overseedings < p.OverseedingsForCreditPerYear {
		missing = append(missing, "overseeded")
	}
	if len(missing) == 0 {
		e.AnnualMeadowGrassFallPctPointsPerYear = p.AnnualMeadowGrassFallPctPoints
		e.Reasons = append(e.Reasons, "leaner, drier and overseeded turf: a fall of annual meadow grass is credited")
		return e
	}
	e.Reasons = append(e.Reasons, "no fall of annual meadow grass is credited: the programme is not "+oneOf(missing))
	if year.CoredAreaPct > 0 {
		e.Reasons = append(e.Reasons, "coring by itself does not lower annual meadow grass; open holes are its seedbed")
	}
	return e
}

func oneOf(words []string) string {
	text := words[0]
	for _, w := range words[1:] {
		text += ", nor " + w
	}
	return text
}
