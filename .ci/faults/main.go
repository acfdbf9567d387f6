// Command faults breaks things under the service on purpose, as a process of its
// own, and says what became of what it had acknowledged. It prints its figures
// and fails when a promise was broken.
//
// Killing is death of a process and not loss of power: what the kernel had taken
// is still written. That the store synchronises before it acknowledges is set in
// its connections; no program can show it without pulling a plug.
//
// Run it from the top of the project. PostgreSQL must be installed.
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"strings"
	"time"

	"swardcase/.ci/served"
)

// lab is where the faults are made: the program under test, a folder for what it
// keeps, and how hard it is tried.
type lab struct {
	served.Binary
	parts  parts
	random *rand.Rand

	writes, clients, rounds int
	races                   int
	away                    time.Duration
	short                   bool
}

// fault is one way of breaking things.
type fault struct {
	name string
	run  func(context.Context, *lab) error
}

var faults = []fault{
	{"clock", clockSetBack},
	{"full", storeFull},
	{"kill-service-sqlite", killServiceOnSQLite},
	{"kill-service-postgres", killServiceOnPostgres},
	{"kill-postgres", killPostgres},
	{"postgres-away", postgresAway},
	{"two-services", twoServices},
	{"replicas", replicasBehindProxy},
}

func main() {
	served.Main("faults", run)
}

func run(ctx context.Context) (err error) {
	var l lab
	var seed uint64
	only := flag.String("only", "", "the `FAULTS` to make, with commas between; usually all: "+strings.Join(names(), ", "))
	l.Flag()
	flag.BoolVar(&l.short, "short", false, "a form of two or three minutes: few rounds and writes, and leases are aged and not waited for")
	flag.IntVar(&l.writes, "writes", 2000, "writes in each round, of which a twentieth are appraisals")
	flag.IntVar(&l.clients, "clients", 2000, "how many of them are under way at once")
	flag.IntVar(&l.rounds, "rounds", 20, "how often each thing is killed")
	flag.IntVar(&l.races, "races", 200, "races between two services")
	flag.DurationVar(&l.away, "away", 10*time.Second, "how long PostgreSQL stays away")
	flag.Uint64Var(&seed, "seed", 0, "picks the moments of the kills; 0 takes one from the clock")
	flag.Parse()
	if l.short {
		l.writes, l.clients, l.rounds, l.races, l.away = min(l.writes, 300), min(l.clients, 300), min(l.rounds, 3), min(l.races, 20), min(l.away, 2*time.Second)
	}
	if seed == 0 {
		seed = uint64(time.Now().UnixNano())
	}
	l.random = rand.New(rand.NewPCG(seed, 0))
	fmt.Printf("seed %d; kills are process death, not power loss\n", seed)

	if l.parts, err = readParts(filepath.Join("testdata", "cases", "green_14.json")); err != nil {
		return err
	}
	return l.Use(ctx, "faults", func() error { return l.breakThings(ctx, *only) })
}

func names() []string {
	var all []string
	for _, f := range faults {
		all = append(all, f.name)
	}
	return all
}

// breakThings makes the faults that were asked for, all of them even when one
// has shown a broken promise.
func (l *lab) breakThings(ctx context.Context, only string) error {
	wanted := map[string]bool{}
	for name := range strings.SplitSeq(only, ",") {
		wanted[name] = true
	}
	var broken []error
	made := 0
	for _, f := range faults {
		if only != "" && !wanted[f.name] {
			continue
		}
		made++
		fmt.Printf("\n%s\n", f.name)
		start := time.Now()
		if err := f.run(ctx, l); err != nil {
			fmt.Printf("  BROKEN: %v\n", err)
			broken = append(broken, fmt.Errorf("%s: %w", f.name, err))
		}
		fmt.Printf("  %s\n", time.Since(start).Round(100*time.Millisecond))
		if ctx.Err() != nil {
			return ctx.Err()
		}
	}
	if made == 0 {
		return fmt.Errorf("there is no fault %q; the faults are %s", only, strings.Join(names(), ", "))
	}
	if len(broken) > 0 {
		return errors.Join(broken...)
	}
	fmt.Printf("\n%d faults made, every promise kept\n", made)
	return nil
}
