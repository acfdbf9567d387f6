// Command plancompare sets the search for course plans beside two programmes
// for integer problems, GLPK (glpsol) and CBC (cbc), on the same problems in the
// same run:
//
//	go run .ci/plancompare/*.go [-courses 50] [-scale]
//
// It solves the published knapsack problems with all three and holds each to the
// published optimum; it plans courses made from a seed and holds the value to
// CBC's, on a formulation of its own that is written from the course and not from
// the search's; and with -scale it reports how large a course is solved within
// how much processor time. Anything that does not agree ends it with 1.
package main

import (
	"context"
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"syscall"
	"time"

	"swardcase/model/programme"
	"swardcase/model/programme/choice"
	"swardcase/model/programme/knapsack"
	"swardcase/model/programme/seeded"
)

func main() {
	courses := flag.Int("courses", 50, "how many courses are set against CBC")
	scale := flag.Bool("scale", false, "report how large a course is solved")
	flag.Parse()
	scratch, err := os.MkdirTemp("", "plancompare")
	if err != nil {
		fail("%v", err)
	}
	defer os.RemoveAll(scratch)
	bad := compareKnapsacks(scratch)
	bad += compareCourses(scratch, *courses)
	if *scale {
		reportScale()
	}
	if bad > 0 {
		os.RemoveAll(scratch)
		fail("%d do not agree", bad)
	}
}

func fail(format string, values ...any) {
	fmt.Fprintf(os.Stderr, "plancompare: "+format+"\n", values...)
	os.Exit(1)
}

// processor is the processor time of this process: on a busy machine the clock
// says little.
func processor() time.Duration {
	var usage syscall.Rusage
	if syscall.Getrusage(syscall.RUSAGE_SELF, &usage) != nil {
		return 0
	}
	return time.Duration(usage.Utime.Nano() + usage.Stime.Nano())
}

func compareKnapsacks(scratch string) (bad int) {
	fmt.Printf("%-14s %10s %9s %6s   %9s %6s   %9s %6s\n", "knapsack", "optimum", "ours", "nodes", "GLPK", "nodes", "CBC", "nodes")
	var total [3]time.Duration
	for _, file := range []string{"multidimensional", "multiple_choice"} {
		list, err := knapsack.Read("testdata/knapsack/" + file + ".json")
		if err != nil {
			fail("%v", err)
		}
		for _, in := range list {
			p := in.Problem()
			before := processor()
			ours, err := choice.Solve(context.Background(), p, choice.Limits{})
			if err != nil {
				fail("%s: %v", in.ID, err)
			}
			took := processor() - before
			path := filepath.Join(scratch, "problem.lp")
			knapsackProgram(p).write(path)
			glpk, cbc := runGLPK(path), runCBC(path)
			want := in.Optimum * knapsack.Scale
			verdict := ""
			if !ours.Proven || !near(float64(ours.Value), want, 1e-9) || !near(glpk.value, want, 1e-6) || !near(cbc.value, want, 1e-6) {
				bad++
				verdict = fmt.Sprintf("  DIFFERS: ours %d, GLPK %v, CBC %v", ours.Value, glpk.value, cbc.value)
			}
			fmt.Printf("%-14s %10.1f %9s %6d   %9s %6d   %9s %6d%s\n", in.ID, in.Optimum, millis(took), ours.Nodes, millis(glpk.took), glpk.nodes, millis(cbc.took), cbc.nodes, verdict)
			for i, d := range []time.Duration{took, glpk.took, cbc.took} {
				total[i] += d
			}
		}
	}
	fmt.Printf("%-14s %10s %9s %6s   %9s %6s   %9s   (processor time; the others' with reading the file)\n", "all", "", millis(total[0]), "", millis(total[1]), "", millis(total[2]))
	return bad
}

func near(a, b, relative float64) bool { return math.Abs(a-b) <= relative*max(1, math.Abs(b)) }

func millis(d time.Duration) string { return fmt.Sprintf("%.1f ms", float64(d.Microseconds())/1000) }

// compareCourses plans courses with every kind of rule. Values are held to CBC's
// to a ten-millionth: interest is rounded to the penny here and not there.
func compareCourses(scratch string, courses int) (bad int) {
	fmt.Printf("\n%-34s %14s %9s %6s   %9s %6s\n", "course", "value", "ours", "nodes", "CBC", "nodes")
	for seed := range uint64(courses) {
		size := seeded.Size{
			Greens: 6 + int(seed%4), Options: 3 + int(seed%5), Years: 3 + int(seed%3), Scenarios: 1 + int(seed%3), Rules: true,
			Breaks: seed%2 == 0, Alike: seed%3 == 0, Borrowing: seed%4 < 2,
		}
		c := seeded.Course(size, seed)
		kinds := []programme.ObjectiveKind{programme.NetPresentValue, programme.IndexYears, programme.LeastRegret}
		if c.Objective.Kind = kinds[seed%3]; c.Objective.Kind == programme.IndexYears && c.Alike != nil {
			c.Alike.Penalty /= 100
		}
		before := processor()
		ours, err := programme.Solve(context.Background(), c, programme.Search{})
		if err != nil {
			fail("course %d: %v", seed, err)
		}
		took := processor() - before
		c.Objective.Best = ours.Best
		name := fmt.Sprintf("%2d %s, %dx%dx%d", seed, c.Objective.Kind, size.Greens, size.Options, size.Years)
		if c.Objective.Kind == programme.LeastRegret && ours.Picks == nil {
			c.Objective = programme.Objective{Kind: programme.NetPresentValue, Scenarios: size.Scenarios}
		}
		path := filepath.Join(scratch, "course.lp")
		courseProgram(c).write(path)
		cbc := runCBC(path)
		verdict := ""
		switch {
		case (ours.Picks == nil) != cbc.infeasible:
			verdict = fmt.Sprintf("  DIFFERS: a plan here %v, none by CBC %v", ours.Picks != nil, cbc.infeasible)
		case ours.Picks != nil && !near(cbc.value*moneyUnit(c), float64(ours.Value), 1e-7) && math.Abs(cbc.value*moneyUnit(c)-float64(ours.Value)) > 3:
			verdict = fmt.Sprintf("  DIFFERS: CBC %.2f", cbc.value*moneyUnit(c))
		case ours.Picks != nil && (!ours.Proven || len(c.Violations(ours.Picks)) > 0):
			verdict = "  NOT PROVEN, or a rule is broken"
		}
		if verdict != "" {
			bad++
		}
		value := "no plan"
		if ours.Picks != nil {
			value = fmt.Sprint(ours.Value)
		}
		fmt.Printf("%-34s %14s %9s %6d   %9s %6d%s\n", name, value, millis(took), ours.Nodes, millis(cbc.took), cbc.nodes, verdict)
	}
	return bad
}

// reportScale solves courses of the sizes that are aimed at, in processor time on
// one core: 18 greens by 7 options by 10 years to the end, and 54 greens for half
// a minute.
func reportScale() {
	fmt.Printf("\n%-44s %9s %7s %10s\n", "course", "took", "nodes", "gap")
	for _, of := range []struct {
		greens, seeds int
		limit         time.Duration
		rules         bool
	}{{18, 10, 60 * time.Second, false}, {18, 10, 60 * time.Second, true}, {54, 5, 30 * time.Second, false}} {
		for seed := range uint64(of.seeds) {
			c := seeded.Course(seeded.Size{Greens: of.greens, Options: 7, Years: 10, Rules: of.rules}, seed)
			before := processor()
			ctx, stop := context.WithCancel(context.Background())
			first, firstGap := time.Duration(0), ""
			found, err := programme.Solve(ctx, c, programme.Search{Tell: func(p programme.Progress) {
				took := processor() - before
				if took > of.limit {
					stop()
				}
				if first == 0 && p.Found && p.Bounded && float64(p.Bound-p.Value) <= 0.005*math.Abs(float64(p.Value)) {
					first, firstGap = took, fmt.Sprintf("  within 0.5 %% after %.1f s", took.Seconds())
				}
			}})
			stop()
			if err != nil {
				fail("scale: %v", err)
			}
			gap := "no plan"
			if found.Picks != nil {
				gap = fmt.Sprintf("%.4f %%", 100*float64(found.Bound-found.Value)/math.Abs(float64(found.Value)))
			}
			rules := "budget and play"
			if of.rules {
				rules = "every rule"
			}
			fmt.Printf("%2d greens, 7 options, 10 years, seed %d, %-16s %7.2f s %6d %10s%s\n", of.greens, seed, rules, (processor() - before).Seconds(), found.Nodes, gap, firstGap)
		}
	}
}
