package layered_test

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"swardcase/model/layered"
)

// catalogue is the unit of every item that a design may ask to be priced.
var catalogue = map[string]string{
	"mobilisation": "item", "services_survey": "item", "level_survey": "item", "haul_route_protection": "m2", "haul_route_repair": "m2",
	"root_zone_laboratory_test": "each", "gravel_laboratory_test": "each", "organic_matter_laboratory_test": "each", "spoil_classification_test": "each",
	"skilled_labour": "h", "general_labour": "h", "excavator_with_dumper": "h", "turf_cutter": "day", "trencher": "day", "plate_compactor": "day",
	"laser_level": "day", "roller": "day", "drainage_gravel": "t", "blinding_sand": "t", "root_zone_mix": "t", "slit_drain_sand": "t",
	"perforated_pipe_60_mm": "m", "perforated_pipe_100_mm": "m", "perforated_pipe_150_mm": "m", "solid_pipe_100_mm": "m", "solid_pipe_150_mm": "m",
	"pipe_fitting": "each", "inspection_chamber": "each", "wall_barrier": "m2", "seed": "kg", "fertiliser": "kg", "turf_washed": "m2",
	"turf_sand_grown": "m2", "turf_soil_grown": "m2", "storage_sheet": "m2", "top_dressing_sand": "t", "nursery_turf_replacement": "m2",
	"spoil_disposal": "m3", "sprinkler_reinstatement": "each", "surrounds_reinstatement": "m2", "temporary_green_preparation": "m2",
	"top_dressing_spreading": "t",
}

func TestEveryLineCanBePriced(t *testing.T) {
	for _, in := range options() {
		d := mustDesign(t, in)
		for _, list := range [][]layered.Quantity{d.Quantities, d.AftercareYear1, d.AftercareYear2} {
			for _, q := range list {
				if unit, known := catalogue[q.Item]; !known || unit != q.Unit {
					t.Errorf("%s: %s [%s] is not in the catalogue", optionName(in), q.Item, q.Unit)
				}
				if q.Description == "" || q.Working == "" || q.Section == "" {
					t.Errorf("%s: %s has an empty field", optionName(in), q.Item)
				}
			}
		}
	}
}

// Every working is a sum that comes to the amount beside it: the sentence is
// read back and worked out by an independent little calculator.
func TestWorkingsComeToTheirAmounts(t *testing.T) {
	// What is counted and not worked out.
	counted := []string{"once", "before and after", "as many as", "one visit", "one green", "with the approval", "as counted", "as measured"}
	rapid.Check(t, func(t *rapid.T) {
		d := mustDesign(t, drawInput(t))
		worked := 0
	lines:
		for _, q := range append(append(d.Quantities, d.AftercareYear1...), d.AftercareYear2...) {
			for _, words := range counted {
				if strings.HasPrefix(q.Working, words) {
					continue lines
				}
			}
			sum, result, found := strings.Cut(q.Working, " = ")
			if !found || !strings.HasPrefix(result, strings.TrimSpace(result)) {
				t.Fatalf("no result in %q", q.Working)
			}
			got, err := workOut(sum)
			if err != nil {
				t.Fatalf("%q: %v", sum, err)
			}
			// Numbers are shown to about four figures; days are rounded up after.
			if tolerance := 0.02*q.Amount + 0.02; math.Abs(got-q.Amount) > tolerance && !(strings.Contains(sum, "rounded up") && math.Abs(got-q.Amount) <= 1) {
				t.Errorf("%s: %q comes to %.5g, not %.5g", q.Item, sum, got, q.Amount)
			}
			worked++
		}
		if worked < 10 {
			t.Errorf("only %d lines were worked out", worked)
		}
	})
}

// workOut evaluates a sentence of numbers, units and × ÷ + - ( ). A number
// followed by % is a hundredth; other words are units or names.
func workOut(sum string) (float64, error) {
	var tokens []string
	for word := range strings.FieldsSeq(sum) {
		for strings.HasPrefix(word, "(") {
			tokens, word = append(tokens, "("), word[1:]
		}
		closing := strings.Count(word, ")")
		word = strings.TrimRight(word, "),")
		switch _, err := strconv.ParseFloat(word, 64); {
		case err == nil, word == "×", word == "÷", word == "+", word == "-", word == "%":
			tokens = append(tokens, word)
		}
		for range closing {
			tokens = append(tokens, ")")
		}
	}
	c := calculator{tokens: tokens}
	value := c.sum()
	if up := strings.Contains(sum, "rounded up"); up {
		value = math.Ceil(value - 1e-9)
	}
	if len(c.tokens) > 0 {
		return 0, fmt.Errorf("left over: %v", c.tokens)
	}
	return value, nil
}

type calculator struct{ tokens []string }

func (c *calculator) next(words ...string) string {
	if len(c.tokens) == 0 {
		return ""
	}
	for _, word := range words {
		if c.tokens[0] == word {
			c.tokens = c.tokens[1:]
			return word
		}
	}
	return ""
}

func (c *calculator) sum() float64 {
	value := c.product()
	for {
		switch c.next("+", "-") {
		case "+":
			value += c.product()
		case "-":
			value -= c.product()
		default:
			return value
		}
	}
}

func (c *calculator) product() float64 {
	value := c.factor()
	for {
		switch c.next("×", "÷") {
		case "×":
			value *= c.factor()
		case "÷":
			value /= c.factor()
		default:
			return value
		}
	}
}

func (c *calculator) factor() float64 {
	if c.next("(") != "" {
		value := c.sum()
		c.next(")")
		return value
	}
	if len(c.tokens) == 0 {
		return math.NaN()
	}
	value, err := strconv.ParseFloat(c.tokens[0], 64)
	if err != nil {
		return math.NaN()
	}
	c.tokens = c.tokens[1:]
	if c.next("%") != "" {
		value /= 100
	}
	return value
}
