package aeration

import (
	_ "embed"
	"encoding/json"
	"math"
	"slices"
)

// Operation is one kind of work done to a green's surface.
type Operation string

// The operations of the trade. Changes of feeding and irrigation belong to the
// programme as a whole, not to one of these.
const (
	HollowCoring  Operation = "hollow_coring"
	DeepTining    Operation = "deep_tining"
	SlitTining    Operation = "slit_tining"
	Scarifying    Operation = "scarifying"
	MolePloughing Operation = "mole_ploughing"
	TopDressing   Operation = "top_dressing"
	Overseeding   Operation = "overseeding"
)

// Operations lists every operation in a fixed order.
func Operations() []Operation {
	return []Operation{HollowCoring, DeepTining, SlitTining, Scarifying, MolePloughing, TopDressing, Overseeding}
}

// Work is one operation of a programme: how often, when, and with what. Parts
// left out take the defaults of the operation.
type Work struct {
	Operation Operation `json:"operation"`
	// TimesPerYear may be a fraction: 0.5 is every other year. Left out, the
	// work is done once in each of the months given, or as often as is usual.
	TimesPerYear *float64 `json:"times_per_year,omitempty"`
	// Months (1 to 12) in order of preference: visits are dealt out to them in
	// turn. Left out, the usual months, moved by six south of the equator.
	Months       []int         `json:"months,omitempty"`
	Tines        *Tines        `json:"tines,omitempty"`
	Blades       *Blades       `json:"blades,omitempty"`
	MoleChannels *MoleChannels `json:"mole_channels,omitempty"`
	// DressingMM is the sand of one dressing. Left out, the dressings share
	// what the year's sand leaves after holes are filled.
	DressingMM *float64 `json:"dressing_mm,omitempty"`
	// SeedGPerM2 is the seed of one overseeding.
	SeedGPerM2 *float64 `json:"seed_g_per_m2,omitempty"`
}

// Programme is a year's operations with the feeding and irrigation that go
// with them. Feeding and irrigation left out stay as in ordinary upkeep.
type Programme struct {
	Name  string `json:"name,omitempty"`
	Works []Work `json:"works"`
	// SandTPerHaPerYear is all the sand of a year, in holes and on top.
	SandTPerHaPerYear       *float64 `json:"sand_t_per_ha_per_year,omitempty"`
	NitrogenKGPerHaPerYear  *float64 `json:"nitrogen_kg_per_ha_per_year,omitempty"`
	IrrigationMMPerYear     *float64 `json:"irrigation_mm_per_year,omitempty"`
	HandWateringHPer1000M2  *float64 `json:"hand_watering_h_per_1000_m2_per_year,omitempty"`
	OrganicMatterTestsAYear *float64 `json:"organic_matter_tests_per_year,omitempty"`
}

//go:embed builtin.json
var builtinJSON []byte

var builtin = mustDecodeBuiltin()

type builtinProgrammes struct {
	Basis          string `json:"basis"`
	Operations     []Work `json:"operations"`
	TypicalPresent []Work `json:"typical_present"`
	Intensified    []Work `json:"intensified"`
}

func mustDecodeBuiltin() builtinProgrammes {
	var b builtinProgrammes
	if err := json.Unmarshal(builtinJSON, &b); err != nil {
		panic("aeration: built-in programmes: " + err.Error())
	}
	return b
}

// usual returns the defaults of an operation; false when there is no such
// operation.
func usual(o Operation) (Work, bool) {
	for _, w := range builtin.Operations {
		if w.Operation == o {
			return w, true
		}
	}
	return Work{}, false
}

// organicMatterTestsIntensified is one sample at each of four depths: the
// depths for which survey means are published (0-20 to 60-80 mm).
const organicMatterTestsIntensified = 4

// TypicalPresent is the programme of a club that does the usual: one filled
// coring, a little sand, ordinary feeding and irrigation. The copy is the
// caller's to edit.
func TypicalPresent(southern bool, p Parameters) Programme {
	return Programme{
		Name: "typical_present", Works: copyWorks(builtin.TypicalPresent, southern),
		SandTPerHaPerYear:      number(p.SandPresentTPerHaPerYear),
		NitrogenKGPerHaPerYear: number(p.OrdinaryNitrogenKGPerHaPerYear),
		IrrigationMMPerYear:    number(p.OrdinaryIrrigationMMPerYear),
	}
}

// Intensified is the programme of a fair trial: within the published target
// for the surface affected by coring, with the sand that is common practice
// (short of the published target, as the calendar shows), leaner and drier, and
// with the tests that show whether it works. The copy is the caller's to edit.
func Intensified(southern bool, p Parameters) Programme {
	return Programme{
		Name: "intensified", Works: copyWorks(builtin.Intensified, southern),
		SandTPerHaPerYear:       number(p.SandIntensifiedTPerHaPerYear),
		NitrogenKGPerHaPerYear:  number(p.IntensifiedNitrogenKGPerHaPerYear),
		IrrigationMMPerYear:     number(p.IntensifiedIrrigationMMPerYear),
		HandWateringHPer1000M2:  number(p.IntensifiedHandWateringHPer1000M2),
		OrganicMatterTestsAYear: number(organicMatterTestsIntensified),
	}
}

// Upkeep is a club's own short account of what it does now.
type Upkeep struct {
	Operations        []UpkeepOperation `json:"operations,omitempty"`
	SandTPerHaPerYear *float64          `json:"sand_t_per_ha_per_year,omitempty"`
}

// UpkeepOperation is one line of that account.
type UpkeepOperation struct {
	Operation    Operation `json:"operation"`
	TimesPerYear float64   `json:"times_per_year"`
}

// FromUpkeep turns a club's short account into a programme with the usual
// geometry and months. Two things are read out of it: sand without a dressing
// means that dressings were made, as many as spread it at the usual depth; and
// sand that would not fill the holes of the corings means that they were left
// unfilled.
func FromUpkeep(u Upkeep, p Parameters) Programme {
	programme := Programme{Name: "present", Works: []Work{}, SandTPerHaPerYear: u.SandTPerHaPerYear}
	dressed, fillMM := false, 0.0
	for _, line := range u.Operations {
		dressed = dressed || line.Operation == TopDressing
		work := Work{Operation: line.Operation, TimesPerYear: number(line.TimesPerYear)}
		if usual, known := usual(line.Operation); known && line.Operation == HollowCoring {
			tines := *usual.Tines
			work.Tines = &tines
			fillMM += line.TimesPerYear * fillDepthMM(tines.opening(), p)
		}
		programme.Works = append(programme.Works, work)
	}
	if u.SandTPerHaPerYear == nil {
		return programme
	}
	sandMM := SandDepthMM(KGPerM2(*u.SandTPerHaPerYear), p.SandDryTPerM3)
	for i := range programme.Works {
		if tines := programme.Works[i].Tines; tines != nil && sandMM < fillMM {
			tines.Filled = false
		}
	}
	if sandMM > 0 && !dressed {
		// No more than the contract's sixty visits, whatever sand is stated.
		visits := math.Min(60, math.Ceil(sandMM/p.DressingMM))
		programme.Works = append(programme.Works, Work{Operation: TopDressing, TimesPerYear: &visits})
	}
	return programme
}

// copyWorks copies deeply, so that an edit never reaches the built-in list,
// and turns northern months into southern ones where asked.
func copyWorks(works []Work, southern bool) []Work {
	out := make([]Work, len(works))
	for i, w := range works {
		out[i] = copyWork(w)
		out[i].Months = seasonMonths(w.Months, southern)
	}
	return out
}

func copyWork(w Work) Work {
	w.Months = slices.Clone(w.Months)
	w.TimesPerYear, w.DressingMM, w.SeedGPerM2 = clone(w.TimesPerYear), clone(w.DressingMM), clone(w.SeedGPerM2)
	w.Tines, w.Blades, w.MoleChannels = clone(w.Tines), clone(w.Blades), clone(w.MoleChannels)
	return w
}

// seasonMonths moves months written for the northern half of the world by half
// a year for the southern. No months stay no months.
func seasonMonths(months []int, southern bool) []int {
	out := slices.Clone(months)
	if southern {
		for i, m := range out {
			out[i] = (m+5)%12 + 1
		}
	}
	return out
}

func clone[T any](p *T) *T {
	if p == nil {
		return nil
	}
	value := *p
	return &value
}

func number(v float64) *float64 { return &v }
