package condition

import "strings"

// classMean gives the mean saturated conductivity of a texture class (Clapp and
// Hornberger 1978). It is false for silt, gravel and peat, which that table does
// not have.
func (p Parameters) classMean(t Texture) (mmPerH float64, name string, ok bool) {
	switch t {
	case Sand:
		mmPerH = p.SandMMPerH
	case LoamySand:
		mmPerH = p.LoamySandMMPerH
	case SandyLoam:
		mmPerH = p.SandyLoamMMPerH
	case Loam:
		mmPerH = p.LoamMMPerH
	case SiltLoam:
		mmPerH = p.SiltLoamMMPerH
	case SandyClayLoam:
		mmPerH = p.SandyClayLoamMMPerH
	case ClayLoam:
		mmPerH = p.ClayLoamMMPerH
	case SiltyClayLoam:
		mmPerH = p.SiltyClayLoamMMPerH
	case SandyClay:
		mmPerH = p.SandyClayMMPerH
	case SiltyClay:
		mmPerH = p.SiltyClayMMPerH
	case Clay:
		mmPerH = p.ClayMMPerH
	default:
		return 0, "", false
	}
	return mmPerH, classMeanConductivityName + string(t) + "_mm_per_h", true
}

// speed is how one layer carries water: its rate, whether that was measured, and
// whether it is slow. Gravel has no class mean and is never slow.
type speed struct {
	mmPerH   float64
	known    bool // false for silt and peat that were not measured
	measured bool
	slow     bool
	source   string
}

func (x examination) speed(l SoilLayer) speed {
	if l.ConductivityMMPerH != nil {
		k := *l.ConductivityMMPerH
		return speed{mmPerH: k, known: true, measured: true, slow: k < x.p.SlowSubsoilMMPerH, source: "measured"}
	}
	if l.Texture == Gravel {
		return speed{known: true}
	}
	k, name, ok := x.p.classMean(l.Texture)
	if !ok {
		return speed{}
	}
	return speed{mmPerH: k, known: true, slow: k < x.p.SlowSubsoilMMPerH, source: sourceOf(name, k)}
}

// lowestLayer weighs the lowest layer described. It says nothing when the
// description stops too soon to reach the ground below, or when gravel over
// drains carries the water whatever lies under it. Direct is true for a measured
// conductivity, which counts with what was seen on the spot.
func (x examination) lowestLayer(f *Finding) (b Bearing, direct bool) {
	layers := x.in.SoilLayers
	if len(layers) == 0 {
		return Neither, false
	}
	depth, gravel := 0.0, false
	for _, l := range layers {
		depth += l.ThicknessMM
		gravel = gravel || l.Texture == Gravel
	}
	if gravel && x.in.HasDrains {
		f.seen("A gravel layer lies over drains: the texture below it does not tell.", Neither)
		return Neither, false
	}
	if limit := x.p.SubsoilDescriptionDepthMM; depth < limit {
		f.measured(sentence("The soil is described to {} mm only; to {} mm or more it would tell of the ground below.", depth, limit),
			Neither, reading{"described_depth_mm", depth, "mm"}, limit, subsoilDescriptionName)
		return Neither, false
	}
	return x.lowestSpeed(f, layers[len(layers)-1])
}

// lowestSpeed weighs the rate of the lowest layer.
func (x examination) lowestSpeed(f *Finding, lowest SoilLayer) (b Bearing, direct bool) {
	s, name := x.speed(lowest), texture(lowest.Texture)
	if !s.known || s.mmPerH == 0 {
		f.seen("The lowest layer is "+name+", for which no class mean is at hand.", Neither)
		return Neither, false
	}
	limit, limitName := x.p.SlowSubsoilMMPerH, slowSubsoilName
	b = Neither
	switch {
	case s.slow:
		b = For
	case s.mmPerH >= x.p.FreeSubsoilMMPerH:
		b, limit, limitName = Against, x.p.FreeSubsoilMMPerH, freeSubsoilName
	}
	how := either(s.measured, ", measured at {} mm/h", ", a class that averages {} mm/h")
	text := "The lowest layer is " + name + sentence(how+either(b == Against, "; from {} mm/h it is free.", "; under {} mm/h it is slow."), s.mmPerH, limit)
	f.Evidence = append(f.Evidence, Evidence{
		Text: text, Bearing: b, Measure: "conductivity_mm_per_h", Value: &s.mmPerH, Unit: "mm/h", Limit: &limit,
		Source: s.source + "; limit: " + sourceOf(limitName, limit),
	})
	return b, s.measured
}

// profileTooShallow asks how much freely draining material lies over the first
// slow layer. A ring that goes in fast at 150 mm outweighs a class mean that says
// the ground there is slow.
func (x examination) profileTooShallow() Finding {
	f := Finding{Cause: ProfileTooShallow, Kind: Structural, Verdict: CannotJudge}
	const test = "Dig three pits to 600 mm and write down each layer's texture and thickness."
	limit, depth := x.p.ShallowProfileDepthMM, 0.0
	for _, l := range x.in.SoilLayers {
		s := x.speed(l)
		if depth >= limit {
			break
		}
		if !s.known {
			f.seen("The layer from "+number(depth)+" mm is "+texture(l.Texture)+", for which no class mean is at hand.", Neither)
			f.SettleBy = "Have that layer's conductivity measured."
			return f
		}
		if s.slow {
			return x.slowFrom(f, depth, l, s)
		}
		depth += l.ThicknessMM
	}
	if depth >= limit {
		f.Verdict = Absent
		f.measured(sentence("At least {} mm drains freely before any slow layer; under {} mm is too shallow.", depth, limit),
			Against, reading{"free_profile_depth_mm", depth, "mm"}, limit, shallowProfileName)
		return f
	}
	f.SettleBy = test
	if depth > 0 {
		f.measured(sentence("The soil is described to {} mm only; to {} mm it would tell.", depth, limit),
			Neither, reading{"described_depth_mm", depth, "mm"}, limit, shallowProfileName)
	}
	return f
}

// slowFrom finishes profileTooShallow where a slow layer begins above the limit.
func (x examination) slowFrom(f Finding, depth float64, l SoilLayer, s speed) Finding {
	const ringDepthMM = 150
	b := For
	text := "Slow soil (" + texture(l.Texture) + ") begins " + sentence("{} mm below the thatch; under {} mm of free material is too shallow", depth, x.p.ShallowProfileDepthMM)
	below, _ := x.in.RateBelow.at(x.ruling.Position)
	if !s.measured && below != nil && *below >= x.p.FreeSubsoilMMPerH && depth <= ringDepthMM {
		b, text = Neither, text+"; yet with 150 mm removed "+x.wetPlace()+" takes water in freely"
		f.SettleBy = "The evidence conflicts: have that layer's conductivity measured, or dig three pits to 600 mm."
	} else {
		f.Verdict = Present
	}
	f.measured(text+".", b, reading{"free_profile_depth_mm", depth, "mm"}, x.p.ShallowProfileDepthMM, shallowProfileName)
	return f
}

// texture puts a texture class in plain words.
func texture(t Texture) string { return strings.ReplaceAll(string(t), "_", " ") }
