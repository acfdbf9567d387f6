package pages

import (
	"cmp"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"swardcase/api/report"
	"swardcase/api/service"
	"swardcase/model"
	"swardcase/model/condition"
)

// mostListed is how many things a list of the service holds at the most.
const mostListed = 200

// clubsView is the list of clubs.
type clubsView struct {
	Clubs []Crumb
	// Next is the address of the rest of the list; empty on its last page.
	Next string
	// New is where the visitor may make a club; empty where not.
	New string
}

// showClubs shows the clubs that the visitor may see.
func (p *Pages) showClubs(v Visit) error {
	found, err := p.service.Clubs(v.Request().Context(), service.Filter{Limit: mostListed, After: v.QueryParam("cursor")})
	if err != nil {
		return err
	}
	var shown clubsView
	for _, club := range found.Items {
		shown.Clubs = append(shown.Clubs, Crumb{club.Name, clubAddress(club.ID)})
	}
	shown.New = v.ifRole(service.RoleOperator, clubsAddress+"/new")
	if found.NextCursor != nil {
		shown.Next = clubsAddress + "?cursor=" + url.QueryEscape(*found.NextCursor)
	}
	return p.show(v, http.StatusOK, "clubs", Frame{Title: "Clubs", Body: shown})
}

// The ways in which the greens of a club can be put in order.
const (
	worstFirst = "worst"
	byName     = "name"
)

// clubView is the home of a club.
type clubView struct {
	Club   service.Club
	Greens []greenRow
	// Shown counts Greens, All those of the club.
	Shown, All int
	More       bool
	Name       string // what is looked for in the names
	Grades     []choice
	Orders     []order
	Order      string
	// NewGreen and Change are where the visitor may do so; empty where not.
	NewGreen, Change string
	Books, Plans     string
}

// order is one way of putting the greens in order.
type order struct {
	Words   string
	Address string
	Current bool
}

// choice is one entry of a list to choose from.
type choice struct {
	Value, Words string
	Chosen       bool
}

// greenRow is one green at a glance, in words.
type greenRow struct {
	Name, Address string
	Grade         condition.Grade // empty without a condition
	Index         string
	Interval      string
	Worst         string
	Months        string
	SurveyedOn    string
	// Why says why there is no condition.
	Why              string
	Advice           string
	AdviceAddress    string
	AppraisedOn      string
	EarlierAppraisal bool // older than the latest survey
	score            float64
}

// showClub shows the greens of a club, the worst first or by name.
func (p *Pages) showClub(v Visit) error {
	overview, err := p.service.Overview(v.Request().Context(), v.Param("club_id"))
	if err != nil {
		return err
	}
	name, grade, by := strings.TrimSpace(v.QueryParam("name")), v.QueryParam("grade"), v.QueryParam("order")
	if by != byName {
		by = worstFirst
	}
	shown := clubView{
		Club: overview.Club, All: len(overview.Greens), More: overview.More, Name: name, Order: by,
		Grades: gradeChoices(grade), Orders: orders(v, by), Books: priceBooksAddress(overview.Club.ID), Plans: coursePlansAddress(overview.Club.ID),
	}
	if club := overview.Club; club.ArchivedAt == nil {
		shown.NewGreen = v.ifRole(service.RoleEditor, clubAddress(club.ID)+"/greens/new")
		shown.Change = v.ifRole(service.RoleOwner, clubAddress(club.ID)+"/change")
	}
	for _, glance := range overview.Greens {
		if row := glanceRow(glance); row.fits(name, grade) {
			shown.Greens = append(shown.Greens, row)
		}
	}
	shown.Shown = len(shown.Greens)
	slices.SortStableFunc(shown.Greens, func(a, b greenRow) int {
		if by == worstFirst {
			return cmp.Or(cmp.Compare(a.score, b.score), compareNames(a.Name, b.Name))
		}
		return compareNames(a.Name, b.Name)
	})
	return p.show(v, http.StatusOK, "club", Frame{Title: overview.Club.Name, Trail: clubsTrail(), Body: shown})
}

// notJudged is the filter for greens without a condition.
const notJudged = "not_judged"

func gradeChoices(chosen string) []choice {
	out := []choice{{"", "every condition", chosen == ""}}
	for _, grade := range []condition.Grade{condition.Failing, condition.Poor, condition.Fair, condition.Sound} {
		out = append(out, choice{string(grade), string(grade), chosen == string(grade)})
	}
	return append(out, choice{notJudged, "not judged", chosen == notJudged})
}

// orders are links to the same list in another order.
func orders(v Visit, current string) []order {
	var out []order
	for _, by := range []struct{ key, words string }{{worstFirst, "worst first"}, {byName, "by name"}} {
		query := url.Values{"order": {by.key}}
		for _, kept := range []string{"name", "grade"} {
			if value := v.QueryParam(kept); value != "" {
				query.Set(kept, value)
			}
		}
		out = append(out, order{by.words, "?" + query.Encode(), by.key == current})
	}
	return out
}

func (r greenRow) fits(name, grade string) bool {
	if !strings.Contains(strings.ToLower(r.Name), strings.ToLower(name)) {
		return false
	}
	return grade == "" || grade == string(r.Grade) || grade == notJudged && r.Grade == ""
}

// unjudgedScore puts what has no condition behind what has one.
const unjudgedScore = 1000

func glanceRow(g service.GreenGlance) greenRow {
	row := greenRow{Name: g.Green.Green.Name, Address: greenAddress(g.Green.ClubID, g.Green.ID), Why: g.Unjudged, score: unjudgedScore}
	if g.Survey == nil {
		row.Why = "not surveyed yet"
	} else {
		row.SurveyedOn = g.Survey.Survey.SurveyedOn
	}
	if g.Condition != nil {
		row.judged(g)
	}
	if a := g.Appraisal; a != nil {
		row.AdviceAddress, row.AppraisedOn = appraisalAddress(a.ClubID, a.ID), a.CreatedAt.Format(dayForm)
		row.Advice = adviceWords(*a)
		row.EarlierAppraisal = g.Survey != nil && a.SurveyID != g.Survey.ID
	}
	return row
}

// dayForm is how the day of an instant is written.
const dayForm = "2006-01-02"

func (r *greenRow) judged(g service.GreenGlance) {
	judged := g.Condition.Condition
	r.Grade, r.score = judged.Grade, judged.Index
	r.Index = strconv.FormatFloat(judged.Index, 'f', 0, 64)
	if judged.Interval != nil {
		r.Interval = strconv.FormatFloat(judged.Interval.Low, 'f', 0, 64) + " to " + strconv.FormatFloat(judged.Interval.High, 'f', 0, 64)
	}
	for _, measure := range report.Measures(*g.Condition) {
		if len(judged.WorstFirst) > 0 && measure.Code == judged.WorstFirst[0] {
			r.Worst = measure.Name + ", " + measure.ValueWords()
		}
		if measure.Code == condition.MonthsPlayable {
			r.Months = report.Figure(measure.Value)
		}
	}
}

// adviceWords says in a few words what an appraisal came to.
func adviceWords(a service.AppraisalSummary) string {
	words := report.OptionName(model.Option(a.Option))
	if a.Capital.Sign() > 0 {
		words += ", " + a.Capital.About()
	}
	return words
}

// compareNames puts names in order with the numbers that they begin with in
// theirs: 2nd before 10th.
func compareNames(a, b string) int {
	return cmp.Or(cmp.Compare(leadingNumber(a), leadingNumber(b)), cmp.Compare(a, b))
}

// leadingNumber is the number that a name begins with; one without stands behind
// those that have one.
func leadingNumber(name string) int {
	digits := len(name) - len(strings.TrimLeftFunc(name, unicode.IsDigit))
	if number, err := strconv.Atoi(name[:digits]); err == nil {
		return number
	}
	return 1 << 30
}
