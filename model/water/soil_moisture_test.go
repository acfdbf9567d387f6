package water

import (
	"math"
	"testing"
)

// The Irish weather service publishes a soil-moisture deficit for Dublin Airport,
// worked from the same rain and evapotranspiration by a rule of one step a day. The
// checks run freely over the five years: only the first value is given.

// grassland is a profile as the published series has it: a greatest deficit of 110
// mm, and a surface that takes any rain.
func grassland(storeMM, dischargeMMPerDay, startMM float64) green {
	return green{
		surface: mostConductivity, discharge: dischargeMMPerDay / hoursInDay,
		deficit: 110, most: storeMM, total: startMM,
	}
}

// snow is the fortnight of the heavy snow of 28 February to 2 March 2018 (from
// memory): what the gauge counts as rain lay as snow, and the published series is
// 1.4 mm out against its own rule. It is the one stretch that is passed over; the
// resets that the series is known for, of 2011, 2012 and 2014, lie before it starts.
func snow(date string) bool { return date >= "2018-02-28" && date <= "2018-03-14" }

// season is 0 for winter (December to February) to 3 for autumn.
func season(month int) int { return (month + 1) % 12 / 3 }

var seasonNames = [4]string{"winter", "spring", "summer", "autumn"}

type errorsBySeason struct{ sum, worst, days [4]float64 }

func (e *errorsBySeason) add(month int, difference float64) {
	i := season(month)
	e.sum[i] += math.Abs(difference)
	e.worst[i] = math.Max(e.worst[i], math.Abs(difference))
	e.days[i]++
}

func (e *errorsBySeason) check(t *testing.T, what string, mean, worst [4]float64) {
	t.Helper()
	for i, name := range seasonNames {
		t.Logf("%s, %s: mean error %.3f mm, worst %.2f mm", what, name, e.sum[i]/e.days[i], e.worst[i])
		between(t, what+": mean error in "+name, e.sum[i]/e.days[i], 0, mean[i])
		between(t, what+": worst error in "+name, e.worst[i], 0, worst[i])
	}
}

// The rule by which the profile dries, a day at a time: within a tenth of a
// millimetre on average, the rounding of the published figures.
func TestDailyRuleAgainstThePublishedDeficit(t *testing.T) {
	var errors errorsBySeason
	water := 0.0
	for i, d := range dublin(t) {
		if i == 0 {
			water = -d.deficitWell
			continue
		}
		water = math.Min(0, dried(water, d.day.EvapotranspirationMM, 110)+d.day.RainMM)
		if !snow(d.date) {
			errors.add(d.day.Month, -water-d.deficitWell)
		}
	}
	errors.check(t, "daily rule", [4]float64{0.1, 0.1, 0.1, 0.1}, [4]float64{0.4, 0.4, 0.8, 0.4})
}

// The hourly balance, whole, on ground that keeps nothing above field capacity. It
// differs from the published series where the hours matter: rain of the small
// hours has run away before the day's evapotranspiration can draw on it, and the
// published rule lets it. So the error is largest on showery days of summer, and
// never grows.
func TestHourlyBalanceAgainstThePublishedDeficit(t *testing.T) {
	var errors errorsBySeason
	w := dublinWeather(t, 1)
	var g green
	for i, d := range dublin(t) {
		if i == 0 {
			g = grassland(0, mostConductivity, -d.deficitWell)
			continue
		}
		g.day(&w.days[i], w.steps, &flows{})
		if !snow(d.date) {
			errors.add(d.day.Month, -g.total-d.deficitWell)
		}
	}
	errors.check(t, "hourly balance", [4]float64{0.5, 0.5, 0.5, 0.6}, [4]float64{2, 3.5, 3.5, 3})
}

// Moderately drained ground holds up to 10 mm above field capacity for a day. The
// published series lets a day's surplus go on the day after; here it has been
// leaving by the hour. So days with surplus differ by up to the 10 mm, by design,
// and the check is of the days in deficit.
func TestHourlyBalanceOnModeratelyDrainedGround(t *testing.T) {
	var errors errorsBySeason
	w := dublinWeather(t, 1)
	var g green
	for i, d := range dublin(t) {
		if i == 0 {
			g = grassland(10, 10, -d.deficitMM)
			continue
		}
		g.day(&w.days[i], w.steps, &flows{})
		if !snow(d.date) && d.deficitMM > 0 {
			errors.add(d.day.Month, -g.total-d.deficitMM)
		}
	}
	errors.check(t, "moderately drained", [4]float64{0.3, 0.5, 0.5, 0.7}, [4]float64{2, 3.5, 3, 3})
}
