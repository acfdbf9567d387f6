package service

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"github.com/shopspring/decimal"

	"swardcase/api/contract"
	"swardcase/costs"
	"swardcase/model"
	"swardcase/model/fault"
)

// CaseChangesSchema is the contract's name for the changes to a case.
const CaseChangesSchema = "CaseChanges"

// CaseChanges are what is tried, or kept, in place of what the resolved case of
// an appraisal says. What is left out stays.
type CaseChanges struct {
	// WorthOfPlayableMonth is the mean of the twelve months. Each keeps its share of
	// the year; where all were worth nothing, they become equal. It takes the place
	// of the accounts.
	WorthOfPlayableMonth *costs.Money `json:"worth_of_playable_month,omitempty"`
	// DiscountRatePct takes the place of a schedule of rates too.
	DiscountRatePct *float64         `json:"discount_rate_pct,omitempty"`
	PriceLevel      costs.Level      `json:"price_level,omitempty"`
	FirstMonth      *costs.YearMonth `json:"first_month,omitempty"`
	HorizonYears    *int             `json:"horizon_years,omitempty"`
}

// changedAt says which change a place in the case stands for, so that a fault of
// the changed case is told where it was caused.
var changedAt = []struct{ inCase, inChanges string }{
	{"/money/worth_of_playable_month", "/worth_of_playable_month"},
	{"/money/accounts", "/worth_of_playable_month"},
	{"/money/discount_rate_pct", "/discount_rate_pct"},
	{"/money/discount_bands", "/discount_rate_pct"},
	{"/money/price_level", "/price_level"},
	{"/available/first_month", "/first_month"},
	{"/money/horizon_years", "/horizon_years"},
	{"/money/payment_stages", "/horizon_years"},
}

// in puts the changes into a resolved case.
func (c CaseChanges) in(resolved *model.Case) error {
	if resolved.Money == nil {
		return fault.New("", nil, "the case has no terms of money to change", "appraise it with terms of money first")
	}
	money := resolved.Money
	if worth := c.WorthOfPlayableMonth; worth != nil {
		if worth.Currency().Code() != money.Currency {
			return fault.New("/worth_of_playable_month/currency", worth.Currency().Code(), "is not the currency of the case", "give it in "+money.Currency)
		}
		if worth.Sign() < 0 {
			return fault.New("/worth_of_playable_month/amount", worth.Amount(), "this cannot be less than nothing", "give 0 or more")
		}
		months, err := spread(*worth, money.WorthOfPlayableMonth)
		if err != nil {
			return fault.New("/worth_of_playable_month", worth, "comes to more than an amount can hold", "give a smaller amount")
		}
		money.WorthOfPlayableMonth, money.Accounts = months, nil
	}
	if c.DiscountRatePct != nil {
		money.DiscountRatePct, money.DiscountBands = c.DiscountRatePct, nil
	}
	if c.PriceLevel != "" {
		money.PriceLevel = c.PriceLevel
	}
	if c.FirstMonth != nil && resolved.Available != nil {
		resolved.Available.FirstMonth = *c.FirstMonth
	}
	if c.HorizonYears != nil {
		money.HorizonYears = c.HorizonYears
	}
	return nil
}

// monthsOfYear is how many amounts the worth of a playable month has.
const monthsOfYear = 12

// spread gives each month its share of twelve times a mean.
func spread(mean costs.Money, months []costs.Money) ([]costs.Money, error) {
	total := decimal.Zero
	for _, month := range months {
		total = total.Add(month.Amount())
	}
	out := make([]costs.Money, monthsOfYear)
	for i := range out {
		out[i] = mean
		if total.Sign() <= 0 || len(months) != monthsOfYear {
			continue
		}
		share := months[i].Amount().Mul(mean.Amount()).Mul(decimal.NewFromInt(monthsOfYear)).DivRound(total, mean.Currency().Places())
		var err error
		if out[i], err = costs.NewMoney(share, mean.Currency()); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// TryChanges appraises the resolved case of a stored appraisal with changes, and
// keeps nothing: the stored one stays as it is.
func (s *Service) TryChanges(ctx context.Context, stored Appraisal, document contract.Document) (model.Appraisal, error) {
	var none model.Appraisal
	var changes CaseChanges
	if err := document.Decode(&changes); err != nil {
		return none, err
	}
	var changed model.Case
	if err := json.Unmarshal(stored.Case, &changed); err != nil {
		return none, fmt.Errorf("read the case of appraisal %s: %w", stored.ID, err)
	}
	if err := changes.in(&changed); err != nil {
		return none, err
	}
	body, err := json.Marshal(changed)
	if err != nil {
		return none, fmt.Errorf("write the changed case: %w", err)
	}
	asCase, err := s.CheckDocument(ctx, CaseSchema, body)
	if err != nil {
		return none, underChanges(err, "")
	}
	answer, err := As[model.Appraisal](s.Appraise(ctx, asCase))
	return answer, underChanges(err, "")
}

// underChanges moves the faults of a changed case to the changes that caused them,
// below a prefix; the rest stay where they are.
func underChanges(err error, prefix string) error {
	faults := Faults(err)
	if faults == nil {
		return err
	}
	var moved fault.List
	for _, f := range faults {
		for _, place := range changedAt {
			if rest, is := strings.CutPrefix(f.Pointer, place.inCase); is && (rest == "" || rest[0] == '/') {
				f.Pointer = prefix + place.inChanges
				break
			}
		}
		if !slices.Contains(moved, f) { // one change may stand for twelve months
			moved = append(moved, f)
		}
	}
	return moved
}
