package workbook

import (
	"strings"

	"github.com/xuri/excelize/v2"

	"swardcase/costs"
)

// The colours: a dark green for headings, a pale yellow for what may be changed.
const (
	headingFill = "24523B"
	headingInk  = "FFFFFF"
	givenFill   = "FFF6D6"
	ruleColour  = "7F8C85"
)

const fontFamily = "Arial"

// asText is the number format that keeps what is typed as text. A cell of text is
// never a formula in the file; with this it does not become one when somebody
// edits it, whatever it begins with.
const asText = "@"

// style is the number of a look's style, made when it is first wanted.
func (f *file) style(l look) (int, error) {
	if number, made := f.styles[l]; made {
		return number, nil
	}
	format := l.format(f.currency)
	style := &excelize.Style{
		CustomNumFmt: &format,
		Font:         &excelize.Font{Bold: l.bold || l.heading || l.title, Size: 10, Family: fontFamily},
		Alignment:    &excelize.Alignment{Vertical: "top", WrapText: l.form == prose},
	}
	switch {
	case l.title:
		style.Font.Size = 15
		style.Alignment.Vertical = "center"
	case l.heading:
		style.Font.Color = headingInk
		style.Fill = excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{headingFill}}
		style.Alignment.Vertical = "center"
	case l.given:
		style.Fill = excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{givenFill}}
	}
	switch {
	case l.right:
		style.Alignment.Horizontal = "right"
	case (l.form == label || l.form == prose) && !l.title:
		style.Alignment.Horizontal, style.Alignment.Indent = "left", 1 // off the number before it
	}
	if l.total {
		style.Border = []excelize.Border{{Type: "top", Style: 1, Color: ruleColour}}
	}
	number, err := f.book.NewStyle(style)
	if err == nil {
		f.styles[l] = number
	}
	return number, err
}

// format is the number format of a look.
func (l look) format(currency costs.Currency) string {
	switch l.form {
	case money:
		return moneyFormat(currency)
	case quantity:
		return "#,##0.0##"
	case percent:
		return `General" %"`
	case factor:
		return "0.000000"
	case decimal1:
		return "0.0"
	case label, prose:
		return asText
	}
	return "General"
}

// moneyFormat writes amounts with the currency's sign, or its code, and places.
func moneyFormat(currency costs.Currency) string {
	figure := "#,##0"
	if places := int(currency.Places()); places > 0 {
		figure += "." + strings.Repeat("0", places)
	}
	mark := `"` + currency.Mark() + `"`
	return mark + figure + ";-" + mark + figure
}
