package service

import (
	"context"
	"fmt"

	"swardcase/model"
)

// ClubOverview is a club with its greens at a glance, in the order in which the
// greens were made.
type ClubOverview struct {
	Club   Club
	Greens []GreenGlance
	// More says that the club has more greens than the overview holds.
	More bool
}

// GreenGlance is one green with what is known of it last. The condition is judged
// by today's engine and by the green as it is stored now, as in a trend.
type GreenGlance struct {
	Green Green
	// Survey is the latest by its day; nil where there is none.
	Survey    *Survey
	Condition *model.ConditionReport
	// Unjudged says why the survey gives no condition; empty where it does.
	Unjudged string
	// Appraisal is the one made last; nil where there is none.
	Appraisal *AppraisalSummary
}

// maxOverviewGreens bounds the work of one overview: a club with eleven courses
// has fewer greens.
const maxOverviewGreens = 200

// Overview looks at every green of a club.
func (s *Service) Overview(ctx context.Context, clubID string) (ClubOverview, error) {
	var out ClubOverview
	err := s.view(ctx, clubID, func(tx Tx) error {
		var err error
		if out.Club, err = tx.Club(ctx, clubID, clubID); err != nil {
			return named("club", err)
		}
		found, err := tx.Greens(ctx, Filter{ClubID: clubID, Limit: maxOverviewGreens + 1})
		if err != nil {
			return err
		}
		if out.More = len(found) > maxOverviewGreens; out.More {
			found = found[:maxOverviewGreens]
		}
		latest, err := latestByGreen(ctx, tx, clubID)
		if err != nil {
			return err
		}
		for _, green := range found {
			glance := GreenGlance{Green: green, Appraisal: latest[green.ID]}
			surveyed, err := tx.LatestSurveys(ctx, clubID, green.ID, 1)
			if err != nil {
				return err
			}
			if len(surveyed) > 0 {
				glance.Survey = &surveyed[0]
			}
			out.Greens = append(out.Greens, glance)
		}
		return nil
	})
	if err != nil {
		return out, err
	}
	for i := range out.Greens {
		if err := ctx.Err(); err != nil {
			return out, err
		}
		out.Greens[i].judge(out.Club)
	}
	return out, nil
}

func latestByGreen(ctx context.Context, tx Tx, clubID string) (map[string]*AppraisalSummary, error) {
	found, err := tx.LatestAppraisals(ctx, clubID)
	latest := make(map[string]*AppraisalSummary, len(found))
	for i := range found {
		latest[found[i].GreenID] = &found[i]
	}
	return latest, err
}

// judge judges the condition by the latest survey. A survey that no longer goes
// with its green is said to be so, and does not spoil the view of the others.
func (g *GreenGlance) judge(club Club) {
	if g.Survey == nil {
		return
	}
	report, err := model.JudgeCondition(caseOf(club, g.Green, g.Survey.Survey))
	if err != nil {
		g.Unjudged = fmt.Sprintf("The survey of %s does not go with the green as it is stored now: mend one of them.", g.Survey.Survey.SurveyedOn)
		return
	}
	g.Condition = &report
}
