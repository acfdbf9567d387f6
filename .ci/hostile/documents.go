package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"time"
)

// mostBytes is the longest document that is read.
const mostBytes = 2 << 20

// tooSlow is how long the refusal of any document may take on a busy machine.
const tooSlow = 5 * time.Second

// hostileDocuments sends documents made to cost time and memory. The longest that
// are read at all are as long as may be.
func hostileDocuments(ctx context.Context, l *lab) (err error) {
	whole, err := os.ReadFile(filepath.Join("testdata", "cases", "green_14.json"))
	if err != nil {
		return err
	}
	s, err := l.serve("", "--address-rate", "0")
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, s.Stop()) }()
	c := s.client("127.0.0.1")
	if _, err := c.send(ctx, http.MethodPost, "/v1/trial-appraisals", whole); err != nil {
		return err // the memory of an honest appraisal comes before what is measured
	}
	before, _ := s.residentMiB()
	paths := []string{"/v1/trial-conditions", "/v1/trial-designs", "/v1/trial-forecasts", "/v1/trial-appraisals", "/v1/trial-break-evens", "/v1/clubs"}
	sent := 0
	var slowest time.Duration
	var slowestName string
	for name, body := range bombs(string(whole)) {
		var longest time.Duration
		for _, path := range paths {
			a, err := c.send(ctx, http.MethodPost, path, []byte(body))
			if err != nil {
				return fmt.Errorf("%s to %s: %w", name, path, err)
			}
			if err := a.refusal(); err != nil {
				return fmt.Errorf("%s to %s: %w", name, path, err)
			}
			sent++
			longest = max(longest, a.took)
		}
		if longest > slowest {
			slowest, slowestName = longest, name
		}
	}
	_, most := s.residentMiB()
	fmt.Printf("  %d documents to %d addresses, all refused with 4xx; the slowest refusal (%s) took %s; memory %d MiB before, %d MiB at most\n",
		sent/len(paths), len(paths), slowestName, slowest.Round(time.Millisecond), before, most)
	if slowest > tooSlow {
		return fmt.Errorf("%s took %s to be refused", slowestName, slowest)
	}
	return nil
}

// bombs are documents by what is bad about them.
func bombs(whole string) map[string]string {
	fill := func(unit string) string { return strings.Repeat(unit, (mostBytes-2000)/len(unit)) }
	replace := func(old, now string) string {
		if !strings.Contains(whole, old) {
			panic("the case has no " + old)
		}
		return strings.Replace(whole, old, now, 1)
	}
	area := func(number string) string { return `{"case_format":1,"green":{"area_m2":` + number + `}}` }
	money := func(text string) string {
		return `{"case_format":1,"money":{"currency":"GBP","worth_of_playable_month":{"amount":"` + text + `","currency":"GBP"}}}`
	}
	all := map[string]string{
		"a number of two million digits":         area(fill("9")),
		"a number of two million places":         area("0." + fill("3")),
		"an exponent of a million":               area("1e1000000"),
		"an exponent of minus a million":         area("1e-1000000"),
		"an exponent of two million digits":      area("1e" + fill("9")),
		"an amount of two million digits":        money(fill("9")),
		"an amount with an exponent":             money("1e1000000"),
		"an amount with a small exponent":        money("1e-1000000"),
		"lists two million deep":                 fill("["),
		"lists closed again":                     strings.Repeat("[", 500_000) + strings.Repeat("]", 500_000),
		"objects 100,000 deep":                   strings.Repeat(`{"a":`, 100_000) + "1" + strings.Repeat("}", 100_000),
		"a string of two million characters":     `{"title":"` + fill("x") + `"}`,
		"a string of escapes":                    `{"title":"` + fill(`\u0041`) + `"}`,
		"a name of two million characters":       `{"` + fill("x") + `":1}`,
		"one name 60,000 times":                  "{" + strings.TrimSuffix(strings.Repeat(`"case_format":1,`, 60_000), ",") + "}",
		"70,000 names":                           "{" + manyNames(70_000) + "}",
		"a million empty lists":                  "[" + strings.TrimSuffix(fill("[],"), ",") + "]",
		"a million numbers":                      "[" + strings.TrimSuffix(fill("1,"), ",") + "]",
		"two million bytes that are not UTF-8":   `{"title":"` + fill("\xff") + `"}`,
		"one byte that is not UTF-8":             replace(`"title"`, `"ti`+"\xc3"+`tle"`),
		"half of a surrogate pair":               replace(`"title": "`, `"title": "\ud800`),
		"a character cut short at the end":       `{"title":"` + "\xe2\x82",
		"an overlong slash":                      `{"title":"` + "\xc0\xaf" + `"}`,
		"a zero byte":                            replace(`"title": "`, `"title": "\u0000`),
		"a name twice, the second the worse":     replace(`"case_format": 1`, `"case_format": 1, "case_format": 2`),
		"numbers that are none":                  `{"case_format":NaN}`,
		"white space only":                       fill(" "),
		"nothing":                                "",
		"a document after the document":          whole + whole,
		"one byte too long":                      strings.Repeat(" ", mostBytes-len(whole)+1) + whole,
		"a thousand readings too many":           area("[" + strings.TrimSuffix(strings.Repeat(`{"value_mm":1},`, 60_000), ",") + "]"),
		"mistaken for a template":                replace(`"title": "`, `"title": "{{.}}${7*7}<%=1%>\u202e`),
		"bytes that are compressed, as they say": string(bytes.Repeat([]byte{0x1f, 0x8b}, 1000)),
	}
	return all
}

func manyNames(n int) string {
	var b strings.Builder
	for i := range n {
		fmt.Fprintf(&b, `"n%d":1,`, i)
	}
	return strings.TrimSuffix(b.String(), ",")
}
