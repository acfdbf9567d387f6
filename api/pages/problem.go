package pages

import (
	"mime"
	"net/http"
	"strconv"
	"strings"

	"swardcase/api/problem"
)

// WantsPage reports whether a failure is better shown as a page than sent as a
// problem document: the request accepts HTML, and at least as gladly as a problem
// document (RFC 9110, section 12.5.1).
func WantsPage(r *http.Request) bool {
	html := acceptance(r.Header.Values("Accept"), "text/html")
	return html > 0 && html >= acceptance(r.Header.Values("Accept"), problem.Media)
}

// acceptance is the quality, from 0 to 1, with which a media type is named in an
// Accept header: by itself, by its kind or, of all that is left, by */*. What only
// */* covers counts as not named, so that a program which takes anything gets the
// document.
func acceptance(headers []string, media string) float64 {
	kind, _, _ := strings.Cut(media, "/")
	quality, exactness := 0.0, 0
	for item := range strings.SplitSeq(strings.Join(headers, ","), ",") {
		name, parameters, err := mime.ParseMediaType(strings.TrimSpace(item))
		if err != nil {
			continue
		}
		exact := map[string]int{media: 2, kind + "/*": 1}[name]
		if exact <= exactness {
			continue
		}
		exactness, quality = exact, 1
		if q, err := strconv.ParseFloat(parameters["q"], 64); err == nil {
			quality = min(1, max(0, q))
		}
	}
	return quality
}

// ShowProblem shows a problem document as a page.
func (p *Pages) ShowProblem(v Visit, document problem.Document) error {
	return p.show(v, document.Status, "problem", Frame{Title: document.Title, Body: document})
}
