package condition

// Measure names one of the four measures that make up the index, by its field
// name in a survey.
type Measure string

// The measures, in the fixed order in which they are listed and in which ties
// between them are broken.
const (
	Infiltration      Measure = "infiltration_mm_per_h"
	ThatchDepth       Measure = "thatch_depth_mm"
	AnnualMeadowGrass Measure = "annual_meadow_grass_pct"
	MonthsPlayable    Measure = "months_playable"
)

// The measures' places in every array of four in this package.
const (
	infiltrationAt = iota
	thatchDepthAt
	annualMeadowGrassAt
	monthsPlayableAt
	measureCount
)

// causeCount is the number of leading measures that are causes; the rest (months
// playable) is the outcome.
const causeCount = monthsPlayableAt

// nature is what a measure is by definition, apart from how it is valued.
type nature struct {
	measure Measure
	words   string  // as a committee reads it
	unit    string  // as printed after a value
	rising  bool    // whether more is better
	most    float64 // the largest value that can be meant
}

// natureOf describes the measure at a place. The largest infiltration is that of
// clean gravel, far above any green; it only keeps nonsense out.
func natureOf(at int) nature {
	switch at {
	case infiltrationAt:
		return nature{Infiltration, "infiltration", "mm/h", true, 50_000}
	case thatchDepthAt:
		return nature{ThatchDepth, "thatch", "mm", false, 1000}
	case annualMeadowGrassAt:
		return nature{AnnualMeadowGrass, "annual meadow grass", "%", false, 100}
	default:
		return nature{MonthsPlayable, "months playable", "months a year", true, 12}
	}
}

// Grade is the index in one word.
type Grade string

// The grades, best first.
const (
	Sound   Grade = "sound"
	Fair    Grade = "fair"
	Poor    Grade = "poor"
	Failing Grade = "failing"
)

func grades() [4]Grade { return [4]Grade{Sound, Fair, Poor, Failing} }
