package workbook

import (
	"swardcase/api/report"
	"swardcase/model"
	"swardcase/model/survey"
)

// surveySheet has the readings as they came in.
func surveySheet(a model.Appraisal) *sheet {
	s := newSheet("Survey", 26, 14, 14, 14, 14, 14, 16, 14)
	s.landscape = false
	read := a.Case.Survey
	s.title("Survey of "+read.SurveyedOn, "The readings that the condition was judged by, as they were handed in.")
	rings(s, read.Infiltration)
	thatchAndGrass(s, read)
	play(s, read.MonthsPlayable)
	belowGround(s, read)
	return s
}

// part begins a table of the sheet.
func part(s *sheet, title string, names ...string) {
	s.add()
	s.add(strong(title))
	s.heading(names...)
}

func rings(s *sheet, in *survey.InfiltrationReadings) {
	if in == nil {
		return
	}
	if in.ValueMMPerH != nil {
		part(s, "Infiltration", ">Rate at 20 °C, mm/h")
		s.add(number(*in.ValueMMPerH, general))
	}
	if len(in.RingTests) > 0 {
		part(s, "Infiltration: single rings", "Position", "Taken on", ">Top removed, mm", ">Volume, ml", ">Bore, mm", ">Time, minutes", ">Water, °C", "Surface")
	}
	for _, ring := range in.RingTests {
		s.add(text(ring.Position), text(ring.TakenOn), depthRemoved(ring.DepthRemovedMM), number(ring.VolumeML, general), number(ring.BoreMM, general),
			number(ring.Minutes, general), number(ring.WaterTemperatureC, general), text(surfaceWords(ring.Surface, ring.DryPatch)))
	}
	if len(in.DoubleRingTests) > 0 {
		part(s, "Infiltration: double rings, each interval", "Position", "Taken on", ">Top removed, mm", ">Time, minutes", ">Drop, mm", "", ">Water, °C", "Surface")
	}
	for _, ring := range in.DoubleRingTests {
		for _, interval := range ring.Intervals {
			s.add(text(ring.Position), text(ring.TakenOn), depthRemoved(ring.DepthRemovedMM), number(interval.Minutes, general), number(interval.DropMM, general), cell{},
				number(ring.WaterTemperatureC, general), text(surfaceWords(ring.Surface, ring.DryPatch)))
		}
	}
}

func depthRemoved(mm *int) cell {
	if mm == nil {
		return number(0, general)
	}
	return number(float64(*mm), general)
}

func surfaceWords(surface survey.Surface, dryPatch bool) string {
	if dryPatch {
		return string(surface) + ", dry patch"
	}
	return string(surface)
}

func thatchAndGrass(s *sheet, read survey.Survey) {
	if thatch := read.ThatchDepth; thatch != nil {
		part(s, "Thatch", "Position", ">Depth, mm")
		if thatch.ValueMM != nil {
			s.add(cell{}, number(*thatch.ValueMM, general))
		}
		for _, reading := range thatch.Readings {
			s.add(text(reading.Position), number(reading.DepthMM, general))
		}
	}
	if grass := read.AnnualMeadowGrass; grass != nil {
		part(s, "Annual meadow grass", "Position", ">Hits", ">Points", ">Share, %")
		if grass.ValuePct != nil {
			s.add(cell{}, cell{}, cell{}, number(*grass.ValuePct, general))
		}
		for _, frame := range grass.PointQuadrats {
			row := s.next()
			s.add(text(frame.Position), number(float64(frame.Hits), general), number(float64(frame.Points), general),
				number(100*float64(frame.Hits)/float64(frame.Points), decimal1).by("100*B%d/C%d", row, row))
		}
	}
}

func play(s *sheet, record *survey.PlayRecord) {
	if record == nil {
		return
	}
	if record.ValueMonths != nil {
		part(s, "Months playable", ">Months a year")
		s.add(number(*record.ValueMonths, general))
	}
	if len(record.ClosedDays) == 0 {
		return
	}
	part(s, "Days closed, by month and cause", "Month", ">Waterlogged green", ">Waterlogged course", ">Frost", ">Policy", ">Works", ">Temporary in play")
	for _, month := range record.ClosedDays {
		s.add(text(month.Month), optional(month.WaterloggedGreenDays, general), optional(month.WaterloggedCourseDays, general), optional(month.FrostDays, general),
			optional(month.PolicyDays, general), optional(month.WorksDays, general), optional(month.TemporaryGreenDays, general))
	}
}

func belowGround(s *sheet, read survey.Survey) {
	if len(read.OrganicMatter) > 0 {
		part(s, "Organic matter", "Position", ">From, mm", ">To, mm", ">By weight, %")
	}
	for _, slice := range read.OrganicMatter {
		s.add(text(slice.Position), number(slice.DepthFromMM, general), number(slice.DepthToMM, general), number(slice.OrganicMatterPct, general))
	}
	if read.RootDepthMM != nil || read.SurfaceHardnessGravities != nil {
		part(s, "Roots and surface", ">Root depth, mm", ">Hardness, gravities")
		s.add(optional(read.RootDepthMM, general), optional(read.SurfaceHardnessGravities, general))
	}
	if len(read.Pits) > 0 {
		part(s, "Pits", "Position", ">Depth, mm", ">Free water at, mm", ">Roots to, mm", "Black layer")
	}
	for _, pit := range read.Pits {
		black := ""
		if pit.BlackLayer != nil {
			black = report.YesNo(*pit.BlackLayer)
		}
		s.add(text(pit.Position), number(pit.DepthMM, general), optional(pit.FreeWaterDepthMM, general), optional(pit.RootDepthMM, general), text(black))
	}
}
