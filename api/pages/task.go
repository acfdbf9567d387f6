package pages

import (
	"context"
	"fmt"
	"net/http"
	"regexp"
	"slices"
	"strconv"

	"swardcase/api/contract"
	"swardcase/api/pages/form"
	"swardcase/api/problem"
	"swardcase/api/service"
	"swardcase/model/fault"
)

// task is one form with what it is for. A page describes it; show and take are the
// same for all.
type task struct {
	Title, Lead string
	Trail       []Crumb
	Form        form.Form
	// Submit is what the button says.
	Submit string
	Script string

	// base is the document that the form is written into; nil for a new one.
	base map[string]any
	// begin is what the form holds at first.
	begin form.Entries
	// version is that of the stored thing that is changed; 0 for a new one.
	version int64
	// hidden are further values that the page sends itself.
	hidden map[string]string
	// ready makes something of the page's own fields before a document is made.
	ready func(form.Entries)
	// store hands the document over, and gives the address to go to.
	store func(ctx context.Context, call service.Call, match service.Match, document contract.Document) (string, error)
}

// shown is the handler that shows a task's form, and taken the one that takes what
// was filled in.
func shown(of func(*Pages, Visit) (task, error)) Handler { return inTurn(of, (*Pages).showTask) }

func taken(of func(*Pages, Visit) (task, error)) Handler { return inTurn(of, (*Pages).takeTask) }

// The hidden fields of every form.
const (
	onceField    = "once"
	versionField = "version"
	moreField    = "more"
)

// taskView is a task as its template shows it.
type taskView struct {
	task
	View    form.View
	Address string
	Once    string
	Version int64
	Hidden  map[string]string
	// Trouble is what went wrong with the whole, in a sentence or two.
	Trouble string
	Changes []change
}

// change is a field in which what was filled in differs from what is stored by
// now.
type change struct{ Label, Yours, Stored string }

// showTask shows a form for the first time.
func (p *Pages) showTask(v Visit, t task) error {
	return p.showEntries(v, http.StatusOK, t, taskView{Once: v.RequestID, Version: t.version}, t.begin, form.Draft{}, nil)
}

func (p *Pages) showEntries(v Visit, status int, t task, shown taskView, entries form.Entries, draft form.Draft, faults fault.List) error {
	shown.task, shown.Address, shown.Hidden = t, v.Request().URL.RequestURI(), t.hidden
	shown.View = t.Form.View(p.service.Contract(), entries, draft, faults)
	title := t.Title
	if len(shown.View.Summary) > 0 || shown.Trouble != "" {
		title = "Not stored yet: " + title
	}
	return p.show(v, status, "task", Frame{Title: title, Trail: t.Trail, Here: t.Title, Script: t.Script, Sheet: "forms.css", Body: shown})
}

// takeTask takes what was filled in. What has faults is shown again with what is
// wrong beside each field, and nothing of it is stored.
func (p *Pages) takeTask(v Visit, t task) error {
	sent, err := v.form()
	if err != nil {
		return err
	}
	entries := t.Form.Read(sent)
	shown := taskView{Once: onceOf(v, sent.Get(onceField))}
	shown.Version, _ = strconv.ParseInt(sent.Get(versionField), 10, 64)
	if more := sent.Get(moreField); more != "" {
		t.Form.AddRows(entries, more)
		return p.showEntries(v, http.StatusOK, t, shown, entries, form.Draft{}, nil)
	}
	filled := entries
	if t.ready != nil {
		filled = entries.Clone()
		t.ready(filled)
	}
	draft, err := t.Form.Draft(filled, t.base)
	if err != nil {
		return fmt.Errorf("make a document of a form: %w", err)
	}
	address, err := p.hand(v, t, draft, shown)
	overtaken := err != nil && service.KindOf(err) == service.PreconditionFailed
	if err == nil || overtaken && len(t.changes(entries)) == 0 { // sent twice: it is stored as it is here
		return v.Redirect(http.StatusSeeOther, address)
	}
	return p.refuse(v, t, shown, entries, draft, err)
}

// hand checks a draft and stores it.
func (p *Pages) hand(v Visit, t task, draft form.Draft, shown taskView) (string, error) {
	ctx := v.Request().Context()
	document, err := p.service.CheckDocument(ctx, t.Form.Schema, draft.Body)
	if err != nil {
		return "", err
	}
	if len(draft.Faults) > 0 {
		return "", draft.Faults
	}
	call := service.Call{Route: http.MethodPost + " " + v.Request().URL.Path, IdempotencyKey: shown.Once, Body: draft.Body}
	return t.store(ctx, call, service.Match{Versions: []int64{shown.Version}}, document)
}

// refuse shows a form again with what is wrong.
func (p *Pages) refuse(v Visit, t task, shown taskView, entries form.Entries, draft form.Draft, err error) error {
	document := problem.Of(err, v.RequestID, "")
	var faults fault.List
	switch kind := service.KindOf(err); kind {
	case service.Faulty:
		faults = faultsBeside(draft.Faults, service.Faults(err))
	case service.Unreadable:
		faults = service.Faults(err)
	case service.PreconditionFailed:
		shown.Changes = t.changes(entries)
		shown.Trouble = "Somebody else has changed it since you opened this page. Look at what differs, then store yours over it, or leave."
		shown.Version = t.version
	case service.KeyReused:
		shown.Trouble = "This page was stored already, with other entries than these. Send it again to store these too."
		shown.Once = v.RequestID
	case service.Conflict, service.UnderWay:
		shown.Trouble = document.Detail
	default:
		return err
	}
	return p.showEntries(v, document.Status, t, shown, entries, draft, faults)
}

// faultsBeside leaves out what the contract says of a field that could not be put
// into the document at all: it was told better.
func faultsBeside(told, found fault.List) fault.List {
	return slices.DeleteFunc(slices.Clone(found), func(f fault.Fault) bool {
		return slices.ContainsFunc(told, func(t fault.Fault) bool {
			return t == f || within(t.Pointer, f.Pointer) || within(f.Pointer, t.Pointer)
		})
	})
}

// within says whether one place is another or lies in it.
func within(inner, outer string) bool {
	return inner == outer || len(inner) > len(outer) && inner[:len(outer)] == outer && inner[len(outer)] == '/'
}

// changes lists the fields in which what was filled in is not what is stored now.
func (t task) changes(entries form.Entries) []change {
	var out []change
	for _, d := range t.Form.Differences(entries, t.begin) {
		out = append(out, change{d.Label, d.First, d.Second})
	}
	return out
}

// onceForm is the form of an Idempotency-Key.
var onceForm = regexp.MustCompile(`^[!-~]{1,100}$`)

// onceOf is the name that a page gave its form, so that sending it twice stores
// once; a new one where it was tampered with.
func onceOf(v Visit, sent string) string {
	if onceForm.MatchString(sent) {
		return sent
	}
	return v.RequestID
}
