package layered

// aftercare is what the first two years cost above ordinary upkeep, which is
// priced for every option alike: more nitrogen, hand watering, more hours and
// light dressings. Where only drains are cut, it is the strips that need it,
// but the whole green is dressed to take up settlement.
func (s *scheme) aftercare(year int) []Quantity {
	p, area := s.p, s.coveredM2()
	nitrogen, factor, watering, dressings := p.NitrogenFirstYearKgPerHa, p.AftercareHoursFactorYear1, p.HandWateringHPer100M2, p.LightDressingsYear1
	if year == 2 {
		nitrogen, factor, dressings = p.NitrogenSecondYearKgPerHa, p.AftercareHoursFactorYear2, p.LightDressingsYear2
		watering *= p.HandWateringYear2Share
	}
	t := newTakeOff(6)
	if extra := nitrogen - p.NitrogenOrdinaryKgPerHa; extra > 0 {
		t.add(AftercareSection, "fertiliser", "Feeding above ordinary upkeep", "kg", s.fertiliserKg(extra, area),
			"({} - {}) kg/ha of nitrogen × {} m² ÷ 10000 ÷ {} %", nitrogen, p.NitrogenOrdinaryKgPerHa, area, p.FertiliserNitrogenPct)
	}
	t.add(AftercareSection, "general_labour", "Hand watering", "h", area/100*watering, "{} m² ÷ 100 × {} h", area, watering)
	hours := area * p.OrdinaryUpkeepHPerM2PerYear * (factor - 1)
	t.add(AftercareSection, "general_labour", "Care above ordinary upkeep", "h", hours,
		"{} m² × {} h/m² × ({} - 1)", area, p.OrdinaryUpkeepHPerM2PerYear, factor)
	sand := DressingTonnes(s.in.AreaM2, p.LightDressingDepthMM, p.DressingSandDensityTPerM3) * dressings
	for _, line := range [...][2]string{{"top_dressing_sand", "Sand for light dressings"}, {"top_dressing_spreading", "Spread light dressings"}} {
		t.add(AftercareSection, line[0], line[1], "t", sand, "{} dressings × {} mm × {} m² × {} t/m³ ÷ 1000",
			dressings, p.LightDressingDepthMM, s.in.AreaM2, p.DressingSandDensityTPerM3)
	}
	return t.quantities()
}

// DressingTonnes is the sand in t that a depth of dressing (mm) takes over an
// area (m2) at a density (t/m3): 1 mm over 1 m2 is one litre, 1.5 kg dry
// (Woods 2020).
func DressingTonnes(areaM2, depthMM, densityTPerM3 float64) float64 {
	return areaM2 * depthMM / 1000 * densityTPerM3
}
