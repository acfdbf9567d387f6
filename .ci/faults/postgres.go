package main

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"slices"
	"sync"
	"sync/atomic"
	"syscall"
	"time"

	"swardcase/api/store/storetest"
)

// killPostgres kills the database under a service that goes on: in turn one of
// the service's connections (the server then ends them all and recovers by
// itself), the postmaster, and everything at once.
func killPostgres(ctx context.Context, l *lab) error {
	return onPostgres(ctx, l, func(server *storetest.Server, where place) error {
		t := &tried{lab: l, where: where}
		t.kill = func(ctx context.Context, round int, p *process) (func(context.Context) (*process, error), string, error) {
			revive := func(ctx context.Context) (*process, error) {
				return p, errors.Join(startAgain(ctx, server), p.waitReady(ctx))
			}
			switch round % 3 {
			case 1:
				at := time.Now()
				revive = func(ctx context.Context) (*process, error) {
					return p, errors.Join(waitRecovered(ctx, where, at), p.waitReady(ctx))
				}
				return revive, "kill -9 of a connection's process", killConnection(ctx, where)
			case 2:
				return revive, "kill -9 of the postmaster", server.Kill(false)
			}
			return revive, "kill -9 of all of PostgreSQL", server.Kill(true)
		}
		return t.run(ctx)
	})
}

// killConnection kills the server's process behind one of the service's
// connections.
func killConnection(ctx context.Context, where place) (err error) {
	db, err := where.look()
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	var pid int
	err = db.QueryRowContext(ctx, "SELECT pid FROM pg_stat_activity WHERE application_name = 'swardcase' ORDER BY state = 'active' DESC LIMIT 1").Scan(&pid)
	if err != nil {
		return err
	}
	return syscall.Kill(pid, syscall.SIGKILL)
}

// waitRecovered waits until the server has seen that a process of its own was
// killed, has ended all others, and has recovered: its checkpointer is then a new
// one.
func waitRecovered(ctx context.Context, where place, killed time.Time) (err error) {
	db, err := where.look()
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	for range 300 {
		var recovered bool
		err = db.QueryRowContext(ctx, "SELECT backend_start > $1 FROM pg_stat_activity WHERE backend_type = 'checkpointer'", killed).Scan(&recovered)
		if err == nil && recovered {
			return nil
		}
		select {
		case <-ctx.Done():
			return ctx.Err()
		case <-time.After(20 * time.Millisecond):
		}
	}
	return errors.Join(errors.New("the server did not recover"), err)
}

// startAgain starts a killed server, as soon as the last of its children has
// seen that the postmaster is gone.
func startAgain(ctx context.Context, server *storetest.Server) error {
	var err error
	for range 300 {
		if err = server.Start(); err == nil {
			return nil
		}
		select {
		case <-ctx.Done():
			return ctx.Err()
		case <-time.After(100 * time.Millisecond):
		}
	}
	return err
}

// moment is one request of a load, and how it ended.
type moment struct {
	at, ended time.Time
	status    int // 0 for no answer
}

// postgresAway takes the database away from under a load, once tidily and once
// by freezing it, and brings it back. The service is never restarted.
func postgresAway(ctx context.Context, l *lab) error {
	return onPostgres(ctx, l, func(server *storetest.Server, where place) error {
		p, err := l.serve(ctx, where)
		if err != nil {
			return err
		}
		k, err := l.newClub(ctx, p.caller, "away")
		if err != nil {
			return err
		}
		written := 0
		outages := []outage{{"stopped and started", server.Stop, server.Start, l.away}}
		if !l.short {
			// Longer than a request may take, so that their own limit ends them.
			outages = append(outages, outage{
				"frozen and thawed",
				func() error { return server.Signal(syscall.SIGSTOP) },
				func() error { return server.Signal(syscall.SIGCONT) },
				max(l.away, 30*time.Second),
			})
		}
		for _, o := range outages {
			if written, err = l.endure(ctx, p, k, o, written); err != nil {
				return fmt.Errorf("%s: %w", o.name, err)
			}
		}
		if err := where.checkWhole(ctx); err != nil {
			return err
		}
		return p.Stop()
	})
}

type outage struct {
	name      string
	out, back func() error
	lasts     time.Duration
}

const loadClients = 16

// endure keeps a load of surveys on the service through an outage.
func (l *lab) endure(ctx context.Context, p *process, k club, o outage, from int) (written int, err error) {
	loading, stopLoad := context.WithCancel(ctx)
	defer stopLoad()
	var number atomic.Int64
	number.Store(int64(from))
	var mu sync.Mutex
	var moments []moment
	var writes []*write
	var poured tally
	var group sync.WaitGroup
	for range loadClients {
		group.Go(func() {
			for loading.Err() == nil {
				n := int(number.Add(1))
				w := &write{kind: surveys, path: k.at + "/surveys", key: fmt.Sprintf("away-%d", n), body: k.surveyBody(n)}
				at := time.Now()
				a, err := p.send(ctx, http.MethodPost, w.path, w.body, "Idempotency-Key", w.key)
				switch {
				case err != nil:
					poured.fault(fmt.Errorf("no answer from a service that runs: %w", err))
				case a.status == http.StatusCreated:
					w.kept, w.location = a.body, a.header.Get("Location")
				default:
					poured.refuse(a)
					time.Sleep(20 * time.Millisecond)
				}
				mu.Lock()
				moments, writes = append(moments, moment{at, time.Now(), a.status}), append(writes, w)
				mu.Unlock()
			}
		})
	}
	went, came, err := l.passOutage(ctx, p, o)
	stopLoad()
	group.Wait()
	if err := errors.Join(err, poured.err()); err != nil {
		return 0, err
	}
	if err := reportOutage(o, moments, went, came); err != nil {
		return 0, err
	}
	return int(number.Load()), checkRead(ctx, p.caller, writes)
}

// passOutage lets the load run, takes the database away and brings it back.
func (l *lab) passOutage(ctx context.Context, p *process, o outage) (went, came time.Time, err error) {
	warm := min(l.away, 3*time.Second)
	time.Sleep(warm)
	went = time.Now()
	if err := o.out(); err != nil {
		return went, came, err
	}
	time.Sleep(o.lasts)
	// The process itself is well, but not ready.
	_, err = p.want(ctx, http.StatusOK, http.MethodGet, "/healthz", nil)
	ready, readyErr := p.send(ctx, http.MethodGet, "/readyz", nil)
	if err == nil {
		err = readyErr
	}
	if err == nil && ready.status != http.StatusServiceUnavailable {
		err = fmt.Errorf("ready while the database is away: %d", ready.status)
	}
	if back := o.back(); err == nil {
		err = back
	}
	came = time.Now()
	time.Sleep(max(warm, 5*time.Second))
	return went, came, err
}

// reportOutage prints what the load met, and insists that it met refusals while
// the database was away and none some seconds after it came back.
func reportOutage(o outage, moments []moment, went, came time.Time) error {
	before, during, after := map[int]int{}, map[int]int{}, map[int]int{}
	var first, lastRefused time.Time
	var slowest time.Duration
	for _, m := range moments {
		switch {
		case m.ended.Before(went):
			before[m.status]++
			continue
		case m.ended.Before(came):
			during[m.status]++
			slowest = max(slowest, m.ended.Sub(m.at))
			continue
		}
		after[m.status]++
		if m.status == http.StatusCreated && (first.IsZero() || m.ended.Before(first)) {
			first = m.ended
		}
		if m.status != http.StatusCreated && m.ended.After(lastRefused) {
			lastRefused = m.ended
		}
	}
	fmt.Printf("  %s for %s under %d clients, answers by status: before %v, away %v (slowest %s), back %v\n",
		o.name, came.Sub(went).Round(100*time.Millisecond), loadClients, before, during, slowest.Round(10*time.Millisecond), after)
	if first.IsZero() || during[http.StatusServiceUnavailable] == 0 {
		return errors.New("nothing was refused, or nothing was stored again")
	}
	stillRefusing := time.Duration(0)
	if !lastRefused.IsZero() {
		stillRefusing = lastRefused.Sub(came)
	}
	fmt.Printf("  first stored %s after it was back, last refused after %s; no restart\n",
		first.Sub(came).Round(time.Millisecond), stillRefusing.Round(time.Millisecond))
	ends := slices.MaxFunc(moments, func(a, b moment) int { return a.ended.Compare(b.ended) }).ended
	if ends.Sub(lastRefused) < time.Second {
		return errors.New("requests are still refused seconds after the database came back")
	}
	return nil
}
