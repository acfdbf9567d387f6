package costs

import (
	"errors"
	"fmt"
)

// Coefficients are the cash flow of one option as a sum that is linear in
// prices and in what a playable month is worth, for draws: made once, it gives
// the net of each year and the net present value for any prices and worths, in
// floats and without allocating. It differs from the ledger's cash flow of the
// same entries only by the roundings of the ledger: half a minor unit for every
// line, percentage, entry and discounted year.
//
// What is not linear is held as it is in the bill: an item that a minimum
// charge has raised stays at that charge, and an item stays in the quantity
// band that its quantity falls in, whose rate is the price to give.
type Coefficients struct {
	timeline Timeline
	place    map[string]int // of each item in the prices
	fixed    []float64      // net by year of what no draw changes
	worth    [][12]float64  // net by year, per unit of a calendar month's worth
	bills    []billForm

	presentFixed float64
	presentWorth [12]float64
}

// billForm is a bill's capital as a sum over prices, and where it is paid.
type billForm struct {
	fixed   float64
	terms   []priceTerm
	byYear  []float64 // net by year, per unit of the bill's capital
	present float64   // the same, discounted and added up
}

// priceTerm is what one unit of an item's price adds to the capital of a bill.
type priceTerm struct {
	place   int
	perUnit float64
}

// BillNumber names a bill within Coefficients.
type BillNumber int

// ErrNotLinear is returned for an entry that Coefficients cannot take.
var ErrNotLinear = errors.New("costs: entry outside the cash flow")

// NewCoefficients opens an empty sum. The items name the places of the prices
// that it will be given.
func (t Timeline) NewCoefficients(items []string) *Coefficients {
	c := &Coefficients{
		timeline: t, place: make(map[string]int, len(items)),
		fixed: make([]float64, t.years+1), worth: make([][12]float64, t.years+1),
	}
	for i, item := range items {
		c.place[item] = i
	}
	return c
}

// AddBill takes the lines of a bill that was made on the given terms. It costs
// nothing until it is entered.
func (c *Coefficients) AddBill(bill Bill, terms Terms) (BillNumber, error) {
	rates, found := terms.resolve()
	if len(found) > 0 {
		return 0, found[0]
	}
	perUnit := rates.capitalPerUnit()
	raised := map[string]bool{}
	for _, section := range bill.Sections {
		for _, line := range section.Lines {
			if line.MinimumCharge {
				raised[line.Item] = true
			}
		}
	}
	form := billForm{byYear: make([]float64, c.timeline.years+1)}
	at := map[int]int{} // place of each item among the terms
	for _, section := range bill.Sections {
		for _, line := range section.Lines {
			number := line.TaxClass.number()
			place, known := c.place[line.Item]
			switch {
			case number < 0:
				return 0, fmt.Errorf("costs: %s has no tax class: %w", line.Item, ErrNotLinear)
			case raised[line.Item]:
				form.fixed += line.Amount.Float() * perUnit[number]
				continue
			case !known:
				return 0, fmt.Errorf("costs: %s is not among the drawn prices: %w", line.Item, ErrNotLinear)
			}
			term, ok := at[place]
			if !ok {
				term = len(form.terms)
				at[place] = term
				form.terms = append(form.terms, priceTerm{place: place})
			}
			form.terms[term].perUnit += line.Quantity * perUnit[number]
		}
	}
	c.bills = append(c.bills, form)
	return BillNumber(len(c.bills) - 1), nil
}

// EnterBill enters a bill's capital in a month, or in YearZero, times a number:
// a stage's share, or that of a renewal.
func (c *Coefficients) EnterBill(bill BillNumber, month int, kind Kind, times float64) error {
	year, weight, err := c.weight(month, kind)
	if err != nil || bill < 0 || int(bill) >= len(c.bills) {
		return fmt.Errorf("costs: bill %d as %s in month %d: %w", bill, kind, month, ErrNotLinear)
	}
	form := &c.bills[bill]
	form.byYear[year] += weight * times
	form.present += weight * times * c.factor(year)
	return nil
}

// EnterResidual enters the part of a bill's capital that is unexpired at the
// horizon. It counts in the net present value and in no year, as in the ledger.
func (c *Coefficients) EnterResidual(bill BillNumber, month, lifeMonths int) error {
	horizon := c.timeline.Months()
	if bill < 0 || int(bill) >= len(c.bills) || lifeMonths < 1 || month < YearZero || month >= horizon {
		return fmt.Errorf("costs: residual of bill %d in month %d: %w", bill, month, ErrNotLinear)
	}
	unexpired := float64(max(0, lifeMonths-(horizon-max(0, month)))) / float64(lifeMonths)
	c.bills[bill].present += unexpired * c.priceLevel(Residual, c.timeline.years) * c.factor(c.timeline.years)
	return nil
}

// EnterShares enters, as Ledger.AddShares does, a share of what each month is
// worth; the shares run from the first month of the year of the cash flow.
func (c *Coefficients) EnterShares(year int, kind Kind, shares [12]float64) error {
	for i, share := range shares {
		parts, ok := shareParts(share)
		_, weight, err := c.weight(12*(year-1)+i, kind)
		if !ok || err != nil || year < 1 {
			return fmt.Errorf("costs: share %v as %s in year %d: %w", share, kind, year, ErrNotLinear)
		}
		weight *= float64(parts) / float64(powersOfTen[sharePlaces])
		calendar := int(c.timeline.firstMonth.AddMonths(i).Month) - 1
		c.worth[year][calendar] += weight
		c.presentWorth[calendar] += weight * c.factor(year)
	}
	return nil
}

// EnterAmount enters an amount that no draw changes.
func (c *Coefficients) EnterAmount(month int, kind Kind, amount Money) error {
	year, weight, err := c.weight(month, kind)
	if err != nil || amount.currency != c.timeline.currency {
		return fmt.Errorf("costs: %v as %s in month %d: %w", amount, kind, month, ErrNotLinear)
	}
	c.fixed[year] += weight * amount.Float()
	c.presentFixed += weight * amount.Float() * c.factor(year)
	return nil
}

// weight is what one unit entered in a month adds to its year's net.
func (c *Coefficients) weight(month int, kind Kind) (year int, weight float64, err error) {
	ledger := Ledger{timeline: c.timeline}
	year, ok := ledger.yearOf(month)
	if !ok || kind.number() < 0 {
		return 0, 0, ErrNotLinear
	}
	weight = c.priceLevel(kind, year)
	if !kind.comesIn() {
		weight = -weight
	}
	return year, weight, nil
}

func (c *Coefficients) priceLevel(kind Kind, year int) float64 {
	return float64(c.timeline.level(kind, year)) / float64(powersOfTen[indexPlaces])
}

func (c *Coefficients) factor(year int) float64 {
	return float64(c.timeline.discount[year]) / float64(powersOfTen[factorPlaces])
}

// total is the capital of a bill at the given prices.
func (f *billForm) total(prices []float64) float64 {
	total := f.fixed
	for _, term := range f.terms {
		total += term.perUnit * prices[term.place]
	}
	return total
}

// Capital is a bill's capital at the given prices, which stand in the order of
// the items.
func (c *Coefficients) Capital(bill BillNumber, prices []float64) float64 {
	return c.bills[bill].total(prices)
}

// NetPresentValue is the net present value at the given prices and worths of
// the calendar months, January first.
func (c *Coefficients) NetPresentValue(prices []float64, worth *[12]float64) float64 {
	present := c.presentFixed
	for i := range c.bills {
		present += c.bills[i].present * c.bills[i].total(prices)
	}
	for month, each := range worth {
		present += c.presentWorth[month] * each
	}
	return present
}

// Nets fills in the net of the years 0 to the horizon at the given prices and
// worths; nets must hold a place for each.
func (c *Coefficients) Nets(prices []float64, worth *[12]float64, nets []float64) {
	copy(nets, c.fixed)
	for i := range c.bills {
		total := c.bills[i].total(prices)
		for year, weight := range c.bills[i].byYear {
			nets[year] += weight * total
		}
	}
	for year := range c.worth {
		for month, each := range worth {
			nets[year] += c.worth[year][month] * each
		}
	}
}

// Factors are what one unit of a kind, at the price level of the first month,
// is worth today by year: price level × discount factor. With them a draw can
// value what is not linear in prices and worth, such as playable months that
// are drawn too.
func (t Timeline) Factors(kind Kind) []float64 {
	c := Coefficients{timeline: t}
	factors := make([]float64, t.years+1)
	for year := range factors {
		factors[year] = c.priceLevel(kind, year) * c.factor(year)
	}
	return factors
}

// PriceLevels are the price levels of a kind by year, 1 being that of the first
// month.
func (t Timeline) PriceLevels(kind Kind) []float64 {
	c := Coefficients{timeline: t}
	levels := make([]float64, t.years+1)
	for year := range levels {
		levels[year] = c.priceLevel(kind, year)
	}
	return levels
}

// DiscountFactors are what 1 at the end of each year, from year 0, is worth
// today.
func (t Timeline) DiscountFactors() []float64 {
	c := Coefficients{timeline: t}
	factors := make([]float64, t.years+1)
	for year := range factors {
		factors[year] = c.factor(year)
	}
	return factors
}

// DrawnPayback is the payback of yearly differences in floats: how many years
// until their sum stays at or above zero, and false where it does not or where
// nothing was invested. See Payback, of which it is the unrounded twin.
func DrawnPayback(differences []float64) (years float64, ok bool) {
	sum := 0.0
	for year, difference := range differences {
		if sum < 0 && sum+difference >= 0 {
			years, ok = float64(year-1)-sum/difference, true
		}
		sum += difference
	}
	return years, ok && sum >= 0
}
