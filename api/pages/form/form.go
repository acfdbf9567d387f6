// Package form turns a form that was filled in into a document of the contract,
// and back. A form is described once: each field says by a JSON pointer where its
// value stands in the document, and that pointer is its name in the page. So a
// fault of a problem document finds its field by the pointer that it has anyway,
// and no second table of names has to agree with the first.
//
// What a form does not show is kept: a document is made by writing the fields into
// the one that was there before.
package form

import (
	"maps"
	"slices"
	"strconv"
	"strings"

	"swardcase/model/fault"
)

// Kind says how a field is filled in, and how its text becomes a value.
type Kind string

// The kinds of field.
const (
	Text   Kind = "text"   // text on one line
	Note   Kind = "note"   // text on several lines
	Number Kind = "number" // a decimal number
	Whole  Kind = "whole"  // a whole number
	Choice Kind = "choice" // one of Options; its value is text
	Pick   Kind = "pick"   // one of Options; its value is a whole number
	Flag   Kind = "flag"   // a box to tick: true, or left out
	YesNo  Kind = "yes_no" // yes, no, or left out
	Day    Kind = "day"    // YYYY-MM-DD
	Month  Kind = "month"  // YYYY-MM
	Amount Kind = "amount" // money, in the currency that the form names
	Ring   Kind = "ring"   // an edge: a corner on each line, x and y in metres
	Spots  Kind = "spots"  // levels: x, y and level on each line, in metres
	Sheet  Kind = "sheet"  // a table as text, which the field itself reads and writes
)

// ofPage begins the name of a field that is no part of the document: the page
// makes something of it itself.
const ofPage = "page:"

// Field is one thing to fill in.
type Field struct {
	// At is the JSON pointer of the value; of a column, within the entry. The name of
	// a field that is not in the document begins with "page:".
	At    string
	Label string
	// Hint is said below the label, beside what the contract says of the bounds.
	Hint    string
	Kind    Kind
	Options []Option
	// Rows is how many lines a field of several lines shows.
	Rows int
	// Read makes the value of a Sheet, or says what is wrong with it, in faults that
	// point to the field. Write does the contrary for the whole document.
	Read  func(text string, e Entries) (any, fault.List)
	Write func(tree map[string]any) string
	// Also are places of the document that have no field of their own: what is wrong
	// with them stands here.
	Also []string
}

// Option is one answer of a Choice.
type Option struct{ Value, Words string }

// List is a table with a row for each entry of an array.
type List struct {
	At      string
	Caption string
	// Entry names what stands in a row, for readers who hear the table.
	Entry   string
	Columns []Field
	// Blank is how many empty rows a table begins with, More how many are added on
	// demand.
	Blank, More int
	// Carried are the columns that do not make an entry by themselves: a position
	// alone is no reading.
	Carried []string
	// AllWhen names a Flag of the page: while it is ticked and anything is filled in,
	// rows of which only carried columns are filled in are entries too.
	AllWhen string
}

// Year is a table with a row for each month of the year; each column is an array
// of twelve in the document.
type Year struct {
	Caption string
	Columns []Field
}

// Section is a part of a form under a heading.
type Section struct {
	Title, Lead string
	Fields      []Field
	Lists       []List
	Years       []Year
	// Folded sections are shut unless something in them is faulty; how much is filled
	// in stands beside their heading.
	Folded bool
	// TablesFirst puts the tables before the fields.
	TablesFirst bool
	// Drawn sections have a drawing beside their fields, where there is script.
	Drawn bool
}

// Form describes a form. Schema is what the contract calls its document.
type Form struct {
	Schema   string
	Sections []Section
	// Currency is the pointer of the field that names the currency of amounts.
	Currency string
}

// Months are the rows of a Year.
var Months = [12]string{"January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November", "December"}

// Entries are what was filled in: text by the name of the field. A column's name
// has the number of its row, as in /pits/0/depth_mm.
type Entries map[string]string

// maxRows bounds how many rows of one table are read.
const maxRows = 240

// name joins the name of a row's field.
func (l List) name(row int, column Field) string { return l.At + "/" + strconv.Itoa(row) + column.At }

// rows is how many rows of a table the entries reach.
func (l List) rows(e Entries) int {
	last := 0
	for name := range e {
		rest, ours := strings.CutPrefix(name, l.At+"/")
		if !ours {
			continue
		}
		number, _, _ := strings.Cut(rest, "/")
		if row, err := strconv.Atoi(number); err == nil && row >= 0 && row < maxRows {
			last = max(last, row+1)
		}
	}
	return last
}

// filled says whether a row holds more than carried columns.
func (l List) filled(e Entries, row int) bool {
	for _, column := range l.Columns {
		if !l.carries(column) && e[l.name(row, column)] != "" {
			return true
		}
	}
	return false
}

func (l List) carries(column Field) bool { return slices.Contains(l.Carried, column.At) }

// begun says whether a row holds anything.
func (l List) begun(e Entries, row int) bool {
	for _, column := range l.Columns {
		if e[l.name(row, column)] != "" {
			return true
		}
	}
	return false
}

// entries gives the rows that are entries of the document, by their numbers.
func (l List) entries(e Entries) []int {
	var filled, begun []int
	for row := range l.rows(e) {
		if l.filled(e, row) {
			filled = append(filled, row)
		}
		if l.begun(e, row) {
			begun = append(begun, row)
		}
	}
	if l.AllWhen != "" && e[l.AllWhen] != "" && len(filled) > 0 {
		return begun
	}
	return filled
}

// each calls visit for every field of the form with its name, as far as the rows
// of the entries reach. The label of a field in a table says in which row it is.
func (f Form) each(e Entries, visit func(name string, field Field)) {
	for _, section := range f.Sections {
		for _, field := range section.Fields {
			visit(field.At, field)
		}
		for _, list := range section.Lists {
			for row := range list.rows(e) {
				for _, column := range list.Columns {
					visit(list.name(row, column), column)
				}
			}
		}
		for _, year := range section.Years {
			for _, column := range year.Columns {
				for month := range Months {
					visit(column.At+"/"+strconv.Itoa(month), column)
				}
			}
		}
	}
}

// Read takes the form's fields out of what a browser sent, without the white
// space round them.
func (f Form) Read(sent map[string][]string) Entries {
	all := Entries{}
	for name, values := range sent {
		if len(values) > 0 {
			all[name] = values[0]
		}
	}
	out := Entries{}
	f.each(all, func(name string, _ Field) {
		if text, given := all[name]; given {
			out[name] = strings.TrimSpace(strings.ReplaceAll(text, "\r\n", "\n"))
		}
	})
	return out
}

// AddRows lengthens a table, so that more can be filled in.
func (f Form) AddRows(e Entries, at string) {
	for _, section := range f.Sections {
		for _, list := range section.Lists {
			if list.At == at {
				last := min(list.shown(e)+list.More, maxRows) - 1
				e[list.name(last, list.Columns[0])] += ""
			}
		}
	}
}

// shown is how many rows of a table are shown.
func (l List) shown(e Entries) int { return max(l.rows(e), l.Blank) }

// Clone copies entries.
func (e Entries) Clone() Entries { return maps.Clone(e) }

// Difference is a field in which two sets of entries differ.
type Difference struct{ Label, First, Second string }

// Differences compares what was filled in with something else, in the order of the
// form. Fields of the page itself are left out.
func (f Form) Differences(first, second Entries) []Difference {
	both := maps.Clone(second)
	if both == nil {
		both = Entries{}
	}
	for name := range first {
		both[name] += ""
	}
	labels, _ := (&viewing{form: f, entries: both}).labels()
	var out []Difference
	f.each(both, func(name string, _ Field) {
		if !strings.HasPrefix(name, ofPage) && first[name] != second[name] {
			out = append(out, Difference{labels[name], first[name], second[name]})
		}
	})
	return out
}
