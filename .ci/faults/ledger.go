package main

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"reflect"
	"sync"
	"sync/atomic"

	"github.com/gowebpki/jcs"
	"golang.org/x/sync/errgroup"
)

// write is one thing that a service is asked to keep, and what it said.
type write struct {
	kind, path, key string
	body            []byte
	kept            []byte // the answer that acknowledged it; nil until then
	location        string
}

// tally counts what became of a round's writes.
type tally struct {
	acknowledged, refused, unanswered atomic.Int64

	mu       sync.Mutex
	statuses map[int]int
	faults   []error
}

func (t *tally) refuse(a answer) {
	t.refused.Add(1)
	t.mu.Lock()
	defer t.mu.Unlock()
	if t.statuses == nil {
		t.statuses = map[int]int{}
	}
	t.statuses[a.status]++
	if err := a.properRefusal(); err != nil {
		t.faults = append(t.faults, err)
	}
}

func (t *tally) fault(err error) {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.faults = append(t.faults, err)
}

// err joins the first few of what went wrong.
func (t *tally) err() error {
	if len(t.faults) > 5 {
		return errors.Join(append(t.faults[:5:5], fmt.Errorf("and %d more", len(t.faults)-5))...)
	}
	return errors.Join(t.faults...)
}

// each runs f on every write, so many at once.
func each(writes []*write, clients int, f func(*write)) {
	var group errgroup.Group
	group.SetLimit(clients)
	for _, w := range writes {
		group.Go(func() error {
			f(w)
			return nil
		})
	}
	_ = group.Wait() // f keeps its own errors
}

// post asks for a write once. An answer that acknowledges it must be the same as
// any that did before.
func (w *write) post(ctx context.Context, c *caller, t *tally) (underWay bool) {
	a, err := c.send(ctx, http.MethodPost, w.path, w.body, "Idempotency-Key", w.key)
	switch {
	case err != nil:
		t.unanswered.Add(1)
	case a.status != http.StatusCreated:
		t.refuse(a)
		return a.underWay()
	case w.kept != nil && !bytes.Equal(w.kept, a.body):
		t.fault(fmt.Errorf("%s with the key %s was answered %.300s, and then %.300s", w.path, w.key, w.kept, a.body))
	default:
		w.kept, w.location = a.body, a.header.Get("Location")
		t.acknowledged.Add(1)
	}
	return false
}

// check reads back what was acknowledged: it must be there and equal.
func (w *write) check(ctx context.Context, c *caller) error {
	a, err := c.want(ctx, http.StatusOK, http.MethodGet, w.location, nil)
	if err != nil {
		return fmt.Errorf("acknowledged and gone: %w", err)
	}
	if w.kind != appraisals {
		if !bytes.Equal(a.body, w.kept) {
			return fmt.Errorf("%s was acknowledged as %.300s and reads %.300s", w.location, w.kept, a.body)
		}
		return nil
	}
	return w.checkAppraisal(ctx, c, a.body)
}

// checkAppraisal holds an appraisal to its acknowledgement, to its own hashes,
// and to its entry in the audit trail.
func (w *write) checkAppraisal(ctx context.Context, c *caller, body []byte) error {
	var documents struct {
		ID     string          `json:"id"`
		ClubID string          `json:"club_id"`
		Case   json.RawMessage `json:"case"`
		Result json.RawMessage `json:"result"`
		OfCase string          `json:"case_sha256"`
		Of     string          `json:"result_sha256"`
	}
	var read map[string]any
	if err := errors.Join(json.Unmarshal(body, &documents), json.Unmarshal(body, &read)); err != nil {
		return err
	}
	delete(read, "case")
	delete(read, "result")
	if err := equalDocuments(w.location, w.kept, read); err != nil {
		return err
	}
	if err := errors.Join(checkHash(documents.Case, documents.OfCase), checkHash(documents.Result, documents.Of)); err != nil {
		return fmt.Errorf("%s is half-written: %w", w.location, err)
	}
	a, err := c.want(ctx, http.StatusOK, http.MethodGet, "/v1/clubs/"+documents.ClubID+"/audit-entries?noun_id="+documents.ID, nil)
	if err != nil {
		return err
	}
	var trail struct {
		Items []struct {
			Action string         `json:"action"`
			After  map[string]any `json:"after"`
		} `json:"items"`
	}
	if err := json.Unmarshal(a.body, &trail); err != nil {
		return err
	}
	if len(trail.Items) != 1 || trail.Items[0].Action != "create" {
		return fmt.Errorf("%s has %d audit entries, not the one of its making", w.location, len(trail.Items))
	}
	return equalDocuments("the audit entry of "+w.location, w.kept, trail.Items[0].After)
}

func equalDocuments(what string, kept []byte, read map[string]any) error {
	var acknowledged map[string]any
	if err := json.Unmarshal(kept, &acknowledged); err != nil {
		return err
	}
	if !reflect.DeepEqual(acknowledged, read) {
		return fmt.Errorf("%s was acknowledged as %.500s and reads %.500v", what, kept, read)
	}
	return nil
}

// checkHash makes a SHA-256 again over the RFC 8785 form of a document.
func checkHash(document []byte, want string) error {
	canonical, err := jcs.Transform(document)
	if err != nil {
		return err
	}
	if sum := sha256.Sum256(canonical); hex.EncodeToString(sum[:]) != want {
		return fmt.Errorf("its SHA-256 is not %s", want)
	}
	return nil
}
