// Command calccheck holds the project's finance to an independent oracle: the
// same cash flows go through LibreOffice Calc (NPV, IRR, PMT, NPER), and every
// figure must agree to one part in a million. It reads case files, takes the
// cash flows of every option of each against the present programme, adds flows
// and loans of its own, writes them as one flat OpenDocument sheet, has it
// calculated without a screen, and compares.
package main

import (
	"context"
	"encoding/csv"
	"encoding/json"
	"encoding/xml"
	"errors"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"github.com/shopspring/decimal"

	"swardcase/costs"
	"swardcase/model"
)

const tolerance = 1e-6

// figure is one thing that both work out.
type figure struct {
	name    string
	formula string
	flows   []float64 // the cells before the formula in its row
	ours    float64
}

func main() {
	if err := run(os.Args[1:]); err != nil {
		fmt.Fprintln(os.Stderr, "calccheck:", err)
		os.Exit(1)
	}
}

func run(cases []string) error {
	if len(cases) == 0 {
		return errors.New("give one or more case files")
	}
	var figures []figure
	for _, path := range cases {
		more, err := ofCase(path)
		if err != nil {
			return fmt.Errorf("%s: %w", path, err)
		}
		figures = append(figures, more...)
	}
	loans, err := ofLoans()
	if err != nil {
		return err
	}
	figures = append(figures, loans...)
	theirs, err := calculate(figures)
	if err != nil {
		return err
	}
	worst, apart := 0.0, 0
	for i, f := range figures {
		off := math.Abs(f.ours-theirs[i]) / max(1, math.Abs(f.ours))
		worst = max(worst, off)
		if !(off <= tolerance) {
			apart++
			fmt.Printf("%s: ours %.10g, Calc's %.10g\n", f.name, f.ours, theirs[i])
		}
	}
	fmt.Printf("%d figures, the furthest apart by %.1e\n", len(figures), worst)
	if apart > 0 {
		return fmt.Errorf("%d figures differ by more than %g", apart, tolerance)
	}
	return nil
}

// ofCase takes the differences from the present programme of every option.
func ofCase(path string) ([]figure, error) {
	body, err := os.ReadFile(path)
	if err != nil {
		return nil, err
	}
	var c model.Case
	if err := json.Unmarshal(body, &c); err != nil {
		return nil, err
	}
	none := 0
	c.Confidence = &model.ConfidenceSettings{Draws: &none}
	a, err := model.Appraise(c)
	if err != nil {
		return nil, err
	}
	var figures []figure
	for _, o := range a.Options {
		flows := make([]decimal.Decimal, len(o.Money.AgainstPresent.Years))
		for i, year := range o.Money.AgainstPresent.Years {
			flows[i] = year.Difference.Amount()
		}
		for _, rate := range []float64{0.5, 3.5, 6, 12} {
			more, err := ofFlows(fmt.Sprintf("%s, %s at %g %%", filepath.Base(path), o.Option, rate), flows, rate)
			if err != nil {
				return nil, err
			}
			figures = append(figures, more...)
		}
	}
	return figures, nil
}

// ofFlows is the net present value of yearly flows, the first of year 0, and
// their internal rate of return where they have one only.
func ofFlows(name string, flows []decimal.Decimal, ratePct float64) ([]figure, error) {
	discounting, bad := costs.ConstantDiscounting(ratePct, len(flows))
	if len(bad) > 0 {
		return nil, bad[0]
	}
	value, err := discounting.PresentValue(flows)
	if err != nil {
		return nil, err
	}
	cells := make([]float64, len(flows))
	for i, flow := range flows {
		cells[i] = flow.InexactFloat64()
	}
	last := column(len(cells) - 1)
	figures := []figure{{
		name: "net present value of " + name, flows: cells, ours: value.InexactFloat64(),
		formula: fmt.Sprintf("of:=[.A#]+NPV(%g;[.B#:.%s#])", ratePct/100, last),
	}}
	rates, err := costs.FindInternalRates(flows)
	if err != nil {
		return nil, err
	}
	if rates.Outcome == costs.OneRate && rates.RatesPct[0] > -50 {
		rate := rates.RatesPct[0] / 100
		figures = append(figures, figure{
			name: "internal rate of " + name, flows: cells, ours: rate,
			formula: fmt.Sprintf("of:=IRR([.A#:.%s#];%g)", last, rate+0.01),
		})
	}
	return figures, nil
}

// ofLoans is the level payment of loans and how many payments repay them.
func ofLoans() ([]figure, error) {
	gbp, _ := costs.LookupCurrency("GBP")
	principal, err := costs.ParseMoney("60000.00", gbp)
	if err != nil {
		return nil, err
	}
	payment, err := costs.ParseMoney("5000.00", gbp)
	if err != nil {
		return nil, err
	}
	var figures []figure
	for _, rate := range []float64{0.25, 1, 3.5, 6, 8} {
		for _, years := range []int{1, 5, 10, 25, 60} {
			discounting, bad := costs.ConstantDiscounting(rate, years)
			if len(bad) > 0 {
				return nil, bad[0]
			}
			factor, err := discounting.EqualAnnualFactor(years)
			if err != nil {
				return nil, err
			}
			figures = append(figures, figure{
				name: fmt.Sprintf("payment at %g %% over %d years", rate, years), ours: factor.Mul(principal.Amount()).InexactFloat64(),
				formula: fmt.Sprintf("of:=-PMT(%g;%d;60000)", rate/100, years),
			})
		}
		n, err := costs.PaymentsToRepay(principal, payment, rate)
		if err != nil {
			return nil, err
		}
		figures = append(figures, figure{
			name: fmt.Sprintf("payments of 5,000 at %g %%", rate), ours: n, formula: fmt.Sprintf("of:=NPER(%g;-5000;60000)", rate/100),
		})
	}
	return figures, nil
}

// column names a column of a sheet.
func column(i int) string {
	if i < 26 {
		return string(rune('A' + i))
	}
	return column(i/26-1) + column(i%26)
}

// calculate has LibreOffice work out every formula, which stands in the first
// cell after its row's flows.
func calculate(figures []figure) ([]float64, error) {
	folder, err := os.MkdirTemp("", "calccheck")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(folder)
	sheet := filepath.Join(folder, "flows.fods")
	if err := os.WriteFile(sheet, []byte(document(figures)), 0o600); err != nil {
		return nil, err
	}
	ctx, stop := context.WithTimeout(context.Background(), 5*time.Minute)
	defer stop()
	// The last three words of the filter: text not quoted, numbers in full and not
	// as shown, values and not formulas.
	command := exec.CommandContext(ctx, "soffice", "-env:UserInstallation=file://"+filepath.Join(folder, "profile"), "--headless", "--convert-to",
		"csv:Text - txt - csv (StarCalc):44,34,76,1,,0,false,false,false", "--outdir", folder, sheet)
	if said, err := command.CombinedOutput(); err != nil {
		return nil, fmt.Errorf("calculate with soffice (Debian's libreoffice-calc): %w: %s", err, said)
	}
	file, err := os.Open(filepath.Join(folder, "flows.csv"))
	if err != nil {
		return nil, err
	}
	defer file.Close()
	reader := csv.NewReader(file)
	reader.FieldsPerRecord = -1
	rows, err := reader.ReadAll()
	if err != nil {
		return nil, err
	}
	if len(rows) != len(figures) {
		return nil, fmt.Errorf("%d rows came back for %d figures", len(rows), len(figures))
	}
	values := make([]float64, len(figures))
	for i, row := range rows {
		text, percent := strings.CutSuffix(row[len(figures[i].flows)], "%") // so it writes a rate
		if values[i], err = strconv.ParseFloat(text, 64); err != nil {
			return nil, fmt.Errorf("%s: Calc says %q", figures[i].name, text)
		}
		if percent {
			values[i] /= 100
		}
	}
	return values, nil
}

// document is a flat OpenDocument spreadsheet with a row for each figure.
func document(figures []figure) string {
	var b strings.Builder
	b.WriteString(`<?xml version="1.0" encoding="UTF-8"?>
<office:document xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0" xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0" xmlns:of="urn:oasis:names:tc:opendocument:xmlns:of:1.2" office:version="1.2" office:mimetype="application/vnd.oasis.opendocument.spreadsheet">
<office:body><office:spreadsheet><table:table table:name="flows">
`)
	for i, f := range figures {
		b.WriteString("<table:table-row>")
		for _, flow := range f.flows {
			fmt.Fprintf(&b, `<table:table-cell office:value-type="float" office:value="%s"/>`, strconv.FormatFloat(flow, 'g', -1, 64))
		}
		b.WriteString(`<table:table-cell table:formula="`)
		_ = xml.EscapeText(&b, []byte(strings.ReplaceAll(f.formula, "#", strconv.Itoa(i+1)))) // a strings.Builder never fails
		b.WriteString("\"/></table:table-row>\n")
	}
	b.WriteString("</table:table></office:spreadsheet></office:body></office:document>\n")
	return b.String()
}
