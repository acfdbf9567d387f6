package costs

import (
	"encoding/csv"
	"errors"
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// fullTerms have every kind of addition.
func fullTerms(rounding TaxRounding) Terms {
	return Terms{
		Preliminaries:     []Addition{{Name: "Site set-up", Pct: 8}, {Name: "Insurance", Pct: 1.5}},
		ProfessionalFees:  []Addition{{Name: "Design and supervision", Pct: 6, TaxClass: StandardRated}},
		ContingencyPct:    10,
		TaxRates:          []TaxRate{{StandardRated, 20}, {ReducedRated, 5}},
		TaxRecoverablePct: 15,
		TaxRounding:       rounding,
	}
}

// Worked by hand, on pipe 100 m × 1.35 = 135.00 (reduced) and labour 10 h ×
// 24.00 = 240.00 (exempt), 375.00 in all. Preliminaries: 8 % = 30.00 (10.80 and
// 19.20), 1.5 % = 5.625 → 5.63 (2.0268 and 3.6032: 2.03 by the larger
// remainder, 3.60). Fees: 6 % of 410.63 = 24.6378 → 24.64, all standard.
// Contingency: 10 % of 435.27 = 43.527 → 43.53, on 24.64, 147.83 and 262.80:
// 2.46417, 14.78402, 26.28181, floors 2.46, 14.78, 26.28 and a penny over for
// the largest remainder, .417 of a penny: the standard class. Taxable 27.11,
// 162.61, 289.08, in all 478.80; tax 5.422 → 5.42 and 8.1305 → 8.13.
func TestAdditionsWorkedByHand(t *testing.T) {
	demands := []Demand{{Section: "Drains", Item: "pipe", Quantity: 100}, {Section: "Work", Item: "labour", Quantity: 10}}
	bill := billOf(t, pricesAt(t, smallBook(), Likely), fullTerms(""), demands...)
	var got []string
	for _, list := range [][]BillAddition{bill.Preliminaries, bill.ProfessionalFees} {
		for _, added := range list {
			got = append(got, fmt.Sprintf("%s %v%% of %v = %v %v", added.Name, added.Pct, added.Base, added.Amount, added.Shares))
		}
	}
	got = append(got, fmt.Sprint(bill.Subtotal, bill.Contingency, bill.NetTotal))
	for _, line := range bill.TaxLines {
		got = append(got, fmt.Sprintf("%s on %v = %v", line.TaxClass, line.Taxable, line.Tax))
	}
	want := []string{
		"Site set-up 8% of 375.00 GBP = 30.00 GBP [{reduced 10.80 GBP } {exempt 19.20 GBP }]",
		"Insurance 1.5% of 375.00 GBP = 5.63 GBP [{reduced 2.03 GBP } {exempt 3.60 GBP }]",
		"Design and supervision 6% of 410.63 GBP = 24.64 GBP [{standard 24.64 GBP }]",
		fmt.Sprint(money(t, "375.00", "GBP"), money(t, "43.53", "GBP"), money(t, "478.80", "GBP")),
		"standard on 27.11 GBP = 5.42 GBP",
		"reduced on 162.61 GBP = 8.13 GBP",
		"exempt on 289.08 GBP = 0.00 GBP",
	}
	if g, w := strings.Join(got, "\n"), strings.Join(want, "\n"); g != w {
		t.Errorf("got\n%s\nwant\n%s", g, w)
	}
}

func TestBadAdditionsAreListedAtOnce(t *testing.T) {
	terms := fullTerms("down")
	terms.Preliminaries = []Addition{{Name: "", Pct: -1}, {Name: "x", Pct: 1, TaxClass: "luxury"}}
	terms.ProfessionalFees = make([]Addition, maxAdditions+1)
	_, found := MakeBill(pricesAt(t, smallBook(), Likely), nil, terms)
	wantFields(t, found, "/preliminaries/0/name", "/preliminaries/0/pct", "/preliminaries/1/tax_class", "/professional_fees", "/tax_rounding")

	terms = Terms{ProfessionalFees: []Addition{{Name: "Design", Pct: 5, TaxClass: StandardRated}}}
	_, found = MakeBill(pricesAt(t, smallBook(), Likely), []Demand{{Item: "labour", Quantity: 1}}, terms)
	wantFields(t, found, "/tax_rates")                 // the lines are exempt, the fee is not
	billOf(t, pricesAt(t, smallBook(), Likely), terms) // no fee on nothing, and no rate needed
}

// HMRC, VAT Traders' Records manual, VATREC12010, with Notice 700 section 17.5
// (second hand; the 86.76p from memory): 86.76p of tax on a line is 86.7p by the
// tenth or 87p; 0.24p is 0.2p by the tenth and must not be rounded to nothing
// by whoever is bound to that paragraph, as the nearest penny would. Exact.
func TestTaxOfALineIsRoundedAsPublished(t *testing.T) {
	for _, c := range []struct{ amount, pct, nearest, tenth string }{
		{"12.00", "7.23", "0.87", "0.867"}, // 86.76p
		{"0.01", "24", "0", "0.002"},       // 0.24p
	} {
		var none problems
		amount := money(t, c.amount, "GBP")
		if got := ByLine.rule(&none).of(amount, dec(c.pct)); !got.Equal(dec(c.nearest)) {
			t.Errorf("%s at %s %%: %v to the penny, want %s", c.amount, c.pct, got, c.nearest)
		}
		if got := ByLineTenthDown.rule(&none).of(amount, dec(c.pct)); !got.Equal(dec(c.tenth)) {
			t.Errorf("%s at %s %%: %v to the tenth, want %s", c.amount, c.pct, got, c.tenth)
		}
	}
}

// Value added tax at 20 % on 3 × 19.99 and 7 × 0.99, by each rule of HMRC's
// VATREC12010: 13.40 by the line to the nearest penny, 13.380 by the line down
// to a tenth, 13.38 on the invoice. Figures computed outside this project; to
// the penny. One line of 0.99 more is 13.578 on the invoice: 13.58, or 13.57
// rounded down.
func TestEveryTaxRoundingRule(t *testing.T) {
	book := smallBook()
	book.Items[0].Likely, book.Items[0].Low = "19.99", "19.99"
	book.Items[1].Likely, book.Items[1].Low, book.Items[1].TaxClass = "0.99", "0.99", StandardRated
	for _, c := range []struct {
		rounding   TaxRounding
		seven      string
		eight      string
		lineOfTax  string
		lineOfTax2 string
	}{
		{"", "13.38", "13.58", "", ""},
		{ByClassTotal, "13.38", "13.58", "", ""},
		{ByClassTotalDown, "13.38", "13.57", "", ""},
		{ByLine, "13.40", "13.60", "4.00", "0.20"},
		{ByLineTenthDown, "13.38", "13.58", "3.998", "0.198"}, // 13.377 + … = 13.380; 13.578
	} {
		demands := []Demand{{Item: "gravel", Quantity: 1}, {Item: "gravel", Quantity: 1}, {Item: "gravel", Quantity: 1}}
		for count, want := range map[int]string{7: c.seven, 8: c.eight} {
			all := demands
			for range count {
				all = append(all, Demand{Item: "labour", Quantity: 1})
			}
			bill := billOf(t, pricesAt(t, book, Likely), Terms{TaxRates: []TaxRate{{StandardRated, 20}}, TaxRounding: c.rounding}, all...)
			if !bill.Tax.Equal(money(t, want, "GBP")) {
				t.Errorf("%q: tax %v on %d small lines, want %s", c.rounding, bill.Tax, count, want)
			}
			lines := bill.Sections[0].Lines
			if string(lines[0].Tax) != c.lineOfTax || string(lines[3].Tax) != c.lineOfTax2 {
				t.Errorf("%q: lines taxed %q and %q, want %q and %q", c.rounding, lines[0].Tax, lines[3].Tax, c.lineOfTax, c.lineOfTax2)
			}
			if bill.TaxRounding == "" {
				t.Errorf("%q: the bill does not state its rule", c.rounding)
			}
		}
	}
}

// drawFullBill draws a bill with everything that a bill can have.
func drawFullBill(rt *rapid.T) (Bill, Terms) {
	code := rapid.SampledFrom([]string{"JPY", "GBP", "KWD", "CLF"}).Draw(rt, "currency")
	c, _ := LookupCurrency(code)
	amount := func(name string, most int64) DecimalAmount {
		return DecimalAmount(ofMinor(rapid.Int64Range(0, most).Draw(rt, name), c).DecimalText())
	}
	book := PriceBook{Name: "Drawn", Currency: code, PriceDate: "2026-09-01", DateIndex: &PriceIndex{rapid.Float64Range(0.5, 2).Draw(rt, "index"), "drawn"}}
	for i := range rapid.IntRange(1, 6).Draw(rt, "items") {
		rate := amount("rate", 5_000_000)
		item := PriceItem{
			Item: fmt.Sprintf("item_%d", i), Unit: Each, Low: rate, Likely: rate, High: rate,
			TaxClass: rapid.SampledFrom(taxClasses).Draw(rt, "class"),
		}
		if rapid.Bool().Draw(rt, "charged") {
			item.MinimumCharge, item.MinimumChargePerVisit = amount("minimum", 1e7), amount("minimum per visit", 1e7)
		}
		if rapid.Bool().Draw(rt, "broken") {
			lower := amount("lower rate", 5_000_000)
			item.QuantityBreaks = []QuantityBreak{{rapid.Float64Range(0.001, 3000).Draw(rt, "from"), lower, lower, lower}}
		}
		book.Items = append(book.Items, item)
	}
	prices, found := book.At(Likely)
	if len(found) > 0 {
		rt.Fatal(found)
	}
	demands := make([]Demand, rapid.IntRange(0, 20).Draw(rt, "lines"))
	for i := range demands {
		demands[i] = Demand{
			Section: rapid.SampledFrom([]string{"a", "b", "c"}).Draw(rt, "section"), Visits: rapid.IntRange(0, 5).Draw(rt, "visits"),
			Item: book.Items[rapid.IntRange(0, len(book.Items)-1).Draw(rt, "item")].Item, Quantity: rapid.Float64Range(0, 5000).Draw(rt, "quantity"),
		}
	}
	additions := rapid.SliceOfN(rapid.Custom(func(rt *rapid.T) Addition {
		return Addition{"drawn", rapid.Float64Range(0, 30).Draw(rt, "pct"), rapid.SampledFrom(append([]TaxClass{""}, taxClasses...)).Draw(rt, "class")}
	}), 0, 3)
	terms := Terms{
		Preliminaries: additions.Draw(rt, "preliminaries"), ProfessionalFees: additions.Draw(rt, "fees"),
		ContingencyPct:    rapid.Float64Range(0, 50).Draw(rt, "contingency"),
		TaxRates:          []TaxRate{{StandardRated, rapid.Float64Range(0, 30).Draw(rt, "standard")}, {ReducedRated, 5}},
		TaxRecoverablePct: rapid.Float64Range(0, 100).Draw(rt, "recoverable"),
		TaxRounding:       rapid.SampledFrom([]TaxRounding{ByClassTotal, ByClassTotalDown, ByLine, ByLineTenthDown}).Draw(rt, "rounding"),
	}
	bill, found := MakeBill(prices, demands, terms)
	if len(found) > 0 {
		rt.Fatal(found)
	}
	return bill, terms
}

// Whatever is added to a bill, its columns add up to the last minor unit, and
// so do the shares of the tax classes and, under the rules that tax by the line,
// the taxes of the lines.
func TestBillsWithAdditionsAddUp(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		bill, terms := drawFullBill(rt)
		net, byLine := bill.Subtotal.minor(), dec("0")
		taxed := func(text DecimalAmount) {
			if text != "" {
				byLine = byLine.Add(dec(string(text)))
			}
		}
		lines := int64(0)
		for _, section := range bill.Sections {
			for _, line := range section.Lines {
				lines += line.Amount.minor()
				taxed(line.Tax)
			}
		}
		for _, added := range append(append([]BillAddition{}, bill.Preliminaries...), bill.ProfessionalFees...) {
			shares := int64(0)
			for _, share := range added.Shares {
				shares += share.Amount.minor()
				taxed(share.Tax)
			}
			if shares != added.Amount.minor() {
				rt.Fatalf("the shares of %+v come to %d", added, shares)
			}
			net += added.Amount.minor()
		}
		for _, share := range bill.ContingencyShares {
			taxed(share.Tax)
		}
		net += bill.Contingency.minor()
		taxable, tax := int64(0), int64(0)
		for _, line := range bill.TaxLines {
			taxable += line.Taxable.minor()
			tax += line.Tax.minor()
			exact := line.Taxable.amount.Mul(dec(fmt.Sprint(line.RatePct)).Shift(-2))
			if terms.TaxRounding == ByClassTotalDown && line.Tax.amount.GreaterThan(exact) {
				rt.Fatalf("tax %v is rounded up from %v", line.Tax, exact)
			}
		}
		if lines != bill.Subtotal.minor() || net != bill.NetTotal.minor() || taxable != net || tax != bill.Tax.minor() {
			rt.Fatalf("lines %d of %v, net %d of %v, taxable %d, tax %d of %v", lines, bill.Subtotal, net, bill.NetTotal, taxable, tax, bill.Tax)
		}
		if bill.Capital.minor() != net+tax-bill.TaxRecoverable.minor() {
			rt.Fatalf("capital %v", bill.Capital)
		}
		classes := dec(fmt.Sprint(len(bill.TaxLines)))
		if rounding := terms.TaxRounding; rounding == ByLine || rounding == ByLineTenthDown {
			apart := byLine.Sub(bill.Tax.amount).Abs().Shift(bill.Currency.Places())
			if rounding == ByLine && !apart.IsZero() || apart.GreaterThan(classes.Div(dec("2"))) {
				rt.Fatalf("the taxes of the lines come to %v, the tax to %v", byLine, bill.Tax)
			}
		}
	})
}

// The table of a bill reads back to the same lines and totals.
func TestBillCSV(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		bill, _ := drawFullBill(rt)
		var text strings.Builder
		if err := bill.WriteCSV(&text); err != nil {
			rt.Fatal(err)
		}
		rows, err := csv.NewReader(strings.NewReader(text.String())).ReadAll()
		if err != nil {
			rt.Fatal(err)
		}
		column := map[string]int{}
		for i, name := range rows[0] {
			column[name] = i
		}
		sums := map[string]int64{}
		for _, row := range rows[1:] {
			read, err := ParseMoney(row[column["amount"]], currency(t, row[column["currency"]]))
			if err != nil {
				rt.Fatal(err)
			}
			sums[row[column["row"]]] += read.minor()
		}
		if sums["line"] != sums["subtotal"] || sums["line"] != sums["section_subtotal"] || sums["subtotal"] != bill.Subtotal.minor() {
			rt.Fatalf("lines %d, sections %d, subtotal %d, bill %v", sums["line"], sums["section_subtotal"], sums["subtotal"], bill.Subtotal)
		}
		net := sums["subtotal"] + sums["preliminaries"] + sums["professional_fees"] + sums["contingency"]
		if net != sums["net_total"] || sums["capital"] != net+sums["tax"]-sums["tax_recoverable"] || sums["capital"] != bill.Capital.minor() {
			rt.Fatalf("net %d of %d, capital %d of %v", net, sums["net_total"], sums["capital"], bill.Capital)
		}
	})
}

// A description that a spreadsheet would take for a formula is written as text.
func TestBillCSVWritesNoFormula(t *testing.T) {
	bill := billOf(t, pricesAt(t, smallBook(), Likely), demoTerms(), Demand{Section: "+drains", Item: "pipe", Quantity: 2.5, Description: `=HYPERLINK("x")`, Working: "-1, \"two\""})
	var text strings.Builder
	if err := bill.WriteCSV(&text); err != nil {
		t.Fatal(err)
	}
	want := `line,'+drains,pipe,"'=HYPERLINK(""x"")",2.5,m,1.35,,3.38,GBP,reduced,"'-1, ""two"""`
	if !strings.Contains(text.String(), want+"\n") {
		t.Errorf("written\n%s\nwant a row\n%s", text.String(), want)
	}
	if err := bill.WriteCSV(brokenWriter{}); !errors.Is(err, errBroken) {
		t.Errorf("a broken writer gives %v", err)
	}
}

type brokenWriter struct{}

var errBroken = errors.New("broken")

func (brokenWriter) Write([]byte) (int, error) { return 0, errBroken }
