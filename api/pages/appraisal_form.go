package pages

import (
	"context"
	"fmt"
	"strconv"

	"swardcase/api/contract"
	"swardcase/api/pages/form"
	"swardcase/api/service"
)

// worthEveryMonth is the page's own field for a worth that is the same in every
// month; what is written for a month by itself stands before it.
const worthEveryMonth = "page:worth"

// fromField is the hidden field that names the appraisal whose terms a form began
// with.
const fromField = "from"

const worthPointer = "/money/worth_of_playable_month"

// appraisalForm is what an appraisal needs beside the green and its survey.
func appraisalForm(surveys, books []form.Option) form.Form {
	return form.Form{Schema: "AppraisalRequest", Currency: "/money/currency", Sections: []form.Section{
		{Title: "What it is made from", Fields: []form.Field{
			{At: "/survey_id", Label: "Survey", Kind: form.Choice, Options: surveys},
			{At: "/title", Label: "Title", Kind: form.Text, Hint: "It stands over the appraisal"},
			{At: "/price_book_id", Label: "Price book", Kind: form.Choice, Options: books, Also: []string{"/money/price_book"}, Hint: "The built-in rates are invented, to try things out: not for tender"},
		}},
		{Title: "What the club requires", Lead: "An option that misses one of these is not advised. Leave out what is no must.", Fields: []form.Field{
			{At: "/requirements/least_months_playable", Label: "At least so many months playable a year", Kind: form.Number, Hint: "Open on the main green"},
			{At: "/requirements/most_months_out_of_play", Label: "At most so many months out of play for the works", Kind: form.Number, Hint: "This green on a temporary"},
			{At: "/requirements/capital_ceiling", Label: "Capital of at most", Kind: form.Amount, Hint: "In the currency below"},
			{At: "/requirements/least_index", Label: "Condition of at least", Kind: form.Number},
			{At: "/requirements/most_annual_meadow_grass_pct", Label: "Annual meadow grass of at most, %", Kind: form.Number},
		}},
		{Title: "When, and with what", Fields: []form.Field{
			{At: "/available/first_month", Label: "First month in which works could begin", Kind: form.Month, Hint: "Tests, tender and turf take 9 to 15 months"},
			{At: "/available/temporary_green", Label: "A temporary green of fair quality stands ready", Kind: form.Flag},
			{At: "/available/nursery_turf_m2", Label: "Nursery turf, m²", Kind: form.Number},
			{At: "/available/nursery_turf_surplus_m2_per_year", Label: "Nursery turf to spare, m² a year", Kind: form.Number},
			{At: "/available/own_labour_h_per_week", Label: "Own labour, hours a week", Kind: form.Number},
			{At: "/available/flat_storage_m2", Label: "Level ground for lifted turf, m²", Kind: form.Number},
		}},
		{
			Title: "What a playable month is worth", Lead: "What it is worth to the club that this one green is open on its main surface for a whole month. Say it outright, for all months alike or for each, or let it follow from the accounts.",
			Fields: []form.Field{
				{At: "/money/currency", Label: "Currency", Kind: form.Text, Hint: "Three capital letters, such as GBP. It is that of the price book; the built-in one is in GBP"},
				{At: worthEveryMonth, Label: "The same for every month", Kind: form.Amount, Also: []string{worthPointer}, Hint: "Such as 1200. A month that is written below stands by itself"},
			},
			Years: []form.Year{{Caption: "By month", Columns: []form.Field{{At: worthPointer, Label: "Worth", Kind: form.Amount}}}},
		},
		{
			Title: "Or from the accounts", Folded: true,
			Lead: "One green on a temporary does not shut the course: most visitors still come. Left empty, the shares are those of the assumptions.",
			Fields: []form.Field{
				{At: "/money/accounts/stays_away_pct", Label: "Visitor income that stays away, %", Kind: form.Number},
				{At: "/money/accounts/members", Label: "Members", Kind: form.Whole},
				{At: "/money/accounts/subscription", Label: "Subscription of a member in a year", Kind: form.Amount},
				{At: "/money/accounts/members_at_risk_pct", Label: "Members at risk, %", Kind: form.Number},
			},
			Years: []form.Year{{Caption: "Visitor income in a usual year", Columns: []form.Field{{At: "/money/accounts/visitor_income", Label: "Income", Kind: form.Amount}}}},
		},
		moneySection(), choicesSection(),
		{Title: "How sure", Folded: true, Fields: []form.Field{
			{At: "/confidence/draws", Label: "Draws", Kind: form.Whole},
			{At: "/confidence/seed", Label: "Seed", Kind: form.Whole, Hint: "The same seed gives the same answer"},
		}},
	}}
}

func moneySection() form.Section {
	return form.Section{
		Title: "Terms of money", Folded: true, Lead: "What is left empty is taken from the assumptions.",
		Fields: []form.Field{
			{At: "/money/price_level", Label: "Rates", Kind: form.Choice, Options: codes("the likely ones", "low", "likely", "high")},
			{At: "/money/horizon_years", Label: "Horizon, years", Kind: form.Whole},
			{At: "/money/basis", Label: "Basis", Kind: form.Choice, Options: []form.Option{{Value: "", Words: "real, where not stated"}, {Value: "real", Words: "real: prices of the price date"}, {Value: "nominal", Words: "nominal: prices rise"}}},
			{At: "/money/discount_rate_pct", Label: "Discount rate, %", Kind: form.Number},
			{At: "/money/inflation_pct", Label: "Inflation, %", Kind: form.Number},
			{At: "/money/contingency_pct", Label: "Contingency, %", Kind: form.Number},
			{At: "/money/tax_recoverable_pct", Label: "Tax recovered, %", Kind: form.Number, Hint: "Of the tax on the works"},
			{At: "/money/residual_value", Label: "At the horizon", Kind: form.Choice, Options: []form.Option{
				{Value: "", Words: "works count for nothing more"}, {Value: "none", Words: "works count for nothing more (stated)"}, {Value: "straight_line", Words: "the unexpired part of their life counts"},
			}},
		},
		Lists: []form.List{
			{
				At: "/money/tax_rates", Caption: "Rates of tax; those of the United Kingdom are known", Entry: "Rate", Blank: 2, More: 2, Carried: []string{"/tax_class"},
				Columns: []form.Field{{At: "/tax_class", Label: "Class", Kind: form.Choice, Options: taxClasses}, {At: "/rate_pct", Label: "Rate, %", Kind: form.Number}},
			},
			{
				At: "/money/preliminaries", Caption: "Preliminaries, as percentages of the lines", Entry: "Preliminary", Blank: 1, More: 2, Carried: []string{"/tax_class"},
				Columns: additionColumns,
			},
			{
				At: "/money/professional_fees", Caption: "Professional fees, as percentages of lines and preliminaries", Entry: "Fee", Blank: 1, More: 2, Carried: []string{"/tax_class"},
				Columns: additionColumns,
			},
		},
	}
}

var (
	taxClasses      = codes("", "standard", "reduced", "zero", "exempt")
	additionColumns = []form.Field{
		{At: "/name", Label: "Name", Kind: form.Text},
		{At: "/pct", Label: "Share, %", Kind: form.Number},
		{At: "/tax_class", Label: "Tax", Kind: form.Choice, Options: taxClasses},
	}
)

func choicesSection() form.Section {
	return form.Section{
		Title: "Choices of the consultant", Folded: true, Lead: "Where you decide otherwise than the defaults. Depths of a rebuild go together: all three or none.",
		Fields: []form.Field{
			{At: "/choices/partial_renovation_package", Label: "Partial renovation", Kind: form.Choice, Options: codes("as the diagnosis advises", "drains_only", "resurface_only", "top_and_drains")},
			{At: "/choices/partial_renovation_depth_mm", Label: "Its depth, mm", Kind: form.Number},
			{At: "/choices/supplier_turf_soil", Label: "Supplier turf was grown on", Kind: form.Choice, Options: codes("not stated", "washed", "sand", "soil")},
			{At: "/choices/cut_thickness_mm", Label: "Turf is lifted, mm thick", Kind: form.Number},
			{At: "/choices/layer_depths/root_zone_mm", Label: "Rebuild: root zone, mm", Kind: form.Number},
			{At: "/choices/layer_depths/blinding_mm", Label: "Rebuild: blinding, mm", Kind: form.Number},
			{At: "/choices/layer_depths/gravel_mm", Label: "Rebuild: gravel, mm", Kind: form.Number},
			{At: "/choices/slits/spacing_m", Label: "Slits: distance, m", Kind: form.Number},
			{At: "/choices/slits/depth_mm", Label: "Slits: depth, mm", Kind: form.Number},
			{At: "/choices/drains/choice", Label: "Drains", Kind: form.Choice, Options: codes("as advised", "herringbone", "perimeter_main")},
			{At: "/choices/drains/spacing_m", Label: "Drains: distance, m", Kind: form.Number},
			{At: "/choices/drains/outfall/x_m", Label: "Outfall: x, m", Kind: form.Number, Hint: "In the grid of the outline"},
			{At: "/choices/drains/outfall/y_m", Label: "Outfall: y, m", Kind: form.Number},
			{At: "/choices/drains/outfall/level_m", Label: "Outfall: level, m", Kind: form.Number, Hint: "Needs spot levels"},
		},
	}
}

// newAppraisal is the form of an appraisal on the terms of the last one.
func (p *Pages) newAppraisal(v Visit) (task, error) {
	ctx, clubID, greenID := v.Request().Context(), v.Param("club_id"), v.Param("green_id")
	club, green, err := p.clubAndGreen(v)
	if err != nil {
		return task{}, err
	}
	surveys, err := everySurvey(ctx, p.service, clubID, greenID)
	if err != nil {
		return task{}, err
	}
	if len(surveys) == 0 {
		return task{}, &service.Error{Kind: service.Conflict, Detail: "The green has no survey to appraise it by: enter one first."}
	}
	terms, err := p.termsFor(v, clubID, greenID)
	if err != nil {
		return task{}, err
	}
	books, err := p.bookOptions(ctx, clubID)
	if err != nil {
		return task{}, err
	}
	t := task{
		Title: "Appraise green " + green.Green.Name, Submit: "Appraise and store",
		Lead:  "The options are designed, costed and compared. What comes out is stored with all that went in, and never changes.",
		Trail: greenTrail(club, green),
		Form:  appraisalForm(surveyOptions(surveys), books), hidden: map[string]string{fromField: terms.AppraisalID},
		ready: spreadWorth,
		store: func(ctx context.Context, call service.Call, _ service.Match, document contract.Document) (string, error) {
			made, err := p.service.CreateAppraisal(ctx, call, clubID, document)
			return appraisalAddress(clubID, made.ID), err
		},
	}
	request := terms.Request
	request.GreenID, request.SurveyID, request.PriceBookID = greenID, surveys[0].ID, terms.PriceBookID
	request.Title = fmt.Sprintf("%s: green %s", club.Name, green.Green.Name)
	if t, err = t.from(request); err != nil {
		return t, err
	}
	if terms.AppraisalID == "" {
		p.firstTerms(t.begin)
	} else {
		t.Lead += " The terms are those of the last appraisal."
	}
	return t, nil
}

// leadMonths is how long it takes from a decision to the first works at best.
const leadMonths = 9

// firstTerms are where a club's first appraisal begins.
func (p *Pages) firstTerms(begin form.Entries) {
	begin["/money/currency"] = "GBP"
	begin["/available/first_month"] = p.service.Today().AddDate(0, leadMonths, 0).Format("2006-01")
}

// termsFor gives the terms that the form began with, or begins with.
func (p *Pages) termsFor(v Visit, clubID, greenID string) (service.Terms, error) {
	ctx := v.Request().Context()
	if v.Request().Method != "POST" {
		return p.service.LastTerms(ctx, clubID, greenID)
	}
	sent, err := v.form()
	if err != nil {
		return service.Terms{}, err
	}
	switch from := sent.Get(fromField); {
	case from == "":
		return service.Terms{}, nil
	case !idForm.MatchString(from):
		return service.Terms{}, errNoSuchID()
	default:
		return p.service.TermsOf(ctx, clubID, greenID, from)
	}
}

// spreadWorth writes the worth that is the same for every month into the months
// that have none of their own.
func spreadWorth(e form.Entries) {
	every := e[worthEveryMonth]
	if every == "" {
		return
	}
	for month := range form.Months {
		if name := worthPointer + "/" + strconv.Itoa(month); e[name] == "" {
			e[name] = every
		}
	}
}

func surveyOptions(surveys []service.Survey) []form.Option {
	var out []form.Option
	for _, s := range surveys {
		out = append(out, form.Option{Value: s.ID, Words: "of " + s.Survey.SurveyedOn})
	}
	return out
}

// bookOptions are the price books of a club, newest first.
func (p *Pages) bookOptions(ctx context.Context, clubID string) ([]form.Option, error) {
	found, err := p.everyBook(ctx, clubID)
	out := []form.Option{{Value: "", Words: "the built-in rates, which are invented"}}
	for _, b := range found {
		out = append(out, form.Option{Value: b.ID, Words: fmt.Sprintf("%s, edition %d, %s, prices of %s", b.Book.Name, b.Edition, b.Book.Currency, b.Book.PriceDate)})
	}
	return out, err
}
