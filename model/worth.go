package model

import (
	"fmt"

	"swardcase/costs"
	"swardcase/model/assumption"
	"swardcase/model/fault"
)

// Accounts are the club's figures from which the worth of a playable month of
// one green is worked out. One green of eighteen on a temporary does not shut the
// course: most visitors still come.
type Accounts struct {
	// VisitorIncome is a usual year's, January first.
	VisitorIncome []costs.Money `json:"visitor_income"`
	// StaysAwayPct is the share of a month's visitor income that is lost while this
	// green is not open; nil stands for the assumption that fits the temporary.
	StaysAwayPct *float64 `json:"stays_away_pct,omitempty"`
	Members      *int     `json:"members,omitempty"`
	// Subscription is a member's for a year.
	Subscription *costs.Money `json:"subscription,omitempty"`
	// MembersAtRiskPct is the share of members who would leave in a year in which
	// this green were never open; nil stands for the assumption.
	MembersAtRiskPct *float64 `json:"members_at_risk_pct,omitempty"`
}

// WorthOfMonth is how the worth of a playable month was reached: worth =
// visitor income × share that stays away + members × share at risk ×
// subscription ÷ 12, each part rounded once.
type WorthOfMonth struct {
	Month             int         `json:"month"` // 1 for January
	VisitorIncome     costs.Money `json:"visitor_income"`
	StaysAwayPct      float64     `json:"stays_away_pct"`
	FromVisitors      costs.Money `json:"from_visitors"`
	MembersAtRiskPct  float64     `json:"members_at_risk_pct"`
	FromSubscriptions costs.Money `json:"from_subscriptions"`
	Worth             costs.Money `json:"worth"`
}

// complete writes the defaults in. Shares are common practice, no source: what
// stays away hangs on the quality of the temporary green.
func (acc Accounts) complete(set assumption.Set, temporaryGreen bool) Accounts {
	stays := "stays_away_without_temporary_pct"
	if temporaryGreen {
		stays = "stays_away_with_temporary_pct"
	}
	acc.StaysAwayPct = orLikely(acc.StaysAwayPct, set, stays)
	acc.MembersAtRiskPct = orLikely(acc.MembersAtRiskPct, set, "members_at_risk_pct")
	if acc.Members == nil {
		none := 0
		acc.Members = &none
	}
	return acc
}

func (acc Accounts) check(currency costs.Currency) fault.List {
	var faults fault.List
	checkTwelve("/visitor_income", acc.VisitorIncome, currency, &faults)
	if sub := acc.Subscription; sub != nil {
		checkAmount("/subscription", *sub, currency, &faults)
	} else if acc.Members != nil && *acc.Members > 0 {
		faults.Add("/subscription", nil, "there are members and no subscription", "give what a member pays a year, or leave members out")
	}
	if n := acc.Members; n != nil && (*n < 0 || *n > mostMembers) {
		faults.Add("/members", *n, "not a number of members", fmt.Sprintf("give 0 to %d", mostMembers))
	}
	for _, share := range []struct {
		field string
		pct   *float64
	}{{"/stays_away_pct", acc.StaysAwayPct}, {"/members_at_risk_pct", acc.MembersAtRiskPct}} {
		if share.pct != nil && !(*share.pct >= 0 && *share.pct <= 100) {
			faults.Add(share.field, *share.pct, "not a percentage", "give 0 to 100")
		}
	}
	return faults
}

const mostMembers = 100_000

// checkTwelve holds twelve amounts of months to the currency of the case.
func checkTwelve(pointer string, amounts []costs.Money, currency costs.Currency, faults *fault.List) {
	if len(amounts) != 12 {
		faults.Add(pointer, len(amounts), "twelve amounts are wanted", "give one amount a month, January first")
	}
	for i, amount := range amounts {
		checkAmount(fmt.Sprintf("%s/%d", pointer, i), amount, currency, faults)
	}
}

func checkAmount(pointer string, amount costs.Money, currency costs.Currency, faults *fault.List) {
	if amount.Currency() != currency {
		faults.Add(pointer+"/currency", amount.Currency(), "not the currency of the case", "write it in "+currency.Code())
	}
	if amount.Sign() < 0 {
		faults.Add(pointer+"/amount", amount, "this cannot be less than nothing", "give 0 or more")
	}
}

// worth works the twelve months out of completed and checked accounts.
func (acc Accounts) worth(currency costs.Currency) ([]WorthOfMonth, error) {
	months := make([]WorthOfMonth, 12)
	members := costs.Zero(currency)
	if acc.Subscription != nil {
		all, err := costs.Quantity(float64(*acc.Members))
		if err != nil {
			return nil, err
		}
		if members, err = acc.Subscription.Mul(all); err != nil {
			return nil, err
		}
		if members, err = times(members, *acc.MembersAtRiskPct/100/12); err != nil {
			return nil, err
		}
	}
	for i, income := range acc.VisitorIncome {
		month := WorthOfMonth{
			Month: i + 1, VisitorIncome: income, StaysAwayPct: *acc.StaysAwayPct, MembersAtRiskPct: *acc.MembersAtRiskPct, FromSubscriptions: members,
		}
		var err error
		if month.FromVisitors, err = times(income, *acc.StaysAwayPct/100); err != nil {
			return nil, err
		}
		if month.Worth, err = month.FromVisitors.Add(members); err != nil {
			return nil, err
		}
		months[i] = month
	}
	return months, nil
}

// completeWorth works the worth of a playable month out of the accounts, where
// the terms have them. A resolved case has both, and they agree.
func (m *MoneyTerms) completeWorth(set assumption.Set, currency costs.Currency, temporaryGreen bool, faults *fault.List) {
	if m.Accounts == nil {
		if m.WorthOfPlayableMonth == nil {
			faults.Add("/worth_of_playable_month", nil, "nothing says what a playable month is worth", "give twelve amounts, January first, or the club's accounts")
			return
		}
		checkTwelve("/worth_of_playable_month", m.WorthOfPlayableMonth, currency, faults)
		return
	}
	accounts := m.Accounts.complete(set, temporaryGreen)
	m.Accounts = &accounts
	if bad := accounts.check(currency); len(bad) > 0 {
		faults.Under("/accounts", bad)
		return
	}
	months, err := accounts.worth(currency)
	if err != nil {
		faults.Add("/accounts", nil, "the accounts come to more than an amount can hold", "check visitor_income and subscription")
		return
	}
	derived := make([]costs.Money, len(months))
	for i := range months {
		derived[i] = months[i].Worth
	}
	if given := m.WorthOfPlayableMonth; given != nil {
		same := len(given) == len(derived)
		for i := range min(len(given), len(derived)) {
			same = same && given[i].Equal(derived[i])
		}
		if !same {
			faults.Add("/worth_of_playable_month", nil, "it is given, and the accounts come to something else", "keep one of the two")
		}
	}
	m.WorthOfPlayableMonth = derived
}

// worthDerivation shows how the accounts were read; empty where the worth was
// given outright.
func (a *appraiser) worthDerivation() ([]WorthOfMonth, error) {
	if a.Case.Money.Accounts == nil {
		return []WorthOfMonth{}, nil
	}
	return a.Case.Money.Accounts.worth(a.currency)
}
