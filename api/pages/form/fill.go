package form

import (
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// Fill writes a document into the fields of a form.
func (f Form) Fill(tree map[string]any) Entries {
	out := Entries{}
	for _, section := range f.Sections {
		for _, field := range section.Fields {
			if text := f.textAt(tree, field, field.At); text != "" {
				out[field.At] = text
			}
		}
		for _, list := range section.Lists {
			f.fillList(out, tree, list)
		}
		for _, year := range section.Years {
			for _, column := range year.Columns {
				for month := range Months {
					name := column.At + "/" + strconv.Itoa(month)
					if text := f.textAt(tree, column, name); text != "" {
						out[name] = text
					}
				}
			}
		}
	}
	return out
}

func (f Form) fillList(out Entries, tree map[string]any, list List) {
	value, _ := lookUp(tree, tokens(list.At))
	array, _ := value.([]any)
	for row := range array {
		for _, column := range list.Columns {
			name := list.name(row, column)
			if text := f.textAt(tree, column, name); text != "" {
				out[name] = text
			}
		}
	}
}

// textAt writes a value as its field has it.
func (f Form) textAt(tree map[string]any, field Field, name string) string {
	if strings.HasPrefix(name, ofPage) {
		return ""
	}
	switch field.Kind {
	case Ring:
		return ringText(tree, name)
	case Sheet:
		return field.Write(tree)
	}
	value, there := lookUp(tree, tokens(name))
	if !there {
		return ""
	}
	switch value := value.(type) {
	case string:
		return value
	case json.Number:
		return value.String()
	case bool:
		return boolText(field.Kind, value)
	case map[string]any:
		if field.Kind == Amount {
			text, _ := value["amount"].(string)
			return shortAmount(text)
		}
	case []any:
		if field.Kind == Spots {
			return spotText(value)
		}
	}
	return ""
}

func boolText(kind Kind, value bool) string {
	switch {
	case kind == Flag && value:
		return "on"
	case kind == Flag:
		return ""
	case value:
		return "yes"
	}
	return "no"
}

// shortAmount leaves out the places of a whole amount.
func shortAmount(text string) string {
	whole, places, found := strings.Cut(text, ".")
	if found && strings.Trim(places, "0") == "" {
		return whole
	}
	return text
}

// ringText writes corners a line each, without the first again at the end, or the
// GeoJSON that stands in their place.
func ringText(tree map[string]any, name string) string {
	path := tokens(name)
	if value, there := lookUp(tree, path); there {
		array, _ := value.([]any)
		// Only a corner that reading the lines puts back is left out.
		if n := len(array); n > 1 && fmt.Sprint(array[0]) == fmt.Sprint(array[n-1]) && fmt.Sprint(array[0]) != fmt.Sprint(array[n-2]) {
			array = array[:n-1]
		}
		lines := make([]string, 0, len(array))
		for _, corner := range array {
			pair, _ := corner.([]any)
			lines = append(lines, joined(pair...))
		}
		return strings.Join(lines, "\n")
	}
	object, there := lookUp(tree, append(append([]string{}, path[:len(path)-1]...), "geojson"))
	if !there {
		return ""
	}
	text, err := json.Marshal(object)
	if err != nil {
		return ""
	}
	return string(text)
}

// spotText writes levels a line each. Levels by longitude and latitude have no
// place in the lines, and are left to the document.
func spotText(array []any) string {
	var lines []string
	for _, entry := range array {
		spot, _ := entry.(map[string]any)
		if spot["x_m"] != nil && spot["y_m"] != nil {
			lines = append(lines, joined(spot["x_m"], spot["y_m"], spot["level_m"]))
		}
	}
	return strings.Join(lines, "\n")
}

func joined(values ...any) string {
	parts := make([]string, len(values))
	for i, value := range values {
		parts[i] = fmt.Sprint(value)
	}
	return strings.Join(parts, ", ")
}

// Carry fills in what the rows of another document carry: the places at which
// something was read, without what was read there.
func (f Form) Carry(into Entries, tree map[string]any, lists ...List) {
	for _, list := range lists {
		list.Columns = slices.DeleteFunc(slices.Clone(list.Columns), func(column Field) bool { return !list.carries(column) })
		f.fillList(into, tree, list)
	}
}

// Name is the name of a field by its row and the number of its column.
func (l List) Name(row, column int) string { return l.name(row, l.Columns[column]) }
