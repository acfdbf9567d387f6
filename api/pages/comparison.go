package pages

import (
	"net/http"
	"strconv"
	"strings"

	"swardcase/api/report"
	"swardcase/api/service"
	"swardcase/model"
)

// comparisonView sets two appraisals side by side.
type comparisonView struct {
	Club          service.Club
	First, Second appraisalRow
	Why           string
	Options       []optionPair
	Differences   []caseDifference
	Readings      []caseDifference // those of the surveys
	More          int
}

// optionPair is what two appraisals made of one option.
type optionPair struct {
	Name          string
	First, Second outcomeWords
	Changed       bool
}

// outcomeWords are an outcome in words, all empty where there is none.
type outcomeWords struct{ Months, Capital, NetValue, Meets string }

// caseDifference is one place in which two cases differ, in words.
type caseDifference struct{ Place, First, Second string }

// showComparison compares two appraisals of a club.
func (p *Pages) showComparison(v Visit) error {
	ctx, clubID := v.Request().Context(), v.Param("club_id")
	club, err := p.service.Club(ctx, clubID)
	if err != nil {
		return err
	}
	first, second := v.QueryParam("first"), v.QueryParam("second")
	if first == "" || second == "" {
		return errNoSuchID()
	}
	compared, err := p.service.CompareAppraisals(ctx, clubID, first, second)
	if err != nil {
		return err
	}
	green, err := p.service.Green(ctx, clubID, compared.Second.GreenID)
	if err != nil {
		return err
	}
	shown := comparisonView{
		Club: club, First: comparedRow(compared.First), Second: comparedRow(compared.Second),
		Why: whyDifferent(compared), More: compared.MoreDifferences,
	}
	for _, o := range compared.Options {
		pair := optionPair{Name: report.OptionName(model.Option(o.Option)), First: outcomeOf(o.First), Second: outcomeOf(o.Second)}
		pair.Changed = pair.First != pair.Second
		shown.Options = append(shown.Options, pair)
	}
	for _, d := range compared.Differences {
		found := caseDifference{placeWords(d.Pointer), orNothing(d.First), orNothing(d.Second)}
		if strings.HasPrefix(d.Pointer, "/survey/") {
			shown.Readings = append(shown.Readings, found)
		} else {
			shown.Differences = append(shown.Differences, found)
		}
	}
	return p.show(v, http.StatusOK, "comparison", Frame{
		Title: "Two appraisals compared", Trail: greenTrail(club, green), Body: shown,
	})
}

func comparedRow(a service.AppraisalSummary) appraisalRow {
	return appraisalRow{
		ID: a.ID, Address: appraisalAddress(a.ClubID, a.ID), MadeOn: a.CreatedAt.Format(dayForm),
		Title: a.Title, Advice: adviceWords(a), NetValue: report.Minus(a.NetPresentValue.Whole()),
	}
}

// whyDifferent says where the differences can come from.
func whyDifferent(c service.AppraisalComparison) string {
	switch {
	case c.SameCase && c.SameEngine:
		return "Both were made of the same case by the same computation: they agree."
	case c.SameCase:
		return "Both were made of the same case. What differs comes from a change of the computation."
	case c.SameEngine:
		return "Both were made by the same computation. What differs comes from the cases."
	}
	return "The cases differ, and the computation has changed between them."
}

func outcomeOf(o *service.OptionOutcome) outcomeWords {
	if o == nil {
		return outcomeWords{}
	}
	return outcomeWords{
		Months: report.Figure(o.MonthsPlayableYear5), Capital: o.Capital.Whole(), NetValue: report.Minus(o.NetPresentValue.Whole()),
		Meets: report.YesNo(o.Passes),
	}
}

// placeWords writes the place of a difference without the signs of a pointer.
// Entries of a list are counted from one.
func placeWords(pointer string) string {
	var words []string
	for token := range strings.SplitSeq(strings.TrimPrefix(pointer, "/"), "/") {
		if number, err := strconv.Atoi(token); err == nil {
			token = strconv.Itoa(number + 1)
		}
		words = append(words, report.Plain(unescape.Replace(token)))
	}
	return strings.Join(words, ", ")
}

// unescape reads a token of a JSON pointer (RFC 6901, section 4).
var unescape = strings.NewReplacer("~1", "/", "~0", "~")

// orNothing writes a value of a case without the signs of JSON.
func orNothing(value *string) string {
	switch {
	case value == nil:
		return "not there"
	case strings.HasPrefix(*value, "{"), strings.HasPrefix(*value, "["):
		return "there"
	}
	return strings.Trim(*value, `"`)
}
