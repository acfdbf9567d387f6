package api_test

import (
	"fmt"
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"testing"
	"time"

	"swardcase/api/access"
	"swardcase/api/contract"
	"swardcase/api/pages"
	"swardcase/api/service"
)

// operatorKey makes the key of an operator, as the command line does.
func (k *keeping) operatorKey(t *testing.T) string {
	t.Helper()
	made, err := k.service.CreateOperatorKey(service.WithCaller(t.Context(), service.LocalCaller("test")), "the host", 0)
	if err != nil {
		t.Fatal(err)
	}
	return made.Secret
}

// secretOf is what an answer shows once.
func secretOf(t *testing.T, made thing) string {
	t.Helper()
	var answer struct{ Secret string }
	unmarshal(t, made.body, &answer)
	if len(answer.Secret) != 62 {
		t.Fatalf("no secret in %s", made.body)
	}
	return answer.Secret
}

// bearer is the header that a secret goes into.
func bearer(secret string) []string {
	if secret == "" {
		return nil
	}
	return []string{"Authorization", "Bearer " + secret}
}

// key makes a key of a club.
func (k *keeping) key(t *testing.T, by, club, role string, more ...string) (secret string, made thing) {
	t.Helper()
	body := fmt.Sprintf(`{"label":"the %s","role":%q%s}`, role, role, strings.Join(more, ""))
	made = k.want(201, "POST", "/v1/clubs/"+club+"/keys", body, bearer(by)...)
	return secretOf(t, made), made
}

// visitor is one who calls in the test of all routes. Roles are those that hold in
// the club which is called.
type visitor struct {
	name, secret string
	role         service.Role
	foreign      bool
	refused      bool // for want of a good key
}

// wantsOf says what a route asks for, by its method and its address: the same in
// other words than the table.
func wantsOf(method, path string) (least service.Role, operatorToo bool) {
	rest, below := strings.CutPrefix(path, "/v1/clubs/{club_id}")
	switch {
	case !strings.HasPrefix(path, "/v1/"):
		return "", true
	case strings.HasPrefix(path, "/v1/trial-"):
		return service.RoleViewer, true
	case path == "/v1/clubs" && method == "POST":
		return service.RoleOperator, true
	case strings.HasPrefix(rest, "/keys"):
		return service.RoleOwner, true
	case strings.HasPrefix(rest, "/audit-entries"):
		return service.RoleOwner, false
	case strings.Contains(rest, "/share-links"):
		return service.RoleEditor, false
	case !below || rest == "" && method == "GET":
		return service.RoleViewer, true
	case rest == "" && method == "PUT":
		return service.RoleOwner, false
	case rest == "" || rest == "/restore":
		return service.RoleOwner, true
	case method == "GET":
		return service.RoleViewer, false
	}
	return service.RoleEditor, false
}

// wantStatusOf is the status that a visitor must get, where let in is that of the
// requests below.
func (v visitor) wantStatusOf(op contract.Operation, letIn int) int {
	least, operatorToo := wantsOf(op.Method, op.Path)
	ranks := []service.Role{service.RoleViewer, service.RoleEditor, service.RoleOwner}
	switch {
	case least == "" || op.ID == "getSharedAppraisal":
		return letIn
	case v.refused:
		return http.StatusUnauthorized
	case v.role == service.RoleOperator && operatorToo:
		return letIn
	case v.role == service.RoleOperator:
		return http.StatusForbidden
	case v.foreign && strings.Contains(op.Path, "{club_id}"):
		return http.StatusNotFound
	case least == service.RoleOperator || slices.Index(ranks, v.role) < slices.Index(ranks, least):
		return http.StatusForbidden
	}
	return letIn
}

// TestEveryRouteAsksForItsRole walks every operation of the contract with every
// kind of caller, over both engines. The requests change nothing but that a spare
// key and a link are revoked: bodies cannot be read, versions do not match.
func TestEveryRouteAsksForItsRole(t *testing.T) {
	eachEngine(t, func(t *testing.T, k *keeping) {
		s := k.setUp()
		appraisal := k.want(201, "POST", s.at+"/appraisals", s.appraisal(""))
		book := k.want(201, "POST", s.at+"/price-books", `{"book":`+k.priceBook("Ours")+`}`)
		link := k.want(201, "POST", appraisal.location+"/share-links", `{}`)
		plan := k.want(202, "POST", s.at+"/course-plans", planBody(t))
		k.want(200, "POST", plan.location+"/cancel", "") // to cancel it again changes nothing
		other := k.want(201, "POST", "/v1/clubs", otherClub("Other"))
		operator := k.operatorKey(t)
		viewer, _ := k.key(t, operator, s.club.ID, "viewer")
		editor, _ := k.key(t, operator, s.club.ID, "editor")
		owner, _ := k.key(t, operator, s.club.ID, "owner")
		foreign, _ := k.key(t, operator, other.ID, "owner")
		expired, _ := k.key(t, owner, s.club.ID, "owner", `,"valid_days":1`)
		revoked, gone := k.key(t, owner, s.club.ID, "owner")
		k.want(200, "DELETE", gone.location, "", bearer(owner)...)
		_, spare := k.key(t, owner, s.club.ID, "viewer")
		k.clock.now = k.clock.now.Add(25 * time.Hour)
		before := k.countAs(t, owner, s.at+"/audit-entries?limit=200")

		visitors := []visitor{
			{name: "nobody", refused: true},
			{name: "no key", secret: "swc_none", refused: true},
			{name: "another's secret", secret: secretOf(t, link), refused: true},
			{name: "expired", secret: expired, refused: true},
			{name: "revoked", secret: revoked, refused: true},
			{name: "viewer", secret: viewer, role: service.RoleViewer},
			{name: "editor", secret: editor, role: service.RoleEditor},
			{name: "owner", secret: owner, role: service.RoleOwner},
			{name: "owner of another club", secret: foreign, role: service.RoleOwner, foreign: true},
			{name: "operator", secret: operator, role: service.RoleOperator},
		}
		ids := map[string]string{
			"club_id": s.club.ID, "green_id": s.green.ID, "survey_id": s.survey.ID, "price_book_id": book.ID,
			"appraisal_id": appraisal.ID, "access_key_id": spare.ID, "share_link_id": link.ID,
			"course_plan_id": plan.ID,
		}
		tried := map[int]int{}
		for _, op := range contract.New(k.doc, nil).Operations() {
			for _, v := range visitors {
				tried[k.visit(t, op, v, ids)]++
			}
		}
		total := 0
		for _, n := range tried {
			total += n
		}
		if total < 400 || tried[401] < 100 || tried[403] < 50 || tried[404] < 30 {
			t.Errorf("too little was tried: %v", tried)
		}
		t.Logf("%d combinations of route and caller, by status: %v", total, tried)
		if after := k.countAs(t, owner, s.at+"/audit-entries?limit=200"); after != before+2 {
			t.Errorf("%d entries before and %d after: the walk has changed something", before, after)
		}
	})
}

// visit makes one request and gives its status.
func (k *keeping) visit(t *testing.T, op contract.Operation, v visitor, ids map[string]string) int {
	t.Helper()
	target := op.Path
	for name, id := range ids {
		target = strings.ReplaceAll(target, "{"+name+"}", id)
	}
	if op.ID == "compareAppraisals" {
		target += "?first_id=" + ids["appraisal_id"] + "&second_id=" + ids["appraisal_id"]
	}
	letIn := http.StatusOK
	switch {
	case op.ID == "getSharedAppraisal":
		letIn = http.StatusNotFound // the one link there was is revoked by then
	case op.BodyMedia == "text/csv":
		letIn = http.StatusUnprocessableEntity
	case op.BodyMedia != "":
		letIn = http.StatusBadRequest
	case op.TakesMatch:
		letIn = http.StatusPreconditionFailed
	}
	r := httptest.NewRequest(op.Method, target, strings.NewReader("{"))
	r.Header.Set("Content-Type", op.BodyMedia)
	r.Header.Set("If-Match", `"999"`)
	if v.secret != "" {
		r.Header.Set("Authorization", "Bearer "+v.secret)
	}
	w := k.do(r)
	if want := v.wantStatusOf(op, letIn); w.Code != want {
		t.Errorf("%s %s as %s answered %d, want %d: %s", op.Method, op.Path, v.name, w.Code, want, w.Body)
	}
	if asks := w.Header().Get("WWW-Authenticate"); (w.Code == 401) != (asks == `Bearer realm="swardcase"`) {
		t.Errorf("%s as %s: %d and WWW-Authenticate %q", op.ID, v.name, w.Code, asks)
	}
	return w.Code
}

// countAs counts what a list holds for the holder of a key.
func (k *keeping) countAs(t *testing.T, secret, target string) int {
	t.Helper()
	var page service.Page[thing]
	unmarshal(t, k.want(200, "GET", target, "", bearer(secret)...).body, &page)
	return len(page.Items)
}

// TestTheTableHasEveryRouteAndNoMore compares it with the contract and the pages,
// and the contract's own word on who needs no key with the table's.
func TestTheTableHasEveryRouteAndNoMore(t *testing.T) {
	h := newHarness(t, engine(echoName), nil)
	var routes []string
	for _, op := range contract.New(h.doc, nil).Operations() {
		routes = append(routes, op.ID)
		need, err := access.Of(op.ID)
		if err != nil {
			t.Error(err)
		}
		security := h.doc.Paths.Value(op.Path).GetOperation(op.Method).Security
		if ownWord := security != nil; ownWord != need.Anyone {
			t.Errorf("%s: the contract says of itself who may: %v; anyone may: %v", op.ID, ownWord, need.Anyone)
		}
	}
	for _, route := range pages.Routes() {
		routes = append(routes, route.ID)
	}
	slices.Sort(routes)
	if !slices.Equal(routes, access.Routes()) {
		t.Errorf("routes %v\ntable %v", routes, access.Routes())
	}
	if _, err := access.Of("noSuchRoute"); err == nil {
		t.Error("a route that is not in the table has a need")
	}
}

// TestTheFirstKeyShutsTheDoor: a service without keys answers whoever is on the
// machine; from the first key on it asks for one, and does not open again when
// the last is revoked.
func TestTheFirstKeyShutsTheDoor(t *testing.T) {
	eachEngine(t, func(t *testing.T, k *keeping) {
		s := k.setUp()
		owner, made := k.key(t, "", s.club.ID, "owner")
		k.refused(401, "unauthenticated", "GET", s.at, "")
		k.want(200, "GET", s.at, "", bearer(owner)...)
		k.want(200, "DELETE", made.location, "", bearer(owner)...)
		k.refused(401, "unauthenticated", "GET", s.at, "", bearer(owner)...)
		k.refused(401, "unauthenticated", "GET", s.at, "")
		k.want(200, "GET", "/healthz", "")
	})
}

// TestAGateShutsForGood, also for pages, where who has signed in goes on.
func TestAGateShutsForGood(t *testing.T) {
	eachEngine(t, func(t *testing.T, k *keeping) {
		gate := access.NewGate(k.service, true)
		r := httptest.NewRequest("GET", "/", nil)
		r.Host = "localhost"
		if caller, err := gate.BySession(r, ""); err != nil || caller.Role != service.RoleLocal {
			t.Fatalf("%+v, %v", caller, err)
		}
		operator := k.operatorKey(t)
		for range 2 {
			if _, err := gate.BySession(r, ""); service.KindOf(err) != service.Unauthenticated {
				t.Errorf("open: %v", err)
			}
		}
		session, err := k.service.SignIn(t.Context(), operator)
		if err != nil {
			t.Fatal(err)
		}
		if caller, err := gate.BySession(r, session.Secret); err != nil || caller != session.Caller {
			t.Errorf("signed in: %+v, %v", caller, err)
		}
	})
}

// TestACallerSeesItsOwnClubOnly in the list of clubs; an operator sees all.
func TestACallerSeesItsOwnClubOnly(t *testing.T) {
	eachEngine(t, func(t *testing.T, k *keeping) {
		operator := k.operatorKey(t)
		var made []string
		for _, name := range []string{"One", "Two", "Three"} {
			made = append(made, k.want(201, "POST", "/v1/clubs", otherClub(name), append(bearer(operator), "Idempotency-Key", name)...).ID)
		}
		if n := k.countAs(t, operator, "/v1/clubs"); n != 3 {
			t.Errorf("an operator sees %d clubs", n)
		}
		viewer, _ := k.key(t, operator, made[1], "viewer")
		list := k.want(200, "GET", "/v1/clubs", "", bearer(viewer)...)
		if n := k.countAs(t, viewer, "/v1/clubs"); n != 1 || !strings.Contains(list.body, made[1]) {
			t.Errorf("a viewer sees %s", list.body)
		}
		// A club that is not there and one that is another's are told in the same words.
		nowhere := k.send("GET", "/v1/clubs/01985e3c-0000-7000-8000-000000000009", "", bearer(viewer)...)
		if abroad := k.send("GET", "/v1/clubs/"+made[0], "", bearer(viewer)...); abroad.body != nowhere.body || abroad.code != 404 {
			t.Errorf("nowhere %s, abroad %s", nowhere.body, abroad.body)
		}
	})
}
