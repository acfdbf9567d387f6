package pages

import (
	"cmp"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"swardcase/api/access"
	"swardcase/api/pages/reference"
	"swardcase/api/service"
)

// docsAddress is where the documentation of the API begins.
const docsAddress = "/docs"

// docsRoutes are the addresses of the documentation.
func docsRoutes() []Route {
	return []Route{
		{"showDocs", http.MethodGet, docsAddress, (*Pages).showDocs},
		{"showDocsTopic", http.MethodGet, docsAddress + "/topics/{topic}", (*Pages).showDocsTopic},
		{"showDocsSchemas", http.MethodGet, docsAddress + "/schemas", (*Pages).showDocsSchemas},
		{"showDocsSchema", http.MethodGet, docsAddress + "/schemas/{name}", (*Pages).showDocsSchema},
		{"showDocsProblems", http.MethodGet, docsAddress + "/problems", (*Pages).showDocsProblems},
		{"showProblemKind", http.MethodGet, problemPrefix + "{problem}", (*Pages).showProblemKind},
	}
}

// docsTrail leads to the pages of the documentation.
func docsTrail(below ...Crumb) []Crumb {
	return append([]Crumb{{"Start", "/"}, {"The API", docsAddress}}, below...)
}

// showDocs shows how the API is called, and every operation by its topic.
func (p *Pages) showDocs(v Visit) error {
	return p.show(v, http.StatusOK, "docs", Frame{Title: "The API", Trail: []Crumb{{"Start", "/"}}, Body: p.reference})
}

// topicView is the page of one topic.
type topicView struct {
	reference.Topic
	Operations []operationView
}

// operationView is an operation with what else is known of it.
type operationView struct {
	reference.Operation
	Need     string // who may call it
	Fields   []reference.Field
	Problems []problemView
}

// showDocsTopic shows the operations of one topic.
func (p *Pages) showDocsTopic(v Visit) error {
	topic, known := p.reference.Topic(v.Param("topic"))
	if !known {
		return errNoDocs()
	}
	shown := topicView{Topic: topic}
	for _, op := range topic.Operations {
		need, err := access.Of(op.ID)
		if err != nil {
			return err
		}
		view := operationView{Operation: op, Need: needWords(need), Problems: problemsOf(op.Refusals)}
		if op.Body != nil {
			body, _ := p.reference.Schema(op.Body.Schema)
			view.Fields = body.Fields
		}
		shown.Operations = append(shown.Operations, view)
	}
	return p.show(v, http.StatusOK, "docs_topic", Frame{Title: topic.Title, Trail: docsTrail(), Body: shown})
}

// showDocsSchemas lists every schema.
func (p *Pages) showDocsSchemas(v Visit) error {
	return p.show(v, http.StatusOK, "docs_schemas", Frame{Title: "Schemas", Trail: docsTrail(), Body: p.reference})
}

// showDocsSchema shows one schema with its bounds.
func (p *Pages) showDocsSchema(v Visit) error {
	schema, known := p.reference.Schema(v.Param("name"))
	if !known {
		return errNoDocs()
	}
	return p.show(v, http.StatusOK, "docs_schema", Frame{Title: schema.Name, Trail: docsTrail(Crumb{"Schemas", docsAddress + "/schemas"}), Body: schema})
}

func errNoDocs() error {
	return &service.Error{Kind: service.NotFound, Detail: "The documentation has no such page: begin at " + docsAddress + "."}
}

// needWords says who may call an operation.
func needWords(need access.Need) string {
	article := map[service.Role]string{service.RoleViewer: "a viewer", service.RoleEditor: "an editor", service.RoleOwner: "an owner"}
	switch {
	case need.Anyone:
		return "anyone, without a key"
	case need.Role == "":
		return "an operator"
	case need.Operator:
		return article[need.Role] + " of the club, or an operator"
	}
	return article[need.Role] + " of the club"
}

// problemView is one kind of problem as the documentation shows it.
type problemView struct {
	service.Outcome
	Name string // the last part of its type
	What string
}

// RetryAfter is when to try again, in words; empty where that is no use.
func (p problemView) RetryAfter() string {
	if p.RetryAfterS == 0 {
		return ""
	}
	return strconv.Itoa(p.RetryAfterS) + " s"
}

// problemPrefix begins the type of every problem, which is an address.
const problemPrefix = "/problems/"

// problems lists every kind of problem by its status.
func problems() []problemView {
	var out []problemView
	for _, kind := range service.Kinds() {
		outcome := kind.Outcome()
		out = append(out, problemView{outcome, strings.TrimPrefix(outcome.Type, problemPrefix), problemWords[kind]})
	}
	slices.SortStableFunc(out, func(a, b problemView) int { return cmp.Compare(a.Status, b.Status) })
	return out
}

// problemsOf are those that come with one of the statuses.
func problemsOf(statuses []string) []problemView {
	var out []problemView
	for _, p := range problems() {
		if slices.Contains(statuses, strconv.Itoa(p.Status)) {
			out = append(out, p)
		}
	}
	return out
}

// showDocsProblems lists the kinds of problem and what to do about each.
func (p *Pages) showDocsProblems(v Visit) error {
	return p.show(v, http.StatusOK, "docs_problems", Frame{Title: "Problems", Trail: docsTrail(), Body: problems()})
}

// showProblemKind is what the type of a problem leads to.
func (p *Pages) showProblemKind(v Visit) error {
	for _, known := range problems() {
		if known.Name == v.Param("problem") {
			return v.Redirect(http.StatusSeeOther, docsAddress+"/problems#"+known.Name)
		}
	}
	return errNoDocs()
}

// problemWords say what a kind of problem means and what to do about it.
var problemWords = map[service.Kind]string{
	service.Unreadable:           "The body is not one JSON document in UTF-8, or has a key twice, so that it cannot be trusted to mean one thing. The entries say where; mend it and send it again.",
	service.BadParameters:        "A parameter of the path, the query or a header is unknown, missing or not of its form. The entries name it.",
	service.Unauthenticated:      "There is no key with the request, or one that is not known, has run out or was revoked.",
	service.Forbidden:            "The key is known, and its role is less than the operation asks for.",
	service.NotFound:             "Nothing is at the address, or nothing that belongs to the club of the key: the two are not told apart.",
	service.MethodNotAllowed:     "The address takes other methods; the header Allow lists them.",
	service.Conflict:             "What is asked for clashes with what is stored: a name that is taken, a thing that is archived, a price book that has been used.",
	service.UnderWay:             "A request with the same Idempotency-Key has not been answered yet. Ask again with the same key.",
	service.PreconditionFailed:   "Somebody has changed it since it was read. Read it again, look at what has changed, and send the change with the new ETag.",
	service.TooLarge:             "The body is longer than is read here.",
	service.UnsupportedMedia:     "The body is not of the media type that the operation takes.",
	service.Faulty:               "The document can be read and has faults. Each entry has a JSON pointer to the place, the value that was given, what is wrong with it, and the remedy. All faults come at once.",
	service.FaultyImport:         "Rows of the file have faults, and nothing of it was stored. A pointer is the line of the file and its column.",
	service.KeyReused:            "The Idempotency-Key was used within 24 hours with another body. Take a new one for a new request.",
	service.PreconditionRequired: "A change needs the header If-Match with the ETag that came with what is to be changed.",
	service.TooManyRequests:      "More requests came from this sender than are answered in the time. The header Retry-After says when to go on.",
	service.Internal:             "A mistake of the service. The log knows it under the number of the request, which is in the header X-Request-Id.",
	service.NoStore:              "The service was started without a store: trial requests are answered, and nothing is kept.",
	service.NoPrinter:            "No Chromium is installed beside the service, which prints papers. The page of the appraisal prints from any browser.",
	service.TimedOut:             "The answer was not ready in time. Ask again.",
	service.Unavailable:          "The store cannot be reached, or the service is stopping. Ask again after the time in Retry-After.",
	service.StoreFull:            "There is no room left to keep anything. What was acknowledged before is safe.",
}
