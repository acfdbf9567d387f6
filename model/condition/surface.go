package condition

import "swardcase/model/fault"

const organicMatterTest = "Send cores from three or more positions to a laboratory for organic matter by depth (0–20, 20–40, 40–60 and 60–80 mm)."

// thatchExcess weighs thatch depth and organic matter at the surface. Either is
// enough; a deep mat that the laboratory finds well diluted is a conflict.
func (x examination) thatchExcess() Finding {
	f := Finding{Cause: ThatchExcess, Kind: Upkeep}
	depth, interval := x.in.ThatchDepth.Value, x.in.ThatchDepth.Interval
	limit := x.p.ThatchExcessDepthMM
	deep := Neither
	if depth != nil {
		deep = bearing(*depth > limit)
		f.measured(sentence(either(deep == For,
			"Thatch is {} mm deep; more than {} mm is a concern.",
			"Thatch is {} mm deep; up to {} mm is no concern."), *depth, limit),
			deep, reading{string(ThatchDepth), *depth, "mm"}, limit, thatchDepthName)
	}
	rich, diluted := x.organicMatter(&f)
	x.softness(&f)
	switch {
	case rich == For, deep == For && !diluted:
		f.Verdict = Present
	case deep == For:
		f.Verdict, f.SettleBy = CannotJudge, "The mat is deep, yet low in organic matter. "+organicMatterTest
	case deep == Neither && rich == Neither:
		f.Verdict, f.SettleBy = CannotJudge, "Measure the depth of thatch at nine or more places. "+organicMatterTest
	default:
		f.Verdict = Absent
	}
	if f.SettleBy == "" && rich != For && reaches(interval, limit) {
		f.SettleBy = "The readings of thatch reach across the limit: take more of them. " + organicMatterTest
	}
	return f
}

// reaches reports whether an interval lies on both sides of a limit.
func reaches(interval *Interval, limit float64) bool {
	return interval != nil && interval.Low <= limit && limit < interval.High
}

// organicMatter adds the laboratory's evidence: whether the surface is too rich,
// and whether it is low enough to count as well diluted with sand.
func (x examination) organicMatter(f *Finding) (rich Bearing, diluted bool) {
	if x.in.OrganicMatterTopPct == nil {
		return Neither, false
	}
	pct, limit := *x.in.OrganicMatterTopPct, x.p.ThatchExcessOrganicMatterPct
	rich = bearing(pct > limit)
	f.measured(sentence(either(rich == For,
		"The top 20 mm holds {} % of organic matter by weight; above {} % at the surface ponding is frequent.",
		"The top 20 mm holds {} % of organic matter by weight; ponding is frequent only above {} %."), pct, limit),
		rich, reading{"organic_matter_pct", pct, "%"}, limit, thatchOrganicMatterName)
	return rich, pct <= x.p.DilutedOrganicMatterPct
}

// softness adds hardness as a supporting sign; it decides nothing by itself, since
// a surface is also soft for being wet.
func (x examination) softness(f *Finding) {
	if x.in.SurfaceHardnessGravities == nil {
		return
	}
	hardness, limit := *x.in.SurfaceHardnessGravities, x.p.SoftSurfaceGravities
	f.measured(sentence(either(hardness < limit,
		"The surface is soft: {} gravities, under {}. By itself that decides nothing.",
		"The surface is not soft: {} gravities; soft is under {}."), hardness, limit),
		Neither, reading{"surface_hardness_gravities", hardness, "gravities"}, limit, softSurfaceName)
}

// annualMeadowGrassDominant applies the survey definition of dominant. It is not
// in itself a reason to renovate: many good greens are more than half of it.
func (x examination) annualMeadowGrassDominant() Finding {
	f := Finding{Cause: AnnualMeadowGrassDominant, Kind: Upkeep}
	e := x.in.AnnualMeadowGrass
	if e.Value == nil {
		f.Verdict, f.SettleBy = CannotJudge, "Count annual meadow grass by point quadrat, 200 points or more over the green."
		return f
	}
	limit := x.p.AnnualMeadowGrassDominantPct
	dominant := *e.Value >= limit
	f.Verdict = verdictOf(dominant)
	f.measured(sentence(either(dominant,
		"Annual meadow grass is {} % of the sward; from {} % it is dominant. Many good greens have as much.",
		"Annual meadow grass is {} % of the sward; from {} % it is dominant."), *e.Value, limit),
		bearing(dominant), reading{string(AnnualMeadowGrass), *e.Value, "%"}, limit, annualMeadowGrassName)
	if e.Interval != nil && e.Interval.Low < limit && limit <= e.Interval.High {
		f.SettleBy = "The count reaches across the limit: take more points."
	}
	return f
}

// surfaceSealing asks two things: does the surface hold water up at all, and does
// the rate more than treble (common practice; the ratio is judgement) under the
// mat? A ratio whose interval does not clear 1 may be chance; one that clears 1
// and reaches across the limit may be either.
func (x examination) surfaceSealing() Finding {
	f := Finding{Cause: SurfaceSealing, Kind: Upkeep}
	if rate := x.ruling.ValueMMPerH; rate != nil {
		limit := x.p.AdequateRingRateMMPerH
		enough := *rate >= limit
		place := "The surface"
		if x.ruling.Position != "" {
			place = "The worst zone, " + fault.Shorten(x.ruling.Position) + ","
		}
		f.measured(place+sentence(either(enough,
			" takes in {} mm/h; from {} mm/h it is not what holds the water up.",
			" takes in {} mm/h; under {} mm/h it may hold the water up."), *rate, limit),
			surfaceBearing(enough), reading{string(Infiltration), *rate, "mm/h"}, limit, adequateRingRateName)
		if enough {
			f.Verdict = Absent
			return f
		}
	}
	f.Verdict, f.SettleBy = x.underMat(&f)
	return f
}

// underMat judges by the ratio of the rate under the mat to that of the surface,
// at the ruling zone if it has one of its own.
func (x examination) underMat(f *Finding) (Verdict, string) {
	const test = "Repeat the ring tests on the surface and with the top 50 mm removed, side by side, at six or more places."
	ratio, interval := x.in.RatioUnderMat.at(x.ruling.Position)
	if ratio == nil {
		return CannotJudge, test
	}
	limit := x.p.SealingRatio
	sealed := *ratio > limit
	chance := interval != nil && interval.Low <= 1
	b := bearing(sealed)
	pattern := either(sealed,
		"With the top 50 mm removed the rate is {} times the surface's; above {} times the surface is sealed.",
		"With the top 50 mm removed the rate is {} times the surface's; up to {} times the surface is not sealed.")
	verdict, settle := Absent, ""
	switch {
	case sealed && !chance:
		verdict = Present
	case sealed:
		verdict, settle, b = CannotJudge, test, Neither
		pattern += " The readings vary so much that this may be chance."
	case !chance && reaches(interval, limit):
		verdict, settle, b = CannotJudge, test, Neither
		pattern += " The readings also allow more than the limit."
	}
	f.measured(sentence(pattern, *ratio, limit), b, reading{"ratio_50_mm", *ratio, "times"}, limit, sealingRatioName)
	return verdict, settle
}

// rootDepthShallow goes by the survey's root depth, or else by the shallowest in
// the pits; a black layer is added as a sign of why.
func (x examination) rootDepthShallow() Finding {
	f := Finding{Cause: RootDepthShallow, Kind: Upkeep, Verdict: CannotJudge}
	roots, where := x.in.RootDepthMM, "Roots reach"
	if roots == nil {
		where = "In the pits the shallowest roots reach"
		for _, pit := range x.in.Pits {
			if pit.RootDepthMM != nil && (roots == nil || *pit.RootDepthMM < *roots) {
				roots = pit.RootDepthMM
			}
		}
	}
	if roots == nil {
		f.SettleBy = "Measure how deep white roots reach, in three pits or in cores from each part of the green."
		x.blackLayer(&f)
		return f
	}
	limit := x.p.ShallowRootDepthMM
	shallow := *roots < limit
	f.Verdict = verdictOf(shallow)
	f.measured(where+sentence(either(shallow, " {} mm; under {} mm they are shallow.", " {} mm; under {} mm they would be shallow."), *roots, limit),
		bearing(shallow), reading{"root_depth_mm", *roots, "mm"}, limit, shallowRootName)
	x.blackLayer(&f)
	return f
}

// blackLayer adds what was seen of a black layer. It shows that air was kept out,
// by water or by a buried mat, and does not say which: it supports and never
// decides.
func (x examination) blackLayer(f *Finding) {
	looked, with := 0, 0
	for _, pit := range x.in.Pits {
		if pit.BlackLayer != nil {
			looked++
			if *pit.BlackLayer {
				with++
			}
		}
	}
	switch {
	case with > 0:
		f.noted("A black layer was seen in "+fixed(float64(with), 0)+" of "+count(looked, "pit")+": air has been kept out of the soil. By itself that decides nothing.",
			Neither, reading{"black_layer_pits", float64(with), "pits"})
	case looked > 0:
		f.noted("No black layer was seen in "+count(looked, "pit")+".", Neither, reading{"black_layer_pits", 0, "pits"})
	}
}

// surfaceBearing: a fast surface clears itself; a slow one may be slow for what
// lies below.
func surfaceBearing(enough bool) Bearing {
	if enough {
		return Against
	}
	return Neither
}
