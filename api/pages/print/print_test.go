package print_test

import (
	"bytes"
	"context"
	"errors"
	"net/http"
	"net/http/httptest"
	"os/exec"
	"strings"
	"sync/atomic"
	"testing"

	"swardcase/api/pages/browsertest"
	"swardcase/api/pages/print"
	"swardcase/api/service"
)

func needBrowser(t *testing.T) {
	t.Helper()
	if _, err := print.Browser(); err != nil {
		t.Skip(err)
	}
}

// TestAPageIsPrinted: what stands in the document stands in the file, on A4.
func TestAPageIsPrinted(t *testing.T) {
	needBrowser(t)
	file, err := print.New().PDF(context.Background(), []byte(`<!doctype html><html lang="en"><title>A paper</title><style>@page{size:A4}h1{break-before:page}</style><p>First</p><h1>Second page</h1></html>`))
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.HasPrefix(file, []byte("%PDF-")) {
		t.Fatalf("no PDF: %.20q", file)
	}
	text, pages := browsertest.PaperText(t, file)
	if pages != 2 || !strings.Contains(text, "First") || !strings.Contains(text, "Second page") {
		t.Errorf("%d pages: %q", pages, text)
	}
}

// TestNothingIsFetchedAndNothingRuns: a document that asks for an address gets
// none, and its script does not run.
func TestNothingIsFetchedAndNothingRuns(t *testing.T) {
	needBrowser(t)
	var asked atomic.Int64
	server := httptest.NewServer(http.HandlerFunc(func(http.ResponseWriter, *http.Request) { asked.Add(1) }))
	defer server.Close()
	document := `<!doctype html><title>t</title><p id="p">as written</p><img src="` + server.URL + `/a.png"><iframe src="` + server.URL + `/b"></iframe>
<iframe src="file:///etc/hostname"></iframe><link rel="stylesheet" href="` + server.URL + `/c.css"><script>document.getElementById("p").textContent = "changed"; fetch("` + server.URL + `/d")</script>`
	file, err := print.New().PDF(context.Background(), []byte(document))
	if err != nil {
		t.Fatal(err)
	}
	text, _ := browsertest.PaperText(t, file)
	if !strings.Contains(text, "as written") || strings.Contains(text, "changed") {
		t.Errorf("script has run: %q", text)
	}
	if n := asked.Load(); n != 0 {
		t.Errorf("%d addresses were asked for", n)
	}
	hostname, err := exec.Command("hostname").Output()
	if name := strings.TrimSpace(string(hostname)); err == nil && name != "" && strings.Contains(text, name) {
		t.Errorf("a file of the machine was read: %q", text)
	}
}

// TestWithoutABrowser says what to install.
func TestWithoutABrowser(t *testing.T) {
	t.Setenv("PATH", t.TempDir())
	_, err := print.New().PDF(context.Background(), []byte("<p>"))
	var known *service.Error
	if !errors.As(err, &known) || known.Kind != service.NoPrinter || !strings.Contains(known.Detail, "apt-get install chromium") {
		t.Errorf("without a browser: %v", err)
	}
	if strings.Count(err.Error(), "apt-get") != 1 {
		t.Errorf("it is said more than once: %v", err)
	}
}

// TestWhoeverHasGoneIsNotPrintedFor: a caller who waits no longer costs nothing.
func TestWhoeverHasGoneIsNotPrintedFor(t *testing.T) {
	needBrowser(t)
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := print.New().PDF(ctx, []byte("<p>")); !errors.Is(err, context.Canceled) {
		t.Errorf("for a caller who has gone: %v", err)
	}
}
