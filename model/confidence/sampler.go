package confidence

import (
	"math"

	"swardcase/model/fault"
)

// Sampler draws the inputs of a study. It holds no position: any draw can be
// asked for in any order, by many goroutines at once, and is always the same.
type Sampler struct{ sources []source }

// source draws one input.
type source struct {
	shape                    Shape
	key                      uint64
	low, likely, high, width float64
	step                     float64
	cut                      float64 // of a triangle: where its peak stands between low and high
	table                    *quantileTable
}

// NewSampler prepares the inputs for one seed. Pointers of the faults are
// relative to the list of inputs.
func NewSampler(inputs []Input, seed int64, p Parameters) (*Sampler, fault.List) {
	faults := p.check()
	checkInputs("", inputs, &faults)
	if len(faults) > 0 {
		return nil, faults
	}
	return newSampler(inputs, seed, p), nil
}

func newSampler(inputs []Input, seed int64, p Parameters) *Sampler {
	s := &Sampler{sources: make([]source, len(inputs))}
	tables := map[[2]float64]*quantileTable{} // rates that share a relative range share a table
	for i, in := range inputs {
		width := in.High - in.Low
		s.sources[i] = source{
			shape: in.Shape, key: streamKey(seed, in.Name), step: in.Step,
			low: in.Low, likely: in.Likely, high: in.High, width: width,
		}
		if !in.varies() {
			s.sources[i].shape = Fixed
			continue
		}
		s.sources[i].cut = (in.Likely - in.Low) / width
		if in.Shape == PERT {
			shapes := pertShapes(s.sources[i].cut, p.PERTLikelyWeight)
			if tables[shapes] == nil {
				tables[shapes] = newQuantileTable(shapes[0], shapes[1])
			}
			s.sources[i].table = tables[shapes]
		}
	}
	return s
}

// pertShapes gives the two shapes of the beta distribution that a PERT is, for a
// likely value at the given share of the way from low to high:
// α = 1 + λ(m − a)/(b − a), β = 1 + λ(b − m)/(b − a).
func pertShapes(mode, lambda float64) [2]float64 {
	return [2]float64{1 + lambda*mode, 1 + lambda*(1-mode)}
}

// Draw writes draw number index, from 0, into a slice as long as the inputs. It
// allocates nothing.
func (s *Sampler) Draw(index int, into []float64) {
	into = into[:len(s.sources)]
	for i := range s.sources {
		into[i] = s.sources[i].draw(uint64(index))
	}
}

// draw inverts the distribution at the input's own uniform number for the draw.
func (s *source) draw(index uint64) float64 {
	if s.shape == Fixed {
		return s.likely
	}
	return s.quantile(uniform(streamWord(s.key, index)))
}

// quantile is the value of a varying input that a probability falls on.
func (s *source) quantile(probability float64) float64 {
	var share float64 // of the way from low to high
	switch {
	case s.shape == PERT:
		share = s.table.at(probability)
	case probability < s.cut:
		share = math.Sqrt(probability * s.cut)
	default:
		share = 1 - math.Sqrt((1-probability)*(1-s.cut))
	}
	x := s.low + s.width*share
	if s.step > 0 {
		x = s.low + s.step*math.Round(s.width*share/s.step)
	}
	return min(max(x, s.low), s.high)
}
