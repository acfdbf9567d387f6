package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"net/http"
	"os"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"syscall"
	"time"

	"swardcase/api/store"
	"swardcase/api/store/storetest"
)

// replicasBehindProxy puts a load on two replicas behind the proxy, kills one in
// its midst, brings it back, and then stops the other as an update would.
func replicasBehindProxy(ctx context.Context, l *lab) error {
	return onPostgres(ctx, l, func(server *storetest.Server, where place) error {
		p := &pair{lab: l, where: where, served: place{url: server.URLAs(store.DefaultServerRole, "postgres")}}
		if err := p.prepare(ctx); err != nil {
			return err
		}
		if err := p.start(ctx); err != nil {
			return err
		}
		return errors.Join(p.endure(ctx), p.proxy.stop())
	})
}

// prepare makes the login that serves, a club with its things, and a key of the
// club: behind a proxy the service asks for one.
func (p *pair) prepare(ctx context.Context) error {
	db, err := p.where.look()
	if err != nil {
		return err
	}
	if _, err := db.ExecContext(ctx, "CREATE ROLE "+store.DefaultServerRole+" LOGIN"); err != nil {
		return errors.Join(err, db.Close())
	}
	if err := errors.Join(db.Close(), p.lab.Migrate(ctx, p.where.setting())); err != nil {
		return err
	}
	alone, err := p.lab.serve(ctx, p.where)
	if err != nil {
		return err
	}
	if p.club, err = p.lab.newClub(ctx, alone.caller, "replicas"); err != nil {
		return err
	}
	p.club.key = "replicas"
	if err := alone.Stop(); err != nil {
		return err
	}
	secret, err := p.lab.Command(ctx, p.where.setting(), "key", "issue", "--club", p.club.id, "--role", "owner").Output()
	p.key = strings.TrimSpace(string(secret))
	return err
}

// pair is two replicas at addresses that stay, with the proxy before them.
type pair struct {
	lab       *lab
	where     place // as the owner of the tables
	served    place // as the login that serves
	club      club
	key       string
	addresses [2]string
	replicas  [2]*process
	logs      []string
	proxy     *proxy
	callers   []*caller
}

// ownAddresses are where the load comes from; 127.0.0.1 is the proxy's.
var ownAddresses = []string{"127.0.0.2", "127.0.0.3", "127.0.0.4", "127.0.0.5"}

const replicaClients = 16

func (p *pair) start(ctx context.Context) (err error) {
	for i := range p.replicas {
		if p.addresses[i], err = freeAddress(); err != nil {
			return err
		}
		if err := p.serve(ctx, i); err != nil {
			return err
		}
	}
	if p.proxy, err = p.lab.startProxy(ctx, p.addresses[0], p.addresses[1]); err != nil {
		return err
	}
	for _, address := range ownAddresses {
		c := p.proxy.from(address, replicaClients)
		c.key = p.key
		p.callers = append(p.callers, c)
	}
	return nil
}

func (p *pair) serve(ctx context.Context, i int) (err error) {
	p.replicas[i], err = p.lab.serve(ctx, p.served, "--address", p.addresses[i], "--trusted-proxies", "127.0.0.1", "--drain-delay", "3s")
	if err == nil {
		p.logs = append(p.logs, p.replicas[i].Log)
	}
	return err
}

// attempt is one request of the load, and how it ended: 0 for no answer.
type attempt struct {
	ended  time.Time
	status int
}

// stint is a load with what it met.
type stint struct {
	pair     *pair
	club     club
	number   atomic.Int64
	mutex    sync.Mutex
	attempts []attempt
	writes   []*write
	stuck    []*write
	tally    tally
}

// endure carries the load through both ends of a replica.
func (p *pair) endure(ctx context.Context) error {
	s := &stint{pair: p, club: p.club}
	loading, stop := context.WithCancel(ctx)
	defer stop()
	var group sync.WaitGroup
	for i := range replicaClients {
		group.Go(func() { s.pour(loading, ctx, p.callers[i%len(p.callers)]) })
	}
	killed, drained, err := s.endReplicas(ctx)
	stop()
	group.Wait()
	if err := errors.Join(err, s.tally.err()); err != nil {
		return err
	}
	if err := s.report(killed, drained); err != nil {
		return err
	}
	return s.settle(ctx)
}

// spell is how long the load goes on before, between and after the faults.
func (l *lab) spell() time.Duration {
	if l.short {
		return 2 * time.Second
	}
	return 15 * time.Second
}

// span is from when to when something was out.
type span struct{ from, to time.Time }

func (s *stint) endReplicas(ctx context.Context) (killed, drained span, err error) {
	p, spell := s.pair, s.pair.lab.spell()
	time.Sleep(spell)
	killed.from = time.Now()
	if err := p.replicas[0].Kill(); err != nil {
		return killed, drained, err
	}
	time.Sleep(spell)
	if err := p.serve(ctx, 0); err != nil {
		return killed, drained, err
	}
	killed.to = time.Now()
	time.Sleep(max(spell, 3*time.Second)) // until the proxy has seen that it is back
	drained.from = time.Now()
	if err := p.replicas[1].Process.Signal(syscall.SIGTERM); err != nil {
		return killed, drained, err
	}
	if err := <-p.replicas[1].Ended; err != nil {
		return killed, drained, fmt.Errorf("told to stop, the replica ended with %w: %s", err, p.replicas[1].Said())
	}
	if err := p.serve(ctx, 1); err != nil {
		return killed, drained, err
	}
	drained.to = time.Now()
	time.Sleep(max(spell, 3*time.Second))
	return killed, drained, nil
}

// pour asks for one write after the other until the load ends, and for each until
// it is acknowledged; then it reads it back, from whichever replica.
func (s *stint) pour(loading, ctx context.Context, c *caller) {
	for loading.Err() == nil {
		w, err := s.club.write(int(s.number.Add(1)))
		if err != nil {
			s.tally.fault(err)
			return
		}
		s.insist(loading, ctx, c, w)
		s.mutex.Lock()
		s.writes = append(s.writes, w)
		if w.kept == nil {
			s.stuck = append(s.stuck, w)
		}
		s.mutex.Unlock()
		if w.kept == nil {
			continue
		}
		if err := s.readBack(ctx, c, w); err != nil {
			s.tally.fault(err)
		}
	}
}

// insist sends a write again and again with its key. One whose key a dead replica
// has claimed is left until the end: its lease takes two minutes.
func (s *stint) insist(loading, ctx context.Context, c *caller, w *write) {
	for range 200 {
		a, err := c.send(ctx, http.MethodPost, w.path, w.body, "Idempotency-Key", w.key)
		s.note(a, err)
		switch {
		case err == nil && a.status == http.StatusCreated:
			w.kept, w.location = a.body, a.header.Get("Location")
			return
		case err == nil && a.underWay(), loading.Err() != nil:
			return
		case err == nil && !ofTheProxy(a):
			s.tally.refuse(a)
		}
		time.Sleep(50 * time.Millisecond)
	}
	s.tally.fault(fmt.Errorf("%s with the key %s was not taken in 200 attempts", w.path, w.key))
}

// ofTheProxy tells the proxy's own refusals, which are no problem documents.
func ofTheProxy(a answer) bool {
	return (a.status == http.StatusBadGateway || a.status == http.StatusServiceUnavailable || a.status == http.StatusGatewayTimeout) &&
		a.header.Get("X-Request-Id") == ""
}

func (s *stint) note(a answer, err error) {
	status := a.status
	if err != nil {
		status = 0
	}
	s.mutex.Lock()
	defer s.mutex.Unlock()
	s.attempts = append(s.attempts, attempt{time.Now(), status})
}

// readBack reads what was acknowledged, at once. Reading is safe to repeat, so
// that a replica's end is no excuse.
func (s *stint) readBack(ctx context.Context, c *caller, w *write) error {
	var err error
	for range 100 {
		var a answer
		a, err = c.send(ctx, http.MethodGet, w.location, nil)
		s.note(a, err)
		if err != nil || ofTheProxy(a) {
			time.Sleep(50 * time.Millisecond)
			continue
		}
		if a.status != http.StatusOK || w.kind != appraisals && !bytes.Equal(a.body, w.kept) {
			return fmt.Errorf("%s was acknowledged as %.300s and reads, at once, %d %.300s", w.location, w.kept, a.status, a.body)
		}
		return nil
	}
	return fmt.Errorf("%s could not be read in 100 attempts: %w", w.location, err)
}

// report prints what the load met, and insists that an orderly stop cost nothing
// and a kill only what was under way.
func (s *stint) report(killed, drained span) error {
	count := func(in span) (statuses map[int]int, longest time.Duration) {
		statuses = map[int]int{}
		last := in.from
		for _, a := range s.attempts {
			if a.ended.Before(in.from) || a.ended.After(in.to) {
				continue
			}
			statuses[a.status]++
			if a.status == http.StatusCreated {
				longest, last = max(longest, a.ended.Sub(last)), a.ended
			}
		}
		return statuses, longest
	}
	slices.SortFunc(s.attempts, func(a, b attempt) int { return a.ended.Compare(b.ended) })
	whole, _ := count(span{s.attempts[0].ended, s.attempts[len(s.attempts)-1].ended})
	ofKill, pause := count(killed)
	ofStop, pauseOfStop := count(drained)
	fmt.Printf("  %d clients on two replicas behind HAProxy, %d writes, every one read back at once; answers by status: %v\n",
		replicaClients, len(s.writes), whole)
	fmt.Printf("  one killed: %v until it was back after %s, at most %s between two acknowledgements\n",
		ofKill, killed.to.Sub(killed.from).Round(100*time.Millisecond), pause.Round(10*time.Millisecond))
	fmt.Printf("  one told to stop: %v until it was back after %s, at most %s between two acknowledgements\n",
		ofStop, drained.to.Sub(drained.from).Round(100*time.Millisecond), pauseOfStop.Round(10*time.Millisecond))
	for status, n := range ofStop {
		if status != http.StatusCreated && status != http.StatusOK {
			return fmt.Errorf("while a replica was stopped in order, %d requests ended with %d", n, status)
		}
	}
	if whole[http.StatusInternalServerError] > 0 || ofKill[http.StatusCreated] == 0 {
		return errors.New("a request met a fault of ours, or nothing was taken while one replica was down")
	}
	return nil
}

// settle lets the leases of the dead replica's claims end, asks for those writes
// again, and holds everything to what was acknowledged.
func (s *stint) settle(ctx context.Context) error {
	p := s.pair
	how, err := p.lab.endLeases(ctx, p.where)
	if err != nil {
		return err
	}
	for _, w := range s.stuck {
		w.post(ctx, p.callers[0], &s.tally)
		if w.kept == nil {
			return fmt.Errorf("%s with the key %s is still refused after its lease: %w", w.path, w.key, s.tally.err())
		}
	}
	if err := checkRead(ctx, p.callers[1], s.writes); err != nil {
		return err
	}
	kept, err := p.where.kept(ctx, s.club)
	if err != nil {
		return err
	}
	if kept != len(s.writes) {
		return fmt.Errorf("%d writes were asked for, and %d are there", len(s.writes), kept)
	}
	if err := p.where.checkWhole(ctx); err != nil {
		return err
	}
	// Go's client sends a request with a key again by itself when its connection is
	// cut, so that a kill shows as 409 more than as no answer.
	fmt.Printf("  %d writes are there and as acknowledged, each once; %d of them had been claimed by the dead replica (leases %s)\n",
		kept, len(s.stuck), how)
	if err := s.sawTheCallers(); err != nil {
		return err
	}
	return errors.Join(p.replicas[0].Stop(), p.replicas[1].Stop())
}

// sawTheCallers insists that the replicas logged the callers' own addresses, and
// those of the proxy for nothing but its questions.
func (s *stint) sawTheCallers() error {
	seen := map[string]int{}
	for _, log := range s.pair.logs {
		text, err := os.ReadFile(log)
		if err != nil {
			return err
		}
		for line := range strings.Lines(string(text)) {
			for _, address := range ownAddresses {
				if strings.Contains(line, `"from":"`+address+`"`) {
					seen[address]++
				}
			}
			if strings.Contains(line, `"from":"127.0.0.1"`) && !strings.Contains(line, `"route":"/readyz"`) {
				return fmt.Errorf("the proxy's address was taken for a caller's: %s", line)
			}
		}
	}
	if len(seen) != len(ownAddresses) {
		return fmt.Errorf("only %v were seen as callers", seen)
	}
	return nil
}
