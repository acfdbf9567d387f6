package api_test

import (
	"net/http"
	"strings"
	"testing"
)

// ratesInTabs is the table of a form as it comes back from a spreadsheet: with tabs,
// and quotes only where a cell needs them.
func ratesInTabs(table string) string {
	var out strings.Builder
	quoted := false
	for _, r := range table {
		switch {
		case r == '"':
			quoted = !quoted
		case r == ',' && !quoted:
			out.WriteByte('\t')
		default:
			out.WriteRune(r)
		}
	}
	return out.String()
}

// TestAPriceBookIsEnteredAsATable, pasted from a spreadsheet, in a currency of its
// own; what is wrong names row and column, and a used edition gives way to the next.
func TestAPriceBookIsEnteredAsATable(t *testing.T) {
	eachEngine(t, func(t *testing.T, k *keeping) {
		s := k.setUp()
		home := "/clubs/" + s.club.ID
		r := k.reader().open(home).follow("Price books").want(200)
		holds(t, r.body, "The club has none")
		r.follow("A new price book").want(200)
		table := r.value("/book/items")
		bad := strings.Replace(table, "1500.00,2500.00", "1500.00,25 00", 1)
		r.fill("/book/name", "Rates of 2027", "/book/items", bad).want(http.StatusUnprocessableEntity)
		if got := r.beside("/book/items"); !strings.Contains(got, "Row 2, likely: “25 00”") {
			t.Errorf("beside the table stands %q", got)
		}
		r.fill("/book/currency", "XXX").want(http.StatusUnprocessableEntity)
		if got := r.beside("/book/currency"); !strings.Contains(got, "not known") {
			t.Errorf("beside the currency stands %q", got)
		}
		r.fill("/book/currency", "EUR", "/book/items", ratesInTabs(table)).want(200)
		holds(t, r.body, "Rates of 2027", "Edition 1, in EUR", "No appraisal has used it yet", "Mobilisation: plant, cabin and fencing", "2500.00")
		kept := k.want(200, "GET", s.at+"/price-books", "").body
		holds(t, kept, `"currency":"EUR"`, `"likely":"2500.00"`)

		// The built-in rates do not serve this currency: what is said of the book that
		// the case lacks stands beside the choice of one.
		green := home + "/greens/" + s.green.ID
		r.open(green+"/appraisals/new").fill("/money/currency", "EUR", "page:worth", "900", "/confidence/draws", "0").want(http.StatusUnprocessableEntity)
		if got := r.beside("/price_book_id"); !strings.Contains(got, "in GBP and not in EUR") {
			t.Errorf("beside the price book stands %q", got)
		}
		r.fill("/price_book_id", idOf(kept)).want(http.StatusUnprocessableEntity)
		holds(t, r.body, "No tax rates are known for EUR", `href="#field-money-tax_rates"`)
		r.fill("/money/tax_rates/0/tax_class", "standard", "/money/tax_rates/0/rate_pct", "23").want(200)
		if !strings.HasPrefix(r.at, home+"/appraisals/") {
			t.Errorf("the appraisal led to %s", r.at)
		}
		r.open(home + "/price-books").follow("Rates of 2027, edition 1").want(200)
		holds(t, r.body, "it never changes")
		r.follow("The next edition").want(200)
		r.fill("/book/items", strings.Replace(r.value("/book/items"), "2500.00", "2600.00", 1)).want(200)
		holds(t, r.body, "Edition 2, in EUR", "2600.00")
	})
}

// idOf is the first id in an answer.
func idOf(body string) string {
	_, rest, _ := strings.Cut(body, `"id":"`)
	id, _, _ := strings.Cut(rest, `"`)
	return id
}

// TestNothingSaysWhatAMonthIsWorth stands beside the field that would say it for
// all months.
func TestNothingSaysWhatAMonthIsWorth(t *testing.T) {
	eachEngine(t, func(t *testing.T, k *keeping) {
		s := k.setUp()
		r := k.reader().open("/clubs/" + s.club.ID + "/greens/" + s.green.ID + "/appraisals/new")
		r.fill().want(http.StatusUnprocessableEntity)
		if got := r.beside("page:worth"); !strings.Contains(got, "Nothing says what a playable month is worth") {
			t.Errorf("beside the worth stands %q", got)
		}
		if got := r.value("/survey_id"); got != s.survey.ID {
			t.Errorf("the survey is %q", got)
		}
	})
}
