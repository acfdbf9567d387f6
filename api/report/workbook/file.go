package workbook

import (
	"archive/zip"
	"bytes"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/xuri/excelize/v2"

	"swardcase/api/report"
	"swardcase/costs"
)

// file turns sheets into a workbook.
type file struct {
	book     *excelize.File
	currency costs.Currency
	title    string
	stamp    string
	styles   map[look]int
	sheets   int
}

func newFile(currency costs.Currency, title, stamp string) *file {
	return &file{book: excelize.NewFile(), currency: currency, title: title, stamp: stamp, styles: map[look]int{}}
}

// add writes a sheet after those before it.
func (f *file) add(s *sheet) error {
	f.sheets++
	if f.sheets == 1 { // a new file has one sheet
		if err := f.book.SetSheetName("Sheet1", s.name); err != nil {
			return err
		}
	} else if _, err := f.book.NewSheet(s.name); err != nil {
		return err
	}
	if err := f.setPage(s); err != nil {
		return err
	}
	writer, err := f.book.NewStreamWriter(s.name)
	if err != nil {
		return err
	}
	if err := f.stream(writer, s); err != nil {
		return err
	}
	return writer.Flush()
}

// A4 in the list of papers of ISO/IEC 29500.
const paperA4 = 9

// setPage sets how a sheet is printed: on A4, as wide as the page, with the rows
// that stay in sight on every page, and a foot that says what it is.
func (f *file) setPage(s *sheet) error {
	yes, one, paper, tall := true, 1, paperA4, 0
	orientation := "portrait"
	if s.landscape {
		orientation = "landscape"
	}
	err := f.book.SetSheetProps(s.name, &excelize.SheetPropsOptions{FitToPage: &yes})
	if err == nil {
		err = f.book.SetPageLayout(s.name, &excelize.PageLayoutOptions{Size: &paper, Orientation: &orientation, FitToWidth: &one, FitToHeight: &tall})
	}
	if err == nil {
		margin, foot := 0.5, 0.75 // inches
		err = f.book.SetPageMargins(s.name, &excelize.PageLayoutMarginsOptions{Left: &margin, Right: &margin, Top: &margin, Bottom: &foot})
	}
	if err == nil {
		err = f.book.SetHeaderFooter(s.name, &excelize.HeaderFooterOptions{
			OddFooter: "&L" + footText(f.title, 80) + "&C" + footText(f.stamp, 80) + "&RPage &P of &N",
		})
	}
	if err == nil && s.frozen > 0 {
		err = f.book.SetDefinedName(&excelize.DefinedName{
			Name: "_xlnm.Print_Titles", Scope: s.name, RefersTo: fmt.Sprintf("'%s'!$1:$%d", strings.ReplaceAll(s.name, "'", "''"), s.frozen),
		})
	}
	return err
}

// footText makes text safe for a foot, where & begins a command and a number
// after one would be taken for a size.
func footText(text string, most int) string {
	return " " + strings.ReplaceAll(report.Shortened(text, most), "&", "&&")
}

func (f *file) stream(writer *excelize.StreamWriter, s *sheet) error {
	if s.frozen > 0 {
		if err := writer.SetPanes(&excelize.Panes{Freeze: true, YSplit: s.frozen, TopLeftCell: at(0, s.frozen+1), ActivePane: "bottomLeft"}); err != nil {
			return err
		}
	}
	for i, width := range s.widths {
		if err := writer.SetColWidth(i+1, i+1, width); err != nil {
			return err
		}
	}
	for i, row := range s.rows {
		values := make([]any, len(row))
		for j, c := range row {
			style, err := f.style(c.look)
			if err != nil {
				return err
			}
			values[j] = excelize.Cell{StyleID: style, Formula: c.formula, Value: plain(c.value)}
			if c.span > 1 {
				if err := writer.MergeCell(at(j, i+1), at(j+c.span-1, i+1)); err != nil {
					return err
				}
			}
		}
		if err := writer.SetRow(at(0, i+1), values, excelize.RowOpts{Height: s.heights[i+1]}); err != nil {
			return err
		}
	}
	for _, row := range s.breaks {
		if err := writer.InsertPageBreak(at(0, row)); err != nil {
			return err
		}
	}
	return nil
}

// plain is a value as the library takes it. Spreadsheets reckon in binary numbers,
// which hold an amount of up to 15 digits without loss.
func plain(value any) any {
	switch v := value.(type) {
	case costs.Money:
		return v.Float()
	case string:
		if v == "" {
			return nil
		}
	}
	return value
}

func (f *file) write(w io.Writer) error {
	always := true
	if err := f.book.SetCalcProps(&excelize.CalcPropsOptions{FullCalcOnLoad: &always}); err != nil {
		return err
	}
	if err := f.book.SetDocProps(&excelize.DocProperties{Title: f.title, Description: f.stamp, Language: "en-GB"}); err != nil {
		return err
	}
	var packed bytes.Buffer
	if err := f.book.Write(&packed); err != nil {
		return err
	}
	return inOrder(w, packed.Bytes())
}

// inOrder writes the parts of a packed file in the order of their names, which the
// library does not keep to.
func inOrder(w io.Writer, packed []byte) error {
	reader, err := zip.NewReader(bytes.NewReader(packed), int64(len(packed)))
	if err != nil {
		return err
	}
	slices.SortFunc(reader.File, func(a, b *zip.File) int { return strings.Compare(a.Name, b.Name) })
	writer := zip.NewWriter(w)
	for _, part := range reader.File {
		if err := writer.Copy(part); err != nil {
			return err
		}
	}
	return writer.Close()
}
