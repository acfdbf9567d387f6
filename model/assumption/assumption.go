// Package assumption holds the one table of constants that the model takes on
// trust: each with its unit, its three points, and the source it rests on. A
// formula elsewhere never writes such a constant down; it is handed one from
// here, so that a case can override it and a report can show it.
//
// The table is kept in the CSV files beside this one, one per topic, with the
// columns name, meaning, unit, low, likely, high, basis, source.
package assumption

import (
	"embed"
	"encoding/csv"
	"fmt"
	"io/fs"
	"slices"
	"strconv"
	"strings"

	"swardcase/model/fault"
)

// Basis says what an assumption rests on.
type Basis string

// The bases, strongest first.
const (
	Published      Basis = "published"       // the source column cites it
	CommonPractice Basis = "common_practice" // a rule of the trade, no source
	FromMemory     Basis = "from_memory"     // remembered, not seen in print
	Judgement      Basis = "judgement"       // ours, no source
)

// Words gives the mark that is printed beside the value.
func (b Basis) Words() string {
	switch b {
	case Published:
		return "published"
	case CommonPractice:
		return "common practice, no source"
	case FromMemory:
		return "from memory"
	case Judgement:
		return "judgement, no source"
	}
	return string(b)
}

// Assumption is one constant: Low and High bound what the trade would find
// credible, Likely is what a calculation uses unless it draws from the range.
type Assumption struct {
	Name    string  `json:"name"`
	Meaning string  `json:"meaning"`
	Unit    string  `json:"unit"`
	Low     float64 `json:"low"`
	Likely  float64 `json:"likely"`
	High    float64 `json:"high"`
	Basis   Basis   `json:"basis"`
	Source  string  `json:"source"`
	// Overridden is true when the case replaced the built-in value; Reason is
	// then what the case says of it.
	Overridden bool   `json:"overridden"`
	Reason     string `json:"reason,omitempty"`
}

// Override replaces an assumption for one case. Low and High may be left out:
// they then stay where they are, widened to keep low ≤ likely ≤ high.
type Override struct {
	Name   string   `json:"name"`
	Likely float64  `json:"likely"`
	Low    *float64 `json:"low,omitempty"`
	High   *float64 `json:"high,omitempty"`
	Reason string   `json:"reason,omitempty"`
}

//go:embed *.csv
var tables embed.FS

var builtIn = mustLoad()

// Set is a complete, ordered list of assumptions for one case. The zero value
// is unusable: start from Defaults. A Set is never changed after it is made.
type Set struct {
	list  []Assumption
	index map[string]int
}

// Defaults returns the built-in assumptions.
func Defaults() Set { return builtIn }

// Overrides writes the whole set down as overrides, so that a stored case keeps
// the values it was judged with, whatever later versions of the table say.
func (s Set) Overrides() []Override {
	out := make([]Override, len(s.list))
	for i, a := range s.list {
		low, high := a.Low, a.High
		out[i] = Override{Name: a.Name, Likely: a.Likely, Low: &low, High: &high}
		if a.Overridden {
			out[i].Reason = a.Reason
		}
	}
	return out
}

// All lists the assumptions in the order of the table.
func (s Set) All() []Assumption { return slices.Clone(s.list) }

// Has reports whether the table knows the name.
func (s Set) Has(name string) bool { _, ok := s.index[name]; return ok }

// Get returns one assumption. It panics on an unknown name, which is a mistake
// in the program and never in a case: names from a case go through With.
func (s Set) Get(name string) Assumption {
	i, ok := s.index[name]
	if !ok {
		panic("assumption: no such name: " + name)
	}
	return s.list[i]
}

// Likely returns the likely value of one assumption, in the table's unit.
func (s Set) Likely(name string) float64 { return s.Get(name).Likely }

// With returns a copy of the set with the case's overrides written in, and a
// fault for each override that names no assumption, names one twice, or breaks
// low ≤ likely ≤ high. Pointers are relative to the list of overrides.
func (s Set) With(overrides []Override) (Set, fault.List) {
	var faults fault.List
	out := Set{list: slices.Clone(s.list), index: s.index}
	seen := map[string]bool{}
	for i, o := range overrides {
		at, known := s.index[o.Name]
		switch {
		case !known:
			faults.Add(fault.Pointer(i, "name"), o.Name, "no assumption has this name", s.suggest(o.Name))
			continue
		case seen[o.Name]:
			faults.Add(fault.Pointer(i, "name"), o.Name, "this assumption is overridden twice", "keep one of the two entries")
			continue
		}
		seen[o.Name] = true
		a := out.list[at]
		if same(a, o) {
			continue // a resolved case repeats the built-in values
		}
		if outside := a.firstOutside(o); outside != "" {
			least, most := a.credible()
			faults.Add(fault.Pointer(i, outside), o.value(outside),
				fmt.Sprintf("is more than ten times beyond the range of %s, %g to %g %s", a.Name, a.Low, a.High, a.Unit),
				fmt.Sprintf("give a number from %g to %g", least, most))
			continue
		}
		a.Likely, a.Overridden = o.Likely, true
		a.Low, a.High = min(a.Low, o.Likely), max(a.High, o.Likely)
		if o.Low != nil {
			a.Low = *o.Low
		}
		if o.High != nil {
			a.High = *o.High
		}
		if a.Low > a.Likely || a.Likely > a.High {
			faults.Add(fault.Pointer(i, "likely"), o.Likely,
				fmt.Sprintf("low %g, likely %g, high %g are not in order", a.Low, a.Likely, a.High),
				"give low ≤ likely ≤ high")
			continue
		}
		a.Source, a.Reason = "stated in the case", o.Reason
		out.list[at] = a
	}
	return out, faults
}

// same reports whether an override only repeats what the table says.
func same(a Assumption, o Override) bool {
	return o.Likely == a.Likely && (o.Low == nil || *o.Low == a.Low) && (o.High == nil || *o.High == a.High)
}

// value returns the member of the override with that JSON name.
func (o Override) value(member string) any {
	switch {
	case member == "low" && o.Low != nil:
		return *o.Low
	case member == "high" && o.High != nil:
		return *o.High
	}
	return o.Likely
}

// credible bounds what a case may put in an assumption's place: a tenth of its
// low point to ten times its high one. A share stays a share, and a quantity
// that cannot be negative or nothing stays so.
func (a Assumption) credible() (least, most float64) {
	least, most = a.Low/10, a.High*10
	if a.Low < 0 {
		least = a.Low * 10
	}
	if a.High < 0 {
		most = a.High / 10
	}
	if a.Unit == "1" && a.High <= 1 {
		most = 1
	}
	return least, most
}

// firstOutside names the first member of an override outside the credible
// range, or nothing.
func (a Assumption) firstOutside(o Override) string {
	least, most := a.credible()
	for _, member := range []string{"likely", "low", "high"} {
		v, _ := o.value(member).(float64)
		if !(v >= least && v <= most) {
			return member
		}
	}
	return ""
}

// suggest names the assumption whose words overlap most with the given name.
func (s Set) suggest(name string) string {
	best, overlap := "", 0
	for _, a := range s.list {
		shared := 0
		for _, word := range strings.Split(a.Name, "_") {
			if len(word) > 2 && strings.Contains(name, word) {
				shared++
			}
		}
		if shared > overlap {
			best, overlap = a.Name, shared
		}
	}
	if best == "" {
		return "take a name from the list that `swardcase assumptions` prints"
	}
	return fmt.Sprintf("did you mean %s? `swardcase assumptions` prints every name", best)
}

func mustLoad() Set {
	names, err := fs.Glob(tables, "*.csv")
	if err != nil {
		panic(err)
	}
	set := Set{index: map[string]int{}}
	for _, name := range names { // fs.Glob returns sorted names
		file, err := tables.Open(name)
		if err != nil {
			panic(err)
		}
		rows, err := csv.NewReader(file).ReadAll()
		if err != nil {
			panic(fmt.Errorf("assumption: %s: %w", name, err))
		}
		for i, row := range rows[1:] {
			a, err := parseRow(row)
			if err != nil {
				panic(fmt.Errorf("assumption: %s row %d: %w", name, i+2, err))
			}
			if _, twice := set.index[a.Name]; twice {
				panic("assumption: named twice: " + a.Name)
			}
			set.index[a.Name] = len(set.list)
			set.list = append(set.list, a)
		}
	}
	return set
}

func parseRow(row []string) (Assumption, error) {
	if len(row) != 8 {
		return Assumption{}, fmt.Errorf("%d columns, want 8", len(row))
	}
	a := Assumption{Name: row[0], Meaning: row[1], Unit: row[2], Basis: Basis(row[6]), Source: row[7]}
	for i, target := range []*float64{&a.Low, &a.Likely, &a.High} {
		value, err := strconv.ParseFloat(row[3+i], 64)
		if err != nil {
			return Assumption{}, err
		}
		*target = value
	}
	return a, nil
}
