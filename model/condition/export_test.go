package condition

// WeightedMean lets the published examples, which have other numbers of criteria
// than four, go through the one function that holds the formula.
var WeightedMean = weightedMean

// ClassMean gives the tests the mean conductivity of a texture class.
func ClassMean(p Parameters, t Texture) (float64, bool) {
	k, _, ok := p.classMean(t)
	return k, ok
}
