// Command planload has the course plans of many clubs made in the background by two
// processes over one PostgreSQL of its own, kills one of them midway, and says how
// many were made in a minute. It fails when a plan was lost, made twice or came out
// differently.
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
	"swardcase/api/store/storetest"
)

// trial is one run: the program under test, where its files are, and how much is
// asked of it.
type trial struct {
	served.Binary
	course  course
	clubs   int
	workers int
	years   int
	// kinds is how many different courses there are among the clubs: plans of the
	// same one must come out the same.
	kinds int
}

func main() {
	served.Main("planload", run)
}

func run(ctx context.Context) (err error) {
	var t trial
	t.Flag()
	greens := flag.Int("greens", 9, "greens of each course")
	flag.IntVar(&t.years, "years", 5, "years of each plan")
	flag.IntVar(&t.clubs, "clubs", 2000, "how many clubs have a plan made")
	flag.IntVar(&t.workers, "workers", 1, "plans that each process works on at once")
	flag.IntVar(&t.kinds, "kinds", 20, "how many different courses there are among them")
	flag.Parse()
	if t.course, err = readCourse(*greens); err != nil {
		return err
	}
	return t.Use(ctx, "planload", func() (err error) {
		server, err := storetest.NewServer(true)
		if err != nil {
			return err
		}
		defer func() { err = errors.Join(err, server.Remove()) }()
		return t.overDatabase(ctx, server)
	})
}

// overDatabase queues every plan, kills a process midway, starts another in its
// place as a supervisor would, and waits for the end.
func (t *trial) overDatabase(ctx context.Context, server *storetest.Server) (err error) {
	serves, err := makeTables(ctx, server)
	if err != nil {
		return err
	}
	look, err := openLook(server)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, look.db.Close()) }()
	doomed, err := t.serve(serves)
	if err != nil {
		return err
	}
	defer doomed.Kill() // does nothing once it has ended
	other, err := t.serve(serves)
	if err != nil {
		return err
	}
	defer other.Kill()
	began := time.Now()
	if err := t.queue(ctx, doomed, other); err != nil {
		return err
	}
	fmt.Printf("%d clubs, a plan each of %d greens over %d years, queued in %s at two processes with %d workers each\n",
		t.clubs, len(t.course.greens), t.years, time.Since(began).Round(10*time.Millisecond), t.workers)

	left, err := t.killMidway(ctx, look, doomed)
	if err != nil {
		return err
	}
	killed := time.Now()
	fmt.Printf("one process killed while it worked on %d of them; another put in its place\n", len(left))
	another, err := t.serve(serves)
	if err != nil {
		return err
	}
	defer another.Kill()
	if err := look.untilEnded(ctx, left); err != nil {
		return err
	}
	fmt.Printf("what it left behind was taken over and done %s after the kill\n", time.Since(killed).Round(100*time.Millisecond))
	if err := look.untilAllEnded(ctx); err != nil {
		return err
	}
	if err := look.check(ctx, t.clubs, len(left)); err != nil {
		return err
	}
	return errors.Join(look.report(ctx), other.Stop(), another.Stop())
}
