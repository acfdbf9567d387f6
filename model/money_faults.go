package model

import (
	"errors"
	"slices"
	"strconv"
	"strings"

	"swardcase/costs"
	"swardcase/model/fault"
)

// The places in a case that problems of money lead to.
const (
	moneyAt     = "/money"
	priceBookAt = moneyAt + "/price_book"
	itemsAt     = priceBookAt + "/items"
	worthAt     = moneyAt + "/worth_of_playable_month"
)

// AsFaults turns problems of the money package into faults at the same fields.
func AsFaults(problems []costs.Problem) fault.List {
	var faults fault.List
	for _, p := range problems {
		var value any
		if p.Value != "" {
			value = p.Value
		}
		faults.Add(p.Field, value, p.Detail, p.Remedy)
	}
	return faults
}

// underMoney turns the problems of the money package, whose fields are
// relative to the terms, into faults of the case. What is no field of a case
// (an entry of the cash flow, the bill as a whole) is led back to what the case
// says of it.
func (r Resolved) underMoney(problems []costs.Problem) fault.List {
	faults := AsFaults(problems)
	for i, f := range faults {
		rest, isEntry := strings.CutPrefix(f.Pointer, "/entries/")
		kind, _, _ := strings.Cut(rest, "/")
		switch {
		case isEntry:
			faults[i] = r.entryFault(costs.Kind(kind), f.Detail)
		case strings.HasPrefix(f.Pointer, "/years/"):
			faults[i] = sumsTooLarge()
		case f.Pointer == "":
			faults[i].Pointer = priceBookAt
		case f.Pointer == "/first_month":
			faults[i].Pointer = "/available/first_month"
		default:
			faults[i].Pointer = moneyAt + f.Pointer
		}
	}
	return distinct(faults)
}

// entryFault leads a bad entry of a cash flow back to what it was made from.
func (r Resolved) entryFault(kind costs.Kind, detail string) fault.Fault {
	words := strings.ReplaceAll(string(kind), "_", " ")
	switch {
	case (kind == costs.Income || kind == costs.IncomeLost) && r.Case.Money.Accounts != nil:
		return fault.New(moneyAt+"/accounts", nil, detail, "look for a figure with too many digits")
	case kind == costs.Income || kind == costs.IncomeLost:
		return fault.New(worthAt, nil, detail, "give less for a playable month")
	case kind == costs.Upkeep && r.Case.Upkeep.CostPerYear != nil:
		return fault.New("/upkeep/cost_per_year", nil, detail, "give a smaller amount")
	}
	return fault.New(priceBookAt, nil, words+": "+detail, "look for a rate with too many digits")
}

// underPriceBook puts problems of the price book under the case's, but for the
// price level and the case's own indices, which stand beside it.
func (r Resolved) underPriceBook(problems []costs.Problem) fault.List {
	money := r.Case.Money
	var moved []costs.Problem
	for _, p := range problems {
		beside := strings.HasPrefix(p.Field, "/price_level") ||
			money.RegionalIndex != nil && strings.HasPrefix(p.Field, "/regional_index") ||
			money.DateIndex != nil && strings.HasPrefix(p.Field, "/date_index")
		if !beside {
			p.Field = "/price_book" + p.Field
		}
		moved = append(moved, p)
	}
	return r.underMoney(moved)
}

// makeBill prices the demands. A fault of a demand, which is no part of the
// case, is one of the price book's item for it.
func (r Resolved) makeBill(prices costs.Prices, demands []costs.Demand, terms costs.Terms) (costs.Bill, fault.List) {
	bill, problems := costs.MakeBill(prices, demands, terms)
	for i, p := range problems {
		rest, isDemand := strings.CutPrefix(p.Field, "/demands/")
		number, member, _ := strings.Cut(rest, "/")
		n, err := strconv.Atoi(number)
		if !isDemand || err != nil || n < 0 || n >= len(demands) {
			continue
		}
		problems[i] = r.atItem(p, demands[n].Item, member)
	}
	return bill, r.underMoney(problems)
}

// atItem moves a problem of a demand to the item that prices it: its unit, or
// the rate that makes the amount too long.
func (r Resolved) atItem(p costs.Problem, item, member string) costs.Problem {
	items := r.Case.Money.PriceBook.Items
	at := slices.IndexFunc(items, func(priced costs.PriceItem) bool { return priced.Item == item })
	if at < 0 {
		p.Field = strings.TrimPrefix(itemsAt, moneyAt)
		return p
	}
	field, value := string(r.Case.Money.PriceLevel), ""
	if member == "unit" {
		field, value = "unit", string(items[at].Unit)
	}
	p.Field, p.Value = strings.TrimPrefix(itemsAt, moneyAt)+fault.Pointer(at, field), value
	return p
}

// distinct drops repeated faults. The same missing price is missed by several
// sections, which only the detail tells apart.
func distinct(faults fault.List) fault.List {
	seen := map[fault.Fault]bool{}
	var out fault.List
	for _, f := range faults {
		key := f
		if key.Pointer == itemsAt {
			key.Detail = ""
		}
		if !seen[key] {
			seen[key] = true
			out = append(out, f)
		}
	}
	return out
}

// tooLarge makes a fault of sums that no amount can hold: only the case's own
// amounts can mend them. Other errors stay as they are.
func tooLarge(err error) error {
	if !errors.Is(err, costs.ErrTooLarge) {
		return err
	}
	return fault.List{sumsTooLarge()}
}

func sumsTooLarge() fault.Fault {
	return fault.New(moneyAt, nil, "the amounts of this case add up to more than 12 digits before the point",
		"look for too many digits in worth_of_playable_month, the price book, cost_per_year and inflation_pct")
}
