package service

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"swardcase/model/fault"
)

// The limits of an imported file: 500 greens and days with ten sampling points
// each is more than a large club gathers in years.
const (
	MaxImportBytes   = 10 << 20
	maxImportRows    = 5_000
	maxImportSurveys = 500
)

// column is one column of a file of readings: where its value goes in a survey.
// A column with a list fills a field of one entry of it; one without is a bare
// value of the whole survey.
type column struct {
	name  string
	list  string // path of the list in the survey
	field string // in the entry, or the path of the bare value
	text  bool   // stays text even when it looks like a number
}

// columns are all that a file may have, beside green, surveyed_on and position.
var columns = []column{
	{name: "infiltration_mm_per_h", field: "infiltration/value_mm_per_h"},
	{name: "volume_ml", list: ringTests, field: "volume_ml"},
	{name: "bore_mm", list: ringTests, field: "bore_mm"},
	{name: "minutes", list: ringTests, field: "minutes"},
	{name: "water_temperature_c", list: ringTests, field: "water_temperature_c"},
	{name: "depth_removed_mm", list: ringTests, field: "depth_removed_mm"},
	{name: "surface", list: ringTests, field: "surface", text: true},
	{name: "thatch_depth_mm", list: "thatch_depth/readings", field: "depth_mm"},
	{name: "annual_meadow_grass_pct", field: "annual_meadow_grass/value_pct"},
	{name: "hits", list: "annual_meadow_grass/point_quadrats", field: "hits"},
	{name: "points", list: "annual_meadow_grass/point_quadrats", field: "points"},
	{name: "months_playable", field: "months_playable/value_months"},
	{name: "depth_from_mm", list: "organic_matter", field: "depth_from_mm"},
	{name: "depth_to_mm", list: "organic_matter", field: "depth_to_mm"},
	{name: "organic_matter_pct", list: "organic_matter", field: "organic_matter_pct"},
	{name: "root_depth_mm", field: "root_depth_mm"},
	{name: "surface_hardness_gravities", field: "surface_hardness_gravities"},
}

const ringTests = "infiltration/ring_tests"

// keyColumns say which survey a row belongs to, and where on the green.
var keyColumns = []string{"green", "surveyed_on", "position"}

// sheet is a file of readings, gathered into surveys in the order of their first
// rows.
type sheet struct {
	rows    int
	surveys []*gathered
}

// gathered is one green's survey of one day under construction. places says
// which line each part of it came from.
type gathered struct {
	green, day string
	line       int // of its first row
	rows       int
	survey     map[string]any
	places     map[string]int
}

// jsonNumber is the form of a number in JSON (RFC 8259, section 6).
var jsonNumber = regexp.MustCompile(`^-?(0|[1-9][0-9]*)(\.[0-9]+)?([eE][+-]?[0-9]+)?$`)

// readSheet reads a comma-separated file with a line of column names. It reads on
// after a bad row, so that all of them are named.
func readSheet(file []byte) (sheet, fault.List) {
	var out sheet
	var faults fault.List
	file = bytes.TrimPrefix(file, []byte("\ufeff"))
	if !utf8.Valid(file) {
		faults.Add("", nil, "the file is not UTF-8", "save it as CSV in UTF-8")
		return out, faults
	}
	reader := csv.NewReader(bytes.NewReader(file))
	reader.FieldsPerRecord = -1
	header, err := reader.Read()
	if err != nil {
		faults.Add("/1", nil, "there is no line of column names", "begin with green,surveyed_on,position and the columns that were measured")
		return out, faults
	}
	if faults = checkHeader(header); len(faults) > 0 {
		return out, faults
	}
	byKey := map[[2]string]*gathered{}
	for {
		row, err := reader.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if out.rows++; out.rows > maxImportRows {
			faults.Add("", nil, fmt.Sprintf("there are more than %d rows", maxImportRows), "send the file in parts")
			break
		}
		if err != nil {
			faults = append(faults, unreadableRow(err))
			continue
		}
		line, _ := reader.FieldPos(0)
		faults = append(faults, out.add(byKey, header, row, line)...)
	}
	if out.rows == 0 {
		faults.Add("/2", nil, "there are no rows below the column names", "add a row for each sampling point")
	}
	return out, faults
}

func unreadableRow(err error) fault.Fault {
	var bad *csv.ParseError
	line := 0
	if errors.As(err, &bad) {
		line = bad.StartLine
	}
	return fault.New("/"+strconv.Itoa(line), nil, "a quotation mark stands where none belongs", `write quotes around the whole cell, and "" for a quote within`)
}

// checkHeader refuses unknown and repeated columns, and wants the key columns.
func checkHeader(header []string) fault.List {
	var faults fault.List
	known := slices.Clone(keyColumns)
	for _, c := range columns {
		known = append(known, c.name)
	}
	for i, name := range header {
		switch {
		case !slices.Contains(known, name):
			faults.Add("/1", name, "there is no such column", "use "+strings.Join(known, ", "))
		case slices.Contains(header[:i], name):
			faults.Add("/1", name, "this column stands twice", "keep one of the two")
		}
	}
	for _, name := range keyColumns[:2] {
		if !slices.Contains(header, name) {
			faults.Add("/1", nil, "the column "+name+" is missing", "add it: it says which survey a row belongs to")
		}
	}
	return faults
}

// add puts one row into its survey.
func (s *sheet) add(byKey map[[2]string]*gathered, header, row []string, line int) fault.List {
	var faults fault.List
	if len(row) != len(header) {
		faults.Add(fault.Pointer(line), nil, fmt.Sprintf("has %d cells, and there are %d columns", len(row), len(header)), "write a comma for each empty cell")
		return faults
	}
	cells := map[string]string{}
	for i, name := range header {
		if text := strings.TrimSpace(row[i]); text != "" {
			cells[name] = text
		}
	}
	for _, name := range keyColumns[:2] {
		if cells[name] == "" {
			faults.Add(fault.Pointer(line, name), nil, "is empty", "say which survey the row belongs to")
		}
	}
	if len(faults) > 0 {
		return faults
	}
	key := [2]string{cells["green"], cells["surveyed_on"]}
	g := byKey[key]
	if g == nil {
		if len(s.surveys) == maxImportSurveys {
			faults.Add(fault.Pointer(line), nil, fmt.Sprintf("the file holds more than %d surveys", maxImportSurveys), "send it in parts")
			return faults
		}
		g = &gathered{green: key[0], day: key[1], line: line, survey: map[string]any{"surveyed_on": key[1]}, places: map[string]int{}}
		byKey[key] = g
		s.surveys = append(s.surveys, g)
	}
	return g.add(cells, line)
}

// add puts a row's cells into the survey: bare values at their places, the rest
// into one new entry of each list that has any.
func (g *gathered) add(cells map[string]string, line int) fault.List {
	var faults fault.List
	g.rows++
	entries := map[string]map[string]any{}
	measured := false
	for _, c := range columns {
		text, given := cells[c.name]
		if !given {
			continue
		}
		measured = true
		var value any = text
		if !c.text && jsonNumber.MatchString(text) {
			value = json.Number(text)
		}
		if c.list == "" {
			if earlier, twice := g.setBare(c.field, value, line); twice && earlier != value {
				faults.Add(fault.Pointer(line, c.name), text, fmt.Sprintf("an earlier row of this survey says %v", earlier), "give it once for each survey")
			}
			continue
		}
		if entries[c.list] == nil {
			entries[c.list] = map[string]any{}
		}
		entries[c.list][c.field] = value
	}
	for list, entry := range entries {
		if cells["position"] != "" {
			entry["position"] = cells["position"]
		}
		g.append(list, entry, line)
	}
	if !measured {
		faults.Add(fault.Pointer(line), nil, "nothing was measured in this row", "fill in a reading, or take the row out")
	}
	return faults
}

// inner finds or makes the object that holds the last part of a path.
func (g *gathered) inner(path string) (object map[string]any, last string) {
	object = g.survey
	first, rest, nested := strings.Cut(path, "/")
	if !nested {
		return object, first
	}
	if object[first] == nil {
		object[first] = map[string]any{}
	}
	return object[first].(map[string]any), rest
}

func (g *gathered) setBare(path string, value any, line int) (earlier any, twice bool) {
	object, name := g.inner(path)
	if earlier, twice = object[name]; !twice {
		object[name] = value
		g.places["/"+path] = line
	}
	return earlier, twice
}

func (g *gathered) append(list string, entry map[string]any, line int) {
	object, name := g.inner(list)
	entries, _ := object[name].([]any)
	g.places[fmt.Sprintf("/%s/%d", list, len(entries))] = line
	object[name] = append(entries, entry)
}

// document is the survey as JSON. It was put together from text and numbers in
// the form of JSON, so that writing it cannot fail.
func (g *gathered) document() []byte {
	text, err := json.Marshal(g.survey)
	if err != nil {
		panic("service: a gathered survey: " + err.Error())
	}
	return text
}

// place moves faults of the survey to the lines and columns they came from.
func (g *gathered) place(faults fault.List) fault.List {
	placed := make(fault.List, len(faults))
	for i, f := range faults {
		line, rest := g.line, f.Pointer
		for at := f.Pointer; at != ""; at = at[:strings.LastIndexByte(at, '/')] {
			if found, known := g.places[at]; known {
				line, rest = found, strings.TrimPrefix(f.Pointer, at)
				if column := columnOf(at, strings.TrimPrefix(rest, "/")); column != "" {
					rest = "/" + column
				}
				break
			}
		}
		if rest == f.Pointer {
			rest = "/" + strings.SplitN(strings.TrimPrefix(f.Pointer, "/"), "/", 2)[0]
		}
		f.Pointer = "/" + strconv.Itoa(line) + rest
		placed[i] = f
	}
	return placed
}

// placeModel does the same for faults of a whole case; those outside the survey
// lie in what is stored, and come to the first row.
func (g *gathered) placeModel(faults fault.List) fault.List {
	var placed fault.List
	for _, f := range faults {
		if below, ours := strings.CutPrefix(f.Pointer, "/survey"); ours {
			f.Pointer = below
			placed = append(placed, g.place(fault.List{f})...)
			continue
		}
		f.Detail = fmt.Sprintf("what is stored has a fault at %s: %s", f.Pointer, f.Detail)
		f.Pointer = fault.Pointer(g.line, "green")
		placed = append(placed, f)
	}
	return placed
}

func (g *gathered) atFirst(column string, value any, detail, remedy string) fault.List {
	return fault.List{fault.New(fault.Pointer(g.line, column), value, detail, remedy)}
}

// columnOf names the column that fills a field of the entry or value at a place.
func columnOf(place, field string) string {
	for _, c := range columns {
		if c.list == "" && "/"+c.field == place || c.list != "" && strings.HasPrefix(place, "/"+c.list+"/") && c.field == field {
			return c.name
		}
	}
	return ""
}
