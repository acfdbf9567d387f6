package confidence

import "math"

// band summarises one outcome over its draws, which it reorders, with scratch of
// the same length. Everything is worked out from the sorted values, so the order
// of the draws does not matter, down to the last bit.
func band(outcome Outcome, draws, scratch []float64) QuantileBand {
	n := len(draws)
	have := draws[:0]
	for _, x := range draws {
		if present(x) {
			have = append(have, x+0) // so that there is one zero, not two
		}
	}
	sortFloats(have, scratch)
	b := QuantileBand{
		Outcome: outcome.Name, Unit: outcome.Unit,
		P10: quantile(have, n, 0.1), P50: quantile(have, n, 0.5),
		P80: quantile(have, n, 0.8), P90: quantile(have, n, 0.9),
		Absent: probability(n-len(have), n),
	}
	if len(have) == 0 {
		return b
	}
	mean := sum(have) / float64(len(have))
	b.Mean = &mean
	if len(have) == 1 {
		return b
	}
	var squares float64
	for _, x := range have {
		squares += (x - mean) * (x - mean)
	}
	deviation := math.Sqrt(squares / float64(len(have)-1))
	meanError := deviation / math.Sqrt(float64(len(have)))
	b.StandardDeviation, b.MeanStandardError = &deviation, &meanError
	return b
}

func sum(values []float64) float64 {
	var total float64
	for _, x := range values {
		total += x
	}
	return total
}

// quantile interpolates between the order statistics on either side of place
// (n − 1)p, counted from 0 (definition 7 of Hyndman and Fan 1996, Sample
// quantiles in statistical packages, The American Statistician 50(4)). The draws
// without a value, n less those sorted, count as above the rest; where either
// neighbour is one of them there is no quantile.
func quantile(sorted []float64, n int, p float64) *float64 {
	place := float64(n-1) * p
	below := int(place)
	share := place - float64(below)
	if below >= len(sorted) || share > 0 && below+1 >= len(sorted) {
		return nil
	}
	x := sorted[below]
	if share > 0 {
		x += share * (sorted[below+1] - x)
	}
	return &x
}
