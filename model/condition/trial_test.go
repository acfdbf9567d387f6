package condition_test

import (
	"strings"
	"testing"

	"swardcase/model/condition"
)

// fairTrial is a programme done as planned, with the progress given.
func fairTrial(organicMatter, thatch *float64) *condition.ProgrammeTrial {
	return &condition.ProgrammeTrial{
		Seasons: 2, OperationsDonePct: of(80.0), SandTPerHaPerYear: of(100.0),
		OrganicMatterChangePctPointsPerYear: organicMatter, ThatchChangeMMPerYear: thatch,
	}
}

// The limits (two seasons, 80 %, 100 t/ha, a working outfall; half a point or 3 mm
// a year) are common practice and judgement, no source; each row sits on or just
// beside one of them.
func TestTrialIsJudgedFairFirstAndThenByProgress(t *testing.T) {
	tests := []struct {
		name    string
		trial   *condition.ProgrammeTrial
		outfall string
		want    condition.TrialVerdict
		says    string
	}{
		{"none", nil, condition.OutfallFree, condition.NotTried, "No intensified programme"},
		{"no seasons", &condition.ProgrammeTrial{}, condition.OutfallFree, condition.NotTried, "No intensified programme"},
		{"enough organic matter gone", fairTrial(of(-0.5), nil), condition.OutfallFree, condition.TriedAndWorking, "fell by 0.5 points"},
		{"enough thatch gone, organic matter up", fairTrial(of(0.2), of(-3.0)), condition.OutfallFree, condition.TriedAndWorking, "rose by 0.2 points"},
		{"too little of either gone", fairTrial(of(-0.4), of(-2.9)), condition.OutfallFree, condition.TriedAndFailed, "fell by 2.9 mm"},
		{"thatch up", fairTrial(nil, of(2.0)), condition.OutfallFree, condition.TriedAndFailed, "rose by 2 mm"},
		{"nothing measured", fairTrial(nil, nil), condition.OutfallFree, condition.NotAFairTrial, "nothing to judge by"},
		{"too short", &condition.ProgrammeTrial{Seasons: 1.5, OperationsDonePct: of(90.0), SandTPerHaPerYear: of(150.0), ThatchChangeMMPerYear: of(-9.0)}, condition.OutfallFree, condition.NotAFairTrial, "1.5 of the 2 seasons"},
		{"half done", &condition.ProgrammeTrial{Seasons: 3, OperationsDonePct: of(79.0), SandTPerHaPerYear: of(150.0), ThatchChangeMMPerYear: of(0.0)}, condition.OutfallFree, condition.NotAFairTrial, "79 %"},
		{"too little sand", &condition.ProgrammeTrial{Seasons: 3, OperationsDonePct: of(90.0), SandTPerHaPerYear: of(99.0), ThatchChangeMMPerYear: of(0.0)}, condition.OutfallFree, condition.NotAFairTrial, "99 t/ha"},
		{"sand not recorded", &condition.ProgrammeTrial{Seasons: 3, OperationsDonePct: of(90.0), ThatchChangeMMPerYear: of(0.0)}, condition.OutfallFree, condition.NotAFairTrial, "sand was put on is not recorded"},
		{"outfall blocked", fairTrial(of(0.0), nil), condition.OutfallBlocked, condition.NotAFairTrial, "blocked"},
		{"no outfall", fairTrial(of(0.0), nil), condition.OutfallNone, condition.NotAFairTrial, "no outfall"},
		{"outfall not known", fairTrial(of(0.0), nil), condition.OutfallNotKnown, condition.NotAFairTrial, "not known"},
	}
	for _, tt := range tests {
		in := soundGreen()
		in.Outfall = condition.Outfall{State: tt.outfall}
		in.Trial = tt.trial
		got := judge(t, in).Diagnosis.Trial
		if got.Verdict != tt.want || !strings.Contains(strings.Join(got.Reasons, " "), tt.says) {
			t.Errorf("%s: %s %q, want %s with %q", tt.name, got.Verdict, got.Reasons, tt.want, tt.says)
		}
	}
}

func TestAFailedTrialEndsTheCaseForUpkeep(t *testing.T) {
	in := soundGreen()
	sealedTop(&in)
	if d := judge(t, in).Diagnosis; !d.UpkeepCanMend {
		t.Errorf("a sealed surface over free ground, and upkeep cannot mend it: %s", d.UpkeepReason)
	}
	in.Trial = fairTrial(of(0.0), of(0.0))
	if d := judge(t, in).Diagnosis; d.UpkeepCanMend || !strings.Contains(d.UpkeepReason, "fair trial") {
		t.Errorf("upkeep failed a fair trial, yet it can mend the green: %s", d.UpkeepReason)
	}
}

func TestUpkeepReasonNamesWhatUpkeepFaces(t *testing.T) {
	tests := []struct {
		name   string
		change func(in *condition.Input)
		can    bool
		says   string
	}{
		{"nothing at fault", func(*condition.Input) {}, false, "Nothing that upkeep changes"},
		{"annual meadow grass alone", func(in *condition.Input) { in.AnnualMeadowGrass = bare(70) }, true, "slowly"},
		{"annual meadow grass and thatch", func(in *condition.Input) { in.AnnualMeadowGrass, in.OrganicMatterTopPct = bare(70), of(13.0) }, true, "nothing structural stands"},
		{"thatch over ground not yet judged", func(in *condition.Input) {
			in.OrganicMatterTopPct, in.RateBelow, in.Pits, in.Outfall.AfterRain = of(13.0), condition.Estimate{}, nil, ""
		}, true, "tests still to be made"},
		{"thatch over slow ground", func(in *condition.Input) { in.OrganicMatterTopPct = of(13.0); slowGround(in) }, false, "structural"},
	}
	for _, tt := range tests {
		in := soundGreen()
		tt.change(&in)
		d := judge(t, in).Diagnosis
		if d.UpkeepCanMend != tt.can || !strings.Contains(d.UpkeepReason, tt.says) {
			t.Errorf("%s: %v %q, want %v with %q", tt.name, d.UpkeepCanMend, d.UpkeepReason, tt.can, tt.says)
		}
	}
}
