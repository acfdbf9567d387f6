package sward

import "fmt"

// trend is which way organic matter in the top 20 mm is going.
type trend int

const (
	trendUnknown trend = iota
	trendFalling
	trendSteady
	trendRising
)

// leastSandMM is sand too little to be the reason for anything.
const leastSandMM = 0.1

// explain writes the reasons for the turns between two years and returns the
// trend of organic matter, which is told only when it changes.
func (o *Outcome) explain(before Outcome, last trend, turf *TurfParameters) trend {
	now := trendOf(o.OrganicMatterTop20MMPct-before.OrganicMatterTop20MMPct, turf.OrganicMatterSteadyPctPerYear)
	if now != last {
		o.Reasons = append(o.Reasons, o.paceReason(now))
	}
	o.crossed(before.OrganicMatterTop20MMPct, o.OrganicMatterTop20MMPct, turf.OrganicMatterPondingPct, mark{
		rose: "organic matter in the top 20 mm passed %g %%: standing water becomes frequent",
		fell: "organic matter in the top 20 mm fell below %g %%: less water stands",
	})
	o.crossed(before.ThatchDepthMM, o.ThatchDepthMM, turf.ThatchConcernMM, mark{
		rose: "thatch passed %g mm, from which it is a concern",
		fell: "thatch fell below %g mm, from which it is a concern",
	})
	o.crossed(before.ThatchDepthMM, o.ThatchDepthMM, turf.ThatchDeepMM, mark{
		rose: "thatch passed %g mm, deeper than it is normally confined to",
		fell: "thatch fell below %g mm, to a usual depth",
	})
	o.crossed(before.AnnualMeadowGrassPct, o.AnnualMeadowGrassPct, turf.AnnualMeadowGrassDominantPct, mark{
		rose: "annual meadow grass passed %g %% of the sward and is dominant",
		fell: "annual meadow grass fell below %g %% of the sward and is no longer dominant",
	})
	return now
}

// mark is how the crossing of a limit is told, upwards and downwards.
type mark struct{ rose, fell string }

func (o *Outcome) crossed(before, after, limit float64, m mark) {
	switch {
	case before < limit && after >= limit:
		o.Reasons = append(o.Reasons, fmt.Sprintf(m.rose, limit))
	case before >= limit && after < limit:
		o.Reasons = append(o.Reasons, fmt.Sprintf(m.fell, limit))
	}
}

func trendOf(change, steady float64) trend {
	switch {
	case change > steady:
		return trendRising
	case change < -steady:
		return trendFalling
	}
	return trendSteady
}

// paceReason sets sand against growth.
func (o *Outcome) paceReason(t trend) string {
	sanded := o.SandMM >= leastSandMM
	switch {
	case t == trendRising && sanded:
		return fmt.Sprintf("sand did not keep pace with growth: with %.1f mm a year organic matter in the top 20 mm rose to %.1f %%", o.SandMM, o.OrganicMatterTop20MMPct)
	case t == trendRising:
		return fmt.Sprintf("no sand was added: organic matter in the top 20 mm rose to %.1f %%", o.OrganicMatterTop20MMPct)
	case t == trendFalling && sanded:
		return fmt.Sprintf("sand outran growth: with %.1f mm a year organic matter in the top 20 mm fell to %.1f %%", o.SandMM, o.OrganicMatterTop20MMPct)
	case t == trendFalling:
		return fmt.Sprintf("decay outran growth: organic matter in the top 20 mm fell to %.1f %%", o.OrganicMatterTop20MMPct)
	case sanded:
		return fmt.Sprintf("sand kept pace with growth: with %.1f mm a year organic matter in the top 20 mm holds at %.1f %%", o.SandMM, o.OrganicMatterTop20MMPct)
	}
	return fmt.Sprintf("decay kept pace with growth: organic matter in the top 20 mm holds at %.1f %%", o.OrganicMatterTop20MMPct)
}
