package store

import (
	"context"
	"fmt"

	"github.com/shopspring/decimal"

	"swardcase/api/service"
	"swardcase/costs"
)

const (
	summaryColumns = recordColumns + `, green_id, survey_id, price_book_id, reappraises_id, title,
		case_format, engine_version, seed, case_sha256, result_sha256, index_score, grade, advice, advised_option, headline,
		currency, capital, approve_capital, net_present_value`
	appraisalColumns = summaryColumns + ", case_document, result_document"
)

// amounts are the money of a summary as the engines keep it.
type amounts struct {
	currency                       string
	capital, approve, presentValue decimal.Decimal
}

func summaryFields(a *service.AppraisalSummary, m *amounts) []any {
	return append(recordFields(&a.Record),
		&a.GreenID, &a.SurveyID, &a.PriceBookID, &a.ReappraisesID, &a.Title,
		&a.CaseFormat, &a.EngineVersion, &a.Seed, &a.CaseSHA256, &a.ResultSHA256,
		&a.Index, &a.Grade, &a.Advice, &a.Option, &a.Headline,
		&m.currency, &m.capital, &m.approve, &m.presentValue)
}

// settle puts the amounts back at their currency's own scale.
func (m amounts) settle(a *service.AppraisalSummary) error {
	inUTC(&a.Record)
	currency, known := costs.LookupCurrency(m.currency)
	if !known {
		return fmt.Errorf("appraisal %s is in the unknown currency %q", a.ID, m.currency)
	}
	for _, amount := range []struct {
		into  *costs.Money
		value decimal.Decimal
	}{{&a.Capital, m.capital}, {&a.ApproveCapital, m.approve}, {&a.NetPresentValue, m.presentValue}} {
		money, err := costs.NewMoney(amount.value, currency)
		if err != nil {
			return fmt.Errorf("appraisal %s: %w", a.ID, err)
		}
		*amount.into = money
	}
	return nil
}

func scanSummary(from scanner) (service.AppraisalSummary, error) {
	var a service.AppraisalSummary
	var m amounts
	if err := from.Scan(summaryFields(&a, &m)...); err != nil {
		return a, err
	}
	return a, m.settle(&a)
}

func scanAppraisal(from scanner) (service.Appraisal, error) {
	var a service.Appraisal
	var m amounts
	var input, result []byte
	if err := from.Scan(append(summaryFields(&a.AppraisalSummary, &m), &input, &result)...); err != nil {
		return a, err
	}
	a.Case, a.Result = input, result
	return a, m.settle(&a.AppraisalSummary)
}

// Appraisal reads one appraisal with its documents.
func (t tx) Appraisal(ctx context.Context, clubID, id string) (service.Appraisal, error) {
	return one(ctx, t.q, scanAppraisal, "SELECT "+appraisalColumns+" FROM appraisals WHERE club_id = $1 AND id = $2", clubID, id)
}

// AppraisalSummary reads one appraisal without its documents.
func (t tx) AppraisalSummary(ctx context.Context, clubID, id string) (service.AppraisalSummary, error) {
	return one(ctx, t.q, scanSummary, "SELECT "+summaryColumns+" FROM appraisals WHERE club_id = $1 AND id = $2", clubID, id)
}

// Appraisals lists the appraisals of a club, of one green, or made again of one.
func (t tx) Appraisals(ctx context.Context, f service.Filter) ([]service.AppraisalSummary, error) {
	q := selectFrom(summaryColumns, "appraisals")
	q.where("club_id =", f.ClubID)
	q.whereText("id >", f.After)
	q.whereText("green_id =", f.GreenID)
	q.whereText("reappraises_id =", f.ReappraisesID)
	q.whereLive(f)
	return many(ctx, t.q, scanSummary, q, "id", f.Limit)
}

// LatestAppraisals gives the last live appraisal of each green. Ids rise with the
// time of their making.
func (t tx) LatestAppraisals(ctx context.Context, clubID string) ([]service.AppraisalSummary, error) {
	q := selectFrom(summaryColumns, "appraisals")
	q.where("club_id =", clubID)
	q.whereLive(service.Filter{})
	q.sql.WriteString(` AND NOT EXISTS (SELECT 1 FROM appraisals AS later
		WHERE later.green_id = appraisals.green_id AND later.id > appraisals.id AND later.archived_at IS NULL)`)
	return many(ctx, t.q, scanSummary, q, "id", maxLatest)
}

// maxLatest is more greens than any club has.
const maxLatest = 1000

// InsertAppraisal adds an appraisal.
func (t tx) InsertAppraisal(ctx context.Context, a service.Appraisal) error {
	_, err := t.q.exec(ctx, `INSERT INTO appraisals (`+appraisalColumns+`)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17, $18, $19, $20, $21, $22, $23, $24, $25, $26, $27)`,
		append(recordValues(a.Record),
			a.GreenID, a.SurveyID, a.PriceBookID, a.ReappraisesID, a.Title,
			a.CaseFormat, a.EngineVersion, a.Seed, a.CaseSHA256, a.ResultSHA256,
			a.Index, a.Grade, a.Advice, a.Option, a.Headline,
			a.Capital.Currency().Code(), a.Capital.DecimalText(), a.ApproveCapital.DecimalText(), a.NetPresentValue.DecimalText(),
			string(a.Case), string(a.Result))...)
	return err
}

// UpdateAppraisal changes the version and the instants. The database refuses any
// other change.
func (t tx) UpdateAppraisal(ctx context.Context, a service.AppraisalSummary) error {
	return changed(t.q.exec(ctx, `UPDATE appraisals SET version = $3, updated_at = $4, archived_at = $5
		WHERE id = $1 AND club_id = $2 AND version + 1 = $3`,
		a.ID, a.ClubID, a.Version, a.UpdatedAt, a.ArchivedAt))
}
