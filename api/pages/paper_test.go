package pages

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"

	"swardcase/api/report"
	"swardcase/model"
)

// keptCases are the appraisals of the demonstration's cases and of the cases kept
// for tests, by file name.
func keptCases(t testing.TB) map[string]kept {
	t.Helper()
	out, err := everyCase()
	if err != nil {
		t.Fatal(err)
	}
	return out
}

var everyCase = sync.OnceValues(func() (map[string]kept, error) {
	out := map[string]kept{}
	for _, pattern := range []string{"../../cmd/swardcase/demo/green_*.json", "../../testdata/cases/*.json"} {
		files, err := filepath.Glob(pattern)
		if err != nil || len(files) == 0 {
			return nil, fmt.Errorf("no cases in %s: %w", pattern, err)
		}
		for _, file := range files {
			if out[filepath.Base(filepath.Dir(file))+"/"+filepath.Base(file)], err = keptFile(file); err != nil {
				return nil, fmt.Errorf("%s: %w", file, err)
			}
		}
	}
	return out, nil
})

// keptFile appraises the case in a file; the answer goes through JSON, as that of a
// stored appraisal does.
func keptFile(file string) (kept, error) {
	var k kept
	body, err := os.ReadFile(file)
	if err != nil {
		return k, err
	}
	var c model.Case
	if err := json.Unmarshal(body, &c); err != nil {
		return k, err
	}
	a, err := model.Appraise(c)
	if err != nil {
		return k, err
	}
	if k.stored.Result, err = json.Marshal(a); err != nil {
		return k, err
	}
	if err := json.Unmarshal(k.stored.Result, &k.answer); err != nil {
		return k, err
	}
	design, err := model.DesignWorks(c)
	k.design = &design
	return k, err
}

// rendered is a page as it is sent, and as it is read: without its markup.
func rendered(t testing.TB, name string, body any) (sent, read string) {
	t.Helper()
	files, err := readAssets()
	if err != nil {
		t.Fatal(err)
	}
	pages, err := readTemplates()
	if err != nil {
		t.Fatal(err)
	}
	p := &Pages{assets: files, templates: pages}
	page, err := p.render(name, Frame{Title: "A page", Body: body})
	if err != nil {
		t.Fatal(err)
	}
	return string(page), readable(string(page))
}

var (
	markup = regexp.MustCompile(`<[^>]*>`)
	spaces = regexp.MustCompile(`\s+`)
)

func readable(page string) string {
	text := markup.ReplaceAllString(page, " ")
	text = strings.NewReplacer("&#39;", "'", "&#43;", "+", "&#34;", `"`, "&lt;", "<", "&gt;", ">", "&amp;", "&").Replace(text)
	return spaces.ReplaceAllString(text, " ")
}

// mostPageBytes is how long a page may be, its files included.
const mostPageBytes = 150_000

// TestEveryAppraisalIsWrittenOut: whatever the case, the page says what the answer
// says, in the order in which a committee asks, and nothing that is no answer.
func TestEveryAppraisalIsWrittenOut(t *testing.T) {
	for name, k := range keptCases(t) {
		t.Run(name, func(t *testing.T) {
			a := k.answer
			sent, read := rendered(t, "appraisal", paperOf(k, "/here"))
			order := []string{
				a.PriceStamp, report.Prose(a.Recommendation.Headline), report.Prose(report.GradeWords(a.Condition)), "What would change the answer",
				"The options side by side", "What it does for play", "What it costs and brings", "Before anything is decided or dug", "Appendix",
			}
			if len(a.Recommendation.WhatWouldChange) == 0 {
				order = append(order[:3], order[4:]...)
			}
			at := 0
			for _, words := range order {
				words = spaces.ReplaceAllString(words, " ")
				next := strings.Index(read[at:], words)
				if next < 0 {
					t.Fatalf("the page lacks %q, or has it too soon", words)
				}
				at += next
			}
			var wanted []string
			wanted = append(wanted, prose(a.Cautions)...)
			wanted = append(wanted, prose(a.Recommendation.WhatWouldChange)...)
			wanted = append(wanted, report.Prose(report.ApproveWords(a)), report.BestWords(a.Recommendation))
			for _, o := range a.Options {
				wanted = append(wanted, report.Prose(report.OptionName(o.Option)))
			}
			for _, line := range report.BillLines(a, report.Advised(a)) {
				wanted = append(wanted, exact(line.Amount))
			}
			for _, words := range wanted {
				if words = spaces.ReplaceAllString(words, " "); !strings.Contains(read, words) {
					t.Errorf("the page lacks %q", words)
				}
			}
			for _, never := range []string{"%!", "NaN", "<no value>", "&lt;nil&gt;", " style=", "<script", "+Inf", "null"} {
				if strings.Contains(sent, never) {
					t.Errorf("the page holds %q", never)
				}
			}
		})
	}
}

// TestTheChanceOfMeetingIsLargest: what is often mistaken for success, being best
// of the options, is nowhere written as large as the chance of meeting the
// requirements.
func TestTheChanceOfMeetingIsLargest(t *testing.T) {
	k := keptCases(t)["demo/green_14.json"]
	sent, _ := rendered(t, "appraisal", paperOf(k, "/here"))
	large := `<span class="great">` + report.Percent(*k.answer.Recommendation.MeetsRequirements) + `</span>`
	if strings.Count(sent, `class="great"`) != 1 || !strings.Contains(sent, large) {
		t.Error("the chance of meeting every requirement is not the one large figure")
	}
}

// TestAPageIsSmall adds up what a browser fetches for the longest page.
func TestAPageIsSmall(t *testing.T) {
	files, err := readAssets()
	if err != nil {
		t.Fatal(err)
	}
	beside := 0
	for _, name := range []string{"pages.css", "mark.svg"} { // what this page loads
		beside += len(files.served[files.named[name]].body)
	}
	for name, k := range keptCases(t) {
		sent, _ := rendered(t, "appraisal", paperOf(k, "/clubs/01a21317-7021-7456-b296-43552dc33a1d/appraisals/01a21317-7021-7456-b296-43552dc33a1d"))
		if got := len(sent) + beside; got > mostPageBytes {
			t.Errorf("%s: page and files have %d bytes, more than %d", name, got, mostPageBytes)
		} else {
			t.Logf("%s: %d bytes", name, got)
		}
	}
}

// TestNoIDIsTakenTwice: charts, drawings and headings of a page keep their ids
// apart.
func TestNoIDIsTakenTwice(t *testing.T) {
	id := regexp.MustCompile(`\sid="([^"]*)"`)
	for name, k := range keptCases(t) {
		sent, _ := rendered(t, "appraisal", paperOf(k, "/here"))
		seen := map[string]bool{}
		for _, found := range id.FindAllStringSubmatch(sent, -1) {
			if seen[found[1]] {
				t.Errorf("%s: the id %q stands twice", name, found[1])
			}
			seen[found[1]] = true
		}
	}
}
