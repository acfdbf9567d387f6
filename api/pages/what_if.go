package pages

import (
	"encoding/json"
	"fmt"
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"github.com/shopspring/decimal"

	"swardcase/api/pages/form"
	"swardcase/api/report"
	"swardcase/api/service"
	"swardcase/costs"
	"swardcase/model"
	"swardcase/model/fault"
)

// The fields of a what-if that are no part of the changes.
const (
	lookedAtField = "page:option"   // the option that is looked at
	currencyField = "page:currency" // never shown: the case has one
	titleField    = "page:title"    // of an appraisal that is kept
)

// whatIfForm is the handful of figures that a committee asks after.
func whatIfForm(currency string) form.Form {
	options := []form.Option{{Value: "", Words: "the one advised"}}
	for _, o := range model.Options() {
		options = append(options, form.Option{Value: string(o), Words: report.OptionName(o)})
	}
	return form.Form{
		Schema: service.CaseChangesSchema, Currency: currencyField,
		Sections: []form.Section{{Fields: []form.Field{
			{At: "/worth_of_playable_month", Label: "Worth of a playable month, " + currency, Kind: form.Amount, Hint: "The mean of the twelve"},
			{At: "/discount_rate_pct", Label: "Discount rate, % a year", Kind: form.Number},
			{At: "/price_level", Label: "Prices", Kind: form.Choice, Options: []form.Option{{Value: "low", Words: "low"}, {Value: "likely", Words: "likely"}, {Value: "high", Words: "high"}}},
			{At: "/first_month", Label: "First month for works", Kind: form.Month},
			{At: "/horizon_years", Label: "Years to look ahead", Kind: form.Whole},
			{At: lookedAtField, Label: "Option to look at", Kind: form.Choice, Options: options},
		}}},
	}
}

// storedEntries are the figures of the stored case, as the form shows them.
func storedEntries(c model.Case) form.Entries {
	m := c.Money
	e := form.Entries{"/price_level": string(m.PriceLevel), currencyField: m.Currency}
	if currency, known := costs.LookupCurrency(m.Currency); known && len(m.WorthOfPlayableMonth) > 0 {
		total := decimal.Zero
		for _, month := range m.WorthOfPlayableMonth {
			total = total.Add(month.Amount())
		}
		e["/worth_of_playable_month"] = total.DivRound(decimal.NewFromInt(int64(len(m.WorthOfPlayableMonth))), currency.Places()).String()
	}
	if m.DiscountRatePct != nil {
		e["/discount_rate_pct"] = report.Rounded(*m.DiscountRatePct)
	}
	if m.HorizonYears != nil {
		e["/horizon_years"] = strconv.Itoa(*m.HorizonYears)
	}
	if c.Available != nil {
		e["/first_month"] = c.Available.FirstMonth.String()
	}
	return e
}

// trial is a what-if: what was filled in, and what came of it.
type trial struct {
	from    source
	stored  model.Appraisal
	form    form.Form
	begin   form.Entries
	entries form.Entries
	changed []form.Difference
	draft   form.Draft
	answer  *model.Appraisal // nil where the changes have faults
	faults  fault.List
}

// try makes a trial of what was sent; what is as stored is no change, so that
// nothing is worked out anew where nothing was changed.
func (p *Pages) try(v Visit, from source, sent url.Values) (trial, error) {
	stored, err := from.answer()
	if err != nil {
		return trial{}, err
	}
	t := trial{from: from, stored: stored, form: whatIfForm(stored.Case.Money.Currency), begin: storedEntries(stored.Case)}
	t.entries = t.begin.Clone()
	for name, text := range t.form.Read(sent) {
		t.entries[name] = text
	}
	t.changed = t.form.Differences(t.begin, t.entries)
	if len(t.changed) == 0 {
		t.answer = &t.stored
		return t, nil
	}
	changes := t.entries.Clone()
	for name, text := range t.begin {
		if name != currencyField && changes[name] == text {
			delete(changes, name)
		}
	}
	if t.draft, err = t.form.Draft(changes, nil); err != nil {
		return t, fmt.Errorf("make changes of a form: %w", err)
	}
	answer, err := p.answerTo(v, t)
	if service.KindOf(err) == service.Faulty {
		t.faults = service.Faults(err)
		return t, nil
	}
	t.answer = &answer
	return t, err
}

func (p *Pages) answerTo(v Visit, t trial) (model.Appraisal, error) {
	ctx := v.Request().Context()
	document, err := p.service.CheckDocument(ctx, t.form.Schema, t.draft.Body)
	if err != nil {
		return model.Appraisal{}, err
	}
	if len(t.draft.Faults) > 0 {
		return model.Appraisal{}, t.draft.Faults
	}
	return p.service.TryChanges(ctx, t.from.stored, document)
}

// whatIfView is the page of a trial.
type whatIfView struct {
	Title, Address, Stamp string
	Fields                []form.FieldView
	Complaints            []form.Complaint
	Changed               []form.Difference
	Answer                *answer // nil where the changes have faults
	Was                   string  // the stored headline, where another came of it
	Looked                string  // the option looked at
	Facts                 []fact
	Rows                  []whatIfRow
	Cash, Months          *figure
	// Keep is what the form that keeps the trial sends; nil for who may not.
	Keep *keepView
}

// whatIfRow is one option with what it was worth as stored and is worth as
// changed.
type whatIfRow struct {
	Name, Months, Capital, Was, Now, Meets string
	Advised                                bool
}

// keepView is the form by which a trial is kept as a new appraisal.
type keepView struct {
	Once, Title string
	Hidden      []form.Difference // label is the name of the field, second its value
}

// showWhatIf shows what the answer would be with other figures. Nothing is kept,
// and the stored appraisal stays as it is.
func (p *Pages) showWhatIf(v Visit, from source) error {
	t, err := p.try(v, from, v.QueryParams())
	if err != nil {
		return err
	}
	return p.showTrial(v, t)
}

// storeWhatIf keeps a trial as a new appraisal, linked to the one that it began
// from.
func (p *Pages) storeWhatIf(v Visit, from source) error {
	sent, err := v.form()
	if err != nil {
		return err
	}
	t, err := p.try(v, from, sent)
	switch {
	case err != nil:
		return err
	case t.answer == nil || len(t.changed) == 0:
		return p.showTrial(v, t)
	}
	body, err := json.Marshal(struct {
		Title   string          `json:"title,omitempty"`
		Changes json.RawMessage `json:"changes"`
	}{strings.TrimSpace(sent.Get(titleField)), t.draft.Body})
	if err != nil {
		return fmt.Errorf("write the changes: %w", err)
	}
	ctx := v.Request().Context()
	document, err := p.service.CheckDocument(ctx, "ReappraisalRequest", body)
	if err != nil {
		return err
	}
	call := service.Call{Route: http.MethodPost + " " + v.Request().URL.Path, IdempotencyKey: onceOf(v, sent.Get(onceField)), Body: body}
	made, err := p.service.Reappraise(ctx, call, from.stored.ClubID, from.stored.ID, document)
	if err != nil {
		return err
	}
	return v.Redirect(http.StatusSeeOther, appraisalAddress(from.stored.ClubID, made.ID))
}

func (p *Pages) showTrial(v Visit, t trial) error {
	view := t.form.View(p.service.Contract(), t.entries, t.draft, t.faults)
	shown := whatIfView{
		Title: titleOf(t.stored), Address: t.from.address, Stamp: t.stored.PriceStamp,
		Fields: view.Sections[0].Shown, Complaints: view.Summary, Changed: t.changed,
	}
	status := http.StatusOK
	if t.answer == nil {
		status = http.StatusUnprocessableEntity
	} else {
		shown.fill(t)
		if t.from.shared == nil && len(t.changed) > 0 && v.ifRole(service.RoleEditor, t.from.address) != "" {
			shown.Keep = t.keep(v.RequestID)
		}
	}
	return p.show(v, status, "what_if", Frame{
		Title: "What if? " + titleOf(t.stored), Trail: t.from.below(titleOf(t.stored)), Script: "what_if.js", Sheet: "forms.css", Body: shown,
	})
}

// fill says what came of a trial.
func (w *whatIfView) fill(t trial) {
	a := *t.answer
	now := answerOf(a)
	w.Answer = &now
	if was := report.Prose(t.stored.Recommendation.Headline); was != now.Headline {
		w.Was = was
	}
	looked := report.Advised(a)
	for _, o := range a.Options {
		if string(o.Option) == t.entries[lookedAtField] {
			looked = o
		}
	}
	w.Looked = looked.Words
	w.Facts = factsOf(a, looked)
	c := charts{a: a, advised: looked, write: moneyWriter(currencyOf(a))}
	cash, months := figureOf(c.cash()), figureOf(c.months())
	w.Cash, w.Months = &cash, &months
	for i, o := range a.Options {
		row := whatIfRow{
			Name: report.Prose(report.OptionName(o.Option)), Months: fmt.Sprintf("%.1f", o.Forecast.MonthsPlayableYear5), Capital: about(o.Money.Capital),
			Now: about(o.Money.AgainstPresent.NetPresentValue), Meets: report.Verdict(o), Advised: o.Option == a.Recommendation.Option,
		}
		if i < len(t.stored.Options) {
			row.Was = about(t.stored.Options[i].Money.AgainstPresent.NetPresentValue)
		}
		w.Rows = append(w.Rows, row)
	}
}

// keep is the form that keeps the trial.
func (t trial) keep(once string) *keepView {
	out := &keepView{Once: once, Title: report.Shortened(titleOf(t.stored)+", with other figures", mostTitle)}
	for _, section := range t.form.Sections {
		for _, field := range section.Fields {
			if text := t.entries[field.At]; field.At != lookedAtField && text != t.begin[field.At] {
				out.Hidden = append(out.Hidden, form.Difference{Label: field.At, Second: text})
			}
		}
	}
	return out
}

// mostTitle is how long a title may be, as in the contract.
const mostTitle = 120
