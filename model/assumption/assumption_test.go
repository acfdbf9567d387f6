package assumption_test

import (
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"swardcase/model/assumption"
)

func TestEveryAssumptionIsOrderedMarkedAndNamed(t *testing.T) {
	name := regexp.MustCompile(`^[a-z][a-z0-9_]*$`)
	bases := []assumption.Basis{assumption.Published, assumption.CommonPractice, assumption.FromMemory, assumption.Judgement}
	for _, a := range assumption.Defaults().All() {
		if !name.MatchString(a.Name) {
			t.Errorf("%s: not a plain name", a.Name)
		}
		if a.Low > a.Likely || a.Likely > a.High {
			t.Errorf("%s: %g, %g, %g are not in order", a.Name, a.Low, a.Likely, a.High)
		}
		if !slices.Contains(bases, a.Basis) {
			t.Errorf("%s: unknown basis %q", a.Name, a.Basis)
		}
		if a.Basis == assumption.Published && a.Source == "" {
			t.Errorf("%s: published, but no source", a.Name)
		}
		if a.Unit == "" || a.Meaning == "" {
			t.Errorf("%s: needs a unit (1 for none) and a meaning", a.Name)
		}
	}
}

func TestOverridesReplaceAndAreMarked(t *testing.T) {
	set, faults := assumption.Defaults().With([]assumption.Override{
		{Name: "weight_thatch_depth", Likely: 0.5, Reason: "the committee's wish"},
	})
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	got := set.Get("weight_thatch_depth")
	if got.Likely != 0.5 || got.High != 0.5 || got.Low != 0.15 || !got.Overridden {
		t.Errorf("got %+v", got)
	}
	if assumption.Defaults().Get("weight_thatch_depth").Overridden {
		t.Error("the built-in table was changed")
	}
}

func TestBadOverridesAreAllNamed(t *testing.T) {
	low := 0.9
	_, faults := assumption.Defaults().With([]assumption.Override{
		{Name: "weight_of_thatch", Likely: 0.5},
		{Name: "weight_infiltration", Likely: 0.5},
		{Name: "weight_infiltration", Likely: 0.6},
		{Name: "weight_months_playable", Likely: 0.5, Low: &low},
		{Name: "weight_annual_meadow_grass", Likely: 40},
	})
	var pointers []string
	for _, f := range faults {
		pointers = append(pointers, f.Pointer)
	}
	if want := []string{"/0/name", "/2/name", "/3/likely", "/4/likely"}; !slices.Equal(pointers, want) {
		t.Fatalf("pointers %v, want %v", pointers, want)
	}
	if !strings.Contains(faults[0].Remedy, "weight_thatch_depth") {
		t.Errorf("no suggestion in %q", faults[0].Remedy)
	}
}

func TestASetWrittenOutReadsBackTheSame(t *testing.T) {
	set, faults := assumption.Defaults().With([]assumption.Override{
		{Name: "weight_thatch_depth", Likely: 0.4, Reason: "agreed with the course manager"},
	})
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	again, faults := assumption.Defaults().With(set.Overrides())
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(set.All(), again.All()); diff != "" {
		t.Error(diff)
	}
}
