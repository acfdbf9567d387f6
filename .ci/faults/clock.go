package main

import (
	"context"
	"crypto/rand"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"log/slog"
	mathrand "math/rand/v2"
	"net/http"
	"net/http/httptest"
	"sync"
	"time"

	"swardcase/.ci/served"
	"swardcase/api"
	"swardcase/api/service"
	"swardcase/api/store"
	"swardcase/api/store/storetest"
)

// jumping is a clock that is set back, by up to a day, every few times it is
// read.
type jumping struct {
	mu     sync.Mutex
	random *mathrand.Rand
	now    time.Time
	jumps  int
}

func (j *jumping) read() time.Time {
	j.mu.Lock()
	defer j.mu.Unlock()
	if j.random.IntN(10) == 0 {
		j.now = j.now.Add(-time.Duration(j.random.Int64N(int64(24 * time.Hour))))
		j.jumps++
	} else {
		j.now = j.now.Add(time.Duration(j.random.Int64N(int64(5 * time.Millisecond))))
	}
	return j.now
}

// clockSetBack serves over each store with a clock that is set back, in this
// process, since the service is given its clock.
func clockSetBack(ctx context.Context, l *lab) error {
	where, err := l.newFile("clock")
	if err != nil {
		return err
	}
	if err := l.runWithClock(ctx, "SQLite", where); err != nil {
		return err
	}
	return onPostgres(ctx, l, func(_ *storetest.Server, where place) error { return l.runWithClock(ctx, "PostgreSQL", where) })
}

func (l *lab) runWithClock(ctx context.Context, name string, where place) (err error) {
	kept, err := store.Open(ctx, store.Place{File: where.file, URL: where.url})
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, kept.Close()) }()
	clock := &jumping{random: l.random, now: time.Now()}
	svc, err := service.NewKeeping(service.ModelEngine(), service.Keeping{Store: kept, Clock: clock.read, Random: rand.Reader})
	if err != nil {
		return err
	}
	server, err := api.New(api.Config{Service: svc, Logger: slog.New(slog.NewTextHandler(io.Discard, nil)), Now: time.Now, NewRequestID: rand.Text, OpenToLocal: true})
	if err != nil {
		return err
	}
	listening := httptest.NewServer(server.Handler())
	defer listening.Close()
	c := newCaller(listening.URL, 1)
	k, err := l.newClub(ctx, c, "clock")
	if err != nil {
		return err
	}
	k.key = "clock"
	var made []string
	for n := range min(l.writes, 500) {
		w, err := k.write(n)
		if err != nil {
			return err
		}
		if w.kind != surveys { // a list holds one kind
			w = &write{path: k.at + "/surveys", key: w.key, body: k.surveyBody(n)}
		}
		a, err := c.want(ctx, http.StatusCreated, http.MethodPost, w.path, w.body, "Idempotency-Key", w.key)
		if err != nil {
			return err
		}
		id, err := served.IDOf(a.body)
		if err != nil {
			return err
		}
		made = append(made, id)
	}
	if err := checkOrder(ctx, c, k, made); err != nil {
		return err
	}
	fmt.Printf("  %s: the clock set back %d times during %d writes: ids, the list, and the instants and numbers of the audit trail are in the order of making\n",
		name, clock.jumps, len(made))
	return where.checkWhole(ctx)
}

// checkOrder holds the list of surveys and the audit trail to the order of making.
func checkOrder(ctx context.Context, c *caller, k club, made []string) error {
	type item struct {
		ID     string    `json:"id"`
		Number int64     `json:"number"`
		At     time.Time `json:"at"`
		NounID string    `json:"noun_id"`
		Noun   string    `json:"noun"`
	}
	all := func(path string) ([]item, error) {
		var found []item
		cursor := ""
		for {
			a, err := c.want(ctx, http.StatusOK, http.MethodGet, path+"?limit=100"+cursor, nil)
			if err != nil {
				return nil, err
			}
			var page struct {
				Items      []item  `json:"items"`
				NextCursor *string `json:"next_cursor"`
			}
			if err := json.Unmarshal(a.body, &page); err != nil {
				return nil, err
			}
			found = append(found, page.Items...)
			if page.NextCursor == nil {
				return found, nil
			}
			cursor = "&cursor=" + *page.NextCursor
		}
	}
	list, err := all(k.at + "/surveys")
	if err != nil {
		return err
	}
	list = list[already[surveys]:]
	if len(list) != len(made) {
		return fmt.Errorf("%d surveys are listed, %d were made", len(list), len(made))
	}
	for i, id := range made {
		if list[i].ID != id || i > 0 && id <= made[i-1] {
			return fmt.Errorf("survey %d is %s, after %s; the list has %s", i, id, made[max(0, i-1)], list[i].ID)
		}
	}
	trail, err := all(k.at + "/audit-entries")
	if err != nil {
		return err
	}
	next := 0
	for i, e := range trail {
		if i > 0 && (e.Number <= trail[i-1].Number || e.At.Before(trail[i-1].At)) {
			return fmt.Errorf("audit entry %d of %s comes after %d of %s", e.Number, e.At, trail[i-1].Number, trail[i-1].At)
		}
		if e.Noun == "survey" && e.NounID != k.survey {
			if e.NounID != made[next] {
				return fmt.Errorf("the audit trail has %s where %s was made", e.NounID, made[next])
			}
			next++
		}
	}
	if next != len(made) {
		return fmt.Errorf("the audit trail has %d of %d surveys", next, len(made))
	}
	return nil
}
