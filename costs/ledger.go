package costs

import "fmt"

// Kind is what an entry of the cash flow is.
type Kind string

// The kinds of entry. An entry's amount is positive for what its name says:
// an Upkeep of 100 is 100 paid out, an IncomeLost of 100 is 100 not taken.
const (
	Enabling   Kind = "enabling"    // works around the green, whatever the option
	Capital    Kind = "capital"     // the works themselves
	Aftercare  Kind = "aftercare"   // the extra of the first two years
	Upkeep     Kind = "upkeep"      // every year's
	Renewal    Kind = "renewal"     // the works again at the end of their life
	IncomeLost Kind = "income_lost" // while out of play
	Income     Kind = "income"      // from months playable
)

// kinds in the order in which a year lists them.
var kinds = [...]Kind{Enabling, Capital, Aftercare, Upkeep, Renewal, IncomeLost, Income}

func (k Kind) number() int {
	for i, kind := range kinds {
		if k == kind {
			return i
		}
	}
	return -1
}

// comesIn reports whether the kind adds to the club's money.
func (k Kind) comesIn() bool { return k == Income }

// isCost reports whether the kind is money spent, as the equal annual cost
// counts it: income lost is not.
func (k Kind) isCost() bool { return k != Income && k != IncomeLost }

// YearZero, given as the month of an entry, puts it before the first month,
// where it is neither discounted nor inflated.
const YearZero = -1

// Ledger gathers the entries of one option's cash flow. Every monthly entry is
// raised to the price level of its year and rounded once, half away from zero;
// years are sums of rounded entries. A bad entry is kept as a problem and
// reported when the ledger is closed. A Ledger is for one goroutine.
type Ledger struct {
	timeline Timeline
	byKind   [len(kinds)][]int64 // by year
	residual int64               // at the horizon's price level
	limit    int64               // first number of minor units that is too large
	found    problems
}

// detailTooLong says of an entry or a year that it does not fit an amount.
const detailTooLong = "the amounts of the year come to more than 12 digits"

// maxProblems bounds the problems that one ledger keeps.
const maxProblems = 100

// NewLedger opens an empty ledger.
func (t Timeline) NewLedger() *Ledger {
	ledger := &Ledger{timeline: t, limit: minorLimit(t.currency)}
	cells := make([]int64, len(kinds)*(t.years+1))
	for i := range ledger.byKind {
		ledger.byKind[i], cells = cells[:t.years+1:t.years+1], cells[t.years+1:]
	}
	return ledger
}

// Add enters one amount in one month, counted from 0 at the first month, or in
// YearZero.
func (l *Ledger) Add(month int, kind Kind, amount Money) {
	if amount.currency != l.timeline.currency {
		l.refuse(month, kind, amount, "the amount is not in the currency of the cash flow")
		return
	}
	year, ok := l.yearOf(month)
	if !ok {
		l.refuse(month, kind, amount, fmt.Sprintf("the month is outside the horizon of %d months", l.timeline.Months()))
		return
	}
	l.enter(month, year, kind, amount.minor(), l.timeline.level(kind, year), indexPlaces)
}

// AddTwelve enters a year's twelve amounts.
func (l *Ledger) AddTwelve(year int, kind Kind, amounts Twelve) {
	if !l.yearFits(year, kind, amounts) {
		return
	}
	for i, minor := range amounts.minor {
		l.enter(12*(year-1)+i, year, kind, minor, l.timeline.level(kind, year), indexPlaces)
	}
}

// AddShares enters a share, from 0 to 1, of each of a year's twelve amounts, as
// income is the playable share of what a month is worth. Shares are rounded to
// 4 places; amount × share × price level is rounded once.
func (l *Ledger) AddShares(year int, kind Kind, amounts Twelve, shares [12]float64) {
	if !l.yearFits(year, kind, amounts) {
		return
	}
	for i, minor := range amounts.minor {
		month := 12*(year-1) + i
		parts, ok := shareParts(shares[i])
		if !ok {
			l.refuse(month, kind, shares[i], "this is not a share")
			continue
		}
		// parts ≤ 10^4 and index < 10^14: the product is below 10^18.
		l.enter(month, year, kind, minor, parts*l.timeline.level(kind, year), sharePlaces+indexPlaces)
	}
}

// yearOf is the year in which a month falls: 0 for YearZero.
func (l *Ledger) yearOf(month int) (year int, ok bool) {
	if month == YearZero {
		return 0, true
	}
	return month/12 + 1, month >= 0 && month < l.timeline.Months()
}

// yearFits refuses twelve amounts in a year outside the horizon or in another
// currency.
func (l *Ledger) yearFits(year int, kind Kind, amounts Twelve) bool {
	switch {
	case amounts.currency != l.timeline.currency:
		l.refuse(YearZero, kind, amounts.currency, "the amounts are not in the currency of the cash flow")
		return false
	case year < 1 || year > l.timeline.years:
		l.refuse(YearZero, kind, year, fmt.Sprintf("the year is outside the horizon of %d years", l.timeline.years))
		return false
	}
	return true
}

// enter is where every entry is rounded: minor × coefficient ÷ 10^places. Each
// entry and each running total is kept below 10^16 minor units, far inside an
// int64.
func (l *Ledger) enter(month, year int, kind Kind, minor, coefficient int64, places int) {
	number := kind.number()
	if number < 0 {
		l.refuse(month, kind, nil, "this is not a kind of entry")
		return
	}
	if !l.accumulate(&l.byKind[number][year], minor, coefficient, places) {
		l.refuse(month, kind, nil, detailTooLong)
	}
}

// accumulate adds minor × coefficient ÷ 10^places to a total, unless one of the
// two becomes too large.
func (l *Ledger) accumulate(total *int64, minor, coefficient int64, places int) bool {
	amount, ok := roundedProduct(minor, coefficient, places)
	sum := *total + amount
	if !ok || max(amount, -amount) >= l.limit || max(sum, -sum) >= l.limit {
		return false
	}
	*total = sum
	return true
}

func (l *Ledger) refuse(month int, kind Kind, value any, detail string) {
	if len(l.found) < maxProblems {
		l.found.add(fmt.Sprintf("/entries/%s/%d", kind, month), value, detail, "mend the entry of this kind and month")
	}
}
