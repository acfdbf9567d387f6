package model

import (
	"swardcase/model/condition"
	"swardcase/model/fault"
	"swardcase/model/survey"
)

// ConditionReport is the first half of an appraisal: what was read, how bad the
// green is, and why.
type ConditionReport struct {
	EngineVersion string              `json:"engine_version"`
	Title         string              `json:"title,omitempty"`
	Green         string              `json:"green"`
	Survey        survey.Summary      `json:"survey"`
	Condition     condition.Condition `json:"condition"`
	LostDays      LostDays            `json:"lost_days"`
	Cautions      []string            `json:"cautions"`
}

// JudgeCondition resolves a case and judges the condition of its green. The
// error is a fault.List when the case has faults.
func JudgeCondition(c Case) (ConditionReport, error) {
	resolved, resolveErr := Resolve(c)
	report, err := resolved.judge()
	if err := joinFaults(resolveErr, err); err != nil {
		return ConditionReport{}, err
	}
	return report, nil
}

// judge summarises the survey and judges the condition. A case with faults
// elsewhere is judged as far as it goes, so that all its faults are found.
func (r Resolved) judge() (ConditionReport, error) {
	c := r.Case
	var faults fault.List
	summary, bad := survey.Summarise(c.Survey, survey.ParametersFrom(r.assumptions))
	faults = append(faults, r.home(bad, [2]string{"", "/survey"})...)
	if len(faults) > 0 {
		return ConditionReport{}, faults
	}
	lost := r.lostDays(summary)
	judged, bad := condition.Judge(r.conditionInput(summary, lost), *c.Scales, condition.ParametersFrom(r.assumptions))
	faults = append(faults, r.home(bad,
		[2]string{"/scales", "/scales"},
		[2]string{"/soil_layers", "/green/soil_layers"}, [2]string{"/outfall", "/green/outfall"},
		[2]string{"/surroundings", "/green/surroundings"}, [2]string{"/trial", "/upkeep/trial"},
		[2]string{"", "/survey"})...)
	if len(faults) > 0 {
		return ConditionReport{}, faults
	}
	return ConditionReport{
		EngineVersion: EngineVersion,
		Title:         c.Title,
		Green:         c.Green.Name,
		Survey:        summary,
		Condition:     judged,
		LostDays:      lost,
		Cautions:      conditionCautions(),
	}, nil
}

// lostDays is the year's lost days by cause and month: from the record where
// the survey has one, else filled in behind the bare number of months.
func (r Resolved) lostDays(summary survey.Summary) LostDays {
	if record := summary.Play.LostDaysByMonth; record != nil {
		return LostDays{
			WaterloggedGreenDays:  record.WaterloggedGreenDays,
			WaterloggedCourseDays: record.WaterloggedCourseDays,
			FrostDays:             record.FrostDays,
			PolicyDays:            record.PolicyDays,
			WorksDays:             record.WorksDays,
		}
	}
	if summary.MonthsPlayable.Value == nil {
		return LostDays{Estimated: true}
	}
	return estimateLostDays(*summary.MonthsPlayable.Value, r.wetness(), r.assumptions)
}

// conditionInput hands the survey and what is known of the green to the
// judgement.
func (r Resolved) conditionInput(s survey.Summary, lost LostDays) condition.Input {
	green := r.Case.Green
	in := condition.Input{
		Infiltration:             estimateOf(s.Infiltration),
		ThatchDepth:              estimateOf(s.ThatchDepth),
		AnnualMeadowGrass:        estimateOf(s.AnnualMeadowGrass),
		MonthsPlayable:           estimateOf(s.MonthsPlayable),
		RateBelow:                estimateOf(s.InfiltrationBelow.Removed150MM),
		RatioUnderMat:            ratioOf(s.InfiltrationBelow.Ratio50MM),
		OrganicMatterTopPct:      s.OrganicMatter.Top20Pct,
		RootDepthMM:              s.RootDepthMM,
		SurfaceHardnessGravities: s.SurfaceHardnessGravities,
		HasDrains:                green.HasDrains,
		Outfall:                  condition.Outfall{State: green.Outfall.State, AfterRain: green.Outfall.AfterRain},
		Surroundings: condition.Surroundings{
			SunHPerDay:       green.Surroundings.SunHPerDay,
			Air:              green.Surroundings.Air,
			WaterRunsIn:      green.Surroundings.WaterRunsIn,
			WalkOnPoints:     green.Surroundings.WalkOnPoints,
			SprinklerOverlap: green.Surroundings.SprinklerOverlap,
		},
	}
	for _, pit := range r.Case.Survey.Pits {
		in.Pits = append(in.Pits, condition.Pit{
			DepthMM: pit.DepthMM, FreeWaterDepthMM: pit.FreeWaterDepthMM,
			RootDepthMM: pit.RootDepthMM, BlackLayer: pit.BlackLayer,
		})
	}
	for _, layer := range green.SoilLayers {
		in.SoilLayers = append(in.SoilLayers, condition.SoilLayer{
			Texture: condition.Texture(layer.Texture), ThicknessMM: layer.ThicknessMM, ConductivityMMPerH: layer.ConductivityMMPerH,
		})
	}
	if !lost.Estimated {
		in.LostDays = &condition.LostDays{
			WaterloggedGreenDays:  lost.GreenDays(),
			WaterloggedCourseDays: sum(lost.WaterloggedCourseDays),
			FrostDays:             sum(lost.FrostDays),
		}
	}
	in.Trial = r.Case.Upkeep.Trial
	return in
}

func estimateOf(e survey.Estimate) condition.Estimate {
	return condition.Estimate{Value: e.Value, Interval: intervalOf(e.Interval), ByPosition: positionsOf(e.ByPosition)}
}

func positionsOf(positions []survey.PositionEstimate) []condition.PositionEstimate {
	var out []condition.PositionEstimate
	for _, p := range positions {
		out = append(out, condition.PositionEstimate{Position: p.Position, Value: p.Value, Interval: intervalOf(p.Interval)})
	}
	return out
}

func ratioOf(r survey.RateRatio) condition.Estimate {
	return condition.Estimate{Value: r.Value, Interval: intervalOf(r.Interval), ByPosition: positionsOf(r.ByPosition)}
}

func intervalOf(i *survey.Interval) *condition.Interval {
	if i == nil {
		return nil
	}
	out := condition.Interval(*i)
	return &out
}

// wetness says how lost days are spread over the year where no record does:
// see estimateLostDays.
func (r Resolved) wetness() wetness {
	w := wetness{AirFrostDays: r.site.AirFrostDays}
	evapotranspiration := r.site.MonthlyReferenceEvapotranspirationMM(r.climateParameters())
	for month := range w.SurplusMM {
		w.SurplusMM[month] = max(0, r.site.RainMM[month]-evapotranspiration[month])
	}
	return w
}

// joinFaults merges the faults of two steps; any other error stands alone.
func joinFaults(errs ...error) error {
	var all fault.List
	for _, err := range errs {
		switch e := err.(type) {
		case nil:
		case fault.List:
			all = append(all, e...)
		default:
			return err
		}
	}
	return distinct(all).Err()
}
