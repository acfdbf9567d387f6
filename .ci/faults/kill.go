package main

import (
	"context"
	"fmt"
	"math/rand/v2"
	"net/http"
	"sync/atomic"
	"time"

	"swardcase/api/store/storetest"
)

// lease is how long the claim of an idempotency key outlives its process.
const lease = 2 * time.Minute

// tried is one store through all its rounds.
type tried struct {
	lab   *lab
	where place
	// kill kills, and returns how to get a service over what is left.
	kill func(ctx context.Context, round int, at *process) (revive func(context.Context) (*process, error), how string, err error)

	rounds []*round
	totals struct{ asked, acknowledged, keptUnheard, stuck int }
}

// round is one kill, in the midst of the writes of one club.
type round struct {
	club   club
	writes []*write
	stuck  []*write // their keys were claimed and came to nothing
}

func killServiceOnSQLite(ctx context.Context, l *lab) error {
	where, err := l.newFile("killed")
	if err != nil {
		return err
	}
	return killService(ctx, l, where)
}

func killServiceOnPostgres(ctx context.Context, l *lab) error {
	return onPostgres(ctx, l, func(_ *storetest.Server, where place) error { return killService(ctx, l, where) })
}

// onPostgres runs f over a synchronising PostgreSQL of its own.
func onPostgres(ctx context.Context, l *lab, f func(*storetest.Server, place) error) error {
	server, err := storetest.NewServer(true)
	if err != nil {
		return err
	}
	where := place{url: server.URL("postgres")}
	err = l.Migrate(ctx, where.setting())
	if err == nil {
		err = f(server, where)
	}
	if ended := server.Remove(); err == nil {
		err = ended
	}
	return err
}

func killService(ctx context.Context, l *lab, where place) error {
	t := &tried{lab: l, where: where}
	t.kill = func(_ context.Context, _ int, p *process) (func(context.Context) (*process, error), string, error) {
		revive := func(ctx context.Context) (*process, error) { return l.serve(ctx, where) }
		return revive, "kill -9 of the service", p.Kill()
	}
	return t.run(ctx)
}

func (t *tried) run(ctx context.Context) error {
	p, err := t.lab.serve(ctx, t.where)
	if err != nil {
		return err
	}
	fmt.Printf("  %d rounds of %d writes, %d under way at once\n", t.lab.rounds, t.lab.writes, min(t.lab.clients, t.lab.writes))
	fmt.Println("  round  killed after  acknowledged  unheard  back in  kept unheard  done by asking again  under way")
	for n := range t.lab.rounds {
		if p, err = t.round(ctx, n+1, p); err != nil {
			return fmt.Errorf("round %d: %w", n+1, err)
		}
	}
	if err := t.finish(ctx, p); err != nil {
		return err
	}
	return p.Stop()
}

// round pours a club's writes, kills in their midst, and asks for everything
// again.
func (t *tried) round(ctx context.Context, n int, p *process) (*process, error) {
	k, err := t.lab.newClub(ctx, p.caller, fmt.Sprintf("round %d", n))
	if err != nil {
		return nil, err
	}
	r := &round{club: k}
	r.club.key = fmt.Sprintf("round-%d", n)
	t.rounds = append(t.rounds, r)
	for i := range t.lab.writes {
		w, err := r.club.write(i)
		if err != nil {
			return nil, err
		}
		r.writes = append(r.writes, w)
	}
	// In any order, so that each kind is under way at any moment.
	t.lab.random.Shuffle(len(r.writes), func(i, j int) { r.writes[i], r.writes[j] = r.writes[j], r.writes[i] })

	moment := momentOf(t.lab.random, t.lab.writes)
	latest := time.Now().Add(latestKill)
	var poured tally
	var killed atomic.Bool
	type death struct {
		revive func(context.Context) (*process, error)
		how    string
		err    error
	}
	dead := make(chan death, 1)
	each(r.writes, t.lab.clients, func(w *write) {
		w.post(ctx, p.caller, &poured)
		if (poured.acknowledged.Load() >= moment || time.Now().After(latest)) && killed.CompareAndSwap(false, true) {
			revive, how, err := t.kill(ctx, n, p)
			dead <- death{revive, how, err}
		}
	})
	if !killed.Load() {
		return nil, fmt.Errorf("only %d writes were acknowledged, so that nothing was killed: %v", poured.acknowledged.Load(), poured.statuses)
	}
	d := <-dead
	if d.err != nil {
		return nil, d.err
	}
	if err := poured.err(); err != nil {
		return nil, err
	}
	start := time.Now()
	if p, err = d.revive(ctx); err != nil {
		return nil, err
	}
	back := time.Since(start)
	return p, t.askAgain(ctx, n, r, p.caller, &poured, moment, back, d.how)
}

// latestKill is when a slow machine kills, however little it has acknowledged: the
// last requests of a round may wait for no more than 20 seconds.
const latestKill = 10 * time.Second

// momentOf picks after how many acknowledgements to kill.
func momentOf(random *rand.Rand, writes int) int64 {
	return int64(writes/20 + random.IntN(max(1, writes*7/10)))
}

// askAgain holds what was acknowledged to what is there, and then sends every
// write of the round again with its key.
func (t *tried) askAgain(ctx context.Context, n int, r *round, c *caller, poured *tally, moment int64, back time.Duration, how string) error {
	acknowledged := int(poured.acknowledged.Load())
	if err := checkRead(ctx, c, r.writes); err != nil {
		return err
	}
	var unheard []*write
	for _, w := range r.writes {
		if w.kept == nil {
			unheard = append(unheard, w)
		}
	}
	before, err := t.where.kept(ctx, r.club)
	if err != nil {
		return err
	}
	var again tally
	each(r.writes, t.lab.clients, func(w *write) { w.post(ctx, c, &again) })
	if err := again.err(); err != nil {
		return err
	}
	for _, w := range unheard {
		if w.kept == nil {
			r.stuck = append(r.stuck, w)
		}
	}
	fmt.Printf("  %5d  %12d  %12d  %7d  %7s  %12d  %20d  %9d  %s\n", n, moment, acknowledged, len(unheard), back.Round(10*time.Millisecond),
		before-acknowledged, len(unheard)-len(r.stuck)-(before-acknowledged), len(r.stuck), how)
	t.totals.asked += len(r.writes)
	t.totals.acknowledged += acknowledged
	t.totals.keptUnheard += before - acknowledged
	t.totals.stuck += len(r.stuck)
	if again.unanswered.Load() > 0 {
		return fmt.Errorf("%d requests were not answered by a service that is well", again.unanswered.Load())
	}
	return t.where.checkWhole(ctx)
}

// checkRead reads back everything that was acknowledged.
func checkRead(ctx context.Context, c *caller, writes []*write) error {
	var read tally
	each(writes, 32, func(w *write) {
		if w.kept == nil {
			return
		}
		if err := w.check(ctx, c); err != nil {
			read.fault(err)
		}
	})
	return read.err()
}

// endLeases ages the leases of left claims in the short form and waits for their
// end otherwise, and says which.
func (l *lab) endLeases(ctx context.Context, where place) (how string, err error) {
	if l.short {
		return "aged", where.ageClaims(ctx)
	}
	select {
	case <-ctx.Done():
		return "", ctx.Err()
	case <-time.After(lease + time.Second):
		return "waited for", nil
	}
}

// finish lets the leases of left claims end and asks for the last time: then
// every write is there, once.
func (t *tried) finish(ctx context.Context, p *process) error {
	how, err := t.lab.endLeases(ctx, t.where)
	if err != nil {
		return err
	}
	total := 0
	for _, r := range t.rounds {
		if err := r.sendStuck(ctx, p.caller); err != nil {
			return err
		}
		if err := checkRead(ctx, p.caller, r.writes); err != nil {
			return err
		}
		n, err := t.where.kept(ctx, r.club)
		if err != nil {
			return err
		}
		if n != len(r.writes) {
			return fmt.Errorf("%s: %d writes were asked for, and %d are there", r.club.key, len(r.writes), n)
		}
		total += n
	}
	if err := t.where.checkWhole(ctx); err != nil {
		return err
	}
	if _, err := p.want(ctx, http.StatusOK, http.MethodGet, "/readyz", nil); err != nil {
		return err
	}
	fmt.Printf("  %d writes asked for, %d acknowledged before the kills and all of them there and equal; %d had been kept unheard, "+
		"%d were claimed and undone (their leases were %s); in the end %d are there, each once\n",
		t.totals.asked, t.totals.acknowledged, t.totals.keptUnheard, t.totals.stuck, how, total)
	return nil
}

// sendStuck sends what was claimed and came to nothing, a few at once, and again
// where a busy service asks for that.
func (r *round) sendStuck(ctx context.Context, c *caller) error {
	const atOnce, tries = 4, 5
	for try := 1; ; try++ {
		var sent tally
		each(r.stuck, atOnce, func(w *write) {
			if w.kept == nil {
				w.post(ctx, c, &sent)
			}
		})
		left := sent.refused.Load() + sent.unanswered.Load()
		if err := sent.err(); err != nil || left == 0 {
			return err
		}
		busy := int64(sent.statuses[http.StatusServiceUnavailable])
		if try == tries || busy < left {
			return fmt.Errorf("%d writes are still refused after the lease: %v", left, sent.statuses)
		}
	}
}
