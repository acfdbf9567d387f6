package api_test

import (
	"encoding/json"
	"net/http"
	"regexp"
	"strings"
	"testing"

	"swardcase/api/contract"
	"swardcase/api/service"
)

// heaviestPage is what a page of the documentation may weigh.
const heaviestPage = 150_000

var (
	linkOnPage   = regexp.MustCompile(`(?:href|src)="([^"]*)"`)
	anchorOnPage = regexp.MustCompile(` id="([^"]*)"`)
	withinPage   = regexp.MustCompile(`(?i)<script|<style| style="| on[a-z]+="|javascript:`)
)

// TestEveryPageOfTheDocumentationIsThere follows every link from the first page:
// each leads to a page of this server and to a place on it, and no page is heavy or
// has script or style within.
func TestEveryPageOfTheDocumentationIsThere(t *testing.T) {
	h := newHarness(t, engine(echoName), nil)
	anchors := map[string]map[string]bool{}
	wanted := map[string]string{"/docs": "the beginning"}
	links := map[string]string{}
	for len(wanted) > 0 {
		for address, from := range wanted {
			delete(wanted, address)
			w := fromBrowser(h, address)
			if w.Code != http.StatusOK {
				t.Fatalf("%s, linked from %s, answered %d", address, from, w.Code)
			}
			anchors[address] = map[string]bool{"": true}
			if !strings.HasPrefix(address, "/docs") {
				continue // another page, or a file: it is there
			}
			body := w.Body.String()
			if len(body) > heaviestPage {
				t.Errorf("%s weighs %d bytes", address, len(body))
			}
			if found := withinPage.FindString(body); found != "" {
				t.Errorf("%s has %q in it", address, found)
			}
			for _, found := range anchorOnPage.FindAllStringSubmatch(body, -1) {
				if anchors[address][found[1]] {
					t.Errorf("%s has two places called %s", address, found[1])
				}
				anchors[address][found[1]] = true
			}
			for _, found := range linkOnPage.FindAllStringSubmatch(body, -1) {
				page, place, _ := strings.Cut(found[1], "#")
				if page == "" {
					page = address
				}
				if !strings.HasPrefix(page, "/") || strings.HasPrefix(page, "//") {
					t.Errorf("%s leads outside: %s", address, found[1])
					continue
				}
				links[page+"#"+place] = address
				if anchors[page] == nil {
					wanted[page] = address
				}
			}
		}
	}
	if len(anchors) < 300 {
		t.Errorf("only %d pages were found", len(anchors))
	}
	for link, from := range links {
		page, place, _ := strings.Cut(link, "#")
		if strings.HasPrefix(page, "/docs") && !anchors[page][place] {
			t.Errorf("%s leads to %s, where there is no such place", from, link)
		}
	}
}

// TestTheTypeOfAProblemIsAnAddress where it is explained.
func TestTheTypeOfAProblemIsAnAddress(t *testing.T) {
	h := newHarness(t, engine(echoName), nil)
	page := fromBrowser(h, "/docs/problems").Body.String()
	for _, kind := range service.Kinds() {
		outcome := kind.Outcome()
		w := fromBrowser(h, outcome.Type)
		name := strings.TrimPrefix(outcome.Type, "/problems/")
		if w.Code != http.StatusSeeOther || w.Header().Get("Location") != "/docs/problems#"+name {
			t.Errorf("%s answered %d with %q", outcome.Type, w.Code, w.Header().Get("Location"))
		}
		row := regexp.MustCompile(`<tr id="` + name + `">.*`).FindString(page)
		if _, what, found := strings.Cut(row, ".</strong> "); !found || len(what) < 80 {
			t.Errorf("%s is not explained: %s", outcome.Type, row)
		}
	}
	if w := fromBrowser(h, "/problems/none"); w.Code != http.StatusNotFound {
		t.Errorf("an unknown problem answered %d", w.Code)
	}
}

// TestExamplesAreTaken holds each example of the contract to what the server makes
// of it: bodies pass their check, the case can be appraised
// and the course planned.
func TestExamplesAreTaken(t *testing.T) {
	h := newHarness(t, service.ModelEngine(), nil)
	checker := contract.New(h.doc, nil)
	checked := 0
	for name, schema := range h.doc.Components.Schemas {
		if _, isObject := schema.Value.Example.(map[string]any); !isObject {
			continue
		}
		body, err := json.Marshal(schema.Value.Example)
		if err != nil {
			t.Fatal(err)
		}
		checked++
		if _, err := checker.CheckDocument(name, body); err != nil {
			t.Errorf("the example of %s: %v", name, err)
		}
		switch name {
		case "Case":
			wantStatus(t, h.post("/v1/trial-appraisals", string(body)), http.StatusOK)
		case "CourseCase":
			wantStatus(t, h.post("/v1/trial-course-plans", string(body)), http.StatusOK)
		}
	}
	if checked < 10 {
		t.Errorf("only %d examples", checked)
	}
	for _, op := range checker.Operations() {
		if op.BodySchema != "" && h.doc.Components.Schemas[op.BodySchema].Value.Example == nil && op.BodySchema != "BreakEvenRequest" {
			t.Errorf("%s takes a %s, of which there is no example", op.ID, op.BodySchema)
		}
	}
}
