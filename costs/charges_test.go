package costs

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// chargedBook is the small book with charges: gravel cheaper from 20 and from
// 100 t and never under 150.00, a roller hired at 90.00 a day and at least
// 120.00 a visit.
func chargedBook() PriceBook {
	book := smallBook()
	book.Items[0].MinimumCharge = "150.00"
	book.Items[0].QuantityBreaks = []QuantityBreak{
		{FromQuantity: 20, Low: "18.00", Likely: "27.00", High: "40.00"},
		{FromQuantity: 100, Low: "17.00", Likely: "25.50", High: "38.00"},
	}
	book.Items = append(book.Items, PriceItem{
		Item: "roller", Description: "Roller", Unit: Day, Low: "70.00", Likely: "90.00", High: "110.00", TaxClass: StandardRated,
		MinimumChargePerVisit: "120.00",
	})
	return book
}

// lines writes the lines of a bill, one to a row.
func lines(bill Bill) string {
	var rows []string
	for _, section := range bill.Sections {
		for _, line := range section.Lines {
			rows = append(rows, fmt.Sprintf("%s|%s|%v %s at %v = %v|%s", section.Section, line.Description, line.Quantity, line.Unit, line.Rate, line.Amount, line.Working))
		}
	}
	return strings.Join(rows, "\n")
}

func billOf(t testing.TB, prices Prices, terms Terms, demands ...Demand) Bill {
	t.Helper()
	bill, found := MakeBill(prices, demands, terms)
	mustNot(t, found)
	return bill
}

// A break is reached by the whole bill, whatever its sections, and its rate is
// that of the whole quantity: 12 + 8 t is 20 t, at 27.00.
func TestQuantityBreaksAreReachedByTheWholeBill(t *testing.T) {
	prices := pricesAt(t, chargedBook(), Likely)
	for _, c := range []struct {
		quantities []float64
		rate       string
	}{
		{[]float64{19.999}, "30.00"},
		{[]float64{19.9995}, "27.00"}, // 20.000 on the bill
		{[]float64{12, 8}, "27.00"},
		{[]float64{60, 39.999}, "27.00"},
		{[]float64{60, 40}, "25.50"},
	} {
		var demands []Demand
		total := 0.0
		for i, quantity := range c.quantities {
			demands = append(demands, Demand{Section: fmt.Sprint(i), Item: "gravel", Quantity: quantity})
			total += quantity
		}
		for _, section := range billOf(t, prices, Terms{TaxRates: []TaxRate{{StandardRated, 20}}}, demands...).Sections {
			if got := section.Lines[0].Rate; !got.Equal(money(t, c.rate, "GBP")) {
				t.Errorf("%v t at %v, want %s", c.quantities, got, c.rate)
			}
		}
		if rate, unit, ok := prices.RateFor("gravel", total); !ok || unit != Tonne || !rate.Equal(money(t, c.rate, "GBP")) {
			t.Errorf("%v t in all at %v, want %s", total, rate, c.rate)
		}
		point, ok := prices.ThreePoint("gravel", total)
		if !ok || point.Likely != money(t, c.rate, "GBP").Float() || point.Low >= point.Likely {
			t.Errorf("%v t in all are drawn from %v", total, point)
		}
	}
}

// Worked by hand. Gravel 2 + 1 t × 30.00 = 90.00, raised by 60.00 to 150.00 in
// the section that orders it last. Roller: 2 days in 2 visits, 180.00, raised
// by 60.00 to 2 × 120.00; 3 days in 2 visits, 270.00, above it; 1 day, raised by
// 30.00. What is not ordered is not charged.
func TestMinimumChargesWorkedByHand(t *testing.T) {
	bill := billOf(t, pricesAt(t, chargedBook(), Likely), Terms{TaxRates: []TaxRate{{StandardRated, 20}}},
		Demand{Section: "Drains", Item: "gravel", Quantity: 2},
		Demand{Section: "Drains", Item: "roller", Quantity: 2, Visits: 2},
		Demand{Section: "Carpet", Item: "gravel", Quantity: 1},
		Demand{Section: "Carpet", Item: "roller", Quantity: 3, Visits: 2},
		Demand{Section: "Carpet", Item: "roller", Quantity: 1},            // one visit where none are stated
		Demand{Section: "Carpet", Item: "roller", Quantity: 0, Visits: 5}) // no visit is made for nothing
	want := strings.Join([]string{
		"Drains|Gravel|2 t at 30.00 GBP = 60.00 GBP|",
		"Drains|Roller|2 day at 90.00 GBP = 180.00 GBP|",
		"Drains|Roller (to the minimum charge)|1 item at 60.00 GBP = 60.00 GBP|2 × a minimum charge of £120.00 a visit, less £180.00",
		"Carpet|Gravel|1 t at 30.00 GBP = 30.00 GBP|",
		"Carpet|Roller|3 day at 90.00 GBP = 270.00 GBP|",
		"Carpet|Roller|1 day at 90.00 GBP = 90.00 GBP|",
		"Carpet|Roller (to the minimum charge)|1 item at 30.00 GBP = 30.00 GBP|1 × a minimum charge of £120.00 a visit, less £90.00",
		"Carpet|Gravel (to the minimum charge)|1 item at 60.00 GBP = 60.00 GBP|minimum charge of £150.00, less £90.00",
	}, "\n")
	if got := lines(bill); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
	if !bill.Subtotal.Equal(money(t, "780.00", "GBP")) || !bill.Tax.Equal(money(t, "156.00", "GBP")) {
		t.Errorf("subtotal %v, tax %v, want 780.00 and 156.00", bill.Subtotal, bill.Tax)
	}
	if none := billOf(t, pricesAt(t, chargedBook(), Likely), Terms{}, Demand{Item: "gravel", Quantity: 0}); len(none.Sections) != 0 {
		t.Errorf("no gravel costs %v", none.Subtotal)
	}
}

// 30.00 × 1.08 × 0.95 = 30.78; the charges move too. A case's own index stands
// in place of the book's of its kind.
func TestIndicesMultiplyEveryRateOnce(t *testing.T) {
	book := chargedBook()
	book.RegionalIndex = &PriceIndex{0.95, "north of the country"}
	book.DateIndex = &PriceIndex{1.08, "two years of inflation in civil engineering"}
	own := Indices{Regional: &PriceIndex{1.1, "an island"}}
	for _, c := range []struct {
		own                      Indices
		rate, broken, least, why string
	}{
		{Indices{}, "30.78", "27.70", "153.90", "north of the country"},                                     // 27.702
		{own, "35.64", "32.08", "178.20", "an island"},                                                      // 32.076
		{Indices{Date: &PriceIndex{1, "quoted today"}}, "28.50", "25.65", "142.50", "north of the country"}, // × 0.95 alone
	} {
		prices, found := book.IndexedAt(Likely, c.own)
		mustNot(t, found)
		bill := billOf(t, prices, demoTerms(), Demand{Item: "gravel", Quantity: 1})
		if got := bill.Sections[0].Lines[0].Rate; !got.Equal(money(t, c.rate, "GBP")) || !bill.Subtotal.Equal(money(t, c.least, "GBP")) {
			t.Errorf("gravel at %v, %v in all, want %s and %s", got, bill.Subtotal, c.rate, c.least)
		}
		if rate, _, _ := prices.RateFor("gravel", 20); !rate.Equal(money(t, c.broken, "GBP")) {
			t.Errorf("20 t of gravel at %v, want %s", rate, c.broken)
		}
		if len(bill.Indices) != 2 || bill.Indices[0].Reason != c.why || bill.Indices[1].Kind != DateIndex {
			t.Errorf("the bill says %v of its indices", bill.Indices)
		}
	}
	if bill := billOf(t, pricesAt(t, smallBook(), Likely), demoTerms()); bill.Indices != nil {
		t.Errorf("a book without indices makes a bill with %v", bill.Indices)
	}
}

func TestBadChargesAndIndicesAreListedAtOnce(t *testing.T) {
	book := chargedBook()
	book.RegionalIndex = &PriceIndex{0, ""}
	book.DateIndex = &PriceIndex{math.NaN(), "no reason at all"}
	book.Items[0].MinimumCharge = "-1.00"
	book.Items[0].QuantityBreaks[0].FromQuantity = math.Inf(1)
	book.Items[0].QuantityBreaks[1].Low = "26.00"
	book.Items[1].QuantityBreaks = []QuantityBreak{{0.0004, "1.00", "1.00", "1.00"}, {5, "1.00", "1.00", "1.00"}, {5, "", "1.001", "1.00"}}
	book.Items[2].QuantityBreaks = make([]QuantityBreak, maxBreaks+1)
	book.Items[3].MinimumChargePerVisit = "1e3"
	wantFields(t, book.Validate(),
		"/regional_index/multiplier", "/regional_index/reason", "/date_index/multiplier",
		"/items/0/minimum_charge", "/items/0/quantity_breaks/0/from_quantity", "/items/0/quantity_breaks/1/low",
		"/items/1/quantity_breaks/0/from_quantity", "/items/1/quantity_breaks/2/from_quantity", "/items/1/quantity_breaks/2/low", "/items/1/quantity_breaks/2/likely",
		"/items/2/quantity_breaks", "/items/3/minimum_charge_per_visit")
	_, found := chargedBook().IndexedAt(Likely, Indices{Date: &PriceIndex{11, "x"}})
	wantFields(t, found, "/date_index/multiplier")
	dear := chargedBook()
	dear.Items[1].High, dear.DateIndex = "999999999999.99", &PriceIndex{1.01, "x"}
	_, found = dear.At(High)
	wantFields(t, found, "/items/1/high")
	dear = chargedBook()
	dear.Items[3].MinimumChargePerVisit = "999999999999.99"
	_, found = MakeBill(pricesAt(t, dear, Likely), []Demand{
		{Item: "roller", Quantity: 1, Visits: -1},
		{Item: "roller", Quantity: 1, Visits: maxVisits + 1},
		{Item: "roller", Quantity: 1, Visits: maxVisits},
		{Item: "roller", Quantity: 1, Visits: 1},
		{Item: "roller", Quantity: 1, Visits: 1},
	}, demoTerms())
	wantFields(t, found, "/demands/0/visits", "/demands/1/visits", "/demands/2/visits", "/price_book/items", "/price_book/items")
}

// However a demand is cut into sections, its item comes to the same within the
// rounding of lines, is never under its minimum charge, and every line is still
// quantity × rate.
func TestChargesDoNotDependOnSections(t *testing.T) {
	prices := pricesAt(t, chargedBook(), Likely)
	rapid.Check(t, func(rt *rapid.T) {
		parts := rapid.SliceOfN(rapid.IntRange(1, 60_000), 1, 6).Draw(rt, "thousandths")
		var cut []Demand
		total := 0
		for i, part := range parts {
			total += part
			cut = append(cut, Demand{Section: fmt.Sprint("part ", i), Item: "gravel", Quantity: float64(part) / 1000})
		}
		whole := billOf(t, prices, demoTerms(), Demand{Item: "gravel", Quantity: float64(total) / 1000})
		bill := billOf(t, prices, demoTerms(), cut...)
		apart := whole.Subtotal.minor() - bill.Subtotal.minor()
		if 2*max(apart, -apart) > int64(len(parts)+1) {
			rt.Fatalf("whole %v, in %d sections %v", whole.Subtotal, len(parts), bill.Subtotal)
		}
		if bill.Subtotal.minor() < money(t, "150.00", "GBP").minor() {
			rt.Fatalf("%v is under the minimum charge", bill.Subtotal)
		}
		for _, section := range bill.Sections {
			for _, line := range section.Lines {
				quantity, err := Quantity(line.Quantity)
				if err != nil {
					rt.Fatal(err)
				}
				if amount, err := line.Rate.Mul(quantity); err != nil || !amount.Equal(line.Amount) {
					rt.Fatalf("%+v: quantity × rate is %v", line, amount)
				}
			}
		}
	})
}
