package climate

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/stat/distuv"

	"swardcase/model/fault"
)

// RainModel generates daily rain: whether a day is wet depends on the day before
// (a two-state Markov chain), and the rain of a wet day is gamma distributed, all
// by calendar month (Richardson 1981, Water Resources Research 17). The gamma is
// not shifted to start at the 0.2 mm of a wet day, so a wet day of the model can
// be a little drier than one of the record.
type RainModel struct {
	// WetAfterDry and WetAfterWet are the chances, 0 to 1, of a wet day after a
	// dry and after a wet one.
	WetAfterDry Months `json:"wet_after_dry"`
	WetAfterWet Months `json:"wet_after_wet"`
	// GammaShape (no unit) times GammaScaleMM is the mean rain of a wet day.
	GammaShape   Months `json:"gamma_shape"`
	GammaScaleMM Months `json:"gamma_scale_mm"`
}

// RainModel derives a generator from monthly normals alone: the share f of wet
// days gives P(wet after dry) = b f and P(wet after wet) = 1 − b + b f, which
// keep f whatever the persistence b (Geng, Penning de Vries and Supit 1986,
// Agricultural and Forest Meteorology 36); the rain of a wet day has the month's
// mean and an assumed gamma shape.
func (s Site) RainModel(p Parameters) RainModel {
	var m RainModel
	for i, rain := range s.RainMM {
		wet := min(s.WetDays[i], float64(daysInMonth[i]))
		share := wet / float64(daysInMonth[i])
		m.WetAfterDry[i] = p.RainPersistenceShare * share
		m.WetAfterWet[i] = 1 - p.RainPersistenceShare + p.RainPersistenceShare*share
		m.GammaShape[i] = p.WetDayGammaShape
		if wet > 0 {
			m.GammaScaleMM[i] = rain / wet / p.WetDayGammaShape
		}
	}
	return m
}

// wetShare is the share of wet days to which the chain of a month settles.
func (m RainModel) wetShare(month int) float64 {
	toWet, toDry := m.WetAfterDry[month], 1-m.WetAfterWet[month]
	if toWet+toDry <= 0 {
		return 0 // never leaves its state; the generator starts such a month dry
	}
	return toWet / (toWet + toDry)
}

// ExpectedWetDays is the mean number of wet days of each month once the chain
// has settled.
func (m RainModel) ExpectedWetDays() Months {
	var out Months
	for i, length := range daysInMonth {
		out[i] = float64(length) * m.wetShare(i)
	}
	return out
}

// ExpectedRainMM is the mean rain of each month in mm once the chain has settled.
func (m RainModel) ExpectedRainMM() Months {
	out := m.ExpectedWetDays()
	for i := range out {
		out[i] *= m.GammaShape[i] * m.GammaScaleMM[i]
	}
	return out
}

// maxYears bounds a generated or recorded series.
const maxYears = 200

// Generate draws whole years of 365 days of daily rain in mm, 1 January first; a
// dry day is exactly 0. The source is the caller's: the same model and the same
// source state give the same series. The error is a fault.List.
func (m RainModel) Generate(years int, source rand.Source) ([]float64, error) {
	faults := m.check()
	if years < 1 || years > maxYears {
		faults.Add("/years", years, "is outside 1 to 200", "ask for 1 to 200 years")
	}
	if err := faults.Err(); err != nil {
		return nil, err
	}
	uniform := rand.New(source)
	series := make([]float64, 0, years*len(Days{}))
	wet := uniform.Float64() < m.wetShare(11)
	for range years {
		for month, length := range daysInMonth {
			amount := distuv.Gamma{Alpha: m.GammaShape[month], Beta: 1 / m.GammaScaleMM[month], Src: source}
			for range length {
				chance := m.WetAfterDry[month]
				if wet {
					chance = m.WetAfterWet[month]
				}
				wet = uniform.Float64() < chance && m.GammaScaleMM[month] > 0
				rain := 0.0
				if wet {
					rain = max(amount.Rand(), math.SmallestNonzeroFloat64)
				}
				series = append(series, rain)
			}
		}
	}
	return series, nil
}

// check names parameters from which nothing can be drawn. A month without rain
// has a scale of 0.
func (m RainModel) check() fault.List {
	var faults fault.List
	inRange := func(field string, values Months, low, high float64) {
		for i, v := range values {
			if !(v >= low && v <= high) {
				faults.Add(fault.Pointer(field, i), v, "cannot be a parameter of the rain generator", "correct the rain and wet days of "+monthName(i))
			}
		}
	}
	inRange("wet_after_dry", m.WetAfterDry, 0, 1)
	inRange("wet_after_wet", m.WetAfterWet, 0, 1)
	inRange("gamma_shape", m.GammaShape, leastShape, mostShape)
	inRange("gamma_scale_mm", m.GammaScaleMM, 0, maxDailyRainMM/leastShape)
	return faults
}

// The gamma shapes that a fit may give; beyond them the sample is too small or
// too even to say.
const (
	leastShape = 0.05
	mostShape  = 20
)

// GammaByThom fits a gamma distribution to positive amounts by Thom's
// approximation to the maximum likelihood (Thom 1958, Monthly Weather Review 86):
// with y = ln(mean) − mean(ln x), the shape is (1 + √(1 + 4y/3))/(4y) and the
// scale is mean/shape. ok is false when there is no positive amount; amounts that
// are not positive are passed over.
func GammaByThom(amounts []float64) (shape, scale float64, ok bool) {
	n, sum, logs := 0.0, 0.0, 0.0
	for _, x := range amounts {
		if x > 0 && !math.IsInf(x, 1) {
			n, sum, logs = n+1, sum+x, logs+math.Log(x)
		}
	}
	if n == 0 || math.IsInf(sum, 1) {
		return 0, 0, false
	}
	mean := sum / n
	shape = mostShape
	if y := math.Log(mean) - logs/n; y > 0 {
		shape = min(max((1+math.Sqrt(1+4*y/3))/(4*y), leastShape), mostShape)
	}
	return shape, mean / shape, true
}

// rainTally gathers what one month of a record says of rain.
type rainTally struct {
	afterDry, afterWet       float64 // days whose day before is known, by its state
	wetAfterDry, wetAfterWet float64
	amounts                  []float64
}

// leastWetDays is how many wet days a month needs for a gamma shape of its own;
// below it takes that of the year.
const leastWetDays = 30

// RainModel fits the generator to a daily record: chances from pairs of days
// that follow one another, amounts by Thom's fit to days of 0.2 mm or more. A
// month never seen after a dry or a wet day takes the chance of the year.
func (r Record) RainModel() RainModel {
	var months [12]rainTally
	var year rainTally
	for i, d := range r.Days {
		if math.IsNaN(d.rainMM) {
			continue
		}
		t := &months[d.month]
		wet := d.rainMM >= wetDayMM
		if wet {
			t.amounts = append(t.amounts, d.rainMM)
			year.amounts = append(year.amounts, d.rainMM)
		}
		if i > 0 && r.Days[i-1].serial == d.serial-1 && !math.IsNaN(r.Days[i-1].rainMM) {
			t.pair(r.Days[i-1].rainMM >= wetDayMM, wet)
			year.pair(r.Days[i-1].rainMM >= wetDayMM, wet)
		}
	}
	var m RainModel
	for i := range months {
		t := &months[i]
		m.WetAfterDry[i] = ratio(t.wetAfterDry, t.afterDry, ratio(year.wetAfterDry, year.afterDry, 0))
		m.WetAfterWet[i] = ratio(t.wetAfterWet, t.afterWet, ratio(year.wetAfterWet, year.afterWet, 0))
		m.GammaShape[i], m.GammaScaleMM[i] = t.gamma(year.amounts)
	}
	return m
}

func (t *rainTally) pair(wetBefore, wet bool) {
	before, both := &t.afterDry, &t.wetAfterDry
	if wetBefore {
		before, both = &t.afterWet, &t.wetAfterWet
	}
	*before++
	if wet {
		*both++
	}
}

// gamma fits the month's own amounts, or keeps the month's mean under the shape
// of the year where it has few.
func (t *rainTally) gamma(year []float64) (shape, scaleMM float64) {
	shape, scaleMM, ok := GammaByThom(t.amounts)
	if ok && len(t.amounts) >= leastWetDays {
		return shape, scaleMM
	}
	meanMM := shape * scaleMM
	if shape, _, ok = GammaByThom(year); !ok {
		shape = 1
	}
	return shape, meanMM / shape
}

func ratio(part, whole, otherwise float64) float64 {
	if whole == 0 {
		return otherwise
	}
	return part / whole
}
