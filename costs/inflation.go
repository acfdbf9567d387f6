package costs

import "github.com/shopspring/decimal"

// InflationByClass raises prices at a rate for each class of cost, in per cent
// a year, where building, wages and green fees do not rise alike. In real terms
// it is how much faster than prices at large they rise.
type InflationByClass struct {
	ConstructionPct float64 `json:"construction_pct"` // enabling, capital, renewal, residual
	UpkeepPct       float64 `json:"upkeep_pct"`       // upkeep, aftercare
	IncomePct       float64 `json:"income_pct"`       // income, income lost
}

// costClass is a class of cost that has an inflation of its own.
type costClass int

const (
	construction costClass = iota
	upkeepClass
	incomeClass
	classCount
)

// class is the class of cost of a kind.
func (k Kind) class() costClass {
	switch k {
	case Upkeep, Aftercare:
		return upkeepClass
	case Income, IncomeLost:
		return incomeClass
	default:
		return construction
	}
}

// priceLevels works out the price levels of every class; with one rate for all
// they share one list.
func priceLevels(found *problems, terms TimelineTerms) (levels [classCount][]int64) {
	if terms.InflationByClass == nil {
		level := inflationIndex(found, "/inflation_pct", terms.InflationPct, terms.HorizonYears)
		return [classCount][]int64{level, level, level}
	}
	by := *terms.InflationByClass
	return [classCount][]int64{
		construction: inflationIndex(found, "/inflation_by_class/construction_pct", by.ConstructionPct, terms.HorizonYears),
		upkeepClass:  inflationIndex(found, "/inflation_by_class/upkeep_pct", by.UpkeepPct, terms.HorizonYears),
		incomeClass:  inflationIndex(found, "/inflation_by_class/income_pct", by.IncomePct, terms.HorizonYears),
	}
}

// level is the price level of a kind in a year, × 10^indexPlaces.
func (t Timeline) level(kind Kind, year int) int64 { return t.index[kind.class()][year] }

// inflationIndex is the price level at the end of each year, × 10^10: year 0
// is 1 and each later year (1 + rate) times the one before, kept to 10 places.
// It is nil, with a problem, where prices would rise or fall ten
// thousandfold.
func inflationIndex(found *problems, field string, ratePct float64, years int) []int64 {
	pct, err := Percent(ratePct)
	if err != nil || pct.LessThan(decimal.NewFromInt(-50)) || pct.GreaterThan(hundred) {
		found.add(field, ratePct, "this is not a yearly rate of inflation", "give a number from -50 to 100")
		return nil
	}
	growth := one.Add(pct.Shift(-2))
	most, least := decimal.New(1, 4), decimal.New(1, -4)
	level := one
	index := []int64{powersOfTen[indexPlaces]}
	for range years {
		level = level.Mul(growth).Round(indexPlaces)
		if level.GreaterThanOrEqual(most) || level.LessThanOrEqual(least) {
			found.add(field, ratePct, "prices would rise or fall ten thousandfold over the horizon", "give a rate nearer to zero or a shorter horizon")
			return nil
		}
		index = append(index, level.Shift(indexPlaces).IntPart())
	}
	return index
}
