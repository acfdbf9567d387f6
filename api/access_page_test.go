package api_test

import (
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"testing"

	"swardcase/api/pages"
	"swardcase/api/service"
)

// wantsOfPage says what a page asks for, by its address: the same in other words
// than the table.
func wantsOfPage(route pages.Route) (least service.Role, operatorToo bool) {
	rest, below := strings.CutPrefix(route.Path, "/clubs")
	switch {
	case strings.HasSuffix(rest, "/what-if") && below && route.Method == http.MethodPost:
		return service.RoleEditor, false // to keep what was tried
	case strings.HasSuffix(rest, "/cancel"):
		return service.RoleEditor, false
	case !below:
		return "", true
	case rest == "":
		return service.RoleViewer, true
	case rest == "/new":
		return service.RoleOperator, true
	case rest == "/{club_id}/change":
		return service.RoleOwner, false
	case strings.HasSuffix(rest, "/new"), strings.HasSuffix(rest, "/change"):
		return service.RoleEditor, false
	}
	return service.RoleViewer, false
}

// TestEveryPageAsksForItsRole walks every page with everybody who may have signed
// in. The forms are sent empty, so that nothing is stored.
func TestEveryPageAsksForItsRole(t *testing.T) {
	eachEngine(t, func(t *testing.T, k *keeping) {
		s := k.setUp()
		appraisal := k.want(201, "POST", s.at+"/appraisals", s.appraisal(""))
		book := k.want(201, "POST", s.at+"/price-books", `{"book":`+k.priceBook("Book of 2027")+`}`)
		plan := k.want(202, "POST", s.at+"/course-plans", planBody(t))
		other := k.want(201, "POST", "/v1/clubs", otherClub("Other"))
		operator := k.operatorKey(t)
		signIn := func(key string) string {
			session, err := k.service.SignIn(t.Context(), key)
			if err != nil {
				t.Fatal(err)
			}
			return session.Secret
		}
		visitors := []visitor{{name: "nobody", refused: true}, {name: "a key for a session", secret: operator, refused: true}}
		for _, role := range []service.Role{service.RoleViewer, service.RoleEditor, service.RoleOwner} {
			key, _ := k.key(t, operator, s.club.ID, string(role))
			visitors = append(visitors, visitor{name: string(role), secret: signIn(key), role: role})
		}
		foreign, _ := k.key(t, operator, other.ID, "owner")
		revoked, gone := k.key(t, operator, s.club.ID, "owner")
		visitors = append(visitors,
			visitor{name: "operator", secret: signIn(operator), role: service.RoleOperator},
			visitor{name: "owner of another club", secret: signIn(foreign), role: service.RoleOwner, foreign: true},
			visitor{name: "holder of a revoked key", secret: signIn(revoked), refused: true})
		k.want(200, "DELETE", gone.location, "", bearer(operator)...)

		address := strings.NewReplacer("{club_id}", s.club.ID, "{green_id}", s.green.ID, "{survey_id}", s.survey.ID, "{appraisal_id}", appraisal.ID, "{price_book_id}", book.ID, "{course_plan_id}", plan.ID)
		tried := map[int]int{}
		for _, route := range pages.Routes() {
			target := address.Replace(route.Path)
			if route.ID == "showComparison" {
				target += "?first=" + appraisal.ID + "&second=" + appraisal.ID
			}
			for _, v := range visitors {
				tried[k.visitPage(t, route, target, v)]++
			}
		}
		t.Logf("combinations of page and visitor, by status: %v", tried)
		if tried[303] < 30 || tried[401] < 20 || tried[403] < 15 || tried[404] < 15 {
			t.Errorf("too little was tried: %v", tried)
		}
	})
}

// visitPage visits one page and gives the status.
func (k *keeping) visitPage(t *testing.T, route pages.Route, target string, v visitor) int {
	t.Helper()
	r := httptest.NewRequest(route.Method, target, nil)
	r.Header.Set("Accept", "text/html")
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	if v.secret != "" {
		r.AddCookie(&http.Cookie{Name: "swardcase", Value: v.secret})
	}
	w := httptest.NewRecorder()
	k.handler.ServeHTTP(w, r)
	least, operatorToo := wantsOfPage(route)
	ranks := []service.Role{service.RoleViewer, service.RoleEditor, service.RoleOwner}
	want := 0 // let in
	switch {
	case least == "":
	case v.refused && route.Method == http.MethodGet:
		want = http.StatusSeeOther
	case v.refused:
		want = http.StatusUnauthorized
	case v.role == service.RoleOperator && operatorToo:
	case v.role == service.RoleOperator:
		want = http.StatusForbidden
	case v.foreign && strings.Contains(route.Path, "{club_id}"):
		want = http.StatusNotFound
	case least == service.RoleOperator, slices.Index(ranks, v.role) < slices.Index(ranks, least):
		want = http.StatusForbidden
	}
	refused := w.Code == 401 || w.Code == 403 || w.Code == 303 && strings.HasPrefix(w.Header().Get("Location"), "/sign-in")
	switch {
	case want != 0 && w.Code != want, want == http.StatusSeeOther && !refused:
		t.Errorf("%s as %s answered %d, want %d", route.ID, v.name, w.Code, want)
	case want == 0 && least != "" && (refused || w.Code == 404):
		t.Errorf("%s as %s answered %d: %.300s", route.ID, v.name, w.Code, w.Body)
	}
	return w.Code
}
