package costs

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// demoTerms are the percentages of most tests.
func demoTerms() Terms {
	return Terms{
		ContingencyPct:    10,
		TaxRates:          []TaxRate{{StandardRated, 20}, {ReducedRated, 5}},
		TaxRecoverablePct: 15,
	}
}

// A bill small enough to be worked by hand: gravel 3.3335 → 3.334 t × 30.00 =
// 100.02, labour 10 h × 24.00 = 240.00, pipe 7.7 m × 1.35 = 10.395 → 10.40.
// Subtotal 350.42; contingency 10 % = 35.042 → 35.04, in proportion 10.0014,
// 1.0399, 23.9986: floors 10.00, 1.03, 23.99 leave two pence for the largest
// fractions, pipe (.99) and labour (.86). Tax: 20 % of 110.02 = 22.004 → 22.00, 5 % of
// 11.44 = 0.572 → 0.57. Recoverable 15 %: 3.30 and 0.0855 → 0.09.
func TestBillWorkedByHand(t *testing.T) {
	demands := []Demand{
		{Section: "Drainage", Item: "gravel", Quantity: 3.3335, Unit: Tonne, Working: "10 × 0.3333"},
		{Section: "Work", Item: "labour", Description: "Two for a day", Quantity: 10},
		{Section: "Drainage", Item: "pipe", Quantity: 7.7},
		{Section: "Nothing", Item: "pipe", Quantity: 0.0004},
	}
	bill, found := MakeBill(pricesAt(t, smallBook(), Likely), demands, demoTerms())
	mustNot(t, found)
	var got []string
	for _, section := range bill.Sections {
		for _, line := range section.Lines {
			got = append(got, fmt.Sprintf("%s|%s|%v %s at %v = %v", section.Section, line.Description, line.Quantity, line.Unit, line.Rate, line.Amount))
		}
		got = append(got, section.Section+" "+section.Subtotal.String())
	}
	for _, line := range bill.TaxLines {
		got = append(got, fmt.Sprintf("%s %v%% of %v = %v, back %v", line.TaxClass, line.RatePct, line.Taxable, line.Tax, line.TaxRecoverable))
	}
	got = append(got, fmt.Sprint(bill.Subtotal, bill.Contingency, bill.NetTotal, bill.Tax, bill.TaxRecoverable, bill.Capital))
	want := []string{
		"Drainage|Gravel|3.334 t at 30.00 GBP = 100.02 GBP",
		"Drainage|Pipe|7.7 m at 1.35 GBP = 10.40 GBP",
		"Drainage 110.42 GBP",
		"Work|Two for a day|10 h at 24.00 GBP = 240.00 GBP",
		"Work 240.00 GBP",
		"standard 20% of 110.02 GBP = 22.00 GBP, back 3.30 GBP",
		"reduced 5% of 11.44 GBP = 0.57 GBP, back 0.09 GBP",
		"exempt 0% of 264.00 GBP = 0.00 GBP, back 0.00 GBP",
		fmt.Sprint(money(t, "350.42", "GBP"), money(t, "35.04", "GBP"), money(t, "385.46", "GBP"), money(t, "22.57", "GBP"), money(t, "3.39", "GBP"), money(t, "404.64", "GBP")),
	}
	if g, w := strings.Join(got, "\n"), strings.Join(want, "\n"); g != w {
		t.Errorf("got\n%s\nwant\n%s", g, w)
	}
}

// Value added tax at 20 % on 3 × 19.99 and 7 × 0.99: on the rounded total of
// the class 13.38; line by line, rounded half up, it would be 13.40 (the two
// ways of HMRC, VAT Traders' Records manual, VATREC12010; figures computed). To
// the penny.
func TestTaxIsOnTheTotalOfTheClassAndNotOnLines(t *testing.T) {
	book := smallBook()
	book.Items[0].Likely, book.Items[0].Low = "19.99", "19.99"
	book.Items[1].Likely, book.Items[1].Low, book.Items[1].TaxClass = "0.99", "0.99", StandardRated
	demands := []Demand{{Item: "gravel", Quantity: 1}, {Item: "gravel", Quantity: 1}, {Item: "gravel", Quantity: 1}}
	for range 7 {
		demands = append(demands, Demand{Item: "labour", Quantity: 1})
	}
	bill, found := MakeBill(pricesAt(t, book, Likely), demands, Terms{TaxRates: []TaxRate{{StandardRated, 20}}})
	mustNot(t, found)
	if !bill.Tax.Equal(money(t, "13.38", "GBP")) {
		t.Errorf("tax %v, want 13.38", bill.Tax)
	}
	byLine := Zero(bill.Currency)
	for _, line := range bill.Sections[0].Lines {
		tax, err := line.Amount.Mul(dec("0.2"))
		if err != nil {
			t.Fatal(err)
		}
		if byLine, err = byLine.Add(tax); err != nil {
			t.Fatal(err)
		}
	}
	if !byLine.Equal(money(t, "13.40", "GBP")) {
		t.Errorf("by the line %v, want 13.40: the case no longer tells the rules apart", byLine)
	}
}

func TestEverythingWrongWithABillIsListedAtOnce(t *testing.T) {
	demands := []Demand{
		{Section: "Soil", Item: "root_zone", Quantity: 1},
		{Section: "Sand", Item: "sand", Quantity: 1},
		{Section: "Sand", Item: "sand", Quantity: 2},
		{Section: "Gravel", Item: "gravel", Quantity: math.NaN()},
		{Section: "Gravel", Item: "gravel", Quantity: -1},
		{Section: "Gravel", Item: "gravel", Quantity: 1, Unit: CubicMetre},
		{Section: "Pipe", Item: "pipe", Quantity: 1},
		{Section: "Pipe", Item: "chamber", Quantity: 0}, // nothing of it: no price needed
	}
	terms := Terms{ContingencyPct: math.Inf(1), TaxRecoverablePct: 101, TaxRates: []TaxRate{{"luxury", 1}, {ZeroRated, 5}, {StandardRated, 20}, {StandardRated, 17.5}}}
	_, found := MakeBill(pricesAt(t, smallBook(), Likely), demands, terms)
	wantFields(t, found,
		"/contingency_pct", "/tax_recoverable_pct", "/tax_rates/0/tax_class", "/tax_rates/1/rate_pct", "/tax_rates/3/tax_class",
		"/price_book/items", "/price_book/items",
		"/demands/3/quantity", "/demands/4/quantity", "/demands/5/unit",
		"/tax_rates")
}

// A missing item is asked for with the unit in which it is needed, and the section
// that needs it is named in words.
func TestAMissingItemIsAskedForWithItsUnit(t *testing.T) {
	demands := []Demand{{Section: "sand_and_seed", Item: "moon_sand", Quantity: 1, Unit: Tonne}, {Section: "tests", Item: "tasting", Quantity: 1}}
	_, found := MakeBill(pricesAt(t, smallBook(), Likely), demands, Terms{})
	if len(found) != 2 || found[0].Remedy != "add moon_sand, priced per t" || found[1].Remedy != "add tasting" {
		t.Fatalf("got %v", found)
	}
	if !strings.Contains(found[0].Detail, "sand and seed") {
		t.Errorf("got %q", found[0].Detail)
	}
}

func TestABillTooLargeIsRefused(t *testing.T) {
	book := smallBook()
	book.Items[0].High = "999999999999.99"
	for name, demands := range map[string][]Demand{
		"line": {{Item: "gravel", Quantity: 2}},
		"sum":  {{Item: "gravel", Quantity: 1}, {Item: "labour", Quantity: 1}},
		"tax":  {{Item: "gravel", Quantity: 1}},
	} {
		if bill, found := MakeBill(pricesAt(t, book, High), demands, Terms{TaxRates: []TaxRate{{StandardRated, 20}}}); len(found) == 0 {
			t.Errorf("%s: a bill of %v was made", name, bill.Capital)
		}
	}
}

func TestAnEmptyBillIsNothing(t *testing.T) {
	bill, found := MakeBill(pricesAt(t, smallBook(), Likely), nil, demoTerms())
	mustNot(t, found)
	if !bill.Capital.Equal(Zero(bill.Currency)) {
		t.Errorf("an empty bill comes to %v", bill.Capital)
	}
	text, err := json.Marshal(bill)
	if err != nil || !strings.Contains(string(text), `"sections":[],`) || !strings.Contains(string(text), `"tax_lines":[],`) {
		t.Errorf("an empty bill is written %s (%v)", text, err)
	}
}

// drawBill draws a price book in a currency of 0, 2, 3 or 4 places and a bill
// from it.
func drawBill(rt *rapid.T) Bill {
	code := rapid.SampledFrom([]string{"JPY", "GBP", "KWD", "CLF"}).Draw(rt, "currency")
	c, _ := LookupCurrency(code)
	book := PriceBook{Name: "Drawn", Currency: code, PriceDate: "2026-09-01"}
	for i := range rapid.IntRange(1, 8).Draw(rt, "items") {
		rate := ofMinor(rapid.Int64Range(0, 5_000_000).Draw(rt, "rate"), c)
		amount := DecimalAmount(rate.DecimalText())
		book.Items = append(book.Items, PriceItem{
			Item: fmt.Sprintf("item_%d", i), Unit: Each, Low: amount, Likely: amount, High: amount,
			TaxClass: rapid.SampledFrom(taxClasses).Draw(rt, "class"),
		})
	}
	prices, found := book.At(Likely)
	if len(found) > 0 {
		rt.Fatal(found)
	}
	demands := make([]Demand, rapid.IntRange(0, 30).Draw(rt, "lines"))
	for i := range demands {
		demands[i] = Demand{
			Section: rapid.SampledFrom([]string{"a", "b", "c"}).Draw(rt, "section"),
			Item:    book.Items[rapid.IntRange(0, len(book.Items)-1).Draw(rt, "item")].Item, Quantity: rapid.Float64Range(0, 5000).Draw(rt, "quantity"),
		}
	}
	bill, found := MakeBill(prices, demands, Terms{
		ContingencyPct:    rapid.Float64Range(0, 50).Draw(rt, "contingency"),
		TaxRates:          []TaxRate{{StandardRated, rapid.Float64Range(0, 30).Draw(rt, "standard")}, {ReducedRated, 5}},
		TaxRecoverablePct: rapid.Float64Range(0, 100).Draw(rt, "recoverable"),
	})
	if len(found) > 0 {
		rt.Fatal(found)
	}
	return bill
}

// Every column of a bill adds up to its total exactly, as it is printed.
func TestBillsAddUp(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		bill := drawBill(rt)
		sum := func(amounts ...Money) Money {
			total, err := Sum(bill.Currency, amounts...)
			if err != nil {
				rt.Fatal(err)
			}
			return total
		}
		equal := func(what string, got, want Money) {
			if !got.Equal(want) {
				rt.Fatalf("%s is %v, its parts come to %v", what, want, got)
			}
		}
		total := Zero(bill.Currency)
		for _, section := range bill.Sections {
			part := Zero(bill.Currency)
			for _, line := range section.Lines {
				// The printed quantity times the printed rate is the printed amount.
				quantity, err := Quantity(line.Quantity)
				if err != nil {
					rt.Fatal(err)
				}
				amount, err := line.Rate.Mul(quantity)
				if err != nil {
					rt.Fatal(err)
				}
				equal("line", amount, line.Amount)
				part = sum(part, line.Amount)
			}
			equal("section", part, section.Subtotal)
			total = sum(total, section.Subtotal)
		}
		equal("subtotal", total, bill.Subtotal)
		equal("net total", sum(bill.Subtotal, bill.Contingency), bill.NetTotal)
		taxable, tax, back := Zero(bill.Currency), Zero(bill.Currency), Zero(bill.Currency)
		for _, line := range bill.TaxLines {
			taxable, tax, back = sum(taxable, line.Taxable), sum(tax, line.Tax), sum(back, line.TaxRecoverable)
		}
		if total.Sign() > 0 {
			equal("net total by class", taxable, bill.NetTotal)
		}
		equal("tax", tax, bill.Tax)
		equal("recoverable tax", back, bill.TaxRecoverable)
		equal("capital", sum(bill.NetTotal, bill.Tax, bill.TaxRecoverable.Neg()), bill.Capital)
		if c, _ := bill.TaxRecoverable.Cmp(bill.Tax); c > 0 || bill.TaxRecoverable.Sign() < 0 {
			rt.Fatalf("%v of %v tax comes back", bill.TaxRecoverable, bill.Tax)
		}
	})
}
