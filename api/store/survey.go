package store

import (
	"context"
	"slices"

	"swardcase/api/service"
)

const surveyColumns = recordColumns + ", document"

func scanSurvey(from scanner) (service.Survey, error) {
	var survey service.Survey
	var document []byte
	if err := from.Scan(append(recordFields(&survey.Record), &document)...); err != nil {
		return survey, err
	}
	inUTC(&survey.Record)
	return survey, readDocument(document, &survey.SurveyInput)
}

// Survey reads one survey.
func (t tx) Survey(ctx context.Context, clubID, id string) (service.Survey, error) {
	return one(ctx, t.q, scanSurvey, "SELECT "+surveyColumns+" FROM surveys WHERE club_id = $1 AND id = $2", clubID, id)
}

// Surveys lists the surveys of a club or of one green.
func (t tx) Surveys(ctx context.Context, f service.Filter) ([]service.Survey, error) {
	q := selectFrom(surveyColumns, "surveys")
	q.where("club_id =", f.ClubID)
	q.whereText("id >", f.After)
	q.whereText("green_id =", f.GreenID)
	q.whereText("surveyed_on >=", f.From)
	q.whereText("surveyed_on <=", f.To)
	q.whereLive(f)
	return many(ctx, t.q, scanSurvey, q, "id", f.Limit)
}

// LatestSurveys gives the last live surveys of a green, oldest first.
func (t tx) LatestSurveys(ctx context.Context, clubID, greenID string, most int) ([]service.Survey, error) {
	q := selectFrom(surveyColumns, "surveys")
	q.where("club_id =", clubID)
	q.where("green_id =", greenID)
	q.whereLive(service.Filter{})
	found, err := many(ctx, t.q, scanSurvey, q, "surveyed_on DESC", most)
	slices.Reverse(found)
	return found, err
}

// InsertSurvey adds a survey.
func (t tx) InsertSurvey(ctx context.Context, survey service.Survey) error {
	document, err := asDocument(survey.SurveyInput)
	if err != nil {
		return err
	}
	_, err = t.q.exec(ctx, `INSERT INTO surveys (`+recordColumns+`, green_id, surveyed_on, document)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9)`,
		append(recordValues(survey.Record), survey.GreenID, survey.Survey.SurveyedOn, document)...)
	return err
}

// UpdateSurvey writes a survey over its last version.
func (t tx) UpdateSurvey(ctx context.Context, survey service.Survey) error {
	document, err := asDocument(survey.SurveyInput)
	if err != nil {
		return err
	}
	return changed(t.q.exec(ctx, `UPDATE surveys
		SET version = $3, updated_at = $4, archived_at = $5, surveyed_on = $6, document = $7
		WHERE id = $1 AND club_id = $2 AND version + 1 = $3`,
		survey.ID, survey.ClubID, survey.Version, survey.UpdatedAt, survey.ArchivedAt, survey.Survey.SurveyedOn, document))
}
