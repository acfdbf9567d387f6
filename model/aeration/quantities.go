package aeration

import (
	"fmt"
	"math"
	"strings"
)

// Quantity is one priced line of a year. Item is a price-book code; Working
// shows the sum in words and numbers.
type Quantity struct {
	Section     string  `json:"section"`
	Item        string  `json:"item"`
	Description string  `json:"description"`
	Amount      float64 `json:"amount"`
	Unit        string  `json:"unit"`
	Working     string  `json:"working"`
}

// The sections of a programme's yearly quantities.
const (
	sectionOperations = "operations"
	sectionMaterials  = "sand_and_seed"
	sectionLabour     = "labour_and_tests"
	sectionFeeding    = "feeding_and_irrigation"
)

// quantities lists what a year needs beyond ordinary upkeep. What the
// programme saves (less fertiliser, less water) is stated in the calendar but
// not credited here: a bill is no place for hopes.
func quantities(c *Calendar, in Input, p Parameters) []Quantity {
	list := []Quantity{}
	put := func(section, item, description string, amount float64, unit, format string, args ...any) {
		if amount > 0 {
			list = append(list, Quantity{section, item, description, amount, unit, fmt.Sprintf(format, args...)})
		}
	}
	var attended, seedKG, coredM2 float64
	for _, line := range c.Lines {
		o, visits := line.Work.Operation, line.VisitsPerYear
		if o == TopDressing {
			continue
		}
		opened := line.Work.opening()
		effort := opened.passes / usualPasses(o)
		working := fmt.Sprintf("%.0f m2 × %s", c.AreaM2, times(visits, "visit"))
		if effort != 1 {
			working += fmt.Sprintf(" × %.0f passes against the %.0f that the price covers", opened.passes, usualPasses(o))
		}
		put(sectionOperations, string(o), describe(line), c.AreaM2*visits*effort, "m2", "%s", working)
		attended += visits
		seedKG += line.PerYear.SeedGPerM2 * c.AreaM2 / 1000
		if o == HollowCoring && opened.removed {
			coredM2 += c.AreaM2 * visits
		}
	}
	put(sectionOperations, "core_removal", "Gathering and carrying off the cores", coredM2, "m2", "%.0f m2 × %s with cores carried off", c.AreaM2, times(coredM2/c.AreaM2, "visit"))
	year := c.Totals.Amounts
	put(sectionOperations, "top_dressing_spreading", "Spreading sand and brushing it in", year.SandT, "t", "all of the year's sand, in holes and on top")
	put(sectionMaterials, "top_dressing_sand", "Dry sand that matches the root zone", year.SandT, "t",
		"(%.2f mm in holes + %.2f mm on top) × %.2f t/m3 = %.0f t/ha, × %.0f m2", year.SandFillMM, year.SandDressMM, p.SandDryTPerM3, year.SandTPerHa, c.AreaM2)
	put(sectionMaterials, "seed", "Seed for overseeding", seedKG, "kg", "%.1f g/m2 a year × %.0f m2", year.SeedGPerM2, c.AreaM2)
	put(sectionLabour, "general_labour", "Extra hands beside the machines", attended*p.AttendanceHPer1000M2*c.AreaM2/1000, "h",
		"%s × %.2g h per 1000 m2 × %.0f m2", times(attended, "visit"), p.AttendanceHPer1000M2, c.AreaM2)
	if tests := in.Programme.OrganicMatterTestsAYear; tests != nil {
		put(sectionLabour, "organic_matter_laboratory_test", "Organic matter by depth, to see whether it works", *tests, "each", "%.4g a year", *tests)
	}
	f := c.FeedingAndIrrigation
	put(sectionFeeding, "fertiliser", "Fertiliser beyond ordinary upkeep", f.FertiliserChangeKGPerYear, "kg",
		"%.0f kg/ha more nitrogen × %.0f m2 at %.0f %% nitrogen", f.NitrogenChangeKGPerHaPerYear, c.AreaM2, p.FertiliserNitrogenPct)
	put(sectionFeeding, "irrigation_water", "Water beyond ordinary upkeep", f.WaterChangeM3PerYear, "m3", "%.0f mm × %.0f m2", f.IrrigationChangeMMPerYear, c.AreaM2)
	put(sectionFeeding, "general_labour", "Hand watering of dry patches", f.HandWateringHPerYear, "h", "%.4g h per 1000 m2 a year × %.0f m2", f.HandWateringHPerYear/c.AreaM2*1000, c.AreaM2)
	return list
}

// usualPasses are the passes that the price of one visit covers.
func usualPasses(o Operation) float64 {
	usual, _ := usual(o)
	return math.Max(1, usual.opening().passes)
}

// times writes a number of things: 1 visit, 2.5 visits.
func times(n float64, thing string) string {
	if n != 1 {
		thing += "s"
	}
	return fmt.Sprintf("%.4g %s", n, thing)
}

// describe says what is done, with what, in one line.
func describe(line Line) string {
	name := strings.ReplaceAll(string(line.Work.Operation), "_", " ")
	name = strings.ToUpper(name[:1]) + name[1:]
	switch w := line.Work; {
	case w.Tines != nil:
		return fmt.Sprintf("%s, %.3g mm holes at %.3g × %.3g mm, %.3g mm deep", name, w.Tines.OutsideDiameterMM, w.Tines.SpacingAcrossMM, w.Tines.SpacingAlongMM, w.Tines.DepthMM)
	case w.Blades != nil:
		return fmt.Sprintf("%s, %.3g mm blades at %.4g mm, %.3g mm deep", name, w.Blades.ThicknessMM, w.Blades.SpacingAcrossMM, w.Blades.DepthMM)
	case w.MoleChannels != nil:
		return fmt.Sprintf("%s, %.3g mm channels at %.5g mm, %.4g mm deep", name, w.MoleChannels.ChannelDiameterMM, w.MoleChannels.SpacingMM, w.MoleChannels.DepthMM)
	}
	return name
}
