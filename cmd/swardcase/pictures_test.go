package main

import (
	"bytes"
	"context"
	"crypto/rand"
	"flag"
	"io"
	"log/slog"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	cdppage "github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"

	"swardcase/api"
	"swardcase/api/pages/browsertest"
	"swardcase/api/service"
	"swardcase/api/store"
	"swardcase/cmd/swardcase/demo"
)

// picture is one picture of README.md: a part of a page of the demonstration.
type picture struct {
	file, path, from, to string // the part runs from the top of one element to the foot of another
	width                int64
}

// The pictures lie beside the texts that people read.
const picturesFolder = projectRoot + "/testdata/pages"

func pictures(appraisal string) []picture {
	return []picture{
		{"answer.webp", appraisal, "h1", `#answer ~ .key`, 900},
		{"options.webp", appraisal, "#figure-chances", "#figure-capital", 1000},
		{"what_if.webp", appraisal + "/what-if?%2Fworth_of_playable_month=3000&%2Fdiscount_rate_pct=2", "h1", "#trial .approve", 900},
	}
}

var anew = flag.Bool("pictures", false, "take the pictures of README.md anew, in an installed Chromium; look at them")

// TestThePicturesOfTheReadMe are there and shown; run with -pictures it takes them
// anew from the demonstration.
func TestThePicturesOfTheReadMe(t *testing.T) {
	text, err := os.ReadFile(projectRoot + "/README.md")
	if err != nil {
		t.Fatal(err)
	}
	if *anew {
		takePictures(t)
	}
	for _, p := range pictures("") {
		file, err := os.ReadFile(filepath.Join(picturesFolder, p.file))
		if err != nil {
			t.Error(err)
			continue
		}
		if !bytes.HasPrefix(file, []byte("RIFF")) || len(file) > 200_000 {
			t.Errorf("%s is no small WebP picture: %d bytes", p.file, len(file))
		}
		if !strings.Contains(string(text), "(testdata/pages/"+p.file+")") {
			t.Errorf("README.md does not show %s", p.file)
		}
	}
}

func takePictures(t *testing.T) {
	t.Helper()
	browser := browsertest.Start(t)
	ctx := context.Background()
	svc, leave, err := openService(ctx, store.Place{File: filepath.Join(t.TempDir(), "demo.db")})
	if err != nil {
		t.Fatal(err)
	}
	defer leave()
	ctx = service.WithCaller(ctx, service.LocalCaller("pictures"))
	club, err := demo.ClubOfThornmere()
	if err != nil {
		t.Fatal(err)
	}
	kept, err := club.Keep(ctx, svc)
	if err != nil {
		t.Fatal(err)
	}
	made, err := svc.Appraisals(ctx, service.Filter{ClubID: kept.ID, Limit: 100})
	if err != nil {
		t.Fatal(err)
	}
	address := ""
	for _, a := range made.Items {
		if strings.Contains(a.Title, "14th") {
			address = "/clubs/" + kept.ID + "/appraisals/" + a.ID
		}
	}
	server, err := api.New(api.Config{Service: svc, Logger: slog.New(slog.NewTextHandler(io.Discard, nil)), Now: time.Now, NewRequestID: rand.Text, OpenToLocal: true})
	if err != nil {
		t.Fatal(err)
	}
	served := httptest.NewServer(server.Handler())
	defer served.Close()
	if err := os.MkdirAll(picturesFolder, 0o755); err != nil {
		t.Fatal(err)
	}
	for _, p := range pictures(address) {
		browser.Width(p.width)
		browser.Open(served.URL + p.path)
		if err := os.WriteFile(filepath.Join(picturesFolder, p.file), p.take(browser), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// take pictures the part of the page in the window.
func (p picture) take(b *browsertest.Browser) []byte {
	at := browsertest.Eval[[]float64](b, `(() => {
		const from = document.querySelector(`+"`"+p.from+"`"+`).getBoundingClientRect(), to = document.querySelector(`+"`"+p.to+"`"+`).getBoundingClientRect();
		const main = document.querySelector("main").getBoundingClientRect();
		return [main.left - 16, from.top + scrollY - 16, main.width + 32, Math.max(from.bottom, to.bottom) - from.top + 32];
	})()`)
	beyond, quality := true, int64(70)
	taken := browsertest.Run(b, func(ctx context.Context, _ *chromedp.Target) (cdppage.CaptureScreenshotResult, error) {
		return chromedp.Call(ctx, cdppage.CaptureScreenshot, cdppage.CaptureScreenshotParams{
			Format: cdppage.CaptureScreenshotFormatWebp, Quality: &quality, CaptureBeyondViewport: &beyond,
			Clip: &cdppage.Viewport{X: at[0], Y: at[1], Width: at[2], Height: at[3], Scale: 1},
		})
	})
	return taken.Data
}
