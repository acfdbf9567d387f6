// Package pagetest helps tests that need an installed Chromium, or the tools that
// read what it prints.
package pagetest

import (
	"bytes"
	"context"
	"os/exec"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"swardcase/api/pages/print"
)

// longest is how long one test may keep a browser.
const longest = 3 * time.Minute

// Browser starts a browser with one tab, and ends it with the test. Without an
// installed Chromium the test is skipped.
func Browser(t testing.TB) context.Context {
	t.Helper()
	path, err := print.Browser()
	if err != nil {
		t.Skip(err)
	}
	ctx, stop := context.WithTimeout(context.Background(), longest)
	t.Cleanup(stop)
	ctx, stop = chromedp.NewExecAllocator(ctx, print.Flags(path)...)
	t.Cleanup(stop)
	ctx, stop = chromedp.NewContext(ctx, chromedp.WithErrorf(func(string, ...any) {}))
	t.Cleanup(stop)
	if err := chromedp.Do(ctx); err != nil {
		t.Fatalf("start the browser: %v", err)
	}
	return ctx
}

// Text reads the text of a PDF and the number of its pages.
func Text(t testing.TB, file []byte) (text string, pages int) {
	t.Helper()
	if _, err := exec.LookPath("pdftotext"); err != nil {
		t.Skip("no pdftotext is installed (Debian: apt-get install poppler-utils)")
	}
	command := exec.Command("pdftotext", "-layout", "-", "-")
	command.Stdin = bytes.NewReader(file)
	out, err := command.Output()
	if err != nil {
		t.Fatalf("read the PDF: %v", err)
	}
	text = string(out)
	pages = strings.Count(text, "\f") // pdftotext ends each page with one
	return text, pages
}
