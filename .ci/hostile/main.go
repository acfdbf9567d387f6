// Command hostile sends what an enemy would to the served binary, as a process of
// its own, prints what became of it and of a good client meanwhile, and fails when
// the service gave way.
//
// Run it from the top of the project. PostgreSQL must be installed.
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"time"

	"swardcase/.ci/served"
)

// lab is where it happens.
type lab struct {
	served.Binary
	idle   int           // idle connections
	slow   int           // slow clients of each kind
	forged time.Duration // for how long a caller claims to be others
}

// attack is one kind of hostility.
type attack struct {
	name string
	run  func(context.Context, *lab) error
}

var attacks = []attack{
	{"documents", hostileDocuments},
	{"sql", sqlEverywhere},
	{"forged", forgedAddresses},
	{"slow", slowClients},
	{"idle", idleConnections},
}

func main() {
	served.Main("hostile", run)
}

func run(ctx context.Context) error {
	var l lab
	only := flag.String("only", "", "the one attack to make; usually all")
	hold := flag.String("hold", "", "be the second process: hold idle connections to this `ADDRESS`")
	l.Flag()
	flag.IntVar(&l.idle, "idle", 10_000, "idle connections")
	flag.IntVar(&l.slow, "slow", 300, "slow clients of each kind")
	flag.DurationVar(&l.forged, "forged", 10*time.Second, "for how long a caller claims to be others")
	flag.Parse()
	if *hold != "" {
		return holdIdle(ctx, *hold, l.idle)
	}
	return l.Use(ctx, "hostile", func() error { return l.attack(ctx, *only) })
}

// attack makes the attacks that were asked for, all of them even when the service
// gave way to one.
func (l *lab) attack(ctx context.Context, only string) (err error) {
	made := 0
	for _, a := range attacks {
		if only != "" && only != a.name {
			continue
		}
		made++
		fmt.Printf("\n%s\n", a.name)
		start := time.Now()
		if failed := a.run(ctx, l); failed != nil {
			fmt.Printf("  GAVE WAY: %v\n", failed)
			err = errors.Join(err, fmt.Errorf("%s: %w", a.name, failed))
		}
		fmt.Printf("  %s\n", time.Since(start).Round(100*time.Millisecond))
	}
	if made == 0 {
		return fmt.Errorf("there is no attack %q", only)
	}
	return err
}
