package model

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"math/rand/v2"

	"swardcase/model/survey"
	"swardcase/model/water"
)

// CurveKeeper keeps playability curves. A curve takes more than half a second
// to make and serves every appraisal of greens under the same weather, so that
// a caller with many cases hands in a keeper. It must be safe for concurrent
// use, and give back what make made for the same key.
type CurveKeeper interface {
	Keep(key string, make func() (*water.Curve, error)) (*water.Curve, error)
}

// noKeeper makes every curve anew.
type noKeeper struct{}

func (noKeeper) Keep(_ string, make func() (*water.Curve, error)) (*water.Curve, error) {
	return make()
}

// weatherSeed seeds the generated weather. It is fixed: the same case gives the
// same days, and two greens of one course are judged under the same rain.
const weatherSeed = 1

// curve is the playability curve of the site: days lost by month over surface
// rate, discharge and softness, under the weather of weather_years generated
// years. One curve serves all options: the larger store of a rebuilt profile
// moves less than a day where its water leaves as freely as it does.
func (r Resolved) curve(keeper CurveKeeper) (*water.Curve, error) {
	p := water.ParametersFrom(r.assumptions)
	years := int(r.assumptions.Likely("weather_years"))
	key, err := r.curveKey(p, years)
	if err != nil {
		return nil, err
	}
	return keeper.Keep(key, func() (*water.Curve, error) {
		days, err := r.weather(years)
		if err != nil {
			return nil, err
		}
		source := rand.NewPCG(weatherSeed, streamHours)
		weather, err := water.NewWeather(days, survey.ViscosityRatio, p, source)
		if err != nil {
			return nil, err
		}
		return water.NewCurve(weather, p.Stores())
	})
}

// curveKey names everything that a curve depends on, and nothing else: constants
// that only choose a place on it do not make another.
func (r Resolved) curveKey(p water.Parameters, years int) (string, error) {
	text, err := json.Marshal([]any{EngineVersion, years, r.site.Normals(), r.site.LatitudeDeg, r.climateParameters(), p.Stores(), p.WetHourRainMMPerH, r.assumptions.Likely("frost_closure_share"), r.Case.Site.Climate.DailyRecord})
	if err != nil {
		return "", fmt.Errorf("name the playability curve: %w", err)
	}
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:]), nil
}

// The streams of the weather's random numbers.
const (
	streamRain  = 1
	streamFrost = 2
	streamHours = 3
)

// weather is years of days: those of the club's own record where there is one,
// and otherwise generated ones.
func (r Resolved) weather(years int) ([]water.Day, error) {
	if r.site.Record != nil {
		return r.recordedWeather(years)
	}
	return r.generatedWeather(years)
}

// generatedWeather generates years of days: rain from the site's normals, the normal
// temperature and evapotranspiration of the day of the year, and frost that
// closes the green at random in each month as often as its share of the
// air-frost days has it.
func (r Resolved) generatedWeather(years int) ([]water.Day, error) {
	p := r.climateParameters()
	rain, err := r.site.RainModel(p).Generate(years, rand.NewPCG(weatherSeed, streamRain))
	if err != nil {
		return nil, err
	}
	temperature := r.site.DailyTemperatureMeanC()
	evapotranspiration := r.site.DailyReferenceEvapotranspirationMM(p)
	frost := rand.New(rand.NewPCG(weatherSeed, streamFrost))
	share := r.assumptions.Likely("frost_closure_share")
	days := make([]water.Day, len(rain))
	for i, rainMM := range rain {
		ofYear := i % yearDays
		month := monthOfDay(ofYear)
		days[i] = water.Day{
			Month: month, RainMM: rainMM, EvapotranspirationMM: evapotranspiration[ofYear],
			MeanTemperatureC: temperature[ofYear],
			Frozen:           frost.Float64() < r.site.AirFrostDays[month]*share/monthDays[month],
		}
	}
	return days, nil
}

const yearDays = 365

// monthOfDay is the calendar month, 0 for January, of a day of the year from 0.
func monthOfDay(day int) int {
	month := 0
	for float64(day) >= monthDays[month] {
		day -= int(monthDays[month])
		month++
	}
	return month
}
