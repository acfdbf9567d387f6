package water

import (
	"fmt"
	"math"

	"swardcase/model/fault"
)

// Outcome says how a record of lost days was brought back, if it was.
type Outcome string

// The outcomes. In the first three the model loses the recorded days.
const (
	// DischargeFound: at the likely ratio of wet surface to ring reading.
	DischargeFound Outcome = "discharge_found"
	// RatioRaised: the likely ratio loses too many days even where water leaves
	// freely, so the wet surface must be faster than was assumed.
	RatioRaised Outcome = "ratio_raised"
	// RatioLowered: the likely ratio loses too few days even where nothing
	// discharges, so the wet surface must be slower than was assumed.
	RatioLowered Outcome = "ratio_lowered"
	// RecordBelowModel and RecordAboveModel: no discharge explains the record,
	// with the ratio anywhere in its range.
	RecordBelowModel Outcome = "record_below_model"
	RecordAboveModel Outcome = "record_above_model"
)

// Explained is true when the model loses the recorded days.
func (o Outcome) Explained() bool {
	return o == DischargeFound || o == SurfaceFound || o == RatioRaised || o == RatioLowered
}

// Calibration is what a green's record says of its discharge. Where no discharge
// explains the record, the figures are those that come nearest.
type Calibration struct {
	Outcome Outcome `json:"outcome"`
	// Reason says in words what was found, or why nothing was.
	Reason            string  `json:"reason"`
	DischargeMMPerDay float64 `json:"discharge_mm_per_day"`
	// DischargeLow and DischargeHigh bound the discharges that would bring the
	// record back to within half a day a year: wide where the surface is what
	// holds the water up. The ends of the search, 0.1 and 200 mm/day, stand for
	// none and for any.
	DischargeLowMMPerDay  float64 `json:"discharge_low_mm_per_day"`
	DischargeHighMMPerDay float64 `json:"discharge_high_mm_per_day"`
	// WetSurfaceToRingRatio is the likely one unless the outcome says otherwise.
	WetSurfaceToRingRatio float64          `json:"wet_surface_to_ring_ratio"`
	WetSurfaceMMPerH      WetSurfaceMMPerH `json:"wet_surface_rate_mm_per_h"`
	RecordedDays          float64          `json:"recorded_days"`
	ModelledDays          float64          `json:"modelled_days"`
	// ModelledByMonth shows whether the year is right as well as its sum, and
	// MisplacedDays is how many days lie in another month than the record says:
	// half the sum of the differences.
	ModelledByMonth Months  `json:"modelled_by_month"`
	MisplacedDays   float64 `json:"misplaced_days"`
}

// withinDays is how near a discharge must bring the model to the record to count
// as explaining it: a record is not kept to better than half a day.
const withinDays = 0.5

// Calibrate finds the discharge with which the green of a ring reading and a
// softness loses as many days to water as were recorded (by month, of a mean year;
// only days lost by the green itself). Lost days never rise with discharge, so
// halving the span finds it. Where no discharge does it, the ratio of wet surface
// to ring reading is moved within its range, as little as will do. The error is a
// fault.List.
func (c *Curve) Calibrate(recorded Months, ring RingMMPerH, softAboveShare float64, p Parameters) (Calibration, error) {
	if err := c.checkRecord(recorded, ring, softAboveShare, p).Err(); err != nil {
		return Calibration{}, err
	}
	search := search{curve: c, ring: ring, soft: softAboveShare, target: recorded.Sum()}
	ratio, logDischarge, outcome := search.solve(p)
	return search.report(ratio, logDischarge, outcome, recorded), nil
}

// checkRecord finds what is wrong with the input of a calibration.
func (c *Curve) checkRecord(recorded Months, ring RingMMPerH, softAboveShare float64, p Parameters) fault.List {
	faults := p.check()
	for month, days := range recorded {
		faults.Under(fault.Pointer("waterlogged_green_days", month), checkBounds(bound{"", days, 0, monthDays[month] + 1, " days"}))
	}
	return append(faults, checkBounds(
		bound{"/infiltration_mm_per_h", float64(ring), 0, mostConductivity, " mm/h"},
		bound{"/soft_above_store_share", softAboveShare, leastSoftShare, mostSoftShare, ""},
	)...)
}

// search is one calibration under way.
type search struct {
	curve  *Curve
	ring   RingMMPerH
	soft   float64
	target float64
}

func (s search) lost(ratio, logDischarge float64) LostDays {
	return s.curve.Lookup(Point{Rates: Rates{s.ring.WhenWet(ratio), math.Exp(logDischarge)}, SoftAboveShare: s.soft})
}

func (s search) days(ratio, logDischarge float64) float64 {
	return s.lost(ratio, logDischarge).WaterloggedDays.Sum()
}

// solve finds the ratio and the logarithm of the discharge.
func (s search) solve(p Parameters) (ratio, logDischarge float64, outcome Outcome) {
	none, free := dischargeAxis.low, dischargeAxis.high
	likely := p.WetSurfaceToRingRatio
	atRatio := func(logDischarge float64) func(float64) float64 {
		return func(logRatio float64) float64 { return s.days(math.Exp(logRatio), logDischarge) }
	}
	switch {
	case s.days(likely, free) > s.target+withinDays:
		if s.days(p.WetSurfaceToRingRatioHigh, free) > s.target+withinDays {
			return p.WetSurfaceToRingRatioHigh, free, RecordBelowModel
		}
		at := falls(atRatio(free), math.Log(likely), math.Log(p.WetSurfaceToRingRatioHigh), s.target)
		return math.Exp(at), free, RatioRaised
	case s.days(likely, none) < s.target-withinDays:
		if s.days(p.WetSurfaceToRingRatioLow, none) < s.target-withinDays {
			return p.WetSurfaceToRingRatioLow, none, RecordAboveModel
		}
		at := falls(atRatio(none), math.Log(p.WetSurfaceToRingRatioLow), math.Log(likely), s.target)
		return math.Exp(at), none, RatioLowered
	}
	at := falls(func(x float64) float64 { return s.days(likely, x) }, none, free, s.target)
	return likely, at, DischargeFound
}

// falls finds the least x from low to high at which f, which never rises, is down
// to the target: to a billionth of the span, or high where it never is.
func falls(f func(float64) float64, low, high, target float64) float64 {
	if f(low) <= target {
		return low
	}
	for range 30 {
		if middle := low + (high-low)/2; f(middle) > target {
			low = middle
		} else {
			high = middle
		}
	}
	return high
}

func (s search) report(ratio, logDischarge float64, outcome Outcome, recorded Months) Calibration {
	byMonth := s.lost(ratio, logDischarge).WaterloggedDays
	atDischarge := func(x float64) float64 { return s.days(ratio, x) }
	reached := byMonth.Sum()
	out := Calibration{
		Outcome:               outcome,
		DischargeMMPerDay:     math.Exp(logDischarge),
		DischargeLowMMPerDay:  math.Exp(falls(atDischarge, dischargeAxis.low, logDischarge, reached+withinDays)),
		DischargeHighMMPerDay: math.Exp(falls(atDischarge, logDischarge, dischargeAxis.high, reached-withinDays)),
		WetSurfaceToRingRatio: ratio,
		WetSurfaceMMPerH:      s.ring.WhenWet(ratio),
		RecordedDays:          s.target,
		ModelledDays:          reached,
		ModelledByMonth:       byMonth,
	}
	for month, days := range recorded {
		out.MisplacedDays += math.Abs(days-byMonth[month]) / 2
	}
	out.Reason = out.reason(s.ring)
	return out
}

// dischargeWords writes a discharge as far as it can be known.
func dischargeWords(mmPerDay float64) string {
	if mmPerDay >= 10 {
		return fmt.Sprintf("%.0f mm/day", mmPerDay)
	}
	return fmt.Sprintf("%.2f mm/day", mmPerDay)
}

// spanWords writes the discharges that would do as well; the ends of the search
// are none and any.
func (c Calibration) spanWords() string {
	low, high := dischargeWords(c.DischargeLowMMPerDay), dischargeWords(c.DischargeHighMMPerDay)
	none := c.DischargeLowMMPerDay <= math.Exp(dischargeAxis.low)*(1+1e-9)
	free := c.DischargeHighMMPerDay >= math.Exp(dischargeAxis.high)*(1-1e-9)
	switch {
	case none && free:
		return "any discharge, since the surface decides,"
	case none:
		return "anything up to " + high
	case free:
		return "anything from " + low
	default:
		return low + " to " + high
	}
}

func (c Calibration) reason(ring RingMMPerH) string {
	switch c.Outcome {
	case SurfaceFound:
		return c.surfaceReason()
	case DischargeFound:
		return fmt.Sprintf("a discharge of %s loses the %.1f days recorded, and %s would too to within half a day",
			dischargeWords(c.DischargeMMPerDay), c.RecordedDays, c.spanWords())
	case RatioRaised:
		return fmt.Sprintf("water leaves this green freely; its wet surface takes %.2g of the ring reading, more than assumed, to lose only the %.1f days recorded",
			c.WetSurfaceToRingRatio, c.RecordedDays)
	case RatioLowered:
		return fmt.Sprintf("nothing leaves this green by discharge, and its wet surface takes only %.2g of the ring reading, less than assumed, to lose the %.1f days recorded",
			c.WetSurfaceToRingRatio, c.RecordedDays)
	case RecordBelowModel:
		return fmt.Sprintf("a ring reading of %.3g mm/h loses %.1f days a year however freely water leaves and however well the surface keeps its rate when wet, and the record has %.1f: the readings may be of the worst part only or of a dry patch, or days that were lost are not recorded",
			float64(ring), c.ModelledDays, c.RecordedDays)
	default:
		return fmt.Sprintf("the record has %.1f days a year, and with no discharge at all and the slowest wet surface in the range only %.1f are lost: water may run in from outside, shade may keep the green wet, or days of another cause are laid to it",
			c.RecordedDays, c.ModelledDays)
	}
}
