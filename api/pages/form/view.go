package form

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"swardcase/api/contract"
	"swardcase/model/fault"
)

// View is a form as a template shows it.
type View struct {
	Sections []SectionView
	// Summary lists what is wrong, each with the field to go to.
	Summary []Complaint
}

// Complaint is one thing that is wrong. Anchor is the id of its field; empty
// where it belongs to none.
type Complaint struct{ Label, Words, Anchor string }

// SectionView is a section with what was filled in.
type SectionView struct {
	Section
	ID   string
	Open bool
	// Filled counts the fields that hold something.
	Filled int
	Shown  []FieldView
	Tables []TableView
}

// FieldView is a field with what was filled in.
type FieldView struct {
	Field
	ID, Name, Value string
	Wanted          string // the bounds, as a hint
	Required        bool
	MaxLength       uint64
	Chosen          []OptionView
	Faults          []string
	// Heard is the label of a field in a table, for readers who hear it; empty for a
	// field with a label of its own.
	Heard string
	// Describes are the ids of what is said of the field, for readers who hear it.
	Describes string
}

// OptionView is an answer, and whether it was chosen.
type OptionView struct {
	Option
	Chosen bool
}

// TableView is a list or a year with its rows.
type TableView struct {
	ID, Caption string
	Head        []string
	Rows        []RowView
	Faults      []string
	// More is the place to which rows can be added; empty for none.
	More  string
	Entry string
	// Narrow tables have one column, whose rows can stand beside one another.
	Narrow bool
}

// RowView is one row of a table. Name is its head, where it has one.
type RowView struct {
	Name  string
	Cells []FieldView
}

// ID is the id of a field's element by the field's name.
func ID(name string) string {
	return "field-" + strings.Trim(strings.NewReplacer("/", "-", ":", "-").Replace(name), "-")
}

// View shows a form with its entries and what is wrong with them. Faults carry
// pointers into the document that draft became.
func (f Form) View(c *contract.Contract, e Entries, draft Draft, faults fault.List) View {
	v := viewing{form: f, contract: c, entries: e, faults: map[string][]string{}}
	v.place(draft, faults)
	var out View
	for i, section := range f.Sections {
		out.Sections = append(out.Sections, v.section(i, section))
	}
	out.Summary = v.summary
	return out
}

type viewing struct {
	form     Form
	contract *contract.Contract
	entries  Entries
	faults   map[string][]string // by the name of a field, or the place of a table
	summary  []Complaint
	faulty   bool // something of the section at hand is
	filled   int  // how many fields of the section at hand hold something
}

// place gives every fault to the field that it belongs to, and lists all of them
// for the head of the page.
func (v *viewing) place(draft Draft, faults fault.List) {
	labels, names := v.labels()
	kinds := map[string]Kind{}
	v.form.each(v.entries, func(name string, field Field) { kinds[name] = field.Kind })
	for _, f := range slices.Concat(draft.Faults, faults) {
		name, rest := v.owner(draft.rowOf(f.Pointer), labels)
		words := Words(f)
		if kinds[name] == YesNo {
			words = "Choose yes or no."
		}
		if line, err := strconv.Atoi(strings.SplitN(strings.TrimPrefix(rest, "/"), "/", 2)[0]); err == nil && (kinds[name] == Ring || kinds[name] == Spots) {
			words = fmt.Sprintf("Line %d: %s", line+1, words)
		}
		if name == "" {
			v.summary = append(v.summary, Complaint{Words: words})
			continue
		}
		v.faults[name] = append(v.faults[name], words)
		v.summary = append(v.summary, Complaint{labels[name], words, ID(name)})
	}
	v.inOrder(names)
}

// inOrder puts the complaints into the order of the form, those of no field last.
func (v *viewing) inOrder(names []string) {
	places := map[string]int{}
	for i, name := range names {
		places[ID(name)] = i
	}
	places[""] = len(names)
	slices.SortStableFunc(v.summary, func(a, b Complaint) int { return cmp.Compare(places[a.Anchor], places[b.Anchor]) })
}

// rowOf turns a place in the document into the place in the form that it was made
// of.
func (d Draft) rowOf(pointer string) string {
	for at := pointer; at != ""; at = at[:strings.LastIndexByte(at, '/')] {
		if row, moved := d.moved[at]; moved {
			return row + strings.TrimPrefix(pointer, at)
		}
	}
	return pointer
}

// labels names every field and table of the form by its name; names are in the
// order of the form.
func (v *viewing) labels() (labels map[string]string, names []string) {
	labels = map[string]string{}
	add := func(name, label string) {
		labels[name] = label
		names = append(names, name)
	}
	for _, section := range v.form.Sections {
		for _, field := range section.Fields {
			add(field.At, field.Label)
		}
		for _, list := range section.Lists {
			add(list.At, list.Caption)
			for row := range list.shown(v.entries) {
				for _, column := range list.Columns {
					add(list.name(row, column), fmt.Sprintf("%s %d, %s", list.Entry, row+1, column.Label))
				}
			}
		}
		for _, year := range section.Years {
			for _, column := range year.Columns {
				for i, month := range Months {
					add(column.At+"/"+strconv.Itoa(i), column.Label+", "+month)
				}
			}
		}
	}
	return labels, names
}

// owner finds the field or table that a place belongs to: itself, else the
// nearest that it lies in, else the first that lies in it.
func (v *viewing) owner(pointer string, labels map[string]string) (name, rest string) {
	if field, known := v.also(pointer); known {
		return field, ""
	}
	for at := pointer; at != ""; at = at[:max(0, strings.LastIndexByte(at, '/'))] {
		if _, known := labels[at]; known {
			return at, strings.TrimPrefix(pointer, at)
		}
		if first := v.firstWithin(at, labels); first != "" {
			return first, ""
		}
	}
	return "", ""
}

// also finds the field that takes what is wrong with a place which has none.
func (v *viewing) also(pointer string) (name string, known bool) {
	for _, section := range v.form.Sections {
		for _, field := range section.Fields {
			if slices.Contains(field.Also, pointer) {
				return field.At, true
			}
		}
	}
	return "", false
}

// firstWithin is the first field, in the order of the form, that lies in a place
// deeper than the top.
func (v *viewing) firstWithin(at string, labels map[string]string) string {
	if strings.Count(at, "/") < 2 {
		return ""
	}
	first := ""
	v.form.each(v.entries, func(name string, _ Field) {
		if _, known := labels[name]; known && first == "" && strings.HasPrefix(name, at+"/") {
			first = name
		}
	})
	return first
}

// predicates are the words with which a detail says something of its value,
// instead of being a sentence by itself.
var predicates = []string{"is ", "has ", "holds ", "does ", "must "}

// Words says what is wrong with a value, and how to mend it, in two sentences.
func Words(f fault.Fault) string {
	detail := f.Detail
	for _, predicate := range predicates {
		if strings.HasPrefix(detail, predicate) {
			subject := "this"
			if f.Value != "" {
				subject = "“" + f.Value + "”"
			}
			detail = subject + " " + detail
			break
		}
	}
	return sentence(detail) + " " + sentence(f.Remedy)
}

func sentence(words string) string {
	if words == "" {
		return ""
	}
	first, size := utf8.DecodeRuneInString(words)
	if words = string(unicode.ToUpper(first)) + words[size:]; strings.HasSuffix(words, ".") {
		return words
	}
	return words + "."
}

func (v *viewing) section(number int, section Section) SectionView {
	v.faulty, v.filled = false, 0
	out := SectionView{Section: section, ID: "part-" + strconv.Itoa(number+1)}
	for _, field := range section.Fields {
		out.Shown = append(out.Shown, v.field(field))
	}
	for _, list := range section.Lists {
		out.Tables = append(out.Tables, v.list(list))
	}
	for _, year := range section.Years {
		out.Tables = append(out.Tables, v.year(year))
	}
	out.Open, out.Filled = v.faulty || !section.Folded, v.filled
	return out
}

func (v *viewing) field(field Field) FieldView {
	out := v.cell(field, field.At)
	property, _ := v.contract.PropertyAt(v.form.Schema, field.At)
	out.Wanted = hint(field, property)
	var describes []string
	if out.Wanted != "" {
		describes = append(describes, out.ID+"-hint")
	}
	if len(out.Faults) > 0 {
		describes = append(describes, out.ID+"-fault")
	}
	out.Describes = strings.Join(describes, " ")
	return out
}

// hint joins what the form says of a field to what the contract does.
func hint(field Field, property contract.Property) string {
	words := sentence(field.Hint)
	if field.Kind != Number && field.Kind != Whole {
		return words
	}
	if words == "" {
		words = sentence(property.Description)
	}
	if property.Range != "" {
		words = strings.TrimSpace(strings.ReplaceAll(property.Range, "-", "−") + ". " + words)
	}
	return words
}

// cell is a field without the words round it, as it stands in a table.
func (v *viewing) cell(field Field, name string) FieldView {
	property, _ := v.contract.PropertyAt(v.form.Schema, name)
	out := FieldView{
		Field: field, ID: ID(name), Name: name, Value: v.entries[name], Faults: v.faults[name],
		Required: property.Required, MaxLength: property.MaxLength,
	}
	if len(out.Faults) > 0 {
		out.Describes = out.ID + "-fault"
		v.faulty = true
	}
	if out.Value != "" {
		v.filled++
	}
	if field.Kind == YesNo {
		field.Options = []Option{{"", "not known"}, {"yes", "yes"}, {"no", "no"}}
	}
	for _, option := range field.Options {
		out.Chosen = append(out.Chosen, OptionView{option, option.Value == out.Value})
	}
	return out
}

func (v *viewing) list(l List) TableView {
	out := TableView{ID: ID(l.At), Caption: l.Caption, Entry: l.Entry, Faults: v.faults[l.At]}
	v.faulty = v.faulty || len(out.Faults) > 0
	if l.More > 0 && l.shown(v.entries) < maxRows {
		out.More = l.At
	}
	for _, column := range l.Columns {
		out.Head = append(out.Head, column.Label)
	}
	for row := range l.shown(v.entries) {
		shown := RowView{}
		for _, column := range l.Columns {
			cell := v.cell(column, l.name(row, column))
			cell.Heard = fmt.Sprintf("%s %d, %s", l.Entry, row+1, column.Label)
			shown.Cells = append(shown.Cells, cell)
		}
		out.Rows = append(out.Rows, shown)
	}
	return out
}

func (v *viewing) year(y Year) TableView {
	out := TableView{ID: ID(y.Columns[0].At), Caption: y.Caption, Narrow: len(y.Columns) == 1}
	for _, column := range y.Columns {
		out.Head = append(out.Head, column.Label)
	}
	for i, month := range Months {
		row := RowView{Name: month}
		for _, column := range y.Columns {
			cell := v.cell(column, column.At+"/"+strconv.Itoa(i))
			cell.Heard = column.Label + ", " + month
			row.Cells = append(row.Cells, cell)
		}
		out.Rows = append(out.Rows, row)
	}
	return out
}
