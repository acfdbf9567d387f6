package model

import (
	"fmt"
	"math/rand/v2"

	"swardcase/model/climate"
	"swardcase/model/water"
)

// recordedWeather lays the whole years of the club's record end to end until they
// are about as many as are wanted: the days are the same each time round, but
// their rain falls at other hours and their frost closes on other days. A day
// without a rain reading takes a generated one, and a day without temperatures
// the normal ones of its day of the year.
func (r Resolved) recordedWeather(years int) ([]water.Day, error) {
	p := r.climateParameters()
	record, recorded := r.site.Record.WholeYears()
	rounds := max(1, (years+recorded/2)/recorded)
	generated, err := r.site.RainModel(p).Generate(recorded*rounds, rand.NewPCG(weatherSeed, streamRain))
	if err != nil {
		return nil, err
	}
	normalC := r.site.DailyTemperatureMeanC()
	normalMM := r.site.DailyReferenceEvapotranspirationMM(p)
	frost := rand.New(rand.NewPCG(weatherSeed, streamFrost))
	share := r.assumptions.Likely("frost_closure_share")
	days := make([]water.Day, 0, len(record)*rounds)
	for round := range rounds {
		for i, d := range record {
			ofYear, month := d.DayOfYear(), d.Month()
			day := water.Day{Month: month, EvapotranspirationMM: normalMM[ofYear], MeanTemperatureC: normalC[ofYear]}
			rain, ok := d.RainMM()
			if !ok {
				year := min(i*recorded/len(record), recorded-1)
				rain = generated[(round*recorded+year)*yearDays+ofYear]
			}
			day.RainMM = rain
			chance := r.site.AirFrostDays[month] * share / monthDays[month]
			if maximum, minimum, ok := d.TemperaturesC(); ok {
				day.MeanTemperatureC = (maximum + minimum) / 2
				day.EvapotranspirationMM = r.site.ReferenceEvapotranspirationMM(ofYear, day.MeanTemperatureC, maximum, minimum, p)
				chance = 0
				if minimum < 0 {
					chance = share
				}
			}
			day.Frozen = frost.Float64() < chance
			days = append(days, day)
		}
	}
	return days, nil
}

// Weather is the weather that the forecast's lost days were counted under.
type Weather struct {
	// Recorded is true where the club's own daily record was used.
	Recorded bool `json:"recorded"`
	// Years is how many years of record or of generated weather there are.
	Years int `json:"years"`
	// Source is where the monthly figures come from.
	Source string `json:"source"`
	// Words says it in a sentence.
	Words string `json:"words"`
	// Gaps are the record's runs of days without rain readings, the first fifty;
	// GapDays counts the days of all.
	Gaps    []climate.Gap `json:"gaps"`
	GapDays int           `json:"gap_days"`
}

// mostGapsShown bounds the list of gaps.
const mostGapsShown = 50

// weatherBasis says what weather the green was judged under.
func (r Resolved) weatherBasis() Weather {
	w := Weather{Source: r.site.Source, Gaps: []climate.Gap{}, Years: int(r.assumptions.Likely("weather_years"))}
	record := r.site.Record
	if record == nil {
		w.Words = fmt.Sprintf("%d years of days generated from the monthly rain and wet days of the site", w.Years)
		return w
	}
	w.Recorded = true
	var days []climate.RecordDay
	days, w.Years = record.WholeYears()
	for _, gap := range record.Gaps {
		w.GapDays += gap.Days
	}
	w.Gaps = append(w.Gaps, record.Gaps[:min(len(record.Gaps), mostGapsShown)]...)
	w.Words = fmt.Sprintf("the club's own days from %s to %s", days[0].Date(), days[len(days)-1].Date())
	if w.GapDays > 0 {
		w.Words += fmt.Sprintf("; %d days without a rain reading take generated rain", w.GapDays)
	}
	return w
}
