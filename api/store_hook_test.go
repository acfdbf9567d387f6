package api_test

import (
	"context"
	"crypto/rand"
	"errors"
	"net/http"
	"strings"
	"testing"

	"swardcase/api"
	"swardcase/api/service"
	"swardcase/api/store"
	"swardcase/api/store/storetest"
)

// hookedStore is a store that something happens to before each change.
type hookedStore struct {
	service.Store
	before func() error
}

func (s hookedStore) Update(ctx context.Context, scope service.Scope, f func(service.Tx) error) error {
	if err := s.before(); err != nil {
		return err
	}
	return s.Store.Update(ctx, scope, f)
}

func newHooked(t *testing.T, s *store.Store, before func() error) *keeping {
	t.Helper()
	k := newKeeping(t, s)
	svc, err := service.NewKeeping(service.ModelEngine(), service.Keeping{Store: hookedStore{s, before}, Clock: k.clock.read, Random: rand.Reader})
	if err != nil {
		t.Fatal(err)
	}
	k.harness = harnessOf(t, svc, func(c *api.Config) { c.Logger = discard() })
	return k
}

// TestADeathLeavesTheKeyFree: where a service dies before it has kept anything,
// the key is free at once for the request that is sent again.
func TestADeathLeavesTheKeyFree(t *testing.T) {
	eachEngine(t, func(t *testing.T, other *keeping) {
		for _, changes := range []int{0, 1} { // that it lives to make
			left := changes
			dying := newHooked(t, other.store, func() error {
				if left == 0 {
					return errors.New("the service is dead")
				}
				left--
				return nil
			})
			key := []string{"Idempotency-Key", "death-" + strings.Repeat("1", changes+1)}
			before := other.count("/v1/clubs")
			dying.send("POST", "/v1/clubs", clubBody, key...)
			other.want(201, "POST", "/v1/clubs", clubBody, key...)
			if n := other.count("/v1/clubs"); n != before+1 {
				t.Errorf("after %d changes: %d clubs, want %d", changes, n, before+1)
			}
		}
	})
}

// TestAPriceBookThatChangesMeanwhile: an appraisal is not kept when the book that
// it was priced with says something else by then, even when somebody else's
// appraisal has used the book as it is now.
func TestAPriceBookThatChangesMeanwhile(t *testing.T) {
	for _, engine := range storetest.Engines {
		for _, used := range []bool{false, true} {
			t.Run(engine, func(t *testing.T) {
				place := storetest.Place(t, engine)
				other := newKeeping(t, storetest.Open(t, place))
				s := other.setUp()
				book := other.want(201, "POST", s.at+"/price-books", `{"book":`+other.priceBook("Book of 2027")+`}`)
				request := s.appraisal(`,"price_book_id":"` + book.ID + `"`)
				changed := false
				slow := newHooked(t, openAgain(t, place), func() error {
					if changed {
						return nil
					}
					changed = true
					other.want(200, "PUT", book.location, `{"book":`+other.priceBook("Dearer book of 2027")+`}`, "If-Match", book.tag)
					if used {
						other.want(201, "POST", s.at+"/appraisals", request)
					}
					return nil
				})
				out := slow.want(http.StatusConflict, "POST", s.at+"/appraisals", request)
				if !changed || !strings.Contains(out.body, "changed while it was being priced with") {
					t.Errorf("answered %s", out.body)
				}
				other.want(201, "POST", s.at+"/appraisals", request)
			})
		}
	}
}
