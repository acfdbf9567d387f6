package api_test

import (
	"encoding/json"
	"fmt"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync"
	"testing"
	"time"

	"swardcase/api/service"
	"swardcase/api/store"
	"swardcase/api/store/storetest"
)

const clubBody = `{"name":"Thornmere Golf Club","site":{"latitude_deg":52,"climate":{"station":"oxford"}}}`

func otherClub(name string) string { return strings.Replace(clubBody, "Thornmere", name, 1) }

func (k *keeping) count(target string) int {
	k.t.Helper()
	var page struct {
		Items []json.RawMessage `json:"items"`
	}
	if err := json.Unmarshal([]byte(k.want(200, "GET", target, "").body), &page); err != nil {
		k.t.Fatal(err)
	}
	return len(page.Items)
}

// TestAKeyIsAnsweredOnce: the same key and body store one thing and get one
// answer; the key's scope is the address; it is forgotten after 24 hours.
func TestAKeyIsAnsweredOnce(t *testing.T) {
	eachEngine(t, func(t *testing.T, k *keeping) {
		key := []string{"Idempotency-Key", "morning-1"}
		first := k.want(201, "POST", "/v1/clubs", clubBody, key...)
		again := k.want(201, "POST", "/v1/clubs", clubBody, key...)
		if again.body != first.body || again.tag != first.tag || again.location != first.location || k.count("/v1/clubs") != 1 {
			t.Errorf("first %+v, then %+v", first, again)
		}
		k.refused(422, "idempotency-key-reused", "POST", "/v1/clubs", otherClub("Another"), key...)
		k.refused(400, "bad-parameters", "POST", "/v1/clubs", clubBody, "Idempotency-Key", "two words")

		// Another address is another scope.
		green := `{"green":{"name":"1st","area_m2":400,"perimeter_m":75,"age_years":9,"has_drains":false}}`
		at := first.location + "/greens"
		made := k.want(201, "POST", at, green, key...)
		gone := k.want(200, "DELETE", made.location, "", "If-Match", made.tag)
		back := k.want(200, "POST", made.location+"/restore", "", append(key, "If-Match", gone.tag)...)
		if once := k.want(200, "POST", made.location+"/restore", "", append(key, "If-Match", gone.tag)...); once.body != back.body {
			t.Errorf("restored %s, then %s", back.body, once.body)
		}
		k.refused(422, "idempotency-key-reused", "POST", made.location+"/restore", "", append(key, "If-Match", back.tag)...)

		// What stored nothing leaves the key free for the mended request.
		taken := []string{"Idempotency-Key", "evening-1"}
		k.refused(409, "conflict", "POST", at, green, taken...)
		k.want(201, "POST", at, strings.Replace(green, "1st", "2nd", 1), taken...)

		k.clock.now = k.clock.now.Add(24*time.Hour + time.Second)
		k.want(201, "POST", "/v1/clubs", otherClub("Another"), key...)
	})
}

// TestAKeyUnderWay: a claim that has no answer yet refuses a second request, and
// is taken over once its lease has ended, as after the death of a process.
func TestAKeyUnderWay(t *testing.T) {
	eachEngine(t, func(t *testing.T, k *keeping) {
		now := k.clock.now
		claim := service.Claim{
			Who: "local", Route: "POST /v1/clubs", Key: "half-done", ID: "01985e3c-0000-7000-8000-000000000001",
			BodySHA256: fmt.Sprintf("%064x", 0), ClaimedAt: now, LeasedUntil: now.Add(2 * time.Minute), KeptUntil: now.Add(24 * time.Hour),
		}
		hold := func(c service.Claim) error {
			return k.store.Update(t.Context(), service.Scope{EveryClub: true}, func(tx service.Tx) error {
				_, _, err := tx.Claim(t.Context(), c)
				return err
			})
		}
		if err := hold(claim); err != nil {
			t.Fatal(err)
		}
		k.refused(422, "idempotency-key-reused", "POST", "/v1/clubs", clubBody, "Idempotency-Key", "half-done")
		claim.Key, claim.BodySHA256 = "under-way", sha(clubBody)
		if err := hold(claim); err != nil {
			t.Fatal(err)
		}
		out := k.send("POST", "/v1/clubs", clubBody, "Idempotency-Key", "under-way")
		if out.code != 409 || !strings.Contains(out.body, "/problems/under-way") {
			t.Errorf("answered %d: %s", out.code, out.body)
		}
		k.clock.now = now.Add(2*time.Minute + time.Second)
		k.want(201, "POST", "/v1/clubs", clubBody, "Idempotency-Key", "under-way")

		// The one that lost its claim must not write its answer any more.
		err := k.store.Update(t.Context(), service.Scope{EveryClub: true}, func(tx service.Tx) error {
			late := claim
			late.Answer = []byte(`{}`)
			return tx.Answer(t.Context(), late)
		})
		if service.KindOf(err) != service.Conflict {
			t.Errorf("a lost claim was answered: %v", err)
		}
	})
}

// TestRaces sends the same at the same time through two servers over one store:
// one thing is stored for one key, and one change is made to one version.
func TestRaces(t *testing.T) {
	for _, engine := range storetest.Engines {
		t.Run(engine, func(t *testing.T) {
			place := storetest.Place(t, engine)
			servers := []*keeping{newKeeping(t, storetest.Open(t, place)), newKeeping(t, openAgain(t, place))}
			const each = 8
			answers := race(servers, each, func() *http.Request {
				r := jsonRequest("/v1/clubs", []byte(clubBody))
				r.Header.Set("Idempotency-Key", "race")
				return r
			})
			bodies := map[string]bool{}
			for _, w := range answers {
				switch w.Code {
				case http.StatusCreated:
					bodies[w.Body.String()] = true
				case http.StatusConflict: // under way
				default:
					t.Errorf("answered %d: %s", w.Code, w.Body)
				}
			}
			if k := servers[0]; len(bodies) != 1 || k.count("/v1/clubs") != 1 {
				t.Fatalf("%d answers, %d clubs", len(bodies), k.count("/v1/clubs"))
			}
			var club thing
			for body := range bodies {
				if err := json.Unmarshal([]byte(body), &club); err != nil {
					t.Fatal(err)
				}
			}
			codes := map[int]int{}
			for _, w := range race(servers, each, func() *http.Request {
				r := httptest.NewRequest(http.MethodPut, "/v1/clubs/"+club.ID, strings.NewReader(otherClub("New")))
				r.Header.Set("Content-Type", "application/json")
				r.Header.Set("If-Match", `"1"`)
				return r
			}) {
				codes[w.Code]++
			}
			if codes[200] != 1 || codes[412] != 2*each-1 {
				t.Errorf("answers by status: %v", codes)
			}
		})
	}
}

// TestANewPriceBookTakenTwiceAtOnce: appraisals that are the first to use a book
// at the same moment are all kept, and the book is marked once.
func TestANewPriceBookTakenTwiceAtOnce(t *testing.T) {
	for _, engine := range storetest.Engines {
		t.Run(engine, func(t *testing.T) {
			place := storetest.Place(t, engine)
			servers := []*keeping{newKeeping(t, storetest.Open(t, place)), newKeeping(t, openAgain(t, place))}
			s := servers[0].setUp()
			book := servers[0].want(201, "POST", s.at+"/price-books", `{"book":`+servers[0].priceBook("Book of 2027")+`}`)
			body := s.appraisal(`,"price_book_id":"` + book.ID + `"`)
			for _, w := range race(servers, 4, func() *http.Request { return jsonRequest(s.at+"/appraisals", []byte(body)) }) {
				if w.Code != http.StatusCreated {
					t.Errorf("answered %d: %s", w.Code, w.Body)
				}
			}
			trail := servers[1].want(200, "GET", s.at+"/audit-entries?noun_id="+book.ID, "")
			if uses := strings.Count(trail.body, `"action":"use"`); uses != 1 {
				t.Errorf("%d first uses: %s", uses, trail.body)
			}
		})
	}
}

func openAgain(t *testing.T, place store.Place) *store.Store {
	t.Helper()
	s, err := store.Open(t.Context(), place)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	return s
}

func race(servers []*keeping, each int, request func() *http.Request) []*httptest.ResponseRecorder {
	var group sync.WaitGroup
	answers := make([]*httptest.ResponseRecorder, each*len(servers))
	for i := range answers {
		answers[i] = httptest.NewRecorder()
		group.Go(func() { servers[i%len(servers)].handler.ServeHTTP(answers[i], request()) })
	}
	group.Wait()
	return answers
}
