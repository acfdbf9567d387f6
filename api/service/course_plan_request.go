package service

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"strings"

	"swardcase/api/contract"
	"swardcase/model"
	"swardcase/model/fault"
)

// CoursePlanRequest is a course to be planned: a whole one, or one of stored
// appraisals with the terms of the plan.
type CoursePlanRequest struct {
	Course *model.CourseCase `json:"course,omitempty"`

	Title     string           `json:"title,omitempty"`
	Greens    []AppraisedGreen `json:"greens,omitempty"`
	Available *model.Available `json:"available,omitempty"`
	Plan      *model.PlanTerms `json:"plan,omitempty"`
}

// AppraisedGreen is a green by its stored appraisal, and what the plan is told of
// it.
type AppraisedGreen struct {
	AppraisalID    string         `json:"appraisal_id"`
	Weight         *float64       `json:"weight,omitempty"`
	LatestYear     *int           `json:"latest_year,omitempty"`
	KeptOpenMonths []int          `json:"kept_open_months,omitempty"`
	AllowedOptions []model.Option `json:"allowed_options,omitempty"`
	OffCourse      bool           `json:"off_course,omitempty"`
}

// CreateCoursePlan resolves a course and keeps it for a worker to plan. What can
// be told of its faults without planning is told at once.
func (s *Service) CreateCoursePlan(ctx context.Context, call Call, clubID string, document contract.Document) (CoursePlanSummary, error) {
	queued, err := onceWorked(ctx, s, call, clubID, func() (func(Tx) (CoursePlanSummary, error), error) {
		var request CoursePlanRequest
		if err := document.Decode(&request); err != nil {
			return nil, err
		}
		if err := request.check().Err(); err != nil {
			return nil, err
		}
		plan, course, err := s.resolveRequest(ctx, clubID, request)
		if err != nil {
			return nil, err
		}
		return func(tx Tx) (CoursePlanSummary, error) { return s.queueCoursePlan(ctx, tx, clubID, plan, course) }, nil
	})
	if err == nil && s.queued != nil {
		s.queued()
	}
	return queued, err
}

// check says whether a request is one of the two kinds, and not half of each.
func (r CoursePlanRequest) check() fault.List {
	var faults fault.List
	if r.Course == nil {
		if len(r.Greens) == 0 {
			faults.Add("", nil, "there is no course", "give course, or greens by their appraisals, and plan")
		} else if r.Plan == nil {
			faults.Add("/plan", nil, "is required beside greens", "give the years, the budget and the rules of the plan")
		}
		return append(faults, checkPlain("/title", r.Title)...)
	}
	const remedy = "say it in course, or leave course out"
	if r.Title != "" {
		faults.Add("/title", r.Title, "stands beside course", remedy)
	}
	if len(r.Greens) > 0 {
		faults.Add("/greens", len(r.Greens), "stands beside course", remedy)
	}
	if r.Available != nil {
		faults.Add("/available", nil, "stands beside course", remedy)
	}
	if r.Plan != nil {
		faults.Add("/plan", nil, "stands beside course", remedy)
	}
	return append(faults, checkPlain("/course/title", r.Course.Title)...)
}

// resolveRequest puts the course together, writes every default into it, and says
// what lists show of it.
func (s *Service) resolveRequest(ctx context.Context, clubID string, request CoursePlanRequest) (CoursePlanSummary, json.RawMessage, error) {
	var plan CoursePlanSummary
	course := request.Course
	if course == nil {
		stored, err := s.courseOf(ctx, clubID, request)
		if err != nil {
			return plan, nil, err
		}
		course = &stored
	}
	done, err := s.turn(ctx)
	if err != nil {
		return plan, nil, err
	}
	resolved, err := model.ResolveCourse(*course)
	done()
	if err != nil {
		return plan, nil, request.place(err)
	}
	plan.Title, plan.CaseFormat = resolved.Title, int64(resolved.CaseFormat)
	document, err := json.Marshal(resolved)
	if err != nil {
		return plan, nil, fmt.Errorf("write the resolved course: %w", err)
	}
	plan.CaseSHA256, err = canonicalSHA256(document)
	return plan, document, err
}

// courseOf makes a course of stored appraisals.
func (s *Service) courseOf(ctx context.Context, clubID string, request CoursePlanRequest) (model.CourseCase, error) {
	cases := make([]model.Case, len(request.Greens))
	err := s.view(ctx, clubID, func(tx Tx) error {
		var faults fault.List
		for i, green := range request.Greens {
			at := fault.Pointer("greens", i, "appraisal_id")
			appraisal, err := tx.Appraisal(ctx, clubID, green.AppraisalID)
			if err = namedAt(at, green.AppraisalID, appraisals.words(), "give the id of one of its appraisals", err); err != nil {
				if found := Faults(err); found != nil {
					faults = append(faults, found...)
					continue
				}
				return err
			}
			if err := json.Unmarshal(appraisal.Case, &cases[i]); err != nil {
				return fmt.Errorf("read the case of appraisal %s: %w", appraisal.ID, err)
			}
			faults = append(faults, inCommon(at, green.AppraisalID, cases[0], cases[i], request.Available != nil)...)
		}
		return faults.Err()
	})
	if err != nil {
		return model.CourseCase{}, err
	}
	course := model.CourseOf(cases, *request.Plan)
	course.Title = request.Title
	if request.Available != nil {
		course.Available = request.Available
	}
	for i, green := range request.Greens {
		to := &course.Greens[i]
		to.Weight, to.LatestYear, to.KeptOpenMonths = green.Weight, green.LatestYear, green.KeptOpenMonths
		to.AllowedOptions, to.OffCourse = green.AllowedOptions, green.OffCourse
	}
	return course, nil
}

// inCommon holds a case to the first of its course in what a course has once.
func inCommon(at, id string, first, other model.Case, availableGiven bool) fault.List {
	var faults fault.List
	if availableGiven {
		first.Available, other.Available = nil, nil
	}
	for _, part := range []struct {
		what         string
		first, other any
	}{
		{"site", first.Site, other.Site},
		{"available", first.Available, other.Available},
		{"money", shared(first.Money), shared(other.Money)},
		{"scales", first.Scales, other.Scales},
		{"assumptions", first.Assumptions, other.Assumptions},
	} {
		if !sameJSON(part.first, part.other) {
			faults.Add(at, id, "was appraised under another "+part.what+" than the first green",
				"appraise the two greens under the same "+part.what+", or give the course whole")
		}
	}
	return faults
}

// shared is what greens of one course have in common of the terms of money: all
// but what a month of the one green is worth.
func shared(m *model.MoneyTerms) *model.MoneyTerms {
	if m == nil {
		return nil
	}
	out := *m
	out.WorthOfPlayableMonth, out.Accounts = nil, nil
	return &out
}

func sameJSON(a, b any) bool {
	first, err1 := json.Marshal(a)
	second, err2 := json.Marshal(b)
	return err1 == nil && err2 == nil && bytes.Equal(first, second)
}

// place moves faults of the resolved course to where the request has it.
func (r CoursePlanRequest) place(err error) error {
	var faults fault.List
	if !errors.As(err, &faults) {
		return err
	}
	var placed fault.List
	if r.Course != nil {
		placed.Under("/course", faults)
		return placed
	}
	for _, f := range faults {
		placed = append(placed, r.placeStored(f))
	}
	return placed
}

// placeStored names the appraisal of a green for what stands in its case, and that
// of the first for what a course has once.
func (r CoursePlanRequest) placeStored(f fault.Fault) fault.Fault {
	parts := strings.Split(strings.TrimPrefix(f.Pointer, "/"), "/")
	switch {
	case f.Pointer == "", parts[0] == "plan", parts[0] == "title", parts[0] == "available" && r.Available != nil:
		return f
	case parts[0] == "greens" && len(parts) > 2:
		switch parts[2] {
		case "weight", "latest_year", "kept_open_months", "allowed_options", "off_course":
			return f
		}
		f.Detail = fmt.Sprintf("what is stored has a fault at %s: %s", f.Pointer, f.Detail)
		f.Pointer = fault.Pointer("greens", parts[1], "appraisal_id")
		return f
	case parts[0] == "greens":
		return f
	}
	f.Detail = fmt.Sprintf("what is stored has a fault at %s: %s", f.Pointer, f.Detail)
	f.Pointer = fault.Pointer("greens", 0, "appraisal_id")
	return f
}
