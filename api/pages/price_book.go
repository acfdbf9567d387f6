package pages

import (
	"context"
	"encoding/csv"
	"fmt"
	"net/http"
	"slices"
	"strings"

	"swardcase/api/contract"
	"swardcase/api/pages/form"
	"swardcase/api/report"
	"swardcase/api/service"
	"swardcase/costs"
	"swardcase/model"
	"swardcase/model/fault"
)

// priceBooksView lists the price books of a club.
type priceBooksView struct {
	Club  service.Club
	Books []bookRow // newest first
	New   string
}

// bookRow is one edition in words.
type bookRow struct {
	Name, Address, PriceDate, Currency string
	Edition                            int64
	Used                               bool
}

func rowOfBook(b service.PriceBook) bookRow {
	return bookRow{
		Name: b.Book.Name, Address: priceBookAddress(b.ClubID, b.ID), PriceDate: b.Book.PriceDate,
		Currency: b.Book.Currency, Edition: b.Edition, Used: b.UsedAt != nil,
	}
}

// everyBook gives the price books of a club, newest first.
func (p *Pages) everyBook(ctx context.Context, clubID string) ([]service.PriceBook, error) {
	found, err := every(func(f service.Filter) (service.Page[service.PriceBook], error) { return p.service.PriceBooks(ctx, f) }, service.Filter{ClubID: clubID})
	slices.Reverse(found)
	return found, err
}

// showPriceBooks lists the price books of a club.
func (p *Pages) showPriceBooks(v Visit) error {
	ctx, clubID := v.Request().Context(), v.Param("club_id")
	club, err := p.service.Club(ctx, clubID)
	if err != nil {
		return err
	}
	found, err := p.everyBook(ctx, clubID)
	if err != nil {
		return err
	}
	shown := priceBooksView{Club: club}
	for _, book := range found {
		shown.Books = append(shown.Books, rowOfBook(book))
	}
	if club.ArchivedAt == nil {
		shown.New = v.ifRole(service.RoleEditor, priceBooksAddress(clubID)+"/new")
	}
	return p.show(v, http.StatusOK, "price_books", Frame{Title: "Price books", Trail: clubTrail(club), Body: shown})
}

// priceBookView is one edition with its rates.
type priceBookView struct {
	bookRow
	Note    string
	Indices []detail
	Items   []itemRow
	Next    string // where its next edition is entered
}

// itemRow is one item; Breaks are its rates for larger quantities.
type itemRow struct {
	Item, Description, Unit, Low, Likely, High, TaxClass, Source string
	From                                                         string // of a break
}

// showPriceBook shows the rates of one edition.
func (p *Pages) showPriceBook(v Visit) error {
	ctx, clubID := v.Request().Context(), v.Param("club_id")
	club, err := p.service.Club(ctx, clubID)
	if err != nil {
		return err
	}
	stored, err := p.service.PriceBook(ctx, clubID, v.Param("price_book_id"))
	if err != nil {
		return err
	}
	shown := priceBookView{bookRow: rowOfBook(stored), Note: stored.Book.Note, Items: itemRows(stored.Book)}
	for _, index := range []struct {
		name string
		of   *costs.PriceIndex
	}{{"Regional index", stored.Book.RegionalIndex}, {"Index of the date", stored.Book.DateIndex}} {
		if index.of != nil {
			shown.Indices = append(shown.Indices, detail{index.name, fmt.Sprintf("%v times: %s", index.of.Multiplier, index.of.Reason)})
		}
	}
	if club.ArchivedAt == nil {
		shown.Next = v.ifRole(service.RoleEditor, priceBooksAddress(clubID)+"/new?from="+stored.ID)
	}
	return p.show(v, http.StatusOK, "price_book", Frame{Title: stored.Book.Name, Trail: priceBooksTrail(club), Body: shown})
}

func itemRows(book costs.PriceBook) []itemRow {
	var rows []itemRow
	for _, i := range book.Items {
		rows = append(rows, itemRow{
			Item: report.Plain(i.Item), Description: i.Description, Unit: string(i.Unit), Low: string(i.Low), Likely: string(i.Likely), High: string(i.High),
			TaxClass: string(i.TaxClass), Source: i.Source,
		})
		for _, b := range i.QuantityBreaks {
			rows = append(rows, itemRow{
				Item: report.Plain(i.Item), Unit: string(i.Unit), Low: string(b.Low), Likely: string(b.Likely), High: string(b.High),
				From: "from " + report.Rounded(b.FromQuantity),
			})
		}
	}
	return rows
}

// priceBookForm is a price book with its rates as a table.
func priceBookForm() form.Form {
	return form.Form{Schema: "PriceBookInput", Sections: []form.Section{
		{Title: "The book", Fields: []form.Field{
			{At: "/book/name", Label: "Name", Kind: form.Text},
			{At: "/book/currency", Label: "Currency", Kind: form.Text, Hint: "Three capital letters, such as GBP"},
			{At: "/book/price_date", Label: "Day of the prices", Kind: form.Day},
			{At: "/book/note", Label: "Note", Kind: form.Note, Rows: 2},
		}},
		{
			Title: "The rates", Lead: "A row for each item, with the low, the likely and the high rate. Copy the table into a spreadsheet, put your rates in, and paste it back: commas or tabs between the columns, the names of the columns first. A row with a from_quantity holds the rates of the item above it from that quantity on.",
			Fields: []form.Field{{
				At: "/book/items", Label: "Table of rates", Kind: form.Sheet, Rows: 24, Read: readRates, Write: writeRates,
				Hint: "Columns: item, unit, low, likely, high, tax_class, and if you wish description, source, minimum_charge, minimum_charge_per_visit, from_quantity",
			}},
		},
		{Title: "Indices", Folded: true, Lead: "Each multiplies every rate once.", Fields: []form.Field{
			{At: "/book/regional_index/multiplier", Label: "Region", Kind: form.Number},
			{At: "/book/regional_index/reason", Label: "Why", Kind: form.Text},
			{At: "/book/date_index/multiplier", Label: "Date", Kind: form.Number},
			{At: "/book/date_index/reason", Label: "Why", Kind: form.Text},
		}},
	}}
}

const ratesPointer = "/book/items"

// readRates reads the table of rates. What is wrong names the row and the column.
func readRates(text string, e form.Entries) (any, fault.List) {
	heading := costs.PriceBook{Name: "any", Currency: e["/book/currency"], PriceDate: "2000-01-01"}
	if _, known := costs.LookupCurrency(heading.Currency); !known {
		return nil, fault.List{fault.New("/book/currency", heading.Currency, "this currency is not known here", "use an ISO 4217 code such as GBP or EUR")}
	}
	book, problems := costs.ReadPriceBookCSV(strings.NewReader(commas(text)), heading)
	var out fault.List
	for _, f := range model.AsFaults(problems) {
		place := "row " + strings.ReplaceAll(strings.TrimPrefix(f.Pointer, "/rows/"), "/", ", ") + ": "
		if f.Value != "" {
			place += "“" + f.Value + "” "
		}
		f.Detail = place + f.Detail
		f.Pointer = ratesPointer
		out = append(out, f)
	}
	return book.Items, out
}

// commas turns a table as it is pasted from a spreadsheet, with tabs, into one with
// commas.
func commas(text string) string {
	header, _, _ := strings.Cut(text, "\n")
	if !strings.Contains(header, "\t") {
		return text
	}
	reader := csv.NewReader(strings.NewReader(text))
	reader.Comma, reader.LazyQuotes, reader.FieldsPerRecord = '\t', true, -1
	rows, err := reader.ReadAll()
	if err != nil {
		return text
	}
	return table(rows)
}

func table(rows [][]string) string {
	var out strings.Builder
	writer := csv.NewWriter(&out)
	_ = writer.WriteAll(rows) // into memory
	return out.String()
}

// writeRates writes the items as a table. The currency stands in the heading, and
// would have to be changed in every row.
func writeRates(tree map[string]any) string {
	var input service.PriceBookInput
	if err := form.Into(tree, &input); err != nil || len(input.Book.Items) == 0 {
		return ""
	}
	var out strings.Builder
	if err := input.Book.WriteCSV(&out); err != nil {
		return ""
	}
	rows, err := csv.NewReader(strings.NewReader(out.String())).ReadAll()
	if err != nil {
		return ""
	}
	if at := slices.Index(rows[0], "currency"); at >= 0 {
		for i := range rows {
			rows[i] = slices.Delete(rows[i], at, at+1)
		}
	}
	return table(rows)
}

// newPriceBook is the form of a new book, or of the next edition of one. It begins
// with the rates of that, or with the built-in ones.
func (p *Pages) newPriceBook(v Visit) (task, error) {
	ctx, clubID := v.Request().Context(), v.Param("club_id")
	club, err := p.service.Club(ctx, clubID)
	if err != nil {
		return task{}, err
	}
	t := task{
		Title: "A new price book", Submit: "Store the price book", Form: priceBookForm(),
		Lead:  "It begins with the built-in rates, which are invented: put yours in their place. None of them is for tender.",
		Trail: priceBooksTrail(club),
		store: func(ctx context.Context, call service.Call, _ service.Match, document contract.Document) (string, error) {
			book, err := p.service.CreatePriceBook(ctx, call, clubID, document)
			return priceBookAddress(clubID, book.ID), err
		},
	}
	input := service.PriceBookInput{Book: costs.DemoPriceBook()}
	if from := v.QueryParam(fromField); from != "" {
		earlier, err := p.service.PriceBook(ctx, clubID, from)
		if err != nil {
			return task{}, err
		}
		input = service.PriceBookInput{Book: earlier.Book, Succeeds: earlier.ID}
		t.Title, t.Lead = "The next edition of "+earlier.Book.Name, "Appraisals that were made with the edition before keep its rates."
	} else {
		input.Book.Name, input.Book.Note = "", ""
	}
	return t.from(input)
}
