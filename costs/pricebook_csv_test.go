package costs

import (
	"errors"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// heading is a price book without its items.
func heading(book PriceBook) PriceBook {
	book.Items = nil
	return book
}

func TestPriceBookCSVIsReadAsPeopleWriteIt(t *testing.T) {
	text := "\ufeffItem,unit,low,likely,high,tax_class,description,from_quantity,minimum_charge\r\n" +
		"gravel,t,20.00,30.00,45.00,standard,\"Gravel, washed\",,150.00\r\n" +
		"pipe , m,1.10,1.35,1.90,reduced,'=pipe,,\r\n" +
		"gravel,,18.00,27.00,40.00,,,20,\r\n" +
		"gravel,t,17.00,25.50,38.00,standard,,100,\r\n"
	book, found := ReadPriceBookCSV(strings.NewReader(text), heading(smallBook()))
	mustNot(t, found)
	want := heading(smallBook())
	want.Items = []PriceItem{
		{
			Item: "gravel", Description: "Gravel, washed", Unit: Tonne, Low: "20.00", Likely: "30.00", High: "45.00", TaxClass: StandardRated, MinimumCharge: "150.00",
			QuantityBreaks: []QuantityBreak{{20, "18.00", "27.00", "40.00"}, {100, "17.00", "25.50", "38.00"}},
		},
		{Item: "pipe", Description: "=pipe", Unit: Metre, Low: "1.10", Likely: "1.35", High: "1.90", TaxClass: ReducedRated},
	}
	if diff := cmp.Diff(want, book); diff != "" {
		t.Error(diff)
	}
}

func TestEveryBadRowIsNamedAtOnce(t *testing.T) {
	text := `item,unit,low,likely,high,tax_class,from_quantity,currency
gravel,t,20.00,30.00,45.00,standard,,GBP
Sand,t,"20,00",30.00,25.00,standard,,GBP
pipe,yard,1.10,1.35,1.90,luxury,,EUR
gravel,t,20.00,30.00,45.00,standard,,
short,m
pipe,m,"1.1"0,1,1,zero,,
sand,,1.00,2.00,3.00,,10,
gravel,m,1.00,2.00,3.00,zero,10,
gravel,,3.00,2.00,3.00,,10,
gravel,,1.00,2.00,3.00,,lots,
`
	_, found := ReadPriceBookCSV(strings.NewReader(text), PriceBook{Name: "", Currency: "GBP", PriceDate: "today"})
	wantFields(t, found,
		"/rows/6", "/rows/7", // not to be read at all
		"/rows/3/item", "/rows/3/low", "/rows/3/high",
		"/rows/4/currency", "/rows/4/unit", "/rows/4/tax_class",
		"/rows/5/item", "/rows/8/item",
		"/rows/9/unit", "/rows/9/tax_class",
		"/rows/10/from_quantity", "/rows/10/low", "/rows/11/from_quantity",
		"/name", "/price_date")
}

func TestATableThatIsNoPriceBookIsRefused(t *testing.T) {
	good := "item,unit,low,likely,high,tax_class\n"
	for name, c := range map[string]struct {
		text   string
		fields []string
	}{
		"nothing":           {"", []string{"/rows/1"}},
		"only a header":     {good, []string{"/rows"}},
		"semicolons":        {"item;unit;low;likely;high;tax_class\n", []string{"/rows/1", "/rows/1", "/rows/1", "/rows/1", "/rows/1", "/rows/1", "/rows/1"}},
		"a column twice":    {"item,unit,low,likely,high,tax_class,low\n", []string{"/rows/1"}},
		"an unknown column": {"item,unit,low,likely,high,tax_class,colour\n", []string{"/rows/1"}},
		"too large":         {good + strings.Repeat("\n", maxBookBytes), []string{""}},
		"too many rows":     {good + strings.Repeat("a,b,c,d,e,f\n", maxItems*(1+maxBreaks)+1), []string{"/rows"}},
	} {
		t.Run(name, func(t *testing.T) {
			_, found := ReadPriceBookCSV(strings.NewReader(c.text), heading(smallBook()))
			wantFields(t, found, c.fields...)
		})
	}
	if _, found := ReadPriceBookCSV(brokenReader{}, heading(smallBook())); len(found) != 1 {
		t.Errorf("a broken reader gives %v", found)
	}
	many := good + strings.Repeat("a\n", 10*maxProblems)
	if _, found := ReadPriceBookCSV(strings.NewReader(many), heading(smallBook())); len(found) > maxProblems+10 {
		t.Errorf("%d problems of one table", len(found))
	}
}

type brokenReader struct{}

func (brokenReader) Read([]byte) (int, error) { return 0, errBroken }

// A price book comes back from its table unchanged, the heading apart, whatever
// its texts start with.
func TestPriceBookCSVRoundTrip(t *testing.T) {
	texts := rapid.SampledFrom([]string{"", "Plain", "'quoted'", "''", "=1+1", "-5", "@home", "a, \"b\"\nc", "'=x", "Grün"})
	rapid.Check(t, func(rt *rapid.T) {
		book := chargedBook()
		for i := range book.Items {
			book.Items[i].Description, book.Items[i].Source = texts.Draw(rt, "description"), texts.Draw(rt, "source")
		}
		book.Items[0].QuantityBreaks[0].FromQuantity = float64(rapid.IntRange(1, 99_999).Draw(rt, "from")) / 1000
		var text strings.Builder
		if err := book.WriteCSV(&text); err != nil {
			rt.Fatal(err)
		}
		again, found := ReadPriceBookCSV(strings.NewReader(text.String()), heading(book))
		if len(found) > 0 {
			rt.Fatalf("%v in\n%s", found, text.String())
		}
		if diff := cmp.Diff(book, again); diff != "" {
			rt.Fatalf("%s\nby way of\n%s", diff, text.String())
		}
	})
	demo := DemoPriceBook()
	var text strings.Builder
	if err := demo.WriteCSV(&text); err != nil {
		t.Fatal(err)
	}
	again, found := ReadPriceBookCSV(strings.NewReader(text.String()), heading(demo))
	mustNot(t, found)
	if diff := cmp.Diff(demo, again); diff != "" {
		t.Error(diff)
	}
	if err := demo.WriteCSV(brokenWriter{}); !errors.Is(err, errBroken) {
		t.Errorf("a broken writer gives %v", err)
	}
}

func FuzzPriceBookCSV(f *testing.F) {
	var whole strings.Builder
	if err := chargedBook().WriteCSV(&whole); err != nil {
		f.Fatal(err)
	}
	f.Add(whole.String())
	f.Add("item,unit,low,likely,high,tax_class,from_quantity\na,m,1,2,3,zero,\na,,0.5,0.5,0.5,,1e9\n")
	f.Add("item,unit,low,likely,high,tax_class\n\"a,m")
	f.Fuzz(func(t *testing.T, text string) {
		book, found := ReadPriceBookCSV(strings.NewReader(text), heading(smallBook()))
		if len(found) > 0 {
			for _, problem := range found {
				if len([]rune(problem.Value)) > valueRunes || problem.Detail == "" || problem.Remedy == "" {
					t.Fatalf("problem %+v", problem)
				}
			}
			return
		}
		if found := book.Validate(); len(found) > 0 {
			t.Fatalf("a book that was read is not valid: %v", found)
		}
		var again strings.Builder
		if err := book.WriteCSV(&again); err != nil {
			t.Fatal(err)
		}
		if _, found := ReadPriceBookCSV(strings.NewReader(again.String()), heading(smallBook())); len(found) > 0 {
			t.Fatalf("what was written is not read: %v\n%s", found, again.String())
		}
	})
}
