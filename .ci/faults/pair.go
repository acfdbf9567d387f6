package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"strings"
	"sync"
	"time"

	"swardcase/api/store/storetest"
)

// twoServices runs two services over one PostgreSQL and has them race.
func twoServices(ctx context.Context, l *lab) error {
	return onPostgres(ctx, l, func(_ *storetest.Server, where place) error {
		first, err := l.serve(ctx, where)
		if err != nil {
			return err
		}
		second, err := l.serve(ctx, where)
		if err != nil {
			return err
		}
		both := []*caller{first.caller, second.caller}
		k, err := l.newClub(ctx, first.caller, "races")
		if err != nil {
			return err
		}
		k.key = "race"
		for _, race := range []func(context.Context, *lab, []*caller, place, club) error{raceForKeys, raceForVersions, raceForBook} {
			if err := race(ctx, l, both, where, k); err != nil {
				return err
			}
		}
		if err := where.checkWhole(ctx); err != nil {
			return err
		}
		return together(first.Stop, second.Stop)
	})
}

// perRace is how many requests race: half to each service.
const perRace = 8

// atOnce sends one request many times at the same moment, to the callers in turn.
func atOnce(callers []*caller, send func(n int, c *caller) (answer, error)) ([]answer, error) {
	answers, failed := make([]answer, perRace), make([]error, perRace)
	var group sync.WaitGroup
	start := make(chan struct{})
	for n := range perRace {
		group.Go(func() {
			<-start
			answers[n], failed[n] = send(n, callers[n%len(callers)])
		})
	}
	close(start)
	group.Wait()
	return answers, errors.Join(failed...)
}

// raceForKeys sends one key and body to both: one thing is stored, and whoever is
// not told so is told to wait, and is then told the same.
func raceForKeys(ctx context.Context, l *lab, both []*caller, where place, k club) error {
	told, waited := 0, 0
	kinds := map[string]int{}
	for n := range l.races {
		w, err := k.write(n)
		if err != nil {
			return err
		}
		kinds[w.kind]++
		send := func(_ int, c *caller) (answer, error) {
			return c.send(ctx, http.MethodPost, w.path, w.body, "Idempotency-Key", w.key)
		}
		answers, err := atOnce(both, send)
		if err != nil {
			return err
		}
		for i, a := range answers {
			if a.underWay() {
				waited++
				if answers[i], err = patiently(ctx, both[i%2], w); err != nil {
					return err
				}
			} else {
				told++
			}
		}
		for _, a := range answers {
			if a.status != http.StatusCreated || !bytes.Equal(a.body, answers[0].body) {
				return fmt.Errorf("the key %s was answered %d: %.300s, and %d: %.300s", w.key, answers[0].status, answers[0].body, a.status, a.body)
			}
		}
	}
	for kind, asked := range kinds {
		n, err := where.count(ctx, kind, k.id)
		if err != nil {
			return err
		}
		if n-already[kind] != asked {
			return fmt.Errorf("%d keys stored %d %s", asked, n-already[kind], kind)
		}
	}
	fmt.Printf("  one key %d times at once to two services, %d keys: each stored one thing (%d appraisals among them); "+
		"%d requests were told at once, %d were told to wait and then the same\n", perRace, l.races, kinds[appraisals], told, waited)
	return nil
}

// patiently asks again until the first request with the key is done.
func patiently(ctx context.Context, c *caller, w *write) (answer, error) {
	for {
		a, err := c.send(ctx, http.MethodPost, w.path, w.body, "Idempotency-Key", w.key)
		if err != nil || !a.underWay() {
			return a, err
		}
		if a.header.Get("Retry-After") == "" {
			return a, errors.New("told to wait without Retry-After")
		}
		time.Sleep(20 * time.Millisecond)
	}
}

// raceForVersions has both change one green from the same version: one wins for
// each version.
func raceForVersions(ctx context.Context, l *lab, both []*caller, _ place, k club) error {
	at := k.at + "/greens/" + k.green
	lost := 0
	for n := range l.races {
		read, err := both[n%2].want(ctx, http.StatusOK, http.MethodGet, at, nil)
		if err != nil {
			return err
		}
		answers, err := atOnce(both, func(i int, c *caller) (answer, error) {
			body := strings.Replace(string(l.parts.green), "{", fmt.Sprintf(`{"surrounds_m2":%d,`, perRace*(n%500)+i), 1)
			return c.send(ctx, http.MethodPut, at, fmt.Appendf(nil, `{"green":%s,"upkeep":%s}`, body, l.parts.upkeep), "If-Match", read.header.Get("ETag"))
		})
		if err != nil {
			return err
		}
		var won []answer
		for _, a := range answers {
			switch a.status {
			case http.StatusOK:
				won = append(won, a)
			case http.StatusPreconditionFailed:
				lost++
			default:
				return fmt.Errorf("a change was answered %d: %.300s", a.status, a.body)
			}
		}
		now, err := both[(n+1)%2].want(ctx, http.StatusOK, http.MethodGet, at, nil)
		if err != nil {
			return err
		}
		var is struct {
			Version int `json:"version"`
		}
		if err := json.Unmarshal(now.body, &is); err != nil {
			return err
		}
		if len(won) != 1 || !bytes.Equal(now.body, won[0].body) || is.Version != n+2 {
			return fmt.Errorf("%d of %d changes to version %d won, and version %d is there", len(won), perRace, n+1, is.Version)
		}
	}
	fmt.Printf("  one version changed %d times at once through two services, %d versions: one won each time, %d were told 412\n", perRace, l.races, lost)
	return nil
}

// raceForBook has appraisals take a new price book at the same moment: all are
// kept, and the book is marked as used once.
func raceForBook(ctx context.Context, l *lab, both []*caller, where place, k club) error {
	books := max(1, l.races/20)
	for n := range books {
		name := fmt.Sprintf("book %d", n)
		fresh, err := l.newClub(ctx, both[0], name)
		if err != nil {
			return err
		}
		answers, err := atOnce(both, func(i int, c *caller) (answer, error) {
			w, err := fresh.write(0) // an appraisal with the book
			if err != nil {
				return answer{}, err
			}
			return c.send(ctx, http.MethodPost, w.path, w.body, "Idempotency-Key", fmt.Sprintf("book-%d", i))
		})
		if err != nil {
			return err
		}
		for _, a := range answers {
			if a.status != http.StatusCreated {
				return fmt.Errorf("an appraisal with a book that others take at the same moment was answered %d: %.300s", a.status, a.body)
			}
		}
		trail, err := both[1].want(ctx, http.StatusOK, http.MethodGet, fresh.at+"/audit-entries?noun_id="+fresh.book, nil)
		if err != nil {
			return err
		}
		if uses := strings.Count(string(trail.body), `"action":"use"`); uses != 1 {
			return fmt.Errorf("the audit trail has %d first uses of one book", uses)
		}
	}
	fmt.Printf("  %d appraisals at once with one new price book, %d books: all kept, each book marked as used once\n", perRace, books)
	return nil
}
