package report

import (
	"fmt"

	"swardcase/model"
)

// PlanProven says how good a course plan is known to be.
func PlanProven(plan model.CoursePlan) string {
	o := plan.Objective
	switch plan.Status {
	case model.PlanProven:
		return fmt.Sprintf("Proven: no plan that keeps the rules is better (%s looked at).", nodesWords(o.Nodes))
	case model.PlanWithinBound, model.PlanStoppedEarly:
		if o.Value == nil || o.Bound == nil {
			return "Nothing is known of how good a plan could be."
		}
		gap := ""
		if o.GapPct != nil {
			gap = fmt.Sprintf(", %.2f %% more", *o.GapPct)
		}
		ended := "The search ended after " + nodesWords(o.Nodes)
		if plan.Status == model.PlanStoppedEarly {
			ended = "The search was stopped early, after " + nodesWords(o.Nodes)
		}
		return fmt.Sprintf("%s: no plan reaches more than %s%s.", ended, PlanValue(*o.Bound), gap)
	case model.PlanInfeasible:
		return "Proven: there is no such plan."
	}
	return "Nothing is proven."
}

func nodesWords(nodes int) string {
	if nodes == 1 {
		return "1 node"
	}
	return fmt.Sprintf("%d nodes", nodes)
}

// PlanValue writes what a plan is worth, in the unit of its objective.
func PlanValue(v model.PlanValue) string {
	if v.Amount != nil {
		return v.Amount.About()
	}
	return fmt.Sprintf("%.1f index-years", *v.IndexYears)
}

// PlanGain says what a change of the terms gains, and how sure that is.
func PlanGain(gain, most model.PlanValue, proven bool) string {
	none := gain.Amount != nil && gain.Amount.Sign() == 0 || gain.IndexYears != nil && *gain.IndexYears == 0
	same := PlanValue(gain) == PlanValue(most)
	switch {
	case none && (proven || same):
		return "nothing."
	case none:
		return fmt.Sprintf("nothing was found; %s at the most.", PlanValue(most))
	case proven || same:
		return PlanValue(gain) + " more."
	}
	return fmt.Sprintf("%s more was found; %s at the most.", PlanValue(gain), PlanValue(most))
}
