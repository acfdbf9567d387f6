// Package pages serves what people look at: server-rendered pages that work
// without script, one stylesheet, and charts that are part of the page. A page is
// a thin caller of the use cases, as the API is: it reads what was asked for,
// asks the service, and shows what it answers.
package pages

import (
	"errors"
	"fmt"
	"mime"
	"net/http"
	"net/url"
	"regexp"
	"slices"
	"strings"

	"github.com/labstack/echo/v4"

	"swardcase/api/pages/print"
	"swardcase/api/pages/reference"
	"swardcase/api/service"
	"swardcase/openapi"
)

// Pages holds what every page needs. It is safe for concurrent use.
type Pages struct {
	service   *service.Service
	templates templates
	assets    assets
	printer   *print.Printer
	reference *reference.Reference
}

// New prepares the pages of a service: every template is read once, so that one
// which is wrong stops the server and not a reader.
func New(svc *service.Service) (*Pages, error) {
	if svc == nil {
		return nil, errors.New("the pages need a service")
	}
	p := &Pages{service: svc, printer: print.New()}
	var err error
	if p.assets, err = readAssets(); err != nil {
		return nil, err
	}
	if p.templates, err = readTemplates(); err != nil {
		return nil, err
	}
	doc, err := openapi.Load()
	if err != nil {
		return nil, err
	}
	if p.reference, err = reference.New(doc); err != nil {
		return nil, err
	}
	return p, nil
}

// Visit is one request for a page, with what the server has found out about it.
type Visit struct {
	echo.Context
	// RequestID is the number under which the log knows the request.
	RequestID string
	// Encrypted says that it came over TLS, here or at a trusted proxy.
	Encrypted bool
}

// Handler answers one visit. What it returns as an error is shown as a problem
// page, made from the same document that the API would send.
type Handler func(*Pages, Visit) error

// inTurn makes the handler that finds what a visit is about, and then deals with
// it.
func inTurn[T any](find func(*Pages, Visit) (T, error), then func(*Pages, Visit, T) error) Handler {
	return func(p *Pages, v Visit) error {
		found, err := find(p, v)
		if err != nil {
			return err
		}
		return then(p, v, found)
	}
}

// idForm is how the store writes an id: a UUID of version 7 in small letters.
var idForm = regexp.MustCompile(`^[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$`)

// CheckIDs refuses an address, or a query, with an id that no thing can have. The
// contract does this for the API.
func (v Visit) CheckIDs() error {
	for _, name := range v.ParamNames() {
		if strings.HasSuffix(name, "_id") && !idForm.MatchString(v.Param(name)) {
			return errNoSuchID()
		}
	}
	for _, name := range []string{"cursor", "first", "second", fromField} {
		if given := v.QueryParam(name); given != "" && !idForm.MatchString(given) {
			return errNoSuchID()
		}
	}
	return nil
}

func errNoSuchID() error {
	return &service.Error{Kind: service.NotFound, Detail: "The address names something that cannot be there: follow the links of the pages."}
}

// Route is one address that the server registers. ID names it where the server
// says who may visit it; Path has {name} for each parameter, as in the contract.
type Route struct {
	ID     string
	Method string
	Path   string
	Handle Handler
}

// Where an appraisal is read.
const (
	appraisalPath = "/clubs/{club_id}/appraisals/{appraisal_id}"
	sharedPath    = "/shared/{token}"
)

// Routes lists every page. HEAD is answered beside each GET.
func Routes() []Route {
	return slices.Concat([]Route{
		{"showFront", http.MethodGet, "/", (*Pages).showFront},
		{"showClubs", http.MethodGet, "/clubs", (*Pages).showClubs},
		{"showClub", http.MethodGet, "/clubs/{club_id}", (*Pages).showClub},
		{"showGreen", http.MethodGet, "/clubs/{club_id}/greens/{green_id}", (*Pages).showGreen},
		{"showComparison", http.MethodGet, "/clubs/{club_id}/comparison", (*Pages).showComparison},
		{"showAppraisal", http.MethodGet, appraisalPath, onClub((*Pages).showAppraisal)},
		{"showAssumptions", http.MethodGet, appraisalPath + "/assumptions", onClub((*Pages).showAssumptions)},
		{"showWorkings", http.MethodGet, appraisalPath + "/workings", onClub((*Pages).showWorkings)},
		{"showWhatIf", http.MethodGet, appraisalPath + "/what-if", onClub((*Pages).showWhatIf)},
		{"takeWhatIf", http.MethodPost, appraisalPath + "/what-if", onClub((*Pages).storeWhatIf)},
		{"sendPaper", http.MethodGet, appraisalPath + "/paper", onClub((*Pages).sendPaper)},
		{"sendWorkbook", http.MethodGet, appraisalPath + "/workbook", onClub((*Pages).sendWorkbook)},
		{"showShared", http.MethodGet, sharedPath, onLink((*Pages).showAppraisal)},
		{"showSharedAssumptions", http.MethodGet, sharedPath + "/assumptions", onLink((*Pages).showAssumptions)},
		{"showSharedWorkings", http.MethodGet, sharedPath + "/workings", onLink((*Pages).showWorkings)},
		{"showSharedWhatIf", http.MethodGet, sharedPath + "/what-if", onLink((*Pages).showWhatIf)},
		{"sendSharedPaper", http.MethodGet, sharedPath + "/paper", onLink((*Pages).sendPaper)},
		{"sendSharedWorkbook", http.MethodGet, sharedPath + "/workbook", onLink((*Pages).sendWorkbook)},
		{"showCoursePlans", http.MethodGet, coursePlansPath, (*Pages).showCoursePlans},
		{"showCoursePlan", http.MethodGet, coursePlanPath, (*Pages).showCoursePlan},
		{"sendCoursePlanWorkbook", http.MethodGet, coursePlanPath + "/workbook", (*Pages).sendPlanWorkbook},
		{"takeCoursePlanCancel", http.MethodPost, coursePlanPath + "/cancel", (*Pages).takeCancel},
		{"getAsset", http.MethodGet, assetsPath + "{name}", (*Pages).getAsset},
	}, entryRoutes(), docsRoutes())
}

// entryRoutes are those by which a case is entered, and by which one signs in to do
// so.
func entryRoutes() []Route {
	return []Route{
		{"showNewClub", http.MethodGet, "/clubs/new", shown((*Pages).newClub)},
		{"takeNewClub", http.MethodPost, "/clubs/new", taken((*Pages).newClub)},
		{"showClubChange", http.MethodGet, "/clubs/{club_id}/change", shown((*Pages).changeClub)},
		{"takeClubChange", http.MethodPost, "/clubs/{club_id}/change", taken((*Pages).changeClub)},
		{"showNewGreen", http.MethodGet, "/clubs/{club_id}/greens/new", shown((*Pages).newGreen)},
		{"takeNewGreen", http.MethodPost, "/clubs/{club_id}/greens/new", taken((*Pages).newGreen)},
		{"showGreenChange", http.MethodGet, "/clubs/{club_id}/greens/{green_id}/change", shown((*Pages).changeGreen)},
		{"takeGreenChange", http.MethodPost, "/clubs/{club_id}/greens/{green_id}/change", taken((*Pages).changeGreen)},
		{"showNewSurvey", http.MethodGet, "/clubs/{club_id}/greens/{green_id}/surveys/new", shown((*Pages).newSurvey)},
		{"takeNewSurvey", http.MethodPost, "/clubs/{club_id}/greens/{green_id}/surveys/new", taken((*Pages).newSurvey)},
		{"showSurveyChange", http.MethodGet, "/clubs/{club_id}/surveys/{survey_id}/change", shown((*Pages).changeSurvey)},
		{"takeSurveyChange", http.MethodPost, "/clubs/{club_id}/surveys/{survey_id}/change", taken((*Pages).changeSurvey)},
		{"showNewAppraisal", http.MethodGet, "/clubs/{club_id}/greens/{green_id}/appraisals/new", shown((*Pages).newAppraisal)},
		{"takeNewAppraisal", http.MethodPost, "/clubs/{club_id}/greens/{green_id}/appraisals/new", taken((*Pages).newAppraisal)},
		{"showPriceBooks", http.MethodGet, "/clubs/{club_id}/price-books", (*Pages).showPriceBooks},
		{"showNewPriceBook", http.MethodGet, "/clubs/{club_id}/price-books/new", shown((*Pages).newPriceBook)},
		{"takeNewPriceBook", http.MethodPost, "/clubs/{club_id}/price-books/new", taken((*Pages).newPriceBook)},
		{"showPriceBook", http.MethodGet, "/clubs/{club_id}/price-books/{price_book_id}", (*Pages).showPriceBook},
		{"showSignIn", http.MethodGet, signInAddress, (*Pages).showSignIn},
		{"takeSignIn", http.MethodPost, signInAddress, (*Pages).takeSignIn},
		{"takeSignOut", http.MethodPost, signOutAddress, (*Pages).takeSignOut},
	}
}

// form reads what a browser sent with a form.
func (v Visit) form() (url.Values, error) {
	r := v.Request()
	if media, _, _ := mime.ParseMediaType(r.Header.Get(echo.HeaderContentType)); media != echo.MIMEApplicationForm {
		return nil, &service.Error{Kind: service.UnsupportedMedia, Detail: "Send the form from its page."}
	}
	err := r.ParseForm()
	var tooLarge *http.MaxBytesError
	switch {
	case errors.As(err, &tooLarge):
		return nil, &service.Error{Kind: service.TooLarge, Detail: fmt.Sprintf("A form may have up to %d bytes: thin the outline, or store the readings in two surveys.", tooLarge.Limit), Cause: err}
	case err != nil:
		return nil, &service.Error{Kind: service.Unreadable, Detail: "The form did not arrive whole: go back and send it again.", Cause: err}
	}
	return r.PostForm, nil
}

// ifRole gives an address to whoever may go there, and nothing to others: a page
// shows nobody a form that would be refused.
func (v Visit) ifRole(least service.Role, address string) string {
	caller, _ := service.CallerOf(v.Request().Context())
	if caller.Role == service.RoleLocal || caller.Role == least || caller.Role.Holds(least) {
		return address
	}
	return ""
}
