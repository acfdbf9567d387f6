// Package browsertest lets tests see pages in a headless Chromium, as their readers
// do, and checks them with axe-core against WCAG 2.2.
package browsertest

import (
	"bytes"
	"compress/gzip"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"swardcase/api/pages/print"
)

// patience is how long one step may take on a machine that does much else.
const patience = 60 * time.Second

// Browser is a window of a browser.
type Browser struct {
	t   testing.TB
	ctx context.Context
}

// Start opens a window for the length of the test. Where there is no browser the
// test is skipped, and says what to install.
func Start(t testing.TB) *Browser {
	t.Helper()
	program, err := print.Browser()
	if err != nil {
		t.Skip(err)
	}
	options := append(print.Flags(program), chromedp.Flag("lang", "en-GB"))
	ctx, cancel := chromedp.NewExecAllocator(context.Background(), options...)
	t.Cleanup(cancel)
	ctx, cancel = chromedp.NewContext(ctx)
	t.Cleanup(cancel)
	// The first call starts the program; a time limit on it would end the window.
	if err := chromedp.Do(ctx, chromedp.EmulateViewport(1280, 900)); err != nil {
		t.Fatalf("start %s: %v", program, err)
	}
	return &Browser{t, ctx}
}

// Do carries out steps in the window.
func (b *Browser) Do(steps ...chromedp.Action[chromedp.Void]) {
	b.t.Helper()
	ctx, cancel := context.WithTimeout(b.ctx, patience)
	defer cancel()
	if err := chromedp.Do(ctx, steps...); err != nil {
		b.t.Fatalf("%v at %s", err, b.where())
	}
}

// Run carries out one step and gives its answer.
func Run[R any](b *Browser, step chromedp.Action[R]) R {
	b.t.Helper()
	ctx, cancel := context.WithTimeout(b.ctx, patience)
	defer cancel()
	answer, err := chromedp.Run(ctx, step)
	if err != nil {
		b.t.Fatalf("%v at %s", err, b.where())
	}
	return answer
}

func (b *Browser) where() string {
	ctx, cancel := context.WithTimeout(b.ctx, time.Second)
	defer cancel()
	address, err := chromedp.Run(ctx, chromedp.Location())
	if err != nil {
		return "an unknown page"
	}
	return address
}

// Open goes to an address.
func (b *Browser) Open(address string) {
	b.t.Helper()
	b.Do(chromedp.Navigate(address))
}

// Address is that of the page in the window.
func (b *Browser) Address() string {
	b.t.Helper()
	return Run(b, chromedp.Location())
}

// Width makes the window so many pixels wide.
func (b *Browser) Width(pixels int64) {
	b.t.Helper()
	b.Do(chromedp.EmulateViewport(pixels, 900))
}

// Eval asks the page for the value of an expression.
func Eval[R any](b *Browser, expression string) R {
	b.t.Helper()
	return Run(b, chromedp.Evaluate[R](expression))
}

// Text is the text of the page.
func (b *Browser) Text() string {
	b.t.Helper()
	return Eval[string](b, "document.body.innerText")
}

// Fill writes into the field of that name, as the page's own script would see it.
func (b *Browser) Fill(name, value string) {
	b.t.Helper()
	b.must("fill in "+name, fmt.Sprintf(`(() => {
		const field = document.querySelector('[name=' + CSS.escape(%q) + ']');
		if (!field) return false;
		field.value = %q;
		field.dispatchEvent(new Event("input", {bubbles: true}));
		return field.value === %q;
	})()`, name, value, value))
}

// Press follows the link or presses the button with these words, and waits for the
// page that it leads to.
func (b *Browser) Press(words string) {
	b.t.Helper()
	b.must("press "+words, fmt.Sprintf(`(() => {
		const found = [...document.querySelectorAll("a, button")].find((e) => e.textContent.trim() === %q && !e.hasAttribute("aria-hidden"));
		if (!found) return false;
		window.beforePress = true;
		found.click();
		return true;
	})()`, words))
	b.wait("!window.beforePress && document.readyState === 'complete'")
}

// wait waits until the page says yes. While one page gives way to another there is
// none to ask, which is no failure.
func (b *Browser) wait(expression string) {
	b.t.Helper()
	ctx, cancel := context.WithTimeout(b.ctx, patience)
	defer cancel()
	for {
		yes, err := chromedp.Run(ctx, chromedp.Evaluate[bool](expression))
		switch {
		case err == nil && yes:
			return
		case ctx.Err() != nil:
			b.t.Fatalf("waiting for %s: %v at %s", expression, err, b.where())
		}
		time.Sleep(20 * time.Millisecond)
	}
}

func (b *Browser) must(what, expression string) {
	b.t.Helper()
	if !Eval[bool](b, expression) {
		b.t.Fatalf("cannot %s at %s: %.1500s", what, b.Address(), b.Text())
	}
}

// NoOverflow fails where the page is wider than its window.
func (b *Browser) NoOverflow() {
	b.t.Helper()
	if wide := Eval[[]int](b, "[document.documentElement.scrollWidth, window.innerWidth]"); wide[0] > wide[1] {
		b.t.Errorf("%s is %d pixels wide in a window of %d", b.Address(), wide[0], wide[1])
	}
}

// axeSHA256 is that of axe-core 4.14.1; testdata/axe/README.md tells where it comes
// from.
const axeSHA256 = "29348999450cdf2849a8e70b7912fc2da85a849da39c0d0d5394f51d4a9ed95c"

// readAxe unpacks the library and holds it to its hash.
func readAxe() (string, error) {
	_, here, _, _ := runtime.Caller(0)
	packed, err := os.ReadFile(filepath.Join(filepath.Dir(here), "..", "..", "..", "testdata", "axe", "axe.min.js.gz"))
	if err != nil {
		return "", err
	}
	reader, err := gzip.NewReader(bytes.NewReader(packed))
	if err != nil {
		return "", err
	}
	text, err := io.ReadAll(reader)
	if err != nil {
		return "", err
	}
	if sum := sha256.Sum256(text); hex.EncodeToString(sum[:]) != axeSHA256 {
		return "", fmt.Errorf("axe.min.js has the SHA-256 %x", sum)
	}
	return string(text), nil
}

// violation is a rule that a page breaks.
type violation struct {
	ID    string `json:"id"`
	Help  string `json:"help"`
	Nodes []struct {
		HTML    string `json:"html"`
		Summary string `json:"failureSummary"`
	} `json:"nodes"`
}

// Accessible checks the page in the window by every rule of WCAG 2.2, levels A and
// AA, that a machine can check, and by the rules of good practice.
func (b *Browser) Accessible() {
	b.t.Helper()
	axe, err := readAxe()
	if err != nil {
		b.t.Fatalf("axe-core: %v", err)
	}
	Eval[any](b, axe+"; null")
	Eval[any](b, `window.axeFound = null; axe.run(document, {
		runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"], resultTypes: ["violations"],
	}).then((r) => { window.axeFound = JSON.stringify({violations: r.violations, passes: r.passes.length}); },
		(e) => { window.axeFound = JSON.stringify({failed: String(e)}); }); null`)
	b.wait("window.axeFound !== null")
	var found struct {
		Violations []violation `json:"violations"`
		Passes     int         `json:"passes"`
		Failed     string      `json:"failed"`
	}
	if err := json.Unmarshal([]byte(Eval[string](b, "window.axeFound")), &found); err != nil {
		b.t.Fatalf("axe-core answered what cannot be read: %v", err)
	}
	if found.Failed != "" || found.Passes == 0 {
		b.t.Errorf("axe-core on %s: %s, %d rules passed", b.Address(), found.Failed, found.Passes)
	}
	for _, v := range found.Violations {
		for _, node := range v.Nodes {
			b.t.Errorf("%s breaks %s (%s): %.300s\n%s", b.Address(), v.ID, v.Help, node.HTML, strings.TrimSpace(node.Summary))
		}
	}
}
