package report

import (
	"encoding/json"
	"os"
	"testing"

	"swardcase/model"
)

// demoAppraisal appraises one of the demonstration's cases.
func demoAppraisal(t *testing.T, file string) model.Appraisal {
	t.Helper()
	body, err := os.ReadFile("../../cmd/swardcase/demo/" + file)
	if err != nil {
		t.Fatal(err)
	}
	var c model.Case
	if err := json.Unmarshal(body, &c); err != nil {
		t.Fatal(err)
	}
	a, err := model.Appraise(c)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// TestEveryDrawnInputHasWords: a tornado that a committee reads has no codes in
// it.
func TestEveryDrawnInputHasWords(t *testing.T) {
	a := demoAppraisal(t, "green_14.json")
	if len(a.Confidence.Inputs) != len(drawnInputs) {
		t.Errorf("the model draws %d inputs, %d have words", len(a.Confidence.Inputs), len(drawnInputs))
	}
	for _, in := range a.Confidence.Inputs {
		if _, known := drawnInputs[in.Name]; !known {
			t.Errorf("%s has no words", in.Name)
		}
	}
}

func TestProse(t *testing.T) {
	for text, want := range map[string]string{
		"": "",
		"starting in 2027-09 would lay on 2027-10-07.": "Starting in September 2027 would lay on 7 October 2027.",
		"worth -£38,494 to -EUR 2 (-5 points)":         "Worth −\u2060£38,494 to −\u2060EUR 2 (−\u20605 points)",
		"10 % of 20 mm over 12 months":                 "10\u00a0% of 20\u00a0mm over 12\u00a0months",
		"2027-13-40 and 2027-99 are no dates":          "2027-13-40 and 2027-99 are no dates",
		"a wet-surface rate of 3-5 stays":              "A wet-surface rate of 3-5 stays",
		"ärger":                                        "Ärger",
	} {
		if got := Prose(text); got != want {
			t.Errorf("Prose(%q) = %q, want %q", text, got, want)
		}
	}
}

func TestRequirementWords(t *testing.T) {
	months, index, years := 10.5, 65.0, 3
	c := model.Case{
		Requirements: model.Requirements{LeastMonthsPlayable: &months, LeastIndex: &index},
		Money:        &model.MoneyTerms{HorizonYears: &years},
	}
	got := Joined(RequirementWords(c))
	want := "at least 10.5 months playable in year 3 and a condition index of at least 65 in year 3"
	if got != want {
		t.Errorf("%q, want %q", got, want)
	}
	if got := Joined([]string{"a", "b", "c"}); got != "a, b and c" {
		t.Errorf("Joined gave %q", got)
	}
}
