package confidence

import (
	"context"
	"fmt"
	"math"
	"runtime"

	"swardcase/model/fault"
)

// Settings are how many draws to make, and from which seed. Draws 0 stands for
// the number in the table of assumptions.
type Settings struct {
	Draws int   `json:"draws,omitempty"` // 100 to 100,000
	Seed  int64 `json:"seed"`            // 0 to 2⁵³ − 1, which every JSON reader keeps exactly
	// Workers is how many goroutines share the work, 0 for as many as the
	// processors. It is no part of a case: the result is the same with any number.
	Workers int `json:"-"`
}

const (
	leastDraws, mostDraws = 100, 100_000
	mostSeed              = 1<<53 - 1
	mostWorkers           = 1024
	// mostValues bounds the outcomes kept at once, over all options and draws: 80 MB.
	mostValues = 10_000_000
	// chunkDraws is how many draws a worker takes at a time, and looks at its
	// context between.
	chunkDraws = 256
)

// complete fills in what the settings leave open and checks them.
func (s Settings) complete(p Parameters, columns int) (Settings, fault.List) {
	var faults fault.List
	if s.Draws == 0 {
		s.Draws = int(math.Round(p.Draws))
	}
	switch {
	case s.Draws < leastDraws || s.Draws > mostDraws:
		faults.Add("/draws", s.Draws, "a number of draws that is of no use", fmt.Sprintf("ask for %d to %d draws", leastDraws, mostDraws))
	case s.Draws*columns > mostValues:
		faults.Add("/draws", s.Draws, "too many draws for so many options and outcomes",
			fmt.Sprintf("ask for at most %d draws", mostValues/columns))
	}
	if s.Seed < 0 || s.Seed > mostSeed {
		faults.Add("/seed", s.Seed, "not a seed", fmt.Sprintf("write a whole number from 0 to %d", int64(mostSeed)))
	}
	if s.Workers < 0 {
		faults.Add("/workers", s.Workers, "not a number of workers", "write 0 or more")
	}
	if s.Workers == 0 {
		s.Workers = runtime.GOMAXPROCS(0)
	}
	s.Workers = min(s.Workers, mostWorkers)
	return s, faults
}

// Run draws the inputs many times and says how the outcomes spread. The result
// depends on the study, the parameters, Draws and Seed alone. The error is a
// fault.List, or the context's where it ended first.
//
// Pointers of faults: /settings/… for the settings, otherwise relative to the
// study.
func (s Study) Run(ctx context.Context, settings Settings, p Parameters) (Result, error) {
	faults := append(p.check(), s.check()...)
	columns := max(1, len(s.Options)*len(s.Outcomes))
	settings, wrong := settings.complete(p, columns)
	faults.Under("/settings", wrong)
	if len(faults) > 0 {
		return Result{}, faults
	}
	r := &runner{
		study: s, settings: settings, sampler: newSampler(s.Inputs, settings.Seed, p),
		chooser: s.newChooser(), columns: make([][]float64, columns),
	}
	values := make([]float64, columns*settings.Draws)
	for i := range r.columns {
		r.columns[i] = values[i*settings.Draws:][:settings.Draws]
	}
	counts, err := r.evaluate(ctx)
	if err != nil {
		return Result{}, err
	}
	bands, err := r.summarise(ctx)
	if err != nil {
		return Result{}, err
	}
	return r.result(counts, bands), nil
}

// runner holds one run. Workers write to places of columns that no other touches.
type runner struct {
	study    Study
	settings Settings
	sampler  *Sampler
	chooser  chooser
	columns  [][]float64 // by option and outcome, then by draw
}

// evaluate fills the columns and counts, for each worker by itself: whole numbers
// add up to the same in any order.
func (r *runner) evaluate(ctx context.Context) (counts, error) {
	chunks := (r.settings.Draws + chunkDraws - 1) / chunkDraws
	perWorker := make([]counts, min(r.settings.Workers, chunks))
	err := shareOut(ctx, len(perWorker), chunks, func(worker int) func(chunk int) {
		perWorker[worker] = newCounts(len(r.study.Options), len(r.study.Requirements))
		return r.chunkWorker(&perWorker[worker])
	})
	total := newCounts(len(r.study.Options), len(r.study.Requirements))
	for i := range perWorker {
		total.add(perWorker[i])
	}
	return total, err
}

// chunkWorker makes the function with which one worker does chunks of draws.
func (r *runner) chunkWorker(c *counts) func(chunk int) {
	evaluate := r.study.NewEvaluate()
	draw := make([]float64, len(r.study.Inputs))
	out := make([]float64, len(r.columns))
	return func(chunk int) {
		first := chunk * chunkDraws
		for index := first; index < min(first+chunkDraws, r.settings.Draws); index++ {
			r.sampler.Draw(index, draw)
			evaluate(draw, out)
			for i, x := range out {
				r.columns[i][index] = x
			}
			c.count(&r.chooser, out)
		}
	}
}

// summarise works out the bands, one column after another on each worker.
func (r *runner) summarise(ctx context.Context) ([]QuantileBand, error) {
	bands := make([]QuantileBand, len(r.columns))
	workers := min(r.settings.Workers, len(r.columns))
	err := shareOut(ctx, workers, len(r.columns), func(int) func(int) {
		scratch := make([]float64, r.settings.Draws)
		return func(column int) {
			bands[column] = band(r.study.Outcomes[column%len(r.study.Outcomes)], r.columns[column], scratch)
		}
	})
	return bands, err
}

func (r *runner) result(c counts, bands []QuantileBand) Result {
	n := r.settings.Draws
	result := Result{Draws: n, Seed: r.settings.Seed, NoOption: probability(c.none, n), TiedDraws: c.tied}
	for o, option := range r.study.Options {
		k := len(r.study.Outcomes)
		one := OptionResult{
			Option: option.Name, Feasible: option.Feasible,
			Best: probability(c.best[o], n), MeetsRequirements: probability(c.meetsAll[o], n),
			Requirements: make([]RequirementResult, len(r.study.Requirements)),
			Outcomes:     bands[o*k : (o+1)*k : (o+1)*k],
		}
		for i, requirement := range r.study.Requirements {
			one.Requirements[i] = RequirementResult{requirement, probability(c.meets[o*len(one.Requirements)+i], n)}
		}
		result.Options = append(result.Options, one)
	}
	return result
}
