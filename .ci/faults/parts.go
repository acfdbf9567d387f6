package main

import (
	"context"
	"encoding/json"
	"fmt"
	"maps"
	"net/http"
	"os"
	"time"

	"swardcase/.ci/served"
)

// parts are the pieces of one case, as they are stored.
type parts struct {
	site, green, upkeep, survey json.RawMessage
	rest                        map[string]json.RawMessage
	whole                       []byte
}

func readParts(path string) (parts, error) {
	text, err := os.ReadFile(path)
	if err != nil {
		return parts{}, err
	}
	var rest map[string]json.RawMessage
	if err := json.Unmarshal(text, &rest); err != nil {
		return parts{}, err
	}
	p := parts{site: rest["site"], green: rest["green"], upkeep: rest["upkeep"], survey: rest["survey"], rest: rest, whole: text}
	for _, stored := range []string{"case_format", "site", "green", "upkeep", "survey"} {
		delete(rest, stored)
	}
	// Without draws an appraisal takes some ten milliseconds: it is the keeping
	// that is tried here.
	rest["confidence"] = json.RawMessage(`{"draws":0}`)
	return p, nil
}

// club is a club of one round, with what its writes name.
type club struct {
	id, at      string
	green, book string
	survey      string
	key         string // what its keys begin with
	parts       parts
}

// newClub stores a club with a green, a survey and a price book.
func (l *lab) newClub(ctx context.Context, c *caller, key string) (club, error) {
	k := club{key: key, parts: l.parts}
	make := func(path, body string) (string, error) {
		a, err := c.want(ctx, http.StatusCreated, http.MethodPost, path, []byte(body))
		if err != nil {
			return "", err
		}
		return served.IDOf(a.body)
	}
	var err error
	if k.id, err = make("/v1/clubs", fmt.Sprintf(`{"name":"Thornmere Golf Club %s","site":%s}`, key, l.parts.site)); err != nil {
		return k, err
	}
	k.at = "/v1/clubs/" + k.id
	if k.green, err = make(k.at+"/greens", fmt.Sprintf(`{"green":%s,"upkeep":%s}`, l.parts.green, l.parts.upkeep)); err != nil {
		return k, err
	}
	if k.survey, err = make(k.at+"/surveys", fmt.Sprintf(`{"green_id":%q,"survey":%s}`, k.green, l.parts.survey)); err != nil {
		return k, err
	}
	trial, err := c.want(ctx, http.StatusOK, http.MethodPost, "/v1/trial-appraisals", l.parts.whole)
	if err != nil {
		return k, err
	}
	var resolved struct {
		Case struct {
			Money struct {
				PriceBook json.RawMessage `json:"price_book"`
			} `json:"money"`
		} `json:"case"`
	}
	if err := json.Unmarshal(trial.body, &resolved); err != nil {
		return k, err
	}
	k.book, err = make(k.at+"/price-books", fmt.Sprintf(`{"book":%s}`, resolved.Case.Money.PriceBook))
	return k, err
}

// The kinds of writes, by the last part of their address.
const (
	greens     = "greens"
	surveys    = "surveys"
	appraisals = "appraisals"
)

// already is how many of each kind a new club has.
var already = map[string]int{greens: 1, surveys: 1, appraisals: 0}

// perAppraisal is how many writes there are to one appraisal; of the rest every
// other one is a green or a survey.
const perAppraisal = 20

// write makes the nth thing that the club is asked to keep.
func (k club) write(n int) (*write, error) {
	w := &write{key: fmt.Sprintf("%s-%d", k.key, n)}
	switch {
	case n%perAppraisal == 0:
		w.kind = appraisals
		request := maps.Clone(k.parts.rest)
		request["green_id"], request["survey_id"] = quoted(k.green), quoted(k.survey)
		request["title"] = quoted("Appraisal " + w.key)
		if n%(2*perAppraisal) == 0 {
			request["price_book_id"] = quoted(k.book)
		}
		var err error
		if w.body, err = json.Marshal(request); err != nil {
			return nil, err
		}
	case n%2 == 0:
		w.kind = greens
		w.body = fmt.Appendf(nil, `{"green":{"name":"green %d","area_m2":%d,"perimeter_m":75,"age_years":9,"has_drains":false}}`, n, 300+n%100)
	default:
		w.kind = surveys
		w.body = k.surveyBody(n)
	}
	w.path = k.at + "/" + w.kind
	return w, nil
}

// surveyBody is a survey of a day of its own.
func (k club) surveyBody(n int) []byte {
	day := time.Date(1900, 1, 1, 0, 0, 0, 0, time.UTC).AddDate(0, 0, n).Format(time.DateOnly)
	return fmt.Appendf(nil, `{"green_id":%q,"survey":{"surveyed_on":%q,"infiltration":{"value_mm_per_h":%d},"thatch_depth":{"value_mm":%d},`+
		`"annual_meadow_grass":{"value_pct":40},"months_playable":{"value_months":9}}}`, k.green, day, 2+n%30, 5+n%40)
}

func quoted(text string) json.RawMessage {
	out, _ := json.Marshal(text) // text always has a form in JSON
	return out
}
