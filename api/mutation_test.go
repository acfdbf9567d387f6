package api_test

import (
	"bytes"
	"flag"
	"fmt"
	"log/slog"
	"math/rand/v2"
	"net/http"
	"net/http/httptest"
	"runtime"
	"slices"
	"strings"
	"sync"
	"testing"

	"swardcase/api"
	"swardcase/api/contract"
)

var (
	mutations    = flag.Int("mutations", usualMutations, "how many mutated cases TestMutatedCasesAreAnsweredProperly sends")
	mutationSeed = flag.Uint64("mutation-seed", 1, "the seed of the mutations")
)

// usualMutations keeps an ordinary run short; .ci/run sends 20,000.
const usualMutations = 1_000

func discard() *slog.Logger { return slog.New(slog.DiscardHandler) }

// TestMutatedCasesAreAnsweredProperly sends cases that were sound until some
// values, names, lists or bytes of them were spoilt. Whatever arrives, the
// server neither panics nor answers with a 5xx, and every refusal is a problem
// document that keeps to the contract. Each case is made from the seed and its
// own number alone, so that one failure can be made again.
func TestMutatedCasesAreAnsweredProperly(t *testing.T) {
	h := newHarness(t, mutationEngine(), func(c *api.Config) { c.Logger = discard() })
	m := newMutator(t, seedCases(t))
	workers := runtime.GOMAXPROCS(0)
	counts := make([]map[int]int, workers)
	failures := make(chan string, workers)
	var group sync.WaitGroup
	for w := range workers {
		group.Go(func() {
			counts[w] = map[int]int{}
			for number := w; number < *mutations; number += workers {
				body := m.mutate(*mutationSeed, uint64(number))
				status, err := h.trial(number, body)
				if err != nil {
					failures <- fmt.Sprintf("case %d of seed %d: %v\n%.20000q", number, *mutationSeed, err, body)
					return
				}
				counts[w][status]++
			}
		})
	}
	group.Wait()
	close(failures)
	for failure := range failures {
		t.Error(failure)
	}
	report(t, counts)
}

// trials are the operations that take a case.
var trials = []string{"/v1/trial-conditions", "/v1/trial-designs", "/v1/trial-appraisals", "/v1/trial-forecasts"}

// trial sends one body to one of the trials and checks the answer.
func (h *harness) trial(number int, body []byte) (status int, err error) {
	defer func() {
		if panicked := recover(); panicked != nil {
			err = fmt.Errorf("panic: %v", panicked)
		}
	}()
	target := trials[number/2%len(trials)]
	if number%askedOneIn == askedOneIn-1 {
		target, body = "/v1/trial-break-evens", askBreakEven(number/askedOneIn, body)
	}
	r, w := jsonRequest(target, body), httptest.NewRecorder()
	h.handler.ServeHTTP(w, r)
	if w.Code >= 500 {
		return w.Code, fmt.Errorf("answered %d: %s", w.Code, w.Body)
	}
	if strings.Contains(w.Body.String(), contract.NoMeaning) {
		return w.Code, fmt.Errorf("a type refuses what the contract allows, and nobody says where: %s", w.Body)
	}
	// A sound answer is half a megabyte, and costs more to check than to make:
	// one in soundChecked is held to the contract, and every refusal.
	if w.Code == http.StatusOK && number%soundChecked != 0 {
		return w.Code, nil
	}
	return w.Code, h.check(r, w)
}

// askedOneIn is how seldom a mutated case comes with a question: the answer takes
// some dozens of appraisals.
const askedOneIn = 40

// questions are sound, odd and hostile ones about a break-even.
var questions = []string{
	`{"input":"works_quantity_ratio","option":"layered_rebuild/seed"}`,
	`{"input":"price_level","option":"layered_rebuild/seed","less":"intensified_aeration"}`,
	`{"input":"/money/tax_recoverable_pct","option":"present_programme","outcome":"payback_years","target":{"number":3}}`,
	`{"input":"/green/area_m2","option":"layered_rebuild/seed","from":-1e12,"to":1e12}`,
	`{"input":"/case_format","option":"layered_rebuild/seed","from":0,"to":3}`,
	`{"input":"/survey/surveyed_on","option":"layered_rebuild/seed"}`,
	`{"input":"/assumptions/0/likely","option":"layered_rebuild/seed","outcome":"capital","target":{"amount":{"amount":"1","currency":"GBP"}}}`,
	`{"input":"/~0~1//","option":"layered_rebuild/seed","from":2,"to":1}`,
	`{"input":"rate","option":"pave_it"}`,
	`{"input":"price_level"}`,
}

// askBreakEven puts a question beside a case.
func askBreakEven(number int, body []byte) []byte {
	return fmt.Appendf(nil, `{"case":%s,"question":%s}`, body, questions[number%len(questions)])
}

// soundChecked has no factor in common with the number of targets and workers,
// so that every kind of answer is among those that are checked.
const soundChecked = 53

// report logs how many cases got each answer. A run that sees no soundness, or
// no refusal of each kind, has tested nothing.
func report(t *testing.T, counts []map[int]int) {
	t.Helper()
	total := map[int]int{}
	for _, each := range counts {
		for status, n := range each {
			total[status] += n
		}
	}
	t.Logf("answers by status: %v", total)
	for _, status := range []int{200, 400, 422} {
		if *mutations >= usualMutations && total[status] < *mutations/100 {
			t.Errorf("only %d of %d cases were answered with %d: the mutations no longer reach that path", total[status], *mutations, status)
		}
	}
}

// mutator spoils cases. It works on the text's own shape, members in order and
// literals as written, so that it can write what no encoder would.
type mutator struct{ seeds []*node }

func newMutator(t testing.TB, cases map[string][]byte) *mutator {
	t.Helper()
	m := &mutator{}
	var names []string
	for name := range cases {
		names = append(names, name)
	}
	slices.Sort(names)
	for _, name := range names {
		m.seeds = append(m.seeds, parseNode(t, cases[name]))
	}
	return m
}

func (m *mutator) mutate(seed, number uint64) []byte {
	r := rand.New(rand.NewPCG(seed, number))
	root := m.seeds[r.IntN(len(m.seeds))].clone()
	gentle := r.IntN(3) == 0
	for range 1 + r.IntN(4) {
		if gentle {
			root.vary(r)
		} else {
			root.spoil(r)
		}
	}
	var out bytes.Buffer
	root.write(&out)
	body := out.Bytes()
	if !gentle && r.IntN(8) == 0 {
		body = spoilBytes(r, body)
	}
	return body
}

// spoilBytes works below the structure: cut, flip, insert, repeat.
func spoilBytes(r *rand.Rand, body []byte) []byte {
	if len(body) == 0 { // a root that was spoilt away: nothing is left to cut
		return body
	}
	at := r.IntN(len(body) + 1)
	switch r.IntN(6) {
	case 0:
		return body[:at]
	case 1:
		return slices.Insert(body, at, 0xff, 0xfe)
	case 2:
		return append([]byte("\ufeff"), body...)
	case 3:
		return append(body, body[at:]...)
	case 4:
		junk := make([]byte, r.IntN(200))
		for i := range junk {
			junk[i] = byte(r.Uint32())
		}
		return slices.Insert(body, at, junk...)
	}
	for range 1 + r.IntN(5) {
		body[r.IntN(len(body))] ^= 1 << r.IntN(8)
	}
	return body
}
