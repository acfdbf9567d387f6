package workbook

import (
	"bytes"
	"context"
	"encoding/json"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/xuri/excelize/v2"

	"swardcase/api/report"
	"swardcase/costs"
	"swardcase/model"
)

// workshop is a folder of workbooks that Calc works out in one go, each with what
// is then looked at.
type workshop struct {
	folder string
	names  []string
	checks map[string]func(t *testing.T, ours, theirs string)
}

func (w *workshop) add(t *testing.T, name string, a model.Appraisal, check func(t *testing.T, ours, theirs string)) {
	t.Helper()
	save(t, filepath.Join(w.folder, name+".xlsx"), a)
	w.names = append(w.names, name+".xlsx")
	w.checks[name+".xlsx"] = check
}

// TestASpreadsheetComesToTheSame has LibreOffice Calc work out every formula of
// the workbooks of all cases anew, and holds each cell to the appraisal's figure.
// What is changed in a workbook must come to what the appraisal of a case so
// changed comes to.
func TestASpreadsheetComesToTheSame(t *testing.T) {
	w := &workshop{t.TempDir(), nil, map[string]func(*testing.T, string, string){}}
	for _, pattern := range []string{"../../../cmd/swardcase/demo/*.json", "../../../testdata/cases/*.json"} {
		paths, err := filepath.Glob(pattern)
		if err != nil {
			t.Fatal(err)
		}
		for _, path := range paths {
			if c := readCase(t, path); c.Money != nil {
				name := filepath.Base(filepath.Dir(path)) + "_" + strings.TrimSuffix(filepath.Base(path), ".json")
				w.add(t, name, appraise(t, c), compare)
			}
		}
	}
	if len(w.names) < 8 {
		t.Fatalf("only %d cases have terms of money", len(w.names))
	}
	w.addTaxes(t)
	w.addChanges(t)
	recalculate(t, w.folder, w.names)
	for _, name := range w.names {
		t.Run(name, func(t *testing.T) {
			w.checks[name](t, filepath.Join(w.folder, name), filepath.Join(w.folder, "out", name))
		})
	}
}

// addTaxes adds cases whose items fall into four tax classes, with additions to be
// shared among them, under every rule of rounding and with a currency of three
// places.
func (w *workshop) addTaxes(t *testing.T) {
	t.Helper()
	classes := []costs.TaxClass{costs.StandardRated, costs.ReducedRated, costs.ZeroRated, costs.Exempt}
	for number, rule := range []costs.TaxRounding{costs.ByClassTotal, costs.ByClassTotalDown, costs.ByLine, costs.ByLineTenthDown} {
		c := readCase(t, "../../../testdata/cases/small.json")
		book := costs.DemoPriceBook()
		for i := range book.Items {
			book.Items[i].TaxClass = classes[i%len(classes)]
			if i%5 == 0 {
				book.Items[i].MinimumCharge = "333.33"
			}
		}
		recoverable := 12.5
		c.Money.PriceBook, c.Money.TaxRounding, c.Money.TaxRecoverablePct = &book, rule, &recoverable
		c.Money.Preliminaries = []costs.Addition{{Name: "=site set-up", Pct: 7.35}, {Name: "insurance", Pct: 1.15}}
		c.Money.ProfessionalFees = []costs.Addition{{Name: "design", Pct: 4.95, TaxClass: costs.StandardRated}, {Name: "supervision", Pct: 3.05}}
		if number == 0 {
			inDinars(c.Money)
			c.Upkeep.CostPerYear, c.Requirements.CapitalCeiling = nil, nil
		}
		w.add(t, "taxes_"+string(rule), appraise(t, c), compare)
	}
}

// inDinars puts a case into Kuwaiti dinars, which have three places, at one to one.
func inDinars(m *model.MoneyTerms) {
	dinar, _ := costs.LookupCurrency("KWD")
	m.Currency, m.PriceBook.Currency = "KWD", "KWD"
	m.TaxRates = []costs.TaxRate{{TaxClass: costs.StandardRated, RatePct: 5}, {TaxClass: costs.ReducedRated, RatePct: 2.5}}
	for i, worth := range m.WorthOfPlayableMonth {
		m.WorthOfPlayableMonth[i], _ = costs.NewMoney(worth.Amount(), dinar)
	}
}

// addChanges adds workbooks in which a rate, and the rate of discount, are changed.
func (w *workshop) addChanges(t *testing.T) {
	t.Helper()
	const path = "../../../cmd/swardcase/demo/green_14.json"
	plain := appraise(t, readCase(t, path))

	dearer := readCase(t, path)
	book := costs.DemoPriceBook()
	for i := range book.Items {
		if book.Items[i].Item == "drainage_gravel" {
			book.Items[i].Likely, book.Items[i].High = "41.37", "60.00"
		}
	}
	dearer.Money.PriceBook = &book
	want := appraise(t, dearer)
	w.add(t, "dearer", plain, func(t *testing.T, _, theirs string) {
		book := open(t, theirs)
		for _, o := range want.Options {
			if o.Design != nil {
				expect(t, book, "Bill "+report.ShortName(o.Option), "Capital", amountColumn, o.Money.WorksBill.Capital)
			}
		}
	})
	change(t, filepath.Join(w.folder, "dearer.xlsx"), "Rates", "drainage_gravel", 1, 6, 41.37)

	const other = 6.25
	later, rate := readCase(t, path), other
	later.Money.DiscountRatePct = &rate
	discounted := appraise(t, later)
	w.add(t, "discounted", plain, func(t *testing.T, _, theirs string) {
		book := open(t, theirs)
		for _, o := range discounted.Options {
			// Renewals differ where a life does; here none does.
			words := capitalised(o.Words)
			if o.Option == plain.Recommendation.Option {
				words = "▸ " + words
			}
			expect(t, book, "Summary", words, 5, o.Money.AgainstPresent.NetPresentValue)
		}
	})
	change(t, filepath.Join(w.folder, "discounted.xlsx"), "Terms", "1", 0, 1, other)
}

// change puts a figure into the row of a sheet that has some text in a column.
func change(t *testing.T, path, sheet, words string, wordsColumn, column int, figure float64) {
	t.Helper()
	book := open(t, path)
	if err := book.SetCellValue(sheet, at(column, rowOf(t, book, sheet, words, wordsColumn)), figure); err != nil {
		t.Fatal(err)
	}
	if err := book.Save(); err != nil {
		t.Fatal(err)
	}
}

// expect looks for an amount in the row that begins with some words.
func expect(t *testing.T, book *excelize.File, sheet, words string, column int, want costs.Money) {
	t.Helper()
	place := at(column, rowOf(t, book, sheet, words, 0))
	got, err := book.GetCellValue(sheet, place, excelize.Options{RawCellValue: true})
	if err != nil {
		t.Fatal(err)
	}
	figure, err := strconv.ParseFloat(got, 64)
	if err != nil || math.Abs(figure-want.Float()) > 1e-6 {
		t.Errorf("%s!%s: %s, want %s", sheet, place, got, want)
	}
}

func rowOf(t *testing.T, book *excelize.File, sheet, words string, column int) int {
	t.Helper()
	rows, err := book.GetRows(sheet)
	if err != nil {
		t.Fatal(err)
	}
	for i, row := range rows {
		if column < len(row) && row[column] == words {
			return i + 1
		}
	}
	t.Fatalf("%s: no row says %q", sheet, words)
	return 0
}

func open(t *testing.T, path string) *excelize.File {
	t.Helper()
	book, err := excelize.OpenFile(path)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { book.Close() })
	return book
}

// readCase reads a case, to be appraised with few draws.
func readCase(t *testing.T, path string) model.Case {
	t.Helper()
	body, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	var c model.Case
	if err := json.Unmarshal(body, &c); err != nil {
		t.Fatal(err)
	}
	draws := 100
	c.Confidence = &model.ConfidenceSettings{Draws: &draws}
	return c
}

func appraise(t *testing.T, c model.Case) model.Appraisal {
	t.Helper()
	a, err := model.Appraise(c)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

func save(t *testing.T, path string, a model.Appraisal) {
	t.Helper()
	var out bytes.Buffer
	if err := Write(&out, a); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, out.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
}

// alwaysRecalculate is a profile in which Calc works out what it opens, whatever
// figures the file brings.
const alwaysRecalculate = `<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry" xmlns:xs="http://www.w3.org/2001/XMLSchema" xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance">
<item oor:path="/org.openoffice.Office.Calc/Formula/Load"><prop oor:name="OOXMLRecalcMode" oor:op="fuse"><value>0</value></prop></item>
</oor:items>
`

// recalculate puts what Calc makes of the named files into the folder out.
func recalculate(t *testing.T, folder string, names []string) {
	t.Helper()
	program, err := exec.LookPath("soffice")
	if err != nil {
		t.Skip("needs LibreOffice Calc (Debian: apt-get install libreoffice-calc)")
	}
	profile := filepath.Join(folder, "profile")
	if err := os.MkdirAll(filepath.Join(profile, "user"), 0o700); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(profile, "user", "registrymodifications.xcu"), []byte(alwaysRecalculate), 0o600); err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithTimeout(t.Context(), 5*time.Minute)
	defer stop()
	arguments := []string{"-env:UserInstallation=file://" + profile, "--headless", "--convert-to", "xlsx", "--outdir", filepath.Join(folder, "out")}
	for _, name := range names {
		arguments = append(arguments, filepath.Join(folder, name))
	}
	if said, err := exec.CommandContext(ctx, program, arguments...).CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, said)
	}
}

// compare holds the workbook of an appraisal to what Calc makes of it.
func compare(t *testing.T, ours, theirs string) {
	t.Helper()
	compareFormulas(t, ours, theirs, 1000)
}

// compareFormulas holds every formula's figure in one file to that in the other,
// and wants at least so many.
func compareFormulas(t *testing.T, ours, theirs string, least int) {
	t.Helper()
	compared := 0
	mine, other := formulas(t, ours), formulas(t, theirs)
	if len(other) != len(mine) {
		t.Errorf("%s: %d formulas, and Calc has %d", filepath.Base(ours), len(mine), len(other))
	}
	for place, ourFigure := range mine {
		compared++
		if theirFigure, there := other[place]; !there || !(math.Abs(theirFigure-ourFigure) <= 1e-7*math.Max(1, math.Abs(ourFigure)*1e-6)) {
			t.Errorf("%s: %s: ours %.10g, Calc's %.10g (found %v)", filepath.Base(ours), place, ourFigure, theirFigure, there)
		}
	}
	if compared < least {
		t.Errorf("%s: only %d formulas", filepath.Base(ours), compared)
	}
}

// formulas reads the figures of all cells with a formula, by sheet and cell.
func formulas(t *testing.T, path string) map[string]float64 {
	t.Helper()
	book := open(t, path)
	figures := map[string]float64{}
	for _, name := range book.GetSheetList() {
		rows, err := book.GetRows(name, excelize.Options{RawCellValue: true})
		if err != nil {
			t.Fatal(err)
		}
		for i, row := range rows {
			for j, value := range row {
				place := at(j, i+1)
				formula, err := book.GetCellFormula(name, place)
				if err != nil {
					t.Fatal(err)
				}
				if formula == "" {
					continue
				}
				figure, err := strconv.ParseFloat(value, 64)
				if err != nil {
					t.Errorf("%s: %s!%s: %s gives %q", filepath.Base(path), name, place, formula, value)
					continue
				}
				figures[name+"!"+place] = figure
			}
		}
	}
	return figures
}
