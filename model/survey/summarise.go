package survey

import "swardcase/model/fault"

// Summarise checks a survey and reads it. Pointers in the faults are relative
// to the survey ("/infiltration/ring_tests/2/bore_mm"); with any fault the
// summary is empty. It takes time and memory in proportion to the readings,
// whose number it bounds.
func Summarise(s Survey, p Parameters) (Summary, fault.List) {
	var c checker
	if !p.check(&c) {
		return Summary{}, c.faults
	}
	year := c.surveyed(place{"", -1, "surveyed_on"}, s.SurveyedOn)
	readings := gatherInfiltration(s.Infiltration, p, &c)
	thatch := gatherThatch(s.ThatchDepth, &c)
	quadrats := gatherGrass(s.AnnualMeadowGrass, &c)
	record := gatherPlay(s.MonthsPlayable, year, &c)
	organic := gatherOrganic(s.OrganicMatter, &c)
	dug := gatherPits(s.Pits, &c)
	c.optional(place{"", -1, "root_depth_mm"}, s.RootDepthMM, rootLimit)
	c.optional(place{"", -1, "surface_hardness_gravities"}, s.SurfaceHardnessGravities, hardnessLimit)
	if len(c.faults) > 0 {
		return Summary{}, c.faults
	}

	e := newEstimator(p)
	months, play := e.play(s.MonthsPlayable, record)
	return Summary{
		SurveyedOn:               s.SurveyedOn,
		Infiltration:             e.infiltration(s.Infiltration, readings),
		ThatchDepth:              e.thatch(s.ThatchDepth, thatch),
		AnnualMeadowGrass:        e.grass(s.AnnualMeadowGrass, quadrats),
		MonthsPlayable:           months,
		InfiltrationBelow:        e.below(readings),
		InfiltrationReadings:     readings,
		Play:                     play,
		OrganicMatter:            e.organic(organic),
		Pits:                     pits(dug),
		RootDepthMM:              s.RootDepthMM,
		SurfaceHardnessGravities: s.SurfaceHardnessGravities,
	}, nil
}
