package model

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"swardcase/costs"
	"swardcase/model/condition"
	"swardcase/model/fault"
)

// appraisalFaults appraises a case that must have faults.
func appraisalFaults(t *testing.T, c Case) fault.List {
	t.Helper()
	_, err := Appraise(c)
	var faults fault.List
	if !errors.As(err, &faults) {
		t.Fatalf("got %v", err)
	}
	return faults
}

// wantFaults compares the pointers, each with its value behind a space.
func wantFaults(t *testing.T, faults fault.List, want ...string) {
	t.Helper()
	var got []string
	for _, f := range faults {
		got = append(got, strings.TrimSpace(f.Pointer+" "+f.Value))
		if f.Detail == "" || f.Remedy == "" {
			t.Errorf("%s: detail %q, remedy %q", f.Pointer, f.Detail, f.Remedy)
		}
	}
	if !slices.Equal(got, want) {
		t.Errorf("faults at %q, want %q", got, want)
	}
}

// pricedCase brings a price book of its own, which may be spoilt.
func pricedCase(t *testing.T, name string) Case {
	c := readCase(t, name)
	book := costs.DemoPriceBook()
	book.Name = "Rates of the club's own"
	c.Money.PriceBook = &book
	return c
}

func itemOf(book *costs.PriceBook, code string) int {
	return slices.IndexFunc(book.Items, func(item costs.PriceItem) bool { return item.Item == code })
}

// TestEveryMissingPriceIsNamedAtOnce empties the book but for one item: what every
// programme, the enabling works and the works of all options need is asked for in
// one answer, each item once and with its unit.
func TestEveryMissingPriceIsNamedAtOnce(t *testing.T) {
	c := pricedCase(t, "green_14")
	book := c.Money.PriceBook
	full := book.Items
	book.Items = []costs.PriceItem{full[itemOf(book, "general_labour")]}
	faults := appraisalFaults(t, c)
	remedies := map[string]bool{}
	for _, f := range faults {
		if f.Pointer != "/money/price_book/items" || remedies[f.Remedy] {
			t.Errorf("%s %s: %s", f.Pointer, f.Value, f.Remedy)
		}
		if strings.Contains(f.Detail, "_") {
			t.Errorf("a code stands in %q", f.Detail)
		}
		remedies[f.Remedy] = true
	}
	for _, want := range []string{
		"add ordinary_upkeep, priced per m2", // every programme
		"add core_removal, priced per m2",    // the intensified programme
		"add cut_off_drain, priced per m",    // the enabling works
		"add turf_sand_grown, priced per m2", // one option
		"add seed, priced per kg",            // another
	} {
		if !remedies[want] {
			t.Errorf("nothing says %q in %v", want, faults)
		}
	}
	for _, f := range faults {
		book.Items = append(book.Items, full[slices.IndexFunc(full, func(item costs.PriceItem) bool { return item.Item == f.Value })])
	}
	if _, err := Appraise(c); err != nil {
		t.Errorf("with all that was asked for: %v", err)
	}
}

func TestAnotherUnitIsAFaultOfTheItem(t *testing.T) {
	c := pricedCase(t, "green_14")
	at := itemOf(c.Money.PriceBook, "core_removal")
	c.Money.PriceBook.Items[at].Unit = costs.Tonne
	wantFaults(t, appraisalFaults(t, c), fmt.Sprintf("/money/price_book/items/%d/unit t", at))
}

// TestAmountsTooLargeLeadBackToTheCase: years and bills of more than 12 digits are
// a fault of what the case gave, named once.
func TestAmountsTooLargeLeadBackToTheCase(t *testing.T) {
	worth := readCase(t, "green_14")
	for i := range worth.Money.WorthOfPlayableMonth {
		worth.Money.WorthOfPlayableMonth[i] = pounds(t, "999999999999.00")
	}
	wantFaults(t, appraisalFaults(t, worth), "/money/worth_of_playable_month")

	stated := readCase(t, "green_14")
	upkeep := pounds(t, "900000000000.00")
	stated.Upkeep.CostPerYear = &upkeep
	if faults := appraisalFaults(t, stated); len(faults) != 1 || !slices.Contains([]string{"/money", "/upkeep/cost_per_year"}, faults[0].Pointer) {
		t.Errorf("got %v", faults)
	}

	rate := pricedCase(t, "green_14")
	at := itemOf(rate.Money.PriceBook, "ordinary_upkeep")
	rate.Money.PriceBook.Items[at].Likely, rate.Money.PriceBook.Items[at].High = "99999999999.00", "99999999999.00"
	wantFaults(t, appraisalFaults(t, rate), fmt.Sprintf("/money/price_book/items/%d/likely", at))
}

func pounds(t testing.TB, amount string) costs.Money {
	t.Helper()
	currency, _ := costs.LookupCurrency("GBP")
	money, err := costs.ParseMoney(amount, currency)
	if err != nil {
		t.Fatal(err)
	}
	return money
}

// TestAnotherCurrencySaysAllThatItNeeds: where the price book is, where a template
// is printed, and the tax rates, in one answer.
func TestAnotherCurrencySaysAllThatItNeeds(t *testing.T) {
	c := readCase(t, "green_04")
	euro, _ := costs.LookupCurrency("EUR")
	c.Money.Currency, c.Money.PriceBook, c.Money.TaxRates = "EUR", nil, nil
	for i := range c.Money.WorthOfPlayableMonth {
		c.Money.WorthOfPlayableMonth[i] = costs.Zero(euro)
	}
	c.Requirements.CapitalCeiling, c.Upkeep.CostPerYear = nil, nil
	faults := appraisalFaults(t, c)
	wantFaults(t, faults, "/money/price_book", "/money/tax_rates")
	if !strings.Contains(faults[0].Remedy, "swardcase prices") {
		t.Errorf("the remedy does not lead to the template: %s", faults[0].Remedy)
	}

	book := costs.DemoPriceBook()
	book.Items[3].Unit = "bucket"
	c.Money.PriceBook = &book
	wantFaults(t, appraisalFaults(t, c), "/money/price_book/items/3/unit bucket", "/money/price_book/currency GBP", "/money/tax_rates")
}

func TestAFaultOfTheScalesComesOnce(t *testing.T) {
	c := readCase(t, "green_04")
	above := 200.0
	c.Scales = &condition.Scales{SoundFromIndex: &above}
	wantFaults(t, appraisalFaults(t, c), "/scales/sound_from_index 200")
}

// TestADayFarFromTheSurveyIsAFaultOfItsOwn and of nothing that grows until then.
func TestADayFarFromTheSurveyIsAFaultOfItsOwn(t *testing.T) {
	for _, tt := range []struct {
		surveyed string
		first    costs.YearMonth
		want     []string
	}{
		{"2026-02-12", costs.YearMonth{Year: 2199, Month: 12}, []string{"/available/first_month 2199-12"}},
		{"2026-02-12", costs.YearMonth{Year: 2046, Month: 3}, []string{"/available/first_month 2046-03"}},
		{"0000-01-01", costs.YearMonth{Year: 2027, Month: 9}, []string{"/survey/surveyed_on 0000-01-01"}},
		{"1899-12-31", costs.YearMonth{Year: 1900, Month: 9}, []string{"/survey/surveyed_on 1899-12-31"}},
	} {
		c := readCase(t, "green_14")
		surplus := 150.0
		c.Survey.SurveyedOn, c.Available.FirstMonth, c.Available.NurseryTurfSurplusM2PerYear = tt.surveyed, tt.first, &surplus
		wantFaults(t, appraisalFaults(t, c), tt.want...)
	}
	c := readCase(t, "green_14")
	c.Survey.SurveyedOn, c.Available.FirstMonth = "2026-02-12", costs.YearMonth{Year: 2046, Month: 2}
	if _, err := Resolve(c); err != nil {
		t.Errorf("twenty years to the month are refused: %v", err)
	}
}
