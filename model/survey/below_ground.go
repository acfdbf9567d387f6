package survey

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"
)

const (
	organicAt = "/organic_matter"
	pitsAt    = "/pits"
)

// gatherOrganic checks the readings of organic matter and sorts them into
// layers.
func gatherOrganic(in []OrganicMatterReading, c *checker) []OrganicMatterReading {
	if !c.size(organicAt, len(in), mostOrganicReadings) {
		return nil
	}
	for i, r := range in {
		at := place{organicAt, i, ""}
		c.position(at, r.Position)
		from := c.number(at.at("depth_from_mm"), r.DepthFromMM, depthFromLimit)
		to := c.number(at.at("depth_to_mm"), r.DepthToMM, depthToLimit)
		if from && to && r.DepthToMM <= r.DepthFromMM {
			c.add(at.at("depth_to_mm"), r.DepthToMM, "the slice ends at or above the depth at which it starts",
				"measure both depths down from the surface")
		}
		c.number(at.at("organic_matter_pct"), r.OrganicMatterPct, organicLimit)
	}
	return slices.SortedFunc(slices.Values(in), func(a, b OrganicMatterReading) int {
		return cmp.Or(cmp.Compare(a.DepthFromMM, b.DepthFromMM), cmp.Compare(a.DepthToMM, b.DepthToMM),
			cmp.Compare(a.OrganicMatterPct, b.OrganicMatterPct))
	})
}

// organic averages the sorted readings of each layer.
func (e *estimator) organic(readings []OrganicMatterReading) OrganicMatterSummary {
	out := OrganicMatterSummary{Layers: []LayerMean{}}
	depths := func(r OrganicMatterReading) [2]float64 { return [2]float64{r.DepthFromMM, r.DepthToMM} }
	for _, run := range runs(readings, depths) {
		var layer []sample
		for _, r := range run {
			layer = append(layer, sample{value: r.OrganicMatterPct})
		}
		mean, interval := e.one(layer, layerScale)
		out.Layers = append(out.Layers, LayerMean{run[0].DepthFromMM, run[0].DepthToMM, mean, interval, len(layer)})
	}
	out.Top20Pct = depthWeighted(out.Layers, 0, 20)
	out.Top80Pct = depthWeighted(out.Layers, 0, 80)
	return out
}

// depthWeighted is the mean of the layers between two depths in mm, each
// weighted by the depth it fills, or nil where they leave a gap. A layer with
// just these depths is taken as it stands; where layers overlap, the thinnest
// counts, for it says more of its depth.
//
// Weighting by depth takes the bulk density as the same all the way down.
// Thatch is lighter than the sand below it, so a mean by weight would be a
// little lower.
func depthWeighted(layers []LayerMean, fromMM, toMM float64) *float64 {
	edges := []float64{fromMM, toMM}
	for _, l := range layers {
		if l.DepthFromMM == fromMM && l.DepthToMM == toMM {
			return &l.OrganicMatterPct
		}
		for _, edge := range []float64{l.DepthFromMM, l.DepthToMM} {
			if edge > fromMM && edge < toMM {
				edges = append(edges, edge)
			}
		}
	}
	slices.Sort(edges)
	var weighted float64
	for i := 1; i < len(edges); i++ {
		thickness := edges[i] - edges[i-1]
		if thickness == 0 {
			continue
		}
		layer := thinnest(layers, edges[i-1], edges[i])
		if layer == nil {
			return nil
		}
		weighted += layer.OrganicMatterPct * thickness
	}
	mean := weighted / (toMM - fromMM)
	return &mean
}

// thinnest is the thinnest layer that spans both depths, the upper of equals.
func thinnest(layers []LayerMean, fromMM, toMM float64) *LayerMean {
	var best *LayerMean
	for i, l := range layers {
		spans := l.DepthFromMM <= fromMM && l.DepthToMM >= toMM
		if spans && (best == nil || l.DepthToMM-l.DepthFromMM < best.DepthToMM-best.DepthFromMM) {
			best = &layers[i]
		}
	}
	return best
}

// gatherPits checks the pits; they are few and need no other form.
func gatherPits(in []Pit, c *checker) []Pit {
	if !c.size(pitsAt, len(in), mostPits) {
		return nil
	}
	for i, p := range in {
		at := place{pitsAt, i, ""}
		c.position(at, p.Position)
		dug := c.number(at.at("depth_mm"), p.DepthMM, pitLimit)
		c.insidePit(at.at("free_water_depth_mm"), p.FreeWaterDepthMM, freeWaterLimit, p.DepthMM, dug)
		c.insidePit(at.at("root_depth_mm"), p.RootDepthMM, pitRootLimit, p.DepthMM, dug)
	}
	return in
}

// insidePit refuses what was seen deeper than the pit was dug.
func (c *checker) insidePit(at place, seenMM *float64, l limit, dugMM float64, dug bool) {
	if c.optional(at, seenMM, l) && seenMM != nil && dug && *seenMM > dugMM {
		c.add(at, *seenMM, "lies below the bottom of the pit", "give a depth within the pit, or the depth to which it was dug")
	}
}

// pits takes what the pits showed together.
func pits(in []Pit) PitsSummary {
	out := PitsSummary{Pits: len(in)}
	var roots []float64
	for _, p := range in {
		out.DeepestMM = further(out.DeepestMM, p.DepthMM, math.Max)
		if p.FreeWaterDepthMM != nil {
			out.water(p.Position, *p.FreeWaterDepthMM)
		}
		if p.RootDepthMM != nil {
			roots = append(roots, *p.RootDepthMM)
		}
		if p.BlackLayer != nil {
			out.BlackLayerLookedFor++
			if *p.BlackLayer {
				out.BlackLayerSeen++
			}
		}
	}
	if len(roots) > 0 {
		slices.Sort(roots)
		mean := stat.Mean(roots, nil)
		out.MeanRootDepthMM, out.ShallowestRootDepthMM = &mean, &roots[0]
	}
	return out
}

// water notes free water in one pit; of equal depths the first position by name
// is kept.
func (s *PitsSummary) water(position string, depthMM float64) {
	s.WithFreeWater++
	nearer := s.ShallowestFreeWaterMM == nil || depthMM < *s.ShallowestFreeWaterMM
	level := !nearer && depthMM == *s.ShallowestFreeWaterMM
	if nearer || (level && position < s.ShallowestFreeWaterPosition) {
		s.ShallowestFreeWaterMM, s.ShallowestFreeWaterPosition = &depthMM, position
	}
}

// further keeps the one of two values that choose picks; nil counts as none.
func further(kept *float64, value float64, choose func(a, b float64) float64) *float64 {
	if kept != nil {
		value = choose(*kept, value)
	}
	return &value
}
