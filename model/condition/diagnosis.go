package condition

import (
	"math"
	"strings"

	"swardcase/model/fault"
)

// Cause names a possible cause of a failing green.
type Cause string

// The causes, in the fixed order in which findings are listed.
const (
	ThatchExcess              Cause = "thatch_excess"
	AnnualMeadowGrassDominant Cause = "annual_meadow_grass_dominant"
	SurfaceSealing            Cause = "surface_sealing"
	RootDepthShallow          Cause = "root_depth_shallow"
	SubsoilNotDischarging     Cause = "subsoil_not_discharging"
	NoDrains                  Cause = "no_drains"
	NoOutfall                 Cause = "no_outfall"
	ProfileTooShallow         Cause = "profile_too_shallow"
	OutfallBlockage           Cause = "outfall_blocked"
	Shade                     Cause = "shade"
	StillAir                  Cause = "still_air"
	WaterRunningIn            Cause = "water_running_in"
	SingleWalkOn              Cause = "single_walk_on"
	SprinklerOverlap          Cause = "sprinkler_overlap"
	CourseWaterlogged         Cause = "course_waterlogged"
	Frost                     Cause = "frost"
)

// Kind says who can do something about a cause.
type Kind string

// The kinds.
const (
	Upkeep        Kind = "upkeep"         // better upkeep can change it
	Structural    Kind = "structural"     // only building work can
	OfSurrounding Kind = "surroundings"   // put right round the green, first, whatever else is done
	PlayElsewhere Kind = "play_elsewhere" // nothing done to this green changes it
)

// Verdict is whether a cause is at work.
type Verdict string

// The verdicts.
const (
	Present     Verdict = "present"
	Absent      Verdict = "absent"
	CannotJudge Verdict = "cannot_judge"
)

// Bearing is what one piece of evidence says of a cause.
type Bearing string

// The bearings.
const (
	For     Bearing = "for"
	Against Bearing = "against"
	Neither Bearing = "neither"
)

// Finding is the verdict on one cause. SettleBy names the test that would settle
// it, or make it firmer; it is empty when nothing more is wanted.
type Finding struct {
	Cause    Cause      `json:"cause"`
	Kind     Kind       `json:"kind"`
	Verdict  Verdict    `json:"verdict"`
	Evidence []Evidence `json:"evidence"`
	SettleBy string     `json:"settle_by,omitempty"`
}

// Evidence is one observation. Value and Limit are in Unit; each is left out where
// the observation has none. Source says what the limit rests on.
type Evidence struct {
	Text    string   `json:"text"`
	Bearing Bearing  `json:"bearing"`
	Measure string   `json:"measure,omitempty"`
	Value   *float64 `json:"value,omitempty"`
	Unit    string   `json:"unit,omitempty"`
	Limit   *float64 `json:"limit,omitempty"`
	Source  string   `json:"source,omitempty"`
}

// Pattern is where the readings put the fault that keeps water on the green.
type Pattern string

// The patterns.
const (
	SurfaceFaultOnly   Pattern = "surface_only"
	BothFaults         Pattern = "both"
	DischargeFaultOnly Pattern = "discharge_only"
	NoFaultFound       Pattern = "neither"
	Undecided          Pattern = "undecided"
)

// Diagnosis is what is at fault and what follows from it.
type Diagnosis struct {
	// Findings hold every cause, in the fixed order.
	Findings []Finding `json:"findings"`
	// RulingInfiltration is the rate that the diagnosis goes by.
	RulingInfiltration RulingInfiltration `json:"ruling_infiltration"`
	// Structural is true when a structural cause is present: upkeep alone will
	// not mend the green.
	Structural bool `json:"structural"`
	// UpkeepCanMend is true when something that upkeep changes is present,
	// nothing structural is, and a fair trial has not already failed.
	// UpkeepReason says why or why not.
	UpkeepCanMend bool   `json:"upkeep_can_mend"`
	UpkeepReason  string `json:"upkeep_reason"`
	// Pattern decides the shares of the green's waterlogged days, each 0 to 1
	// and together 1: what the surface, the discharge, and neither accounts for.
	Pattern        Pattern `json:"pattern"`
	SurfaceShare   float64 `json:"surface_share"`
	DischargeShare float64 `json:"discharge_share"`
	OtherShare     float64 `json:"other_share"`

	Trial      Trial      `json:"trial"`
	Renovation Renovation `json:"partial_renovation"`
}

// RulingInfiltration is the surface rate that the diagnosis goes by: the green's,
// or its worst zone's when that differs clearly. Value is nil when not measured.
type RulingInfiltration struct {
	ValueMMPerH *float64 `json:"value_mm_per_h"`
	Position    string   `json:"position,omitempty"`
	Reason      string   `json:"reason"`
}

// examination is one green under examination.
type examination struct {
	in     Input
	p      Parameters
	ruling RulingInfiltration
	// sealed is the verdict on the surface, which bears on what a dry outfall
	// means.
	sealed Verdict
}

// diagnose works through every cause. The input and the parameters are sound.
func diagnose(in Input, p Parameters) Diagnosis {
	x := examination{in: in, p: p, ruling: rulingInfiltration(in.Infiltration, p)}
	sealing := x.surfaceSealing()
	x.sealed = sealing.Verdict
	subsoil := x.subsoilNotDischarging()
	d := Diagnosis{RulingInfiltration: x.ruling, Findings: []Finding{
		x.thatchExcess(), x.annualMeadowGrassDominant(), sealing, x.rootDepthShallow(),
		subsoil, x.noDrains(subsoil.Verdict), x.noOutfall(subsoil.Verdict), x.profileTooShallow(), x.outfallBlocked(),
		x.shade(), x.stillAir(), x.waterRunningIn(), x.singleWalkOn(), x.sprinklerOverlap(),
		x.courseWaterlogged(), x.frost(),
	}}
	for i := range d.Findings {
		if d.Findings[i].Evidence == nil {
			d.Findings[i].Evidence = []Evidence{}
		}
	}
	d.Structural = d.anyPresent(Structural)
	d.Trial = x.judgeTrial()
	d.Pattern = d.pattern()
	d.share(p)
	d.UpkeepCanMend, d.UpkeepReason = d.upkeep()
	d.Renovation = d.renovation()
	return d
}

// Verdict gives the verdict on a cause.
func (d Diagnosis) Verdict(cause Cause) Verdict {
	for _, f := range d.Findings {
		if f.Cause == cause {
			return f.Verdict
		}
	}
	return CannotJudge
}

func (d Diagnosis) anyPresent(kind Kind) bool {
	for _, f := range d.Findings {
		if f.Kind == kind && f.Verdict == Present {
			return true
		}
	}
	return false
}

// onlyAnnualMeadowGrass is true when it is the one upkeep cause present.
func (d Diagnosis) onlyAnnualMeadowGrass() bool {
	for _, f := range d.Findings {
		if f.Kind == Upkeep && f.Verdict == Present && f.Cause != AnnualMeadowGrassDominant {
			return false
		}
	}
	return d.Verdict(AnnualMeadowGrassDominant) == Present
}

// rulingInfiltration picks the rate that the diagnosis goes by. The worst zone
// rules when its value lies below the pooled interval, or under a set share of the
// pooled value: the wet corner takes a green out of play (common practice).
func rulingInfiltration(e Estimate, p Parameters) RulingInfiltration {
	if e.Value == nil {
		return RulingInfiltration{Reason: "Infiltration was not measured."}
	}
	pooled := RulingInfiltration{ValueMMPerH: e.Value, Reason: "No zone differs clearly from the green as a whole."}
	if len(e.ByPosition) == 0 {
		pooled.Reason = "The readings are not told apart by position."
		return pooled
	}
	worst := e.ByPosition[0]
	for _, z := range e.ByPosition[1:] {
		if z.Value < worst.Value || (z.Value == worst.Value && z.Position < worst.Position) {
			worst = z
		}
	}
	value, whole := apart(worst.Value, *e.Value)
	clause := ""
	switch {
	case e.Interval != nil && worst.Value < e.Interval.Low:
		clause = ", below the whole interval of the green"
	case worst.Value < p.WorstZoneInfiltrationShare**e.Value:
		clause = ", under " + number(p.WorstZoneInfiltrationShare*100) + " % of it"
	default:
		return pooled
	}
	return RulingInfiltration{
		ValueMMPerH: &worst.Value, Position: worst.Position,
		Reason: "The worst zone rules: " + fault.Shorten(worst.Position) + " takes in " + value + " mm/h against " + whole +
			" mm/h for the green" + clause + ". The wet corner takes a green out of play.",
	}
}

// state puts two or more verdicts together: present if any is, absent if all are.
func state(verdicts ...Verdict) Verdict {
	out := Absent
	for _, v := range verdicts {
		switch v {
		case Present:
			return Present
		case CannotJudge:
			out = CannotJudge
		}
	}
	return out
}

// surfaceState is whether the fault lies in the surface.
func (d Diagnosis) surfaceState() Verdict {
	return state(d.Verdict(SurfaceSealing), d.Verdict(ThatchExcess))
}

// dischargeState is whether water cannot leave below: through the ground, or
// because the drains' outfall is blocked.
func (d Diagnosis) dischargeState() Verdict {
	return state(d.Verdict(SubsoilNotDischarging), d.Verdict(OutfallBlockage))
}

func (d Diagnosis) pattern() Pattern {
	surface, discharge := d.surfaceState(), d.dischargeState()
	switch {
	case surface == CannotJudge || discharge == CannotJudge:
		return Undecided
	case surface == Present && discharge == Present:
		return BothFaults
	case surface == Present:
		return SurfaceFaultOnly
	case discharge == Present:
		return DischargeFaultOnly
	}
	return NoFaultFound
}

// share lays the green's waterlogged days to surface, discharge and neither:
// first what neither explains (water running in; no fault found), then the rest
// by the pattern. All shares are judgement.
func (d *Diagnosis) share(p Parameters) {
	if d.Verdict(WaterRunningIn) == Present {
		d.OtherShare = p.OtherShareWaterRunningIn
	}
	surface := p.SurfaceShareUndecided
	switch d.Pattern {
	case SurfaceFaultOnly:
		surface = p.SurfaceShareSurfaceFaultOnly
	case BothFaults:
		surface = p.SurfaceShareBothFaults
	case DischargeFaultOnly:
		surface = p.SurfaceShareDischargeFaultOnly
	case NoFaultFound:
		d.OtherShare = max(d.OtherShare, p.OtherShareNoFaultFound)
	}
	d.SurfaceShare = cleanShare((1 - d.OtherShare) * surface)
	d.DischargeShare = cleanShare((1 - d.OtherShare) * (1 - surface))
}

// cleanShare takes off the last bits that arithmetic leaves: 0.55 × 0.75 is
// 0.4125 and not 0.41250000000000003.
func cleanShare(share float64) float64 { return math.Round(share*1e9) / 1e9 }

// upkeep says whether better upkeep can mend the green, and why.
func (d Diagnosis) upkeep() (bool, string) {
	switch {
	case d.Structural:
		return false, "Something structural is at fault, and upkeep does not change it."
	case d.Trial.Verdict == TriedAndFailed:
		return false, "An intensified programme has had a fair trial and did not mend the green."
	case !d.anyPresent(Upkeep):
		return false, "Nothing that upkeep changes was found at fault."
	case d.onlyAnnualMeadowGrass():
		return true, "Only annual meadow grass was found; drier, leaner upkeep and overseeding change it, but slowly, and many good greens have as much."
	case d.Pattern == Undecided:
		return true, "What was found is for upkeep to mend; the tests still to be made could show a fault that it cannot."
	}
	if open := d.openStructural(); open != "" {
		return true, "What was found is for upkeep to mend, and nothing structural was found in its way; not settled: " + open + "."
	}
	return true, "What was found is for upkeep to mend, and nothing structural stands in its way."
}

// openStructural names the structural causes that the readings leave open.
func (d Diagnosis) openStructural() string {
	var open []string
	for _, f := range d.Findings {
		if f.Kind == Structural && f.Verdict == CannotJudge {
			open = append(open, strings.ReplaceAll(string(f.Cause), "_", " "))
		}
	}
	return strings.Join(open, ", ")
}
