package pages

import (
	"bytes"
	"encoding/json"
	"fmt"
	"net/http"
	"net/url"

	"swardcase/api/report"
	"swardcase/api/report/workbook"
	"swardcase/api/service"
	"swardcase/model"
)

// Where the course plans of a club are read.
const (
	coursePlansPath = "/clubs/{club_id}/course-plans"
	coursePlanPath  = coursePlansPath + "/{course_plan_id}"
)

// coursePlansView is the list of a club's course plans.
type coursePlansView struct {
	Club  service.Club
	Plans []coursePlanRow
	// Next is the address of the rest of the list; empty on its last page.
	Next string
}

type coursePlanRow struct{ Title, Address, MadeOn, State string }

// stateWords say how the work on a plan stands.
var stateWords = map[service.JobState]string{
	service.JobQueued: "waiting for its turn", service.JobRunning: "being worked out", service.JobDone: "done",
	service.JobStoppedEarly: "done, but the search was stopped early", service.JobFailed: "failed", service.JobCancelled: "cancelled",
}

// showCoursePlans lists the course plans of a club.
func (p *Pages) showCoursePlans(v Visit) error {
	ctx, clubID := v.Request().Context(), v.Param("club_id")
	club, err := p.service.Club(ctx, clubID)
	if err != nil {
		return err
	}
	found, err := p.service.CoursePlans(ctx, service.Filter{ClubID: clubID, Limit: mostListed, After: v.QueryParam("cursor")})
	if err != nil {
		return err
	}
	shown := coursePlansView{Club: club}
	for _, plan := range found.Items {
		shown.Plans = append(shown.Plans, coursePlanRow{
			planTitle(plan), coursePlanAddress(clubID, plan.ID), plan.CreatedAt.Format(dayForm), report.Sentence(stateWords[plan.State]),
		})
	}
	if found.NextCursor != nil {
		shown.Next = coursePlansAddress(clubID) + "?cursor=" + url.QueryEscape(*found.NextCursor)
	}
	return p.show(v, http.StatusOK, "course_plans", Frame{Title: "Course plans", Trail: clubTrail(club), Body: shown})
}

func planTitle(plan service.CoursePlanSummary) string {
	if plan.Title == "" {
		return "The course"
	}
	return plan.Title
}

// coursePlanView is the page of one course plan. Plan is nil until there is a
// result.
type coursePlanView struct {
	Title, Made, State string
	Reason             string
	Progress           []detail
	// Again is the address of the page itself, for as long as something will change;
	// Cancel is where the visitor may end the work. Empty where not.
	Again, Cancel string
	// Workbook is where the plan is had as a spreadsheet; empty until there is one.
	Workbook string
	Plan     *planView
}

// showCoursePlan shows a course plan, or how far the work on it has come.
func (p *Pages) showCoursePlan(v Visit) error {
	ctx, clubID := v.Request().Context(), v.Param("club_id")
	club, err := p.service.Club(ctx, clubID)
	if err != nil {
		return err
	}
	stored, err := p.service.CoursePlan(ctx, clubID, v.Param("course_plan_id"))
	if err != nil {
		return err
	}
	shown := coursePlanView{
		Title: planTitle(stored.CoursePlanSummary) + ": plan of the course", State: report.Sentence(stateWords[stored.State]), Reason: stored.Reason,
		Made: report.Prose("Asked for on " + stored.CreatedAt.Format(dayForm) + "."),
	}
	if !stored.Ended() {
		shown.Progress = progressOf(stored.Progress)
		shown.Again = coursePlanAddress(clubID, stored.ID)
		shown.Cancel = v.ifRole(service.RoleEditor, shown.Again+"/cancel")
	}
	if stored.Result != nil {
		plan, err := resultOf(stored)
		if err != nil {
			return err
		}
		shown.Workbook = coursePlanAddress(clubID, stored.ID) + "/workbook"
		view, err := planViewOf(plan)
		if err != nil {
			return err
		}
		shown.Plan = &view
	}
	return p.show(v, http.StatusOK, "course_plan", Frame{Title: shown.Title, Trail: coursePlansTrail(club), Here: stored.CreatedAt.Format(dayForm), Body: shown})
}

// resultOf reads the result of a plan that has one.
func resultOf(stored service.CoursePlan) (model.CoursePlan, error) {
	var plan model.CoursePlan
	if err := json.Unmarshal(stored.Result, &plan); err != nil {
		return plan, fmt.Errorf("read a stored course plan: %w", err)
	}
	return plan, nil
}

// sendPlanWorkbook sends a course plan as a spreadsheet, to be saved.
func (p *Pages) sendPlanWorkbook(v Visit) error {
	stored, err := p.service.CoursePlan(v.Request().Context(), v.Param("club_id"), v.Param("course_plan_id"))
	if err != nil {
		return err
	}
	if stored.Result == nil {
		return &service.Error{Kind: service.Conflict, Detail: "The plan has no result: " + stateWords[stored.State] + "."}
	}
	plan, err := resultOf(stored)
	if err != nil {
		return err
	}
	var file bytes.Buffer
	if err := workbook.WriteCoursePlan(&file, plan); err != nil {
		return err
	}
	return sendWorkbookFile(v, "course-plan-"+stored.ID, file.Bytes())
}

// progressOf says how far a search has come. Its values are in the unit of the
// plan's objective, which the summary of a plan does not have: only the gap, which
// has none, is shown.
func progressOf(progress *service.Progress) []detail {
	if progress == nil {
		return nil
	}
	out := []detail{{"Nodes looked at", fmt.Sprint(progress.Nodes)}}
	if progress.GapPct != nil {
		out = append(out, detail{"A better plan is better by at most", fmt.Sprintf("%.2f %%", *progress.GapPct)})
	}
	return out
}

// takeCancel ends the work on a course plan.
func (p *Pages) takeCancel(v Visit) error {
	if _, err := v.form(); err != nil {
		return err
	}
	clubID, planID := v.Param("club_id"), v.Param("course_plan_id")
	if _, err := p.service.CancelCoursePlan(v.Request().Context(), service.Call{}, clubID, planID); err != nil {
		return err
	}
	return v.Redirect(http.StatusSeeOther, coursePlanAddress(clubID, planID))
}
