package api_test

import (
	"crypto/rand"
	"net/http"
	"net/http/httptest"
	"net/url"
	"slices"
	"strings"

	"golang.org/x/net/html"

	"swardcase/api"
)

// reader reads pages as a browser without script does: it follows links, fills in
// forms and keeps cookies.
type reader struct {
	k       *keeping
	handler http.Handler
	cookies map[string]*http.Cookie
	at      string
	status  int
	header  http.Header
	body    string
	page    *html.Node
}

// reader gives every request a number of its own, as the served program does: the
// forms of the pages go by it.
func (k *keeping) reader() *reader {
	k.t.Helper()
	own := harnessOf(k.t, k.service, func(c *api.Config) {
		c.Logger, c.NewRequestID, c.OpenToLocal = discard(), rand.Text, true
	})
	return &reader{k: k, handler: own.handler, cookies: map[string]*http.Cookie{}}
}

// send makes a request, and follows where it leads to.
func (r *reader) send(method, target string, values url.Values, headers ...string) *reader {
	r.k.t.Helper()
	for range 5 {
		request := httptest.NewRequest(method, target, strings.NewReader(values.Encode()))
		request.Header.Set("Accept", "text/html,application/xhtml+xml,application/xml;q=0.9,*/*;q=0.8")
		if method == http.MethodPost {
			request.Header.Set("Content-Type", "application/x-www-form-urlencoded")
			request.Header.Set("Sec-Fetch-Site", "same-origin")
		}
		for i := 0; i < len(headers); i += 2 {
			request.Header.Set(headers[i], headers[i+1])
		}
		for _, cookie := range r.cookies {
			request.AddCookie(&http.Cookie{Name: cookie.Name, Value: cookie.Value})
		}
		w := httptest.NewRecorder()
		r.handler.ServeHTTP(w, request)
		r.take(target, w)
		if w.Code != http.StatusSeeOther {
			return r
		}
		method, target, values = http.MethodGet, w.Header().Get("Location"), nil
	}
	r.k.t.Fatalf("%s leads on and on", target)
	return r
}

func (r *reader) take(target string, w *httptest.ResponseRecorder) {
	r.k.t.Helper()
	r.at, r.status, r.body, r.header = target, w.Code, w.Body.String(), w.Header()
	for _, cookie := range w.Result().Cookies() {
		if cookie.MaxAge < 0 {
			delete(r.cookies, cookie.Name)
			continue
		}
		r.cookies[cookie.Name] = cookie
	}
	var err error
	if r.page, err = html.Parse(strings.NewReader(r.body)); err != nil {
		r.k.t.Fatal(err)
	}
}

func (r *reader) open(target string) *reader {
	r.k.t.Helper()
	return r.send(http.MethodGet, target, nil)
}

// want fails unless the last answer had a status.
func (r *reader) want(status int) *reader {
	r.k.t.Helper()
	if r.status != status {
		r.k.t.Fatalf("%s answered %d, want %d: %.3000s", r.at, r.status, status, r.body)
	}
	return r
}

// follow takes the link with these words.
func (r *reader) follow(words string) *reader {
	r.k.t.Helper()
	for node := range r.page.Descendants() {
		if node.Data == "a" && textOf(node) == words {
			return r.open(resolved(r.at, attribute(node, "href")))
		}
	}
	r.k.t.Fatalf("%s has no link %q", r.at, words)
	return r
}

// offers says whether a page has a link with these words.
func (r *reader) offers(words string) bool {
	for node := range r.page.Descendants() {
		if node.Data == "a" && textOf(node) == words {
			return true
		}
	}
	return false
}

// fields are what the form of a page holds, as a browser would send it.
func (r *reader) fields() url.Values {
	r.k.t.Helper()
	form := r.form()
	values := url.Values{}
	for node := range form.Descendants() {
		name := attribute(node, "name")
		switch {
		case name == "" || node.Type != html.ElementNode:
		case node.Data == "input" && attribute(node, "type") == "checkbox":
			if has(node, "checked") {
				values.Add(name, "on")
			}
		case node.Data == "input":
			values.Add(name, attribute(node, "value"))
		case node.Data == "textarea":
			values.Add(name, textOf(node))
		case node.Data == "select":
			values.Add(name, chosen(node))
		}
	}
	return values
}

func (r *reader) form() *html.Node {
	r.k.t.Helper()
	for node := range r.page.Descendants() {
		if node.Data == "form" && attribute(node, "method") == "post" && attribute(node, "class") != "leave" {
			return node
		}
	}
	r.k.t.Fatalf("%s has no form: %.2000s", r.at, r.body)
	return nil
}

// fill sends the form of a page with some fields changed; they come in pairs. A
// field that the form does not have fails.
func (r *reader) fill(pairs ...string) *reader {
	r.k.t.Helper()
	values := r.fields()
	for i := 0; i < len(pairs); i += 2 {
		if _, there := values[pairs[i]]; !there && !strings.HasSuffix(pairs[i], "_patch") && pairs[i] != "more" {
			r.k.t.Fatalf("%s has no field %q", r.at, pairs[i])
		}
		values.Set(pairs[i], pairs[i+1])
	}
	return r.send(http.MethodPost, attribute(r.form(), "action"), values)
}

// value is what a field of the page holds.
func (r *reader) value(name string) string { return r.fields().Get(name) }

// beside is what the page says to be wrong with a field.
func (r *reader) beside(name string) string {
	for node := range r.page.Descendants() {
		if attribute(node, "name") == name {
			if attribute(node, "aria-invalid") != "true" {
				return ""
			}
			for _, id := range strings.Fields(attribute(node, "aria-describedby")) {
				if strings.HasSuffix(id, "-fault") {
					return textOf(r.byID(id))
				}
			}
		}
	}
	return ""
}

func (r *reader) byID(id string) *html.Node {
	r.k.t.Helper()
	for node := range r.page.Descendants() {
		if attribute(node, "id") == id {
			return node
		}
	}
	r.k.t.Fatalf("%s has nothing with the id %q", r.at, id)
	return nil
}

func attribute(node *html.Node, name string) string {
	i := slices.IndexFunc(node.Attr, func(a html.Attribute) bool { return a.Key == name })
	if i < 0 || node.Type != html.ElementNode {
		return ""
	}
	return node.Attr[i].Val
}

func has(node *html.Node, name string) bool {
	return slices.ContainsFunc(node.Attr, func(a html.Attribute) bool { return a.Key == name })
}

func chosen(node *html.Node) string {
	first, found := "", false
	for option := range node.Descendants() {
		if option.Data != "option" || option.Type != html.ElementNode {
			continue
		}
		if has(option, "selected") {
			return attribute(option, "value")
		}
		if !found {
			first, found = attribute(option, "value"), true
		}
	}
	return first
}

func textOf(node *html.Node) string {
	var out strings.Builder
	for inner := range node.Descendants() {
		if inner.Type == html.TextNode {
			out.WriteString(inner.Data)
		}
	}
	return strings.TrimSpace(out.String())
}

func resolved(base, href string) string {
	from, err := url.Parse(base)
	if err != nil {
		return href
	}
	to, err := from.Parse(href)
	if err != nil {
		return href
	}
	to.Fragment = ""
	return to.String()
}
