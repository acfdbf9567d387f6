// Package print puts a page on paper: it hands a document of our own to an
// installed Chromium and takes back a PDF. Nothing of a caller's is ever opened:
// there is no address, script is off, and every connection is blocked.
package print

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
	"golang.org/x/sync/semaphore"

	"swardcase/api/service"
)

const (
	// atOnce is how many browsers may run: each takes some 200 MB.
	atOnce = 2
	// longest is how long a print may take from its turn on; it takes two to three
	// seconds, most of them for the browser to start.
	longest = 15 * time.Second
)

// MediaType is that of a PDF (RFC 8118).
const MediaType = "application/pdf"

// browsers are the names under which a Chromium may be installed, in the order in
// which they are looked for.
var browsers = []string{"chromium", "chromium-browser", "google-chrome-stable", "google-chrome"}

// Printer makes PDF files, two at a time at most. It is safe for concurrent use.
type Printer struct {
	turns *semaphore.Weighted
	find  func() (string, error)
}

// New makes a printer. Whether a browser is installed is looked at when it prints,
// so that one can be installed beside a running service.
func New() *Printer {
	return &Printer{turns: semaphore.NewWeighted(atOnce), find: Browser}
}

// Browser finds the installed Chromium.
func Browser() (string, error) {
	for _, name := range browsers {
		if path, err := exec.LookPath(name); err == nil {
			return path, nil
		}
	}
	return "", errors.New("no Chromium is installed (Debian: apt-get install chromium fonts-liberation)")
}

// PDF prints a whole HTML document, which must carry its style within. The page is
// A4 unless the style says otherwise. The file is tagged, and its drawings stay
// vectors.
func (p *Printer) PDF(ctx context.Context, html []byte) ([]byte, error) {
	path, err := p.find()
	if err != nil {
		return nil, &service.Error{Kind: service.NoPrinter, Detail: "A PDF is made by an installed Chromium, and there is none here (Debian: apt-get install chromium fonts-liberation). The page prints well from any browser."}
	}
	if err := p.turns.Acquire(ctx, 1); err != nil {
		return nil, err
	}
	defer p.turns.Release(1)
	ctx, cancel := context.WithTimeout(ctx, longest)
	defer cancel()
	file, err := printWith(ctx, path, html)
	switch {
	case ctx.Err() != nil:
		return nil, ctx.Err()
	case err != nil:
		return nil, fmt.Errorf("print: %w", err)
	}
	return file, nil
}

// Flags are how a browser of ours is started: quietly, and with no connection of
// its own. As root Chromium runs only without its sandbox.
func Flags(path string) []chromedp.ExecAllocatorOption {
	flags := append(chromedp.DefaultExecAllocatorOptions[:],
		chromedp.ExecPath(path), chromedp.DisableGPU, chromedp.Flag("disable-background-networking", true),
		chromedp.Flag("disable-component-update", true), chromedp.Flag("disable-quic", true))
	if os.Geteuid() == 0 {
		flags = append(flags, chromedp.NoSandbox)
	}
	return flags
}

func printWith(ctx context.Context, path string, html []byte) ([]byte, error) {
	flags := append(Flags(path), chromedp.Flag("host-resolver-rules", "MAP * ~NOTFOUND"))
	ctx, stop := chromedp.NewExecAllocator(ctx, flags...)
	defer stop()
	ctx, stopTab := chromedp.NewContext(ctx, chromedp.WithErrorf(unheard))
	defer stopTab()
	if err := chromedp.Do(ctx); err != nil {
		return nil, fmt.Errorf("start the browser: %w", err)
	}
	if err := shut(ctx); err != nil {
		return nil, fmt.Errorf("shut the browser off: %w", err)
	}
	frames, err := chromedp.Call(ctx, page.GetFrameTree, cdp.Empty{})
	if err != nil {
		return nil, fmt.Errorf("find the page: %w", err)
	}
	if _, err := chromedp.Call(ctx, page.SetDocumentContent, page.SetDocumentContentParams{FrameID: frames.FrameTree.Frame.ID, HTML: string(html)}); err != nil {
		return nil, fmt.Errorf("fill the page: %w", err)
	}
	return chromedp.Run(ctx, chromedp.PrintToPDF(
		chromedp.PDFPaper(chromedp.PaperA4), chromedp.PDFPreferCSSPageSize(), chromedp.PDFPrintBackground(), chromedp.PDFOutlineAndTagged()))
}

// shut turns script off and blocks every connection.
func shut(ctx context.Context) error {
	if _, err := chromedp.Call(ctx, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: true}); err != nil {
		return err
	}
	if _, err := chromedp.Call(ctx, network.Enable, network.EnableParams{}); err != nil {
		return err
	}
	_, err := chromedp.Call(ctx, network.SetBlockedURLs, network.SetBlockedURLsParams{
		URLPatterns: []*network.BlockPattern{{URLPattern: "*://*:*/*", Block: true}},
	})
	return err
}

// unheard takes what the library says of a page that ends; what fails comes back as
// an error.
func unheard(string, ...any) {}
