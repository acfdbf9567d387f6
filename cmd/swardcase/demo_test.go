package main

import (
	"bytes"
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"testing"

	"github.com/google/go-cmp/cmp"

	"swardcase/api/service"
	"swardcase/api/store"
	"swardcase/cmd/swardcase/demo"
)

// TestTheDemonstrationIsKept: all of the club is stored without a fault, the
// three whole cases come to what their files come to, and a second start adds
// nothing.
func TestTheDemonstrationIsKept(t *testing.T) {
	ctx, folder := t.Context(), filepath.Join(t.TempDir(), "new")
	p := &process{stdout: &bytes.Buffer{}}
	file, err := p.demoStore(ctx, folder)
	if err != nil {
		t.Fatal(err)
	}
	first := everything(t, file)
	want := map[string]int{"clubs": 1, "greens": 18, "surveys": 54, "price books": 1, "appraisals": 18}
	if diff := cmp.Diff(want, first.counts); diff != "" {
		t.Error(diff)
	}
	grades := map[string]bool{}
	for _, a := range first.appraisals {
		grades[a.Grade] = true
	}
	if len(grades) != 4 {
		t.Errorf("of the four grades only these occur: %v", grades)
	}
	checkWholeCases(t, first)
	checkResults(t, first)

	again, err := p.demoStore(ctx, folder)
	if err != nil || again != file {
		t.Fatal(again, err)
	}
	if diff := cmp.Diff(first.ids(), everything(t, file).ids()); diff != "" {
		t.Error("the second start changed what is kept:", diff)
	}
	if left, _ := filepath.Glob(filepath.Join(folder, "filling-*")); len(left) != 0 {
		t.Error("what was filled in is still there:", left)
	}
}

// checkWholeCases compares what is stored of the three cases with what their
// files come to, the resolved case and the result.
func checkWholeCases(t *testing.T, stored inStore) {
	t.Helper()
	cases, err := demo.Cases()
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range cases {
		_, text, stderr := runCommand(t, "", "appraise", "demo/"+c.Name, "--format", "json")
		want := asJSON(t, []byte(text), stderr)
		found := false
		for _, summary := range stored.appraisals {
			if summary.Title != want["case"].(map[string]any)["title"] {
				continue
			}
			found = true
			kept, err := stored.svc.Appraisal(service.WithCaller(t.Context(), service.LocalCaller("test")), summary.ClubID, summary.ID)
			if err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(want, asJSON(t, kept.Result, "")); diff != "" {
				t.Errorf("%s: %s", c.Name, diff)
			}
		}
		if !found {
			t.Errorf("%s: no appraisal of it is stored", c.Name)
		}
	}
}

// checkResults: what is read back of every appraisal is all that was stored.
func checkResults(t *testing.T, stored inStore) {
	t.Helper()
	ctx := service.WithCaller(t.Context(), service.LocalCaller("test"))
	for _, summary := range stored.appraisals {
		kept, err := stored.svc.Appraisal(ctx, summary.ClubID, summary.ID)
		if err != nil {
			t.Fatal(err)
		}
		result, err := stored.svc.AppraisalResult(ctx, summary.ClubID, summary.ID)
		if err != nil {
			t.Fatal(err)
		}
		again, err := json.Marshal(result)
		if err != nil || !bytes.Equal(again, kept.Result) {
			t.Errorf("%s: what is read back differs from what is stored (%v)", summary.Title, err)
		}
	}
}

func asJSON(t *testing.T, text []byte, otherwise string) map[string]any {
	t.Helper()
	var document map[string]any
	if err := json.Unmarshal(text, &document); err != nil {
		t.Fatal(err, otherwise)
	}
	return document
}

// inStore is what lists show of a store.
type inStore struct {
	svc        *service.Service
	counts     map[string]int
	appraisals []service.AppraisalSummary
	clubs      []service.Club
}

func (s inStore) ids() []string {
	var ids []string
	for _, a := range s.appraisals {
		ids = append(ids, a.ID)
	}
	for _, c := range s.clubs {
		ids = append(ids, c.ID)
	}
	return ids
}

func everything(t *testing.T, file string) inStore {
	t.Helper()
	ctx := service.WithCaller(t.Context(), service.LocalCaller("test"))
	svc, leave, err := openService(ctx, store.Place{File: file})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { leave() })
	must := func(err error) {
		if err != nil {
			t.Fatal(err)
		}
	}
	clubs, err := svc.Clubs(ctx, service.Filter{Limit: 100})
	must(err)
	of := service.Filter{ClubID: clubs.Items[0].ID, Limit: 100}
	greens, err := svc.Greens(ctx, of)
	must(err)
	surveys, err := svc.Surveys(ctx, of)
	must(err)
	books, err := svc.PriceBooks(ctx, of)
	must(err)
	if edition := books.Items[0].Edition; edition != 1 {
		t.Errorf("the price book is edition %d", edition)
	}
	appraisals, err := svc.Appraisals(ctx, of)
	must(err)
	return inStore{svc, map[string]int{
		"clubs": len(clubs.Items), "greens": len(greens.Items), "surveys": len(surveys.Items),
		"price books": len(books.Items), "appraisals": len(appraisals.Items),
	}, appraisals.Items, clubs.Items}
}

// TestAnInterruptedDemonstrationLeavesNothing: a store of the final name is always
// whole.
func TestAnInterruptedDemonstrationLeavesNothing(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	folder := t.TempDir()
	p := &process{stdout: &bytes.Buffer{}}
	if _, err := p.demoStore(ctx, folder); err == nil {
		t.Error("it was filled though it was interrupted")
	}
	if left, _ := os.ReadDir(folder); len(left) != 0 {
		t.Error("it left", left)
	}
}
