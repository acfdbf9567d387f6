package condition

// shade goes by the hours of direct sun: 4 to 6 are wanted (common practice).
func (x examination) shade() Finding {
	f := Finding{Cause: Shade, Kind: OfSurrounding, Verdict: CannotJudge}
	if x.in.Surroundings.SunHPerDay == nil {
		f.SettleBy = "Time the direct sun on the worst part of the green on a clear day in the season that matters."
		return f
	}
	sun := *x.in.Surroundings.SunHPerDay
	least, enough := x.p.LeastSunHPerDay, x.p.EnoughSunHPerDay
	r := reading{"sun_h_per_day", sun, "h a day"}
	switch {
	case sun < least:
		f.Verdict = Present
		f.measured(sentence("The worst part has {} h of direct sun a day; at least {} h is wanted. No rebuild cures shade.", sun, least), For, r, least, leastSunName)
	case sun < enough:
		f.Verdict = Absent
		f.measured(sentence("The worst part has {} h of direct sun a day: enough, though {} h would be better.", sun, enough), Against, r, enough, enoughSunName)
	default:
		f.Verdict = Absent
		f.measured(sentence("The worst part has {} h of direct sun a day; {} h is plenty.", sun, enough), Against, r, enough, enoughSunName)
	}
	return f
}

// observed is a finding that rests on one thing looked at and has no number.
func observed(cause Cause, known, present bool, yes, no, settleBy string) Finding {
	f := Finding{Cause: cause, Kind: OfSurrounding}
	switch {
	case !known:
		f.Verdict, f.SettleBy = CannotJudge, settleBy
	case present:
		f.Verdict = Present
		f.seen(yes, For)
	default:
		f.Verdict = Absent
		f.seen(no, Against)
	}
	return f
}

func (x examination) stillAir() Finding {
	air := x.in.Surroundings.Air
	return observed(StillAir, air != "", air == AirEnclosed,
		"The green is enclosed and the air stands still over it.", "Air moves freely over the green.",
		"Stand on the green on a still, damp morning and see whether dew lies longer than on the others.")
}

func (x examination) waterRunningIn() Finding {
	runs := x.in.Surroundings.WaterRunsIn
	return observed(WaterRunningIn, runs != nil, runs != nil && *runs,
		"Water runs in from higher ground: catch it first, whatever else is done.", "No water runs in from outside.",
		"Walk round the green in heavy rain and see whether water runs on to it.")
}

func (x examination) singleWalkOn() Finding {
	points := x.in.Surroundings.WalkOnPoints
	return observed(SingleWalkOn, points != nil, points != nil && *points == 1,
		"Every player walks on at one place.", "Players walk on at more than one place.",
		"Watch where players walk on and off.")
}

func (x examination) sprinklerOverlap() Finding {
	overlap := x.in.Surroundings.SprinklerOverlap
	return observed(SprinklerOverlap, overlap != "", overlap == OverlapPoor,
		"The sprinklers overlap badly: some parts are wet while others are dry.", "The sprinklers overlap well.",
		"Set out catch cans, run the sprinklers, and compare the depths caught.")
}

const recordCauses = "Record each closed day under one cause for a year: the green, the rest of the course, frost, policy or works."

// courseWaterlogged compares the days lost to the green with those lost to the
// rest of the course, which no work on the green gives back.
func (x examination) courseWaterlogged() Finding {
	f := Finding{Cause: CourseWaterlogged, Kind: PlayElsewhere, Verdict: CannotJudge}
	if x.in.LostDays == nil {
		f.SettleBy = recordCauses
		return f
	}
	green, course := x.in.LostDays.WaterloggedGreenDays, x.in.LostDays.WaterloggedCourseDays
	more := course > green
	f.Verdict = verdictOf(more)
	f.noted(sentence(either(more,
		"The rest of the course was too wet on {} days a year, more than the {} lost to this green: work on the green cannot give those back.",
		"The rest of the course was too wet on {} days a year, against {} lost to this green."), course, green),
		bearing(more), reading{"waterlogged_course_days", course, "days a year"})
	return f
}

// frost reports the days that no option buys back.
func (x examination) frost() Finding {
	f := Finding{Cause: Frost, Kind: PlayElsewhere, Verdict: CannotJudge}
	if x.in.LostDays == nil {
		f.SettleBy = recordCauses
		return f
	}
	days := x.in.LostDays.FrostDays
	f.Verdict = verdictOf(days > 0)
	text := "No days were lost to frost."
	if days > 0 {
		text = "Frost closed the green on " + number(days) + " days a year; no option buys those back."
	}
	f.noted(text, bearing(days > 0), reading{"frost_days", days, "days a year"})
	return f
}
