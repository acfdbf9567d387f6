package aeration

import (
	"fmt"
	"math"

	"swardcase/model/fault"
)

// Warning is something in a calendar that a careful consultant would ask
// about. Month is 1 to 12, or 0 where it concerns the whole year.
type Warning struct {
	Operation Operation `json:"operation,omitempty"`
	Month     int       `json:"month"`
	Text      string    `json:"text"`
}

// Target holds a year's amount against what is published or required. Distance
// is 0 inside the range, negative below it and positive above it.
type Target struct {
	Name     string   `json:"name"`
	Value    float64  `json:"value"`
	Unit     string   `json:"unit"`
	Low      float64  `json:"low"`
	High     *float64 `json:"high,omitempty"`
	Distance float64  `json:"distance"`
	Source   string   `json:"source"`
}

func newTarget(name string, value float64, unit string, low float64, high *float64, source string) Target {
	t := Target{Name: name, Value: value, Unit: unit, Low: low, High: high, Source: source}
	switch {
	case value < low:
		t.Distance = value - low
	case high != nil && value > *high:
		t.Distance = value - *high
	}
	return t
}

func targets(a Amounts, p Parameters) []Target {
	published := "Hartwiger & O'Brien 2001, via Moeller & Lowe 2016"
	return []Target{
		newTarget("cored_area", a.CoredAreaPct, "%", p.TargetAreaLowPct, number(p.TargetAreaHighPct), published),
		newTarget("sand_depth", a.SandMM(), "mm", p.TargetSandLowMM, number(p.TargetSandHighMM), published),
		newTarget("sand_of_a_fair_trial", a.SandTPerHa, "t/ha", p.FairTrialSandTPerHaPerYear, nil, "common practice, no source"),
	}
}

// groundFaults refuses what the ground rules out: a mole plough anywhere but in
// stoneless clay with an outfall and nothing buried, and any work that would
// reach what is buried.
func groundFaults(lines []Line, g Ground, p Parameters) fault.List {
	var faults fault.List
	for i, line := range lines {
		if line.VisitsPerYear == 0 {
			continue
		}
		if line.Work.Operation == MolePloughing {
			faults = append(faults, moleFaults(fault.Pointer("programme", "works", i), g, p)...)
		}
		reach := line.DepthMM + p.ClearanceAboveBuriedMM
		if !g.NothingBuried && g.BuriedFromMM != nil && line.DepthMM > 0 && reach > *g.BuriedFromMM {
			faults.Add(fault.Pointer("programme", "works", i), fmt.Sprintf("%.0f mm", line.DepthMM),
				fmt.Sprintf("%s would come within %.0f mm of what is buried at %.0f mm", line.Work.Operation, p.ClearanceAboveBuriedMM, *g.BuriedFromMM),
				"work shallower, or leave it out")
		}
	}
	return faults
}

func moleFaults(at string, g Ground, p Parameters) fault.List {
	var faults fault.List
	refuse := func(value any, detail string) {
		faults.Add(at+"/operation", value, detail, "leave mole_ploughing out, or state the ground that allows it")
	}
	switch {
	case g.ClayPct == nil:
		refuse(nil, "mole ploughing needs clay, and the clay at depth is not known")
	case *g.ClayPct < p.MoleLeastClayPct:
		refuse(fmt.Sprintf("%.0f %% clay", *g.ClayPct), fmt.Sprintf("mole channels do not stand in less than %.0f %% clay", p.MoleLeastClayPct))
	}
	if g.Stony == nil || *g.Stony {
		refuse(nil, "mole ploughing needs ground known to be free of stones")
	}
	if g.HasOutfall == nil || !*g.HasOutfall {
		refuse(nil, "mole channels need an outfall, and none is known")
	}
	if !g.NothingBuried && g.BuriedFromMM == nil {
		refuse(nil, "whether pipes or cables are buried in the mole plough's way is not known")
	}
	return faults
}

// shareSand lets the dressings that state no sand of their own share what the
// year's sand leaves after the holes and the stated dressings, and warns where
// that does not come out. Too few dressings for the sand are a fault: no green
// is buried in one go.
func shareSand(lines []Line, yearTPerHa *float64, p Parameters) ([]Warning, fault.List) {
	var faults fault.List
	spoken, sharing := 0.0, 0.0
	for i := range lines {
		line := &lines[i]
		spoken += line.VisitsPerYear * fillDepthMM(line.Work.opening(), p)
		switch {
		case line.Work.DressingMM != nil:
			spoken += line.VisitsPerYear * *line.Work.DressingMM
		case line.Work.Operation == TopDressing:
			sharing += line.VisitsPerYear
		}
	}
	each, warnings := p.DressingMM, []Warning{}
	if yearTPerHa != nil {
		left := SandDepthMM(KGPerM2(*yearTPerHa), p.SandDryTPerM3) - spoken
		const hairMM = 1e-9
		switch {
		case left < -hairMM:
			warnings = append(warnings, Warning{Text: fmt.Sprintf("holes and stated dressings alone take %.1f mm of sand more than the %.0f t/ha stated for the year", -left, *yearTPerHa)})
		case left > hairMM && sharing == 0:
			warnings = append(warnings, Warning{Text: fmt.Sprintf("%.1f mm of the year's sand has no dressing to carry it; the totals leave it out", left)})
		}
		each = 0
		if sharing > 0 {
			each = math.Max(0, left) / sharing
		}
	}
	for i := range lines {
		work := &lines[i].Work
		if work.Operation != TopDressing || work.DressingMM != nil {
			continue
		}
		work.DressingMM = number(each)
		if each > mostDressingMM {
			faults.Add(fault.Pointer("programme", "works", i, "times_per_year"), lines[i].VisitsPerYear,
				fmt.Sprintf("so few dressings would each have to carry %.3g mm of sand", each), "make more dressings, or state less sand")
		}
	}
	return warnings, faults
}

// seasonWarnings goes through the lines month by month.
func seasonWarnings(c *Calendar, in Input, p Parameters) []Warning {
	warnings := []Warning{}
	for i := range c.Lines {
		line := &c.Lines[i]
		if line.VisitsPerYear == 0 {
			continue
		}
		for m, visits := range line.VisitsByMonth {
			if text := monthText(line.Work, m, in, p); visits > 0 && text != "" {
				warnings = append(warnings, Warning{Operation: line.Work.Operation, Month: m + 1, Text: text})
			}
		}
		if text := yearText(line.Work, in.Ground, p); text != "" {
			warnings = append(warnings, Warning{Operation: line.Work.Operation, Text: text})
		}
	}
	if c.Totals.Amounts.CoredAreaPct > 0 && c.Totals.Amounts.SandMM() == 0 {
		warnings = append(warnings, Warning{Operation: HollowCoring, Text: "coring without sand leaves the percentage of organic matter where it was"})
	}
	return warnings
}

// slitSeason is October to March, or April to September south of the equator:
// slits cut in the other half gape as the ground dries. Month is 0 to 11.
func slitSeason(month int, southern bool) bool {
	northernWinter := month >= 9 || month <= 2
	return northernWinter != southern
}

func monthText(w Work, month int, in Input, p Parameters) string {
	growth := in.GrowthPotentialByMonth[month]
	switch {
	case w.Operation == HollowCoring && w.Tines.OutsideDiameterMM >= p.HeavyCoreOutsideMM && growth < p.LeastGrowthPotentialHeavyCoring:
		return fmt.Sprintf("heavy coring in a month without growth (growth potential %.2f): the holes stay open until growth returns", growth)
	case w.Operation == Overseeding && growth < p.LeastGrowthPotentialOverseeding:
		return fmt.Sprintf("seed hardly germinates in this month (growth potential %.2f)", growth)
	case w.Operation == SlitTining && !slitSeason(month, in.Southern):
		return "slits cut in the drying months open up in dry weather; the usual season is winter"
	}
	return ""
}

func yearText(w Work, g Ground, p Parameters) string {
	switch {
	case w.Operation == DeepTining && !g.NothingBuried && g.BuriedFromMM == nil:
		return fmt.Sprintf("what lies under the green is not known: find pipes, cables and gravel before tining to %.0f mm; it also heaves the surface", w.Tines.DepthMM)
	case w.Operation == DeepTining:
		return "deep tining heaves the surface; allow for rolling"
	case w.Operation == MolePloughing:
		return "rare on a green: the leg heaves and slits the surface; have buried services traced and marked first"
	case w.Operation == TopDressing && *w.DressingMM > p.HeaviestDressingMM:
		return fmt.Sprintf("%.1f mm in one dressing smothers fine turf; make more and lighter dressings", *w.DressingMM)
	}
	return ""
}
