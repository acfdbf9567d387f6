package model

import "swardcase/costs"

// Financing is a loan beside an option's cash flow: whether works are worth
// doing does not depend on how they are paid for, and what is in the club's hand
// each year does.
type Financing struct {
	Loan costs.Loan `json:"loan"`
	// Options are those that need capital, in the order of the table.
	Options []FinancedOption `json:"options"`
}

// FinancedOption is one option with the loan beside it.
type FinancedOption struct {
	Option Option             `json:"option"`
	Flow   costs.FinancedFlow `json:"flow"`
}

// finance sets the loan of the terms beside every option with works; nil where
// they have none. Its payments are fixed sums, which in real money shrink with
// inflation.
func (a *appraiser) finance(options []OptionAppraisal) (*Financing, error) {
	terms := a.Case.Money.Loan
	if terms == nil {
		return nil, nil
	}
	loan, bad := costs.NewLoan(*terms)
	if err := a.underMoney(below("/loan", bad)).Err(); err != nil {
		return nil, err
	}
	deflate := 0.0
	if a.Case.Money.Basis == Real {
		deflate = a.assumptions.Likely("inflation_pct")
	}
	f := &Financing{Loan: loan, Options: []FinancedOption{}}
	for _, o := range options {
		if !o.Option.HasWorks() {
			continue
		}
		flow, bad := a.purse.timeline.Finance(o.Money.CashFlow, loan, deflate)
		if err := a.underMoney(bad).Err(); err != nil {
			return nil, err
		}
		f.Options = append(f.Options, FinancedOption{o.Option, flow})
	}
	return f, nil
}

// below puts problems under a field.
func below(field string, problems []costs.Problem) []costs.Problem {
	for i := range problems {
		problems[i].Field = field + problems[i].Field
	}
	return problems
}
