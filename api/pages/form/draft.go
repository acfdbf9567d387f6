package form

import (
	"encoding/json"
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"swardcase/model/fault"
)

// Draft is a document made of a form.
type Draft struct {
	Body []byte
	// Faults are what could not be put into a document at all, by the names of the
	// fields.
	Faults fault.List
	// moved says where an entry of a list in the document came from: rows that are
	// left blank are no entries.
	moved map[string]string
}

// Draft writes the entries into a document, which is kept in all that the form
// does not show; nil for a new one.
func (f Form) Draft(e Entries, base map[string]any) (Draft, error) {
	d := drafting{form: f, entries: e, tree: without(base), Draft: Draft{moved: map[string]string{}}}
	for _, section := range f.Sections {
		for _, field := range section.Fields {
			if !strings.HasPrefix(field.At, ofPage) {
				d.field(field)
			}
		}
		for _, list := range section.Lists {
			d.list(list)
		}
		for _, year := range section.Years {
			for _, column := range year.Columns {
				d.year(column)
			}
		}
	}
	var err error
	d.Body, err = json.Marshal(d.tree)
	return d.Draft, err
}

// drafting is a draft being made.
type drafting struct {
	Draft
	form    Form
	entries Entries
	tree    map[string]any
}

func (d *drafting) field(field Field) {
	path := tokens(field.At)
	text := d.entries[field.At]
	switch {
	case text == "" && field.Kind == Ring:
		drop(d.tree, path[:len(path)-1]) // what belongs to an edge goes with it
	case text == "" && field.Kind == Spots && d.unshown(path):
	case text == "":
		drop(d.tree, path)
	case field.Kind == Ring:
		d.ring(field, text)
	case field.Kind == Sheet:
		value, faults := field.Read(text, d.entries)
		if d.Faults = append(d.Faults, faults...); len(faults) == 0 {
			put(d.tree, path, value)
		}
	case field.Kind == Spots:
		if points, ok := d.points(field.At, text, 3); ok {
			spots := make([]any, len(points))
			for i, p := range points {
				spots[i] = map[string]any{"x_m": p[0], "y_m": p[1], "level_m": p[2]}
			}
			put(d.tree, path, spots)
		}
	default:
		put(d.tree, path, d.value(field, text))
	}
}

// unshown says whether there are levels which the field could not show, so that
// its being empty says nothing of them.
func (d *drafting) unshown(path []string) bool {
	value, there := lookUp(d.tree, path)
	array, _ := value.([]any)
	return there && spotText(array) == ""
}

// list writes the rows that are entries over the array that was there.
func (d *drafting) list(l List) {
	drop(d.tree, tokens(l.At))
	var array []any
	for _, row := range l.entries(d.entries) {
		entry := map[string]any{}
		for _, column := range l.Columns {
			if text := d.entries[l.name(row, column)]; text != "" {
				put(entry, tokens(column.At), d.value(column, text))
			}
		}
		d.moved[l.At+"/"+strconv.Itoa(len(array))] = l.At + "/" + strconv.Itoa(row)
		array = append(array, entry)
	}
	if len(array) > 0 {
		put(d.tree, tokens(l.At), array)
	}
}

// year writes a column of twelve, or nothing where all of it is blank.
func (d *drafting) year(column Field) {
	path := tokens(column.At)
	drop(d.tree, path)
	array := make([]any, len(Months))
	var blank []string
	for i := range Months {
		name := column.At + "/" + strconv.Itoa(i)
		if text := d.entries[name]; text != "" {
			array[i] = d.value(column, text)
			continue
		}
		blank = append(blank, name)
	}
	if len(blank) == len(Months) {
		return
	}
	for _, name := range blank {
		d.Faults.Add(name, nil, "other months are filled in, and this one is not", "write a value, or 0")
	}
	put(d.tree, path, array)
}

// value makes a value of a text. What is no number stays text, and the contract
// says what is wrong with it.
func (d *drafting) value(field Field, text string) any {
	switch field.Kind {
	case Number, Whole, Pick:
		if number, is := numeral(text); is {
			return json.Number(number)
		}
	case Flag:
		return true
	case YesNo:
		switch text {
		case "yes":
			return true
		case "no":
			return false
		}
	case Amount:
		return map[string]any{"amount": plainAmount(text), "currency": d.entries[d.form.Currency]}
	}
	return text
}

// written is a number as people write it: with a sign, with zeros in front, or
// with nothing before or behind its point.
var written = regexp.MustCompile(`^([+\-−]?)([0-9]*)(?:\.([0-9]*))?$`)

// longestNumber is how long a number in a document may be: what is longer stays text,
// so that what is wrong with it stands beside its field.
const longestNumber = 40

// numeral writes a number as JSON does (RFC 8259, section 6). A comma is not
// taken for a point or left out, since some readers mean the one and some the
// other.
func numeral(text string) (string, bool) {
	parts := written.FindStringSubmatch(text)
	if parts == nil || parts[2] == "" && parts[3] == "" {
		return "", false
	}
	whole := strings.TrimLeft(parts[2], "0")
	if whole == "" {
		whole = "0"
	}
	if parts[3] != "" {
		whole += "." + parts[3]
	}
	if parts[1] == "-" || parts[1] == "−" {
		whole = "-" + whole
	}
	return whole, len(whole) <= longestNumber
}

func plainAmount(text string) string {
	if number, is := numeral(strings.TrimLeft(text, "£€$ ")); is {
		return number
	}
	return text
}

// ring reads the edge of a green: a GeoJSON object, or corners a line each. The
// first corner is repeated at the end, which a person who draws need not do.
func (d *drafting) ring(field Field, text string) {
	path := tokens(field.At)
	within := path[:len(path)-1]
	geoJSON := append(append([]string{}, within...), "geojson")
	if strings.HasPrefix(text, "{") {
		var object map[string]any
		decoder := json.NewDecoder(strings.NewReader(text))
		decoder.UseNumber()
		if err := decoder.Decode(&object); err != nil {
			d.Faults.Add(field.At, nil, "this begins like GeoJSON and cannot be read as JSON", "paste the whole object, or write x, y on each line")
			return
		}
		drop(d.tree, path)
		put(d.tree, geoJSON, object)
		return
	}
	points, ok := d.points(field.At, text, 2)
	if !ok {
		return
	}
	if first, last := points[0], points[len(points)-1]; first[0] != last[0] || first[1] != last[1] {
		points = append(points, first)
	}
	corners := make([]any, len(points))
	for i, p := range points {
		corners[i] = p
	}
	drop(d.tree, geoJSON)
	put(d.tree, path, corners)
}

// maxPoints bounds how many lines of numbers are read.
const maxPoints = 2100

// points reads lines of numbers that commas, semicolons or blanks divide. Empty
// lines are left out; every line that cannot be read is named.
func (d *drafting) points(name, text string, each int) ([][]any, bool) {
	var out [][]any
	before := len(d.Faults)
	number := 0
	for line := range strings.Lines(text) {
		number++
		parts := strings.FieldsFunc(line, func(r rune) bool { return strings.ContainsRune(", ;\t\n[]()", r) })
		if len(parts) == 0 {
			continue
		}
		point := make([]any, 0, each)
		for _, part := range parts {
			if numeral, is := numeral(part); is {
				point = append(point, json.Number(numeral))
			}
		}
		if len(point) != each || len(parts) != each {
			d.Faults.Add(name, strings.TrimSpace(line), fmt.Sprintf("line %d does not hold %s", number, lineWords[each]), "write "+lineExamples[each])
			if len(d.Faults) > before+maxLineFaults {
				break
			}
			continue
		}
		if out = append(out, point); len(out) > maxPoints {
			break // the contract says how many may be given
		}
	}
	return out, len(d.Faults) == before && len(out) > 0
}

// maxLineFaults is how many bad lines of one field are named.
const maxLineFaults = 5

var (
	lineWords    = map[int]string{2: "two numbers", 3: "three numbers"}
	lineExamples = map[int]string{2: "x and y in metres, such as 12.5, 4", 3: "x, y and level in metres, such as 12.5, 4, 24.61"}
)
