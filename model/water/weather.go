package water

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"

	"swardcase/model/fault"
)

// Day is one day of weather on the green.
type Day struct {
	// Month is the calendar month, 0 for January.
	Month                int
	RainMM               float64
	EvapotranspirationMM float64
	// MeanTemperatureC stands for the temperature of the water in the surface.
	MeanTemperatureC float64
	// Frozen is true when the green is closed because it is frozen. Water goes on
	// moving in it: a frost of a night or two closes the surface to play but seldom
	// seals the ground.
	Frozen bool
}

// Weather is a daily record spread over the hours of each day, ready to be run
// through. It is read only once made, so it can be shared.
type Weather struct {
	days  []day
	steps []step
	// daysOfMonth counts the record's days by calendar month, frozen those of
	// them that are frozen.
	daysOfMonth, frozen Months
}

// day is one day of the record: its steps are steps[from:to].
type day struct {
	evapotranspirationMM float64
	from, to             int32
	month                uint8
	frozen, dry          bool
}

// step is a part of a day with steady weather: an hour of rain, or the dry time
// up to the next hour of rain, look at the green, or midnight.
type step struct {
	rainMM               float64
	evapotranspirationMM float64
	hours                float64
	// conductingHours is hours times the conductivity at the day's temperature
	// as a share of that at 20 °C.
	conductingHours float64
	look            look
}

// look marks the steps that end when the green is inspected.
type look uint8

const (
	noLook look = iota
	atOpening
	afterMidday
)

// The green is looked at when the day's play would start, and once more: a day
// on which it has come round by early afternoon is not counted as lost. Common
// practice, no source.
const (
	openingHour = 9
	secondLook  = 13
	hoursInDay  = 24
)

// leastShare keeps an hour of rain from being drawn dry.
const leastShare = 1e-9

// What is accepted as a record. The rain and the evapotranspiration of a day (mm)
// are beyond any in the temperate world.
const (
	leastYearDays         = 365
	maxDays               = 200 * 366
	maxDailyRainMM        = 500
	maxEvapotranspiration = 20
	maxFaults             = 50
)

// NewWeather checks a daily record of a whole year or more, in order of date,
// and spreads the rain of each wet day over hours of its own: as many as give
// the mean rain of a wet hour, one after another from a random hour, with
// exponential intensities that add up to the day's rain. The record should cover
// whole years; Run takes the year before the first to have been like the first.
//
// viscosityRatio gives the viscosity of water at a temperature of 0 to 40 °C as a
// multiple of that at 20 °C; it is asked for once a day. The source is the
// caller's: the same record and source state give the same hours. Every run on
// one Weather shares them, so that two runs differ only by what is compared. The
// error is a fault.List with pointers relative to the list of days.
func NewWeather(record []Day, viscosityRatio func(temperatureC float64) float64, p Parameters, source rand.Source) (*Weather, error) {
	faults := checkRecord(record)
	faults = append(faults, p.check()...)
	if err := faults.Err(); err != nil {
		return nil, err
	}
	random := rand.New(source)
	return spreadRecord(record, viscosityRatio, func(rainMM float64, hours *[hoursInDay]float64) {
		spreadRain(rainMM, p.WetHourRainMMPerH, random, hours)
	}), nil
}

func checkRecord(record []Day) fault.List {
	var faults fault.List
	if len(record) < leastYearDays || len(record) > maxDays {
		faults.Add("", len(record), fmt.Sprintf("is not %d to %d days", leastYearDays, maxDays), "give a daily record of one year to 200 years")
		return faults
	}
	var seen [12]bool
	for i, d := range record {
		if len(faults) >= maxFaults {
			break
		}
		at := fault.Pointer(i)
		faults.Under(at, checkBounds(
			bound{"/rain_mm", d.RainMM, 0, maxDailyRainMM, " mm"},
			bound{"/evapotranspiration_mm", d.EvapotranspirationMM, 0, maxEvapotranspiration, " mm"},
			bound{"/mean_temperature_c", d.MeanTemperatureC, -60, 60, " °C"},
			bound{"/month", float64(d.Month), 0, 11, ", January being 0"},
		))
		if d.Month >= 0 && d.Month < 12 {
			seen[d.Month] = true
		}
	}
	for month, there := range seen {
		if !there && len(faults) == 0 {
			faults.Add("", month+1, "is a month of which the record has no day", "give a record of whole years")
		}
	}
	return faults
}

// spreadRecord lays out the steps of every day; spread says how a day's rain
// falls.
func spreadRecord(record []Day, viscosityRatio func(float64) float64, spread func(float64, *[hoursInDay]float64)) *Weather {
	w := &Weather{days: make([]day, 0, len(record)), steps: make([]step, 0, 6*len(record))}
	for _, d := range record {
		var hours [hoursInDay]float64
		if d.RainMM > 0 {
			spread(d.RainMM, &hours)
		}
		conductivity := 1 / viscosityRatio(clamp(d.MeanTemperatureC, 0, 40))
		from := len(w.steps)
		w.layOut(&hours, d.EvapotranspirationMM, conductivity)
		w.days = append(w.days, day{
			evapotranspirationMM: d.EvapotranspirationMM,
			from:                 int32(from), to: int32(len(w.steps)),
			month: uint8(d.Month), frozen: d.Frozen, dry: d.RainMM == 0,
		})
		w.daysOfMonth[d.Month]++
		if d.Frozen {
			w.frozen[d.Month]++
		}
	}
	return w
}

// layOut adds the steps of one day.
func (w *Weather) layOut(rain *[hoursInDay]float64, evapotranspirationMM, conductivity float64) {
	start := 0
	for hour := 1; hour <= hoursInDay; hour++ {
		wet := rain[hour-1] > 0
		ends := wet || hour == openingHour || hour == secondLook || hour == hoursInDay || rain[hour] > 0
		if !ends {
			continue
		}
		s := step{
			evapotranspirationMM: evapotranspirationMM * (daylightBefore(hour) - daylightBefore(start)),
			hours:                float64(hour - start),
			conductingHours:      float64(hour-start) * conductivity,
		}
		if wet {
			s.rainMM = rain[hour-1]
		}
		switch hour {
		case openingHour:
			s.look = atOpening
		case secondLook:
			s.look = afterMidday
		}
		w.steps = append(w.steps, s)
		start = hour
	}
}

// daylightBefore is the share of a day's evapotranspiration that is over by an
// hour: it rises and falls as a half sine from 06:00 to 18:00.
func daylightBefore(hour int) float64 {
	const sunrise, daylight = 6, 12
	return (1 - math.Cos(math.Pi*clamp(float64(hour-sunrise)/daylight, 0, 1))) / 2
}

// spreadRain lays a day's rain over consecutive hours. Their number is the rain
// over the mean of a wet hour, rounded up or down at random so that the mean
// holds, and at least one.
func spreadRain(rainMM, wetHourMM float64, random *rand.Rand, hours *[hoursInDay]float64) {
	wanted := min(rainMM/wetHourMM, hoursInDay)
	count := int(wanted)
	if random.Float64() < wanted-float64(count) {
		count++
	}
	count = min(max(count, 1), hoursInDay)
	first := random.IntN(hoursInDay - count + 1)
	total := 0.0
	for hour := first; hour < first+count; hour++ {
		hours[hour] = random.ExpFloat64() + leastShare
		total += hours[hour]
	}
	for hour := first; hour < first+count; hour++ {
		hours[hour] *= rainMM / total
	}
}

// perYear turns counts over the record into days of a mean year.
func (w *Weather) perYear(counts Months) Months {
	for month, days := range w.daysOfMonth {
		if days > 0 {
			counts[month] *= monthDays[month] / days
		}
	}
	return counts
}

// FrostDays are the frozen days of a mean year by month.
func (w *Weather) FrostDays() Months { return w.perYear(w.frozen) }

// Years is the length of the record in years of 365.25 days.
func (w *Weather) Years() float64 { return float64(len(w.days)) / 365.25 }

func number(x float64) string { return strconv.FormatFloat(x, 'g', -1, 64) }
