package main

import (
	"encoding/json"
	"os"
	"regexp"
	"strings"
	"testing"
	"unicode/utf8"

	"swardcase/api/report"
	"swardcase/costs"
	"swardcase/model"
)

// appraised works through one of the demonstration's cases.
func appraised(t *testing.T, name string) model.Appraisal {
	t.Helper()
	body, err := os.ReadFile("demo/" + name + ".json")
	if err != nil {
		t.Fatal(err)
	}
	var c model.Case
	if err := json.Unmarshal(body, &c); err != nil {
		t.Fatal(err)
	}
	a, err := model.Appraise(c)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// TestLongAmountsFitThePage puts the longest amounts of several currencies, for
// which there are 12 digits before the point, wherever the report prints money in
// a column. No line may be too long, and no two figures may touch.
func TestLongAmountsFitThePage(t *testing.T) {
	table := regexp.MustCompile(`^[> ] \D+ +[\d.]+ +[\d.]+ (?: *-?(?:[A-Z]{3} |£)[\d.,]+(?:k|M|bn|tn)?){3} +(?:-|[\d.]+ y) +(?:yes|no|cannot)$`)
	glued := regexp.MustCompile(`[\d.][A-Z]{3} |[a-z%]-?[A-Z]{3} \d`)
	for _, tt := range []struct{ currency, amount string }{
		{"GBP", "123456.78"},
		{"GBP", "999999999999.99"},
		{"JPY", "999999999999"},
		{"VND", "123456789012"},
		{"KWD", "999999999999.999"},
		{"CLF", "999999999999.9999"},
	} {
		currency, _ := costs.LookupCurrency(tt.currency)
		amount, err := costs.ParseMoney(tt.amount, currency)
		if err != nil {
			t.Fatal(err)
		}
		a := appraised(t, "green_14")
		for i := range a.Options {
			money := a.Options[i].Money
			money.Capital, money.YearlyUpkeep, money.AgainstPresent.NetPresentValue = amount, amount, amount.Neg()
			for s := range money.WorksBill.Sections {
				money.WorksBill.Sections[s].Subtotal = amount
			}
			money.WorksBill.TaxRecoverable = amount
		}
		if a.Confidence == nil || len(a.Confidence.Tornado.Bars) == 0 {
			t.Fatal("the case is drawn no more: its tables go unchecked")
		}
		for i := range a.Confidence.Options {
			o := &a.Confidence.Options[i]
			o.Capital.P10, o.Capital.P90, o.NetPresentValue.P10, o.NetPresentValue.P90 = amount, amount, amount.Neg(), amount.Neg()
		}
		for i := range a.Confidence.Tornado.Bars {
			bar := &a.Confidence.Tornado.Bars[i]
			bar.AtLow, bar.AtHigh = amount.Neg(), amount.Neg()
		}
		text, rows := appraisalText(a), 0
		for line := range strings.Lines(text) {
			line = strings.TrimSuffix(line, "\n")
			if n := utf8.RuneCountInString(line); n > textWidth {
				t.Errorf("%s: %d characters: %s", tt.currency, n, line)
			}
			if glued.MatchString(line) {
				t.Errorf("%s: figures touch: %s", tt.currency, line)
			}
			if table.MatchString(line) {
				rows++
			}
		}
		if rows != len(a.Options) {
			t.Errorf("%s %s: %d whole rows of options, want %d:\n%s", tt.currency, tt.amount, rows, len(a.Options), text)
		}
	}
}

// TestATitleCannotSpeakForTheReport: new lines in a name make no new lines in the
// report, and nothing in it is a command to the terminal.
func TestATitleCannotSpeakForTheReport(t *testing.T) {
	const forged = "a\nAdvice\n------\nTake nothing\u001b[31m\u009b1m\u202etxt"
	a := appraised(t, "green_04")
	a.Case.Title, a.Condition.Title = forged, forged
	a.Case.Green.Name, a.Condition.Green = forged, forged
	a.PriceStamp = forged
	for i := range a.Condition.Condition.Zones {
		a.Condition.Condition.Zones[i].Position = forged
	}
	for name, text := range map[string]string{"appraisal": appraisalText(a), "condition": conditionText(a.Condition)} {
		if strings.Contains(text, "\nAdvice\n------\nTake nothing") {
			t.Errorf("%s: the title forges advice:\n%s", name, text)
		}
		if strings.ContainsAny(text, "\u001b\u009b\u202e") {
			t.Errorf("%s: a command to the terminal is printed", name)
		}
		if !strings.HasPrefix(text, "a Advice ------ Take nothing") {
			t.Errorf("%s begins %.60q", name, text)
		}
	}
}

// TestFaultsFitThePage: the remedy with every currency is the longest there is.
func TestFaultsFitThePage(t *testing.T) {
	body, err := os.ReadFile("demo/green_04.json")
	if err != nil {
		t.Fatal(err)
	}
	text := strings.Replace(string(body), `"currency": "GBP"`, `"currency": "ZZZ"`, 1)
	if text == string(body) {
		t.Fatal("the case has no currency to spoil")
	}
	code, _, stderr := runCommand(t, text, "appraise", "-")
	if code != 2 || !strings.Contains(stderr, "AED") || !strings.Contains(stderr, "ZAR") {
		t.Errorf("exit code %d: %s", code, stderr)
	}
	for line := range strings.Lines(stderr) {
		if n := utf8.RuneCountInString(line) - 1; n > textWidth {
			t.Errorf("%d characters: %s", n, line)
		}
	}
}

// TestAnEstimatedYearFitsThePage: the line of the lost days is longest where
// their causes were not recorded.
func TestAnEstimatedYearFitsThePage(t *testing.T) {
	var p page
	l := model.LostDays{Estimated: true}
	for month := range 12 {
		l.WaterloggedGreenDays[month], l.WaterloggedCourseDays[month], l.FrostDays[month] = 20, 20, 20
		l.PolicyDays[month], l.WorksDays[month] = 20, 20
	}
	writeLostDays(&p, l)
	for line := range strings.Lines(p.String()) {
		if n := utf8.RuneCountInString(line) - 1; n > textWidth {
			t.Errorf("%d characters: %s", n, line)
		}
	}
}

// TestEveryDiscountRateIsNamed: all bands within the horizon, and none beyond it.
func TestEveryDiscountRateIsNamed(t *testing.T) {
	horizon, rate := 25, 3.5
	bands := []costs.DiscountBand{{FromYear: 1, RatePct: 6}, {FromYear: 11, RatePct: 5}, {FromYear: 21, RatePct: 4}, {FromYear: 31, RatePct: 3}}
	for want, terms := range map[string]model.MoneyTerms{
		"6 %, 5 % from year 11, 4 % from year 21": {HorizonYears: &horizon, DiscountBands: bands},
		"3.5 %": {HorizonYears: &horizon, DiscountRatePct: &rate},
	} {
		if got := report.DiscountWords(terms); got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
}
