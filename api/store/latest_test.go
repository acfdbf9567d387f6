package store_test

import (
	"errors"
	"testing"

	"github.com/google/go-cmp/cmp"

	"swardcase/api/service"
	"swardcase/api/store"
	"swardcase/api/store/storetest"
)

// TestTheLastAppraisalOfEachGreenIsFound: neither an earlier one nor an archived
// one stands in its place.
func TestTheLastAppraisalOfEachGreenIsFound(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		ctx := t.Context()
		furnish(t, s)
		of := func(id, greenID, surveyID int, archived bool) service.Appraisal {
			a := appraisal(t, id, "1", "GBP")
			a.GreenID, a.SurveyID = number(greenID), number(surveyID)
			if archived {
				a.ArchivedAt = &instant
			}
			return a
		}
		write(t, s, func(tx service.Tx) error {
			return errors.Join(tx.InsertGreen(ctx, green(9, 1, "b")), tx.InsertSurvey(ctx, survey(10, 1, 9, "2026-02-01")),
				tx.InsertAppraisal(ctx, of(31, 2, 3, false)), tx.InsertAppraisal(ctx, of(32, 9, 10, false)),
				tx.InsertAppraisal(ctx, of(33, 2, 3, false)), tx.InsertAppraisal(ctx, of(34, 2, 3, true)))
		})
		err := s.View(ctx, ours, func(tx service.Tx) error {
			list, err := tx.LatestAppraisals(ctx, number(1))
			var got []string
			for _, a := range list {
				got = append(got, a.ID)
			}
			if diff := cmp.Diff([]string{number(32), number(33)}, got); diff != "" {
				t.Error(diff)
			}
			return err
		})
		if err != nil {
			t.Error(err)
		}
	})
}
