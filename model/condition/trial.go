package condition

import "strings"

// TrialVerdict is what the trial of an intensified programme showed.
type TrialVerdict string

// The verdicts of a trial.
const (
	NotTried        TrialVerdict = "not_tried"
	NotAFairTrial   TrialVerdict = "not_a_fair_trial"
	TriedAndWorking TrialVerdict = "tried_and_working"
	TriedAndFailed  TrialVerdict = "tried_and_failed"
)

// Trial says whether an intensified programme has been fairly tried on the green,
// with the reasons, one sentence each.
type Trial struct {
	Verdict TrialVerdict `json:"verdict"`
	Reasons []string     `json:"reasons"`
}

// judgeTrial asks for a fair trial first (seasons, share of the operations done,
// sand, a working outfall: common practice) and only then for progress (judgement).
// What was not recorded cannot count as done.
func (x examination) judgeTrial() Trial {
	t := x.in.Trial
	if t == nil || t.Seasons == 0 {
		return Trial{NotTried, []string{"No intensified programme has been tried on this green."}}
	}
	if wants := x.unfair(*t); len(wants) > 0 {
		return Trial{NotAFairTrial, wants}
	}
	return x.progress(*t)
}

// unfair lists what keeps a trial from being fair.
func (x examination) unfair(t ProgrammeTrial) []string {
	var wants []string
	if t.Seasons < x.p.TrialLeastSeasons {
		wants = append(wants, sentence("The programme was tried for {} of the {} seasons that a fair trial takes at the least.", t.Seasons, x.p.TrialLeastSeasons))
	}
	least := func(value *float64, limit float64, missing, short string) {
		switch {
		case value == nil:
			wants = append(wants, missing)
		case *value < limit:
			wants = append(wants, sentence(short, *value, limit))
		}
	}
	least(t.OperationsDonePct, x.p.TrialLeastOperationsPct,
		"How many of the planned operations were done is not recorded.",
		"{} % of the planned operations were done; a fair trial takes at least {} %.")
	least(t.SandTPerHaPerYear, x.p.TrialLeastSandTPerHaPerYear,
		"How much sand was put on is not recorded.",
		"{} t/ha of sand a year was put on; a fair trial takes at least {} t/ha.")
	if x.in.HasDrains {
		switch {
		case x.in.Outfall.State == OutfallBlocked:
			wants = append(wants, "The outfall is blocked: no programme has a fair trial over drains that do not run.")
		case x.in.Outfall.State == OutfallNone:
			wants = append(wants, "The drains have no outfall: no programme has a fair trial over drains that do not run.")
		case x.in.Outfall.State != OutfallFree && x.in.Outfall.AfterRain != OutfallRunning:
			wants = append(wants, "Whether the outfall works is not known.")
		}
	}
	if len(wants) == 0 && t.OrganicMatterChangePctPointsPerYear == nil && t.ThatchChangeMMPerYear == nil {
		wants = append(wants, "Neither organic matter nor thatch was measured before and after, so there is nothing to judge by.")
	}
	return wants
}

// progress judges a fair trial: enough fall of either is progress.
func (x examination) progress(t ProgrammeTrial) Trial {
	verdict := TriedAndFailed
	var reasons []string
	judge := func(change *float64, least float64, what, unit string) {
		if change == nil {
			return
		}
		enough := *change <= -least
		if enough {
			verdict = TriedAndWorking
		}
		moved, size := "fell", -*change
		if *change > 0 {
			moved, size = "rose", *change
		}
		reasons = append(reasons, strings.Join([]string{
			what, moved, "by", sentence("{} "+unit+" a year; a fall of at least {} "+unit+" a year is progress.", size, least),
		}, " "))
	}
	judge(t.OrganicMatterChangePctPointsPerYear, x.p.TrialLeastOrganicMatterFallPctPointsPerYear, "Organic matter", "points")
	judge(t.ThatchChangeMMPerYear, x.p.TrialLeastThatchFallMMPerYear, "Thatch", "mm")
	return Trial{verdict, reasons}
}
