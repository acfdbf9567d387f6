package condition

// Package is how far a partial renovation goes.
type Package string

// The packages.
const (
	DrainsOnly    Package = "drains_only"
	ResurfaceOnly Package = "resurface_only"
	TopAndDrains  Package = "top_and_drains"
)

// Renovation is the package of partial renovation that the diagnosis points to.
// There is always one, so that the route can be costed; Settled is false where the
// readings do not decide it, and Reasons then say what would.
type Renovation struct {
	RecommendedPackage Package  `json:"recommended_package"`
	Settled            bool     `json:"settled"`
	Reasons            []string `json:"reasons"`
}

// renovation picks the package: drains where only the discharge is at fault, a new
// surface where only that is, both where both are or where neither can be ruled
// out. A profile too shallow to hold a drained top wants both.
func (d Diagnosis) renovation() Renovation {
	var r Renovation
	shallow := d.Verdict(ProfileTooShallow) == Present
	switch {
	case d.Pattern == BothFaults:
		r = Renovation{TopAndDrains, true, []string{"Surface and discharge are both at fault: a new top on ground that does not drain fails again, and drains under a sealed surface stay dry."}}
	case shallow && d.Pattern != Undecided:
		r = Renovation{TopAndDrains, true, []string{"Too little freely draining material lies over slow soil: the top must be made deeper, and drained."}}
	case d.Pattern == SurfaceFaultOnly:
		r = Renovation{ResurfaceOnly, true, []string{"The fault is in the surface and the base drains: leave the ground below alone."}}
	case d.Pattern == DischargeFaultOnly:
		r = Renovation{DrainsOnly, true, []string{"The surface is sound and the water cannot get away below: drains are wanted, not a new top."}}
	case d.Pattern == NoFaultFound:
		r = Renovation{ResurfaceOnly, false, []string{"Neither surface nor discharge was found at fault: nothing here calls for a partial renovation. The smallest package is costed for comparison."}}
	default:
		r = Renovation{TopAndDrains, false, d.unsettled()}
	}
	r.caution(d)
	return r
}

// unsettled says what is open, and why the larger package is costed meanwhile.
func (d Diagnosis) unsettled() []string {
	reasons := []string{"The readings do not settle which package is right: the larger one is costed, since the smaller fails if the other half is at fault too."}
	for _, f := range d.Findings {
		switch f.Cause {
		case SurfaceSealing, ThatchExcess, SubsoilNotDischarging, OutfallBlockage:
			if f.Verdict == CannotJudge && f.SettleBy != "" {
				reasons = append(reasons, f.SettleBy)
			}
		}
	}
	return reasons
}

// caution adds what would make the package wrong.
func (r *Renovation) caution(d Diagnosis) {
	if d.Verdict(OutfallBlockage) == Present {
		r.Reasons = append(r.Reasons, "The outfall is blocked: clear it and look again after rain before any package is chosen.")
		r.Settled = false
	}
	if d.Verdict(NoOutfall) == Present && r.RecommendedPackage != ResurfaceOnly {
		r.Reasons = append(r.Reasons, "No outfall can be reached, so drains have nowhere to run: this package cannot work until one is found.")
	}
}
