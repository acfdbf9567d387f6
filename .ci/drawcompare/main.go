// Command drawcompare times the draws against a plain vectorised numpy version
// of the same cash flows, in the same run: 10,000 draws of six bare cash flows of
// 30 years. Both start from the same drawn inputs and must give the same
// quantiles. It is a comparison and not a test: it prints times, and fails only
// where the quantiles differ.
package main

import (
	"bytes"
	"context"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"time"

	"swardcase/model/assumption"
	"swardcase/model/confidence"
)

const (
	draws, options, years = 10_000, 6, 30
	discountRate          = 0.035
	inputsOfOption        = 3 // capital, income a year, upkeep a year
)

func main() {
	if err := run(); err != nil {
		fmt.Fprintln(os.Stderr, "drawcompare:", err)
		os.Exit(1)
	}
}

func run() error {
	study := bareStudy()
	p := confidence.ParametersFrom(assumption.Defaults())
	settings := confidence.Settings{Draws: draws, Seed: 1, Workers: 1}
	if _, err := study.Run(context.Background(), settings, p); err != nil { // once to warm up
		return err
	}
	start := time.Now()
	result, err := study.Run(context.Background(), settings, p)
	if err != nil {
		return err
	}
	whole := time.Since(start)
	inputs, sampling, err := drawn(study, p)
	if err != nil {
		return err
	}
	theirs, err := numpy(inputs)
	if err != nil {
		return err
	}
	for o, option := range result.Options {
		band := option.Outcomes[0]
		for i, quantile := range []*float64{band.P10, band.P50, band.P90} {
			if other := theirs.Quantiles[o][i]; math.Abs(*quantile-other) > 1e-9*math.Abs(other) {
				return fmt.Errorf("%s: quantile %d is %v here and %v in numpy", option.Option, i, *quantile, other)
			}
		}
	}
	fmt.Printf("%d draws of %d cash flows of %d years, one processor\n", draws, options, years)
	fmt.Printf("here:  %.1f ms with the drawing of the inputs (%.1f ms), choice of the best and all quantiles\n", milliseconds(whole), milliseconds(sampling))
	fmt.Printf("numpy: %.1f ms from drawn inputs to net present values, choice and quantiles\n", theirs.Milliseconds)
	fmt.Println("the quantiles agree")
	return nil
}

func milliseconds(d time.Duration) float64 { return float64(d.Microseconds()) / 1000 }

// bareStudy is six options, each with a capital paid at once and a yearly income
// and upkeep.
func bareStudy() confidence.Study {
	s := confidence.Study{
		RankBy: "net_present_value", Outcomes: []confidence.Outcome{{Name: "net_present_value", Unit: "1"}, {Name: "capital", Unit: "1"}},
	}
	for o := range options {
		base := 10_000 + 5_000*float64(o)
		for _, in := range []struct {
			name        string
			likely, off float64
		}{{"capital", base, 0.3 * base}, {"income", base / 10, 0.05 * base}, {"upkeep", base / 30, 0.01 * base}} {
			s.Inputs = append(s.Inputs, confidence.Input{
				Name: fmt.Sprintf("%s %d", in.name, o), Unit: "1", Low: in.likely - in.off/2, Likely: in.likely, High: in.likely + in.off, Shape: confidence.PERT,
			})
		}
		s.Options = append(s.Options, confidence.Option{Name: fmt.Sprintf("option %d", o), Feasible: true})
	}
	s.NewEvaluate = func() confidence.Evaluate {
		factors := make([]float64, years+1)
		for year := range factors {
			factors[year] = math.Pow(1+discountRate, -float64(year))
		}
		net := make([]float64, years+1)
		return func(draw, out []float64) {
			for o := range options {
				in := draw[inputsOfOption*o:][:inputsOfOption]
				net[0] = -in[0]
				for year := 1; year <= years; year++ {
					net[year] = in[1] - in[2]
				}
				value := 0.0
				for year, flow := range net {
					value += flow * factors[year]
				}
				out[2*o], out[2*o+1] = value, in[0]
			}
		}
	}
	return s
}

// drawn makes the inputs of every draw, and says how long that took.
func drawn(s confidence.Study, p confidence.Parameters) ([]byte, time.Duration, error) {
	sampler, bad := confidence.NewSampler(s.Inputs, 1, p)
	if len(bad) > 0 {
		return nil, 0, bad
	}
	values := make([]float64, draws*len(s.Inputs))
	start := time.Now()
	for n := range draws {
		sampler.Draw(n, values[n*len(s.Inputs):][:len(s.Inputs)])
	}
	took := time.Since(start)
	var b bytes.Buffer
	err := binary.Write(&b, binary.LittleEndian, values)
	return b.Bytes(), took, err
}

// answer is what the script prints.
type answer struct {
	Milliseconds float64      `json:"milliseconds"`
	Quantiles    [][3]float64 `json:"quantiles"` // P10, P50 and P90 by option
}

// numpy runs the script beside this file on the drawn inputs.
func numpy(inputs []byte) (answer, error) {
	var a answer
	command := exec.Command("/usr/bin/python3", filepath.Join(".ci", "drawcompare", "draws.py"),
		fmt.Sprint(draws), fmt.Sprint(options), fmt.Sprint(years), fmt.Sprint(discountRate))
	command.Stdin, command.Stderr = bytes.NewReader(inputs), os.Stderr
	said, err := command.Output()
	if err != nil {
		return a, fmt.Errorf("run the script (from the top of the project, with Debian's python3-numpy): %w", err)
	}
	return a, json.Unmarshal(said, &a)
}
