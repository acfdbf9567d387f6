package model

import (
	"strings"
	"testing"

	"swardcase/model/layered"
)

// TestTheBlindingSavedIsTheDifferenceOfTwoAppraisals: the money that leaving the
// blinding out saves is the works' capital with it less that without it, as the
// appraisal prices both.
func TestTheBlindingSavedIsTheDifferenceOfTwoAppraisals(t *testing.T) {
	c := readCase(t, "materials")
	verdict := mustDesignWorks(t, c).Materials
	if verdict.Without == nil || !verdict.Without.MayBeOmitted || verdict.MoneySaved == nil {
		t.Fatalf("got %+v", verdict)
	}
	// 50 mm over 500 m² are 25 m³, at 1.6 t/m³ 40 t, of which 5 % more are bought.
	for name, pair := range map[string][2]float64{
		"depth": {verdict.Without.DepthSavedMM, 50}, "digging": {verdict.Without.ExcavationM3, 25},
		"in place": {verdict.Without.TonnesSavedT, 40}, "bought": {verdict.Without.DeliveredSavedT, 42},
	} {
		if !close(pair[0], pair[1], 1e-9) {
			t.Errorf("%s: %g saved, want %g", name, pair[0], pair[1])
		}
	}
	capital := func(blindingMM float64) float64 {
		c.Choices.LayerDepths = &layered.LayerDepths{RootZoneMM: 300, BlindingMM: blindingMM, GravelMM: 100}
		return mustAppraise(t, c).option(t, UsualRebuild).Money.WorksBill.Capital.Float()
	}
	if got, want := verdict.MoneySaved.Float(), capital(50)-capital(0); !close(got, want, 0.005) || want <= 0 {
		t.Errorf("%.2f saved, and the two appraisals differ by %.2f", got, want)
	}
}

func TestSavingIsNotPricedWithoutMoney(t *testing.T) {
	c := readCase(t, "materials")
	c.Money = nil
	verdict := mustDesignWorks(t, c).Materials
	if !verdict.Without.MayBeOmitted || verdict.MoneySaved != nil {
		t.Errorf("got %+v", verdict)
	}
}

// A gravel of which a tenth passes the sieve of 1 mm fails; so does a delivery
// more than a fifth slower than the approved sample (250 against 256 mm/h).
func TestSamplesThatFailAreSaidTo(t *testing.T) {
	c := readCase(t, "materials")
	c.Materials.Gravel.PanG = 120
	c.Choices.LayerDepths = &layered.LayerDepths{RootZoneMM: 300, GravelMM: 100}
	report := mustDesignWorks(t, c)
	if v := report.Materials; v.Without.MayBeOmitted || v.MoneySaved != nil || v.Delivery == nil || v.Delivery.Pass {
		t.Errorf("got %+v, delivery %+v", v.Without, v.Delivery)
	}
	if !strings.Contains(strings.Join(report.Cautions, "\n"), "do not meet the rules") {
		t.Errorf("a blinding left out against the samples is not warned of: %q", report.Cautions)
	}
	c.Materials = nil
	if got := strings.Join(mustDesignWorks(t, c).Cautions, "\n"); !strings.Contains(got, "without samples") {
		t.Errorf("a blinding left out without samples is not warned of: %s", got)
	}
}

// TestASampleWithMissingSievesIsRefused wherever the case is sent.
func TestASampleWithMissingSievesIsRefused(t *testing.T) {
	c := readCase(t, "materials")
	sieves := c.Materials.RootZone.Sieving.Sieves
	c.Materials.RootZone.Sieving.Sieves = append(sieves[:1:1], sieves[2:]...) // without 1 mm
	for name, ask := range map[string]func(Case) error{
		"condition": func(c Case) error { _, err := JudgeCondition(c); return err },
		"design":    func(c Case) error { _, err := DesignWorks(c); return err },
		"appraisal": func(c Case) error { _, err := Appraise(c); return err },
	} {
		f, found := faultsOf(t, ask(c))["/materials/root_zone/sieving/sieves"]
		if !found || !strings.Contains(f.Detail, " 1 mm") {
			t.Errorf("%s: %+v", name, f)
		}
	}
}
