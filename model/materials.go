package model

import (
	"slices"

	"swardcase/costs"
	"swardcase/model/fault"
	"swardcase/model/layered"
)

// MaterialsVerdict is the verdict on the samples, with what leaving out the
// blinding would save in money.
type MaterialsVerdict struct {
	layered.MaterialsReport
	// MoneySaved is the capital of a seeded rebuild with the blinding less that
	// without it: the layer, its digging and carting, labour, contingency and
	// tax. Null where the blinding may not be left out, or the case has no money.
	MoneySaved *costs.Money `json:"money_saved"`
}

// resolveMaterials checks the samples.
func (r *Resolved) resolveMaterials(faults *fault.List) {
	if samples := r.Case.Materials; samples != nil {
		_, bad := layered.CheckMaterials(*samples, layered.Design{})
		faults.Under("/materials", bad)
	}
}

// judgeMaterials judges the samples against a designed rebuild; nil without
// samples.
func (a *appraiser) judgeMaterials(rebuild OptionDesign) (*MaterialsVerdict, error) {
	samples := a.Case.Materials
	if samples == nil || rebuild.Design == nil {
		return nil, nil
	}
	report, bad := layered.CheckMaterials(*samples, *rebuild.Design)
	var moved fault.List
	if moved.Under("/materials", bad); len(moved) > 0 {
		return nil, moved
	}
	verdict := &MaterialsVerdict{MaterialsReport: report}
	if without := report.Without; without != nil && without.DepthSavedMM > 0 && a.Case.Money != nil {
		var err error
		if verdict.MoneySaved, err = a.savedWithoutBlinding(rebuild); err != nil {
			return nil, err
		}
	}
	return verdict, nil
}

// blindingCaution warns where the case leaves the blinding out and the samples do
// not bear it out.
func (a *appraiser) blindingCaution(verdict *MaterialsVerdict) string {
	depths := a.Case.Choices.LayerDepths
	switch {
	case depths == nil || depths.BlindingMM > 0:
		return ""
	case verdict == nil || verdict.Without == nil:
		return "The blinding is left out without samples of root zone and gravel: have both sieved before relying on it."
	case !verdict.Without.MayBeOmitted:
		return "The blinding is left out, and the samples do not meet the rules for that: put it back, or find another gravel."
	}
	return ""
}

// savedWithoutBlinding prices a rebuild twice, with its blinding and without.
func (a *appraiser) savedWithoutBlinding(rebuild OptionDesign) (*costs.Money, error) {
	start := a.Case.Available.FirstMonth
	if rebuild.Timeline != nil {
		start = rebuild.Timeline.StartMonth
	}
	in := a.layeredInput(rebuild.Option, rebuild.Package, start.Month)
	if rebuild.Drains.Source == layered.Outline {
		in.Drains = rebuild.Design.Drains
	}
	depths := layered.LayerDepths{}
	for _, l := range rebuild.Design.Layers {
		switch l.Name {
		case layered.RootZone:
			depths.RootZoneMM = l.DepthMM
		case layered.Gravel:
			depths.GravelMM = l.DepthMM
		}
	}
	in.LayerDepths = &depths
	without, err := a.layeredDesign(in)
	if err != nil {
		return nil, err
	}
	prices, terms, bad := a.worksPrices()
	if len(bad) > 0 {
		return nil, bad
	}
	with, bad := a.makeBill(prices, layeredDemands(rebuild.Design.Quantities), terms)
	if len(bad) > 0 {
		return nil, bad
	}
	less, bad := a.makeBill(prices, layeredDemands(without.Quantities), terms)
	if len(bad) > 0 {
		return nil, bad
	}
	saved, err := with.Capital.Sub(less.Capital)
	return &saved, err
}

// worksPrices are the price book at the case's level, and the terms of works.
func (r Resolved) worksPrices() (costs.Prices, costs.Terms, fault.List) {
	money := r.Case.Money
	prices, bad := money.PriceBook.IndexedAt(money.PriceLevel, money.indices())
	return prices, costs.Terms{
		Preliminaries: money.Preliminaries, ProfessionalFees: money.ProfessionalFees, TaxRounding: money.TaxRounding,
		ContingencyPct: *money.ContingencyPct, TaxRates: money.TaxRates, TaxRecoverablePct: *money.TaxRecoverablePct,
	}, r.underPriceBook(bad)
}

// hasSurvey says whether any measure that carries weight was surveyed.
func (c Case) hasSurvey() bool {
	s := c.Survey
	return slices.Contains([]bool{s.Infiltration != nil, s.ThatchDepth != nil, s.AnnualMeadowGrass != nil, s.MonthsPlayable != nil}, true)
}
