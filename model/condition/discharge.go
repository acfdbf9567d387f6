package condition

import "swardcase/model/fault"

const pitTest = "Dig three pits to 600 mm, one of them in the wettest place, and see whether water stands in them a day after rain."

// weighing counts what speaks for and against, apart from what only hints.
type weighing struct{ pro, con int }

func (w *weighing) add(b Bearing) Bearing {
	switch b {
	case For:
		w.pro++
	case Against:
		w.con++
	}
	return b
}

// subsoilNotDischarging weighs what was seen on the spot: the rate with 150 mm
// removed, water in pits, the outfall after rain, a measured conductivity of the
// lowest layer. All one way decides; both ways is a conflict. With none of these,
// the texture of the lowest layer decides only where it is slow and there are no
// drains, for then nothing else can take the water away.
func (x examination) subsoilNotDischarging() Finding {
	f := Finding{Cause: SubsoilNotDischarging, Kind: Structural, Verdict: CannotJudge}
	var w weighing
	w.add(x.rateBelow(&f))
	w.add(x.freeWater(&f))
	w.add(x.outfallAfterRain(&f))
	texture, direct := x.lowestLayer(&f)
	if direct {
		w.add(texture)
	}
	x.blackLayer(&f)
	switch {
	case w.pro > 0 && w.con > 0:
		f.SettleBy = "The evidence conflicts. " + pitTest + " Watch the outfall in the same hours."
	case w.pro > 0:
		f.Verdict = Present
	case w.con > 0:
		f.Verdict = Absent
	case texture == For && !x.in.HasDrains:
		f.Verdict = Present
		f.SettleBy = "This rests on the soil's texture alone. " + pitTest
	case x.drainsBlocked():
		f.SettleBy = "Clear the outfall first and look again after rain. " + pitTest
	default:
		f.SettleBy = "Take ring tests with the top 150 mm removed at three or more places. " + pitTest
		if x.in.HasDrains {
			f.SettleBy += " Watch the outfall within a day of rain."
		}
	}
	return f
}

// drainsBlocked is true when there are drains and their outfall does not run:
// standing water may then be no fault of the ground.
func (x examination) drainsBlocked() bool {
	return x.in.HasDrains && x.in.Outfall.State == OutfallBlocked
}

// rateBelow weighs the ring tests with 150 mm removed, at the ruling zone if it
// has its own. Between slow and free they say nothing.
func (x examination) rateBelow(f *Finding) Bearing {
	rate, _ := x.in.RateBelow.at(x.ruling.Position)
	if rate == nil {
		return Neither
	}
	r := reading{"removed_150_mm_per_h", *rate, "mm/h"}
	slow, free := x.p.SlowSubsoilMMPerH, x.p.FreeSubsoilMMPerH
	const start = "With the top 150 mm removed the ground takes in {} mm/h"
	switch {
	case *rate < slow:
		f.measured(sentence(start+"; under {} mm/h it does not discharge.", *rate, slow), For, r, slow, slowSubsoilName)
		return For
	case *rate >= free:
		f.measured(sentence(start+"; from {} mm/h it discharges freely.", *rate, free), Against, r, free, freeSubsoilName)
		return Against
	}
	f.measured(sentence(start+": neither slow nor free (free from {} mm/h).", *rate, free), Neither, r, free, freeSubsoilName)
	return Neither
}

// freeWater weighs the pits. One wet pit speaks for the fault, since the worst
// part rules; dry pits speak against it only when enough of them were dug deep
// enough.
func (x examination) freeWater(f *Finding) Bearing {
	if len(x.in.Pits) == 0 {
		return Neither
	}
	wet, deepDry, limit := 0, 0, x.p.PitWantedDepthMM
	var shallowest float64
	for _, pit := range x.in.Pits {
		switch {
		case pit.FreeWaterDepthMM != nil && *pit.FreeWaterDepthMM <= limit:
			if wet == 0 || *pit.FreeWaterDepthMM < shallowest {
				shallowest = *pit.FreeWaterDepthMM
			}
			wet++
		case pit.DepthMM >= limit:
			deepDry++
		}
	}
	if wet > 0 {
		b, text := For, "Water stood in "+fixed(float64(wet), 0)+" of "+count(len(x.in.Pits), "pit")+
			sentence(", at {} mm below the surface at the highest (pits go to {} mm)", shallowest, limit)
		if x.drainsBlocked() {
			b, text = Neither, text+"; the blocked outfall may be the reason"
		}
		f.measured(text+".", b, reading{"free_water_depth_mm", shallowest, "mm"}, limit, pitDepthName)
		return b
	}
	b := Neither
	text := count(deepDry, "pit") + " of " + number(limit) + " mm or more stayed dry above that depth"
	if float64(deepDry) >= x.p.PitsWantedCount {
		b = Against
	} else {
		text += "; " + number(x.p.PitsWantedCount) + " are wanted before that speaks for the ground"
	}
	f.measured(text+".", b, reading{"dry_pits", float64(deepDry), "pits"}, x.p.PitsWantedCount, "pits_wanted_count")
	return b
}

// outfallAfterRain weighs what the drains brought. A sealed surface or a blocked
// outfall also leaves an outfall dry, so dryness speaks only when neither is at
// work; a running outfall shows that water gets away.
func (x examination) outfallAfterRain(f *Finding) Bearing {
	seen := x.in.Outfall.AfterRain
	if !x.in.HasDrains || seen == "" || seen == OutfallNotObserved {
		return Neither
	}
	if seen == OutfallRunning {
		f.seen("Within a day of rain the outfall was running: the drains carry water away.", Against)
		return Against
	}
	text, b := "Within a day of rain the outfall was "+seen+": little of the rain reaches the drains", For
	switch {
	case x.in.Outfall.State == OutfallBlocked:
		text, b = text+", or the blockage holds it back", Neither
	case x.sealed != Absent:
		text, b = text+", though a sealed surface would do the same", Neither
	}
	f.seen(text+".", b)
	return b
}

// noDrains holds that the want of drains is a fault only where the ground does not
// take the water away itself.
func (x examination) noDrains(subsoil Verdict) Finding {
	f := Finding{Cause: NoDrains, Kind: Structural}
	if x.in.HasDrains {
		f.Verdict = Absent
		f.seen("The green has drains.", Against)
		return f
	}
	f.Verdict = subsoil
	switch subsoil {
	case Present:
		f.seen("The green has no drains, and the ground below does not discharge.", For)
	case Absent:
		f.seen("The green has no drains, but the ground below takes the water away.", Against)
	default:
		f.seen("The green has no drains; whether it wants them turns on the ground below.", Neither)
		f.SettleBy = pitTest
	}
	return f
}

// noOutfall is the want of anywhere for drained water to go; like the want of
// drains it is a fault only where the ground does not discharge.
func (x examination) noOutfall(subsoil Verdict) Finding {
	f := Finding{Cause: NoOutfall, Kind: Structural}
	switch x.in.Outfall.State {
	case OutfallFree, OutfallBlocked:
		f.Verdict = Absent
		f.seen("There is an outfall.", Against)
	case OutfallNone:
		f.Verdict = subsoil
		switch subsoil {
		case Present:
			f.seen("No lower ground or ditch can be reached, and the ground below does not discharge: drains would have nowhere to run.", For)
		case Absent:
			f.seen("No lower ground or ditch can be reached, but the ground below takes the water away.", Against)
		default:
			f.seen("No lower ground or ditch can be reached; whether one is wanted turns on the ground below.", Neither)
			f.SettleBy = pitTest
		}
	default:
		f.Verdict = CannotJudge
		f.SettleBy = "Find the lowest ground or ditch within reach and take its level against the lowest edge of the green."
	}
	return f
}

// outfallBlocked is put right round the green, before anything else is judged.
func (x examination) outfallBlocked() Finding {
	f := Finding{Cause: OutfallBlockage, Kind: OfSurrounding, Verdict: Absent}
	switch {
	case !x.in.HasDrains:
		f.seen("There are no drains for a blocked outfall to hold up.", Against)
	case x.in.Outfall.State == OutfallBlocked:
		f.Verdict = Present
		f.seen("The outfall is blocked: clear it first, whatever else is done.", For)
	case x.in.Outfall.State == OutfallFree, x.in.Outfall.AfterRain == OutfallRunning:
		f.seen("The outfall runs free.", Against)
	case x.in.Outfall.State == OutfallNone:
		f.seen("There is no outfall to be blocked.", Against)
	default:
		f.Verdict = CannotJudge
		f.SettleBy = "Find the outfall, open it, and watch it within a day of rain."
	}
	return f
}

// wetPlace names the ruling zone for a sentence, or the green.
func (x examination) wetPlace() string {
	if x.ruling.Position == "" {
		return "the green"
	}
	return fault.Shorten(x.ruling.Position)
}
