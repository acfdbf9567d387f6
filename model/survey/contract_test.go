package survey_test

import (
	"reflect"
	"slices"
	"strings"
	"testing"

	"swardcase/model/assumption"
	"swardcase/model/fault"
	"swardcase/model/survey"
	"swardcase/openapi"
)

// The contract says what a survey looks like and so do the types here: these
// tests hold the two together.

func TestFieldsAreThoseOfTheContract(t *testing.T) {
	doc, err := openapi.Load()
	if err != nil {
		t.Fatal(err)
	}
	for name, value := range map[string]any{
		"Survey": survey.Survey{}, "InfiltrationReadings": survey.InfiltrationReadings{}, "RingTest": survey.RingTest{},
		"DoubleRingTest": survey.DoubleRingTest{}, "RingInterval": survey.RingInterval{}, "ThatchReadings": survey.ThatchReadings{},
		"ThatchReading": survey.ThatchReading{}, "AnnualMeadowGrassReadings": survey.AnnualMeadowGrassReadings{},
		"PointQuadrat": survey.PointQuadrat{}, "PlayRecord": survey.PlayRecord{}, "ClosedDays": survey.ClosedDays{},
		"OrganicMatterReading": survey.OrganicMatterReading{}, "Pit": survey.Pit{},
	} {
		schema := doc.Components.Schemas[name].Value
		var fields, required []string
		for _, field := range reflect.VisibleFields(reflect.TypeOf(value)) {
			tag, options, _ := strings.Cut(field.Tag.Get("json"), ",")
			fields = append(fields, tag)
			if options == "" {
				required = append(required, tag)
			}
		}
		var properties []string
		for property := range schema.Properties {
			properties = append(properties, property)
		}
		equal(t, name+" fields", fields, properties)
		equal(t, name+" required", required, schema.Required)
	}
}

func equal(t *testing.T, what string, got, want []string) {
	t.Helper()
	got, want = slices.Sorted(slices.Values(got)), slices.Sorted(slices.Values(want))
	if !slices.Equal(got, want) {
		t.Errorf("%s: %q, the contract has %q", what, got, want)
	}
}

func TestLimitsAreThoseOfTheContract(t *testing.T) {
	// Each number is set to the contract's limits and just past them: what the
	// contract refuses, Summarise refuses.
	doc, err := openapi.Load()
	if err != nil {
		t.Fatal(err)
	}
	parameters := survey.ParametersFrom(assumption.Defaults())
	for _, tt := range []struct {
		schema, property string
		with             func(float64) survey.Survey
	}{
		{"InfiltrationReadings", "value_mm_per_h", func(x float64) survey.Survey {
			return survey.Survey{Infiltration: &survey.InfiltrationReadings{ValueMMPerH: &x}}
		}},
		{"ThatchReadings", "value_mm", func(x float64) survey.Survey {
			return survey.Survey{ThatchDepth: &survey.ThatchReadings{ValueMM: &x}}
		}},
		{"ThatchReading", "depth_mm", func(x float64) survey.Survey {
			return survey.Survey{ThatchDepth: &survey.ThatchReadings{Readings: []survey.ThatchReading{{DepthMM: x}}}}
		}},
		{"AnnualMeadowGrassReadings", "value_pct", func(x float64) survey.Survey {
			return survey.Survey{AnnualMeadowGrass: &survey.AnnualMeadowGrassReadings{ValuePct: &x}}
		}},
		{"PlayRecord", "value_months", func(x float64) survey.Survey {
			return survey.Survey{MonthsPlayable: &survey.PlayRecord{ValueMonths: &x}}
		}},
		{"OrganicMatterReading", "organic_matter_pct", func(x float64) survey.Survey {
			return survey.Survey{OrganicMatter: []survey.OrganicMatterReading{{DepthToMM: 20, OrganicMatterPct: x}}}
		}},
		{"OrganicMatterReading", "depth_from_mm", func(x float64) survey.Survey {
			return survey.Survey{OrganicMatter: []survey.OrganicMatterReading{{DepthFromMM: x, DepthToMM: 400}}}
		}},
		{"OrganicMatterReading", "depth_to_mm", func(x float64) survey.Survey {
			return survey.Survey{OrganicMatter: []survey.OrganicMatterReading{{DepthToMM: x}}}
		}},
		{"Pit", "depth_mm", func(x float64) survey.Survey { return survey.Survey{Pits: []survey.Pit{{DepthMM: x}}} }},
		{"Pit", "free_water_depth_mm", func(x float64) survey.Survey {
			return survey.Survey{Pits: []survey.Pit{{DepthMM: 3000, FreeWaterDepthMM: &x}}}
		}},
		{"Pit", "root_depth_mm", func(x float64) survey.Survey {
			return survey.Survey{Pits: []survey.Pit{{DepthMM: 3000, RootDepthMM: &x}}}
		}},
		{"Survey", "root_depth_mm", func(x float64) survey.Survey { return survey.Survey{RootDepthMM: &x} }},
		{"Survey", "surface_hardness_gravities", func(x float64) survey.Survey { return survey.Survey{SurfaceHardnessGravities: &x} }},
		{"RingTest", "water_temperature_c", func(x float64) survey.Survey {
			return oneRing(survey.RingTest{VolumeML: 500, BoreMM: 150, Minutes: 60, WaterTemperatureC: x})
		}},

		{"RingTest", "volume_ml", func(x float64) survey.Survey {
			return oneRing(survey.RingTest{VolumeML: x, BoreMM: 250, Minutes: 60})
		}},
		{"RingTest", "bore_mm", func(x float64) survey.Survey {
			return oneRing(survey.RingTest{VolumeML: 500, BoreMM: x, Minutes: 60})
		}},
		{"RingTest", "minutes", func(x float64) survey.Survey {
			return oneRing(survey.RingTest{VolumeML: 100, BoreMM: 300, Minutes: x, WaterTemperatureC: 20})
		}},
		{"RingInterval", "minutes", func(x float64) survey.Survey { return oneInterval(survey.RingInterval{Minutes: x, DropMM: 1}) }},
		{"RingInterval", "drop_mm", func(x float64) survey.Survey {
			return oneInterval(survey.RingInterval{Minutes: 1440, DropMM: x})
		}},
	} {
		schema := doc.Components.Schemas[tt.schema].Value.Properties[tt.property].Value
		low, high := *schema.Min, *schema.Max
		for value, wanted := range map[float64]bool{low: true, high: true, low - 1e-6: false, high + 1e-6: false} {
			s := tt.with(value)
			s.SurveyedOn = "2026-01-20"
			_, faults := survey.Summarise(s, parameters)
			if refused := faultAt(faults, tt.property); refused == wanted {
				t.Errorf("%s.%s = %v: refused is %t: %v", tt.schema, tt.property, value, refused, faults)
			}
		}
	}
}

func TestListsAreAsLongAsTheContractAllows(t *testing.T) {
	doc, err := openapi.Load()
	if err != nil {
		t.Fatal(err)
	}
	parameters := survey.ParametersFrom(assumption.Defaults())
	for _, tt := range []struct {
		schema, property string
		with             func(int) survey.Survey
	}{
		{"InfiltrationReadings", "ring_tests", func(n int) survey.Survey {
			return survey.Survey{Infiltration: &survey.InfiltrationReadings{RingTests: make([]survey.RingTest, n)}}
		}},
		{"InfiltrationReadings", "double_ring_tests", func(n int) survey.Survey {
			return survey.Survey{Infiltration: &survey.InfiltrationReadings{DoubleRingTests: make([]survey.DoubleRingTest, n)}}
		}},
		{"DoubleRingTest", "intervals", func(n int) survey.Survey {
			return survey.Survey{Infiltration: &survey.InfiltrationReadings{
				DoubleRingTests: []survey.DoubleRingTest{{Intervals: make([]survey.RingInterval, n)}},
			}}
		}},
		{"ThatchReadings", "readings", func(n int) survey.Survey {
			return survey.Survey{ThatchDepth: &survey.ThatchReadings{Readings: make([]survey.ThatchReading, n)}}
		}},
		{"AnnualMeadowGrassReadings", "point_quadrats", func(n int) survey.Survey {
			return survey.Survey{AnnualMeadowGrass: &survey.AnnualMeadowGrassReadings{PointQuadrats: make([]survey.PointQuadrat, n)}}
		}},
		{"PlayRecord", "closed_days", func(n int) survey.Survey {
			return survey.Survey{MonthsPlayable: &survey.PlayRecord{ClosedDays: make([]survey.ClosedDays, n)}}
		}},
		{"Survey", "organic_matter", func(n int) survey.Survey {
			return survey.Survey{OrganicMatter: make([]survey.OrganicMatterReading, n)}
		}},
		{"Survey", "pits", func(n int) survey.Survey { return survey.Survey{Pits: make([]survey.Pit, n)} }},
	} {
		most := int(*doc.Components.Schemas[tt.schema].Value.Properties[tt.property].Value.MaxItems)
		for n, wanted := range map[int]bool{most: true, most + 1: false} {
			s := tt.with(n)
			s.SurveyedOn = "2026-01-20"
			_, faults := survey.Summarise(s, parameters)
			if refused := faultAt(faults, tt.property); refused == wanted {
				t.Errorf("%s.%s with %d items: refused is %t", tt.schema, tt.property, n, refused)
			}
		}
	}
}

func oneRing(r survey.RingTest) survey.Survey {
	return survey.Survey{Infiltration: &survey.InfiltrationReadings{RingTests: []survey.RingTest{r}}}
}

func oneInterval(i survey.RingInterval) survey.Survey {
	return survey.Survey{Infiltration: &survey.InfiltrationReadings{DoubleRingTests: []survey.DoubleRingTest{
		{WaterTemperatureC: 20, Intervals: []survey.RingInterval{i}},
	}}}
}

// faultAt reports a fault of that field, whatever else is wrong: a limit may be
// lawful and the rate it gives still absurd.
func faultAt(faults fault.List, property string) bool {
	return slices.ContainsFunc(faults, func(f fault.Fault) bool { return strings.HasSuffix(f.Pointer, "/"+property) })
}
