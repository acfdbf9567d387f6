package pages

import (
	"bytes"
	"context"
	"fmt"
	"html/template"
	"net/http"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/labstack/echo/v4"

	"swardcase/api/contract"
	"swardcase/api/pages/print"
	"swardcase/api/report"
	"swardcase/api/service"
	"swardcase/model"
)

// printed is what a document for the printer is made from: the page with its style
// within, since a printer opens no address.
type printed struct {
	Frame
	Language string
	Sheet    template.CSS
	// Head is the title as a string of the style: the running head.
	Head template.CSS
}

// PaperOfStored prints a stored appraisal as a PDF.
func (p *Pages) PaperOfStored(ctx context.Context, stored service.Appraisal) ([]byte, error) {
	kept, err := p.keptOf(ctx, source{stored: stored})
	if err != nil {
		return nil, err
	}
	return p.paper(ctx, kept)
}

// PaperOfAnswer prints the answer to a case as a PDF.
func (p *Pages) PaperOfAnswer(ctx context.Context, answer model.Appraisal, document contract.Document) ([]byte, error) {
	design, err := p.designOf(ctx, document)
	if err != nil {
		return nil, err
	}
	return p.paper(ctx, kept{answer: answer, design: design})
}

func (p *Pages) paper(ctx context.Context, k kept) ([]byte, error) {
	document, err := p.document(k)
	if err != nil {
		return nil, err
	}
	return p.printer.PDF(ctx, document)
}

// sendPaper sends an appraisal as a PDF, to be read.
func (p *Pages) sendPaper(v Visit, from source) error {
	file, err := p.PaperOfStored(v.Request().Context(), from.stored)
	if err != nil {
		return err
	}
	header := v.Response().Header()
	header.Set(echo.HeaderContentDisposition, `inline; filename="appraisal-`+from.stored.ID+`.pdf"`)
	header.Set(echo.HeaderCacheControl, "no-store")
	return send(v, http.StatusOK, print.MediaType, file)
}

// document writes a kept appraisal as one document for the printer.
func (p *Pages) document(k kept) ([]byte, error) {
	shown := paperOf(k, "")
	sheet := p.assets.served[p.assets.named[styleFile]].body
	filled := printed{
		Frame: Frame{Title: shown.Title, Body: shown}, Language: language,
		Sheet: template.CSS(sheet), //nolint:gosec // our own stylesheet
		Head:  cssString(shown.Title),
	}
	var out bytes.Buffer
	if err := p.templates["appraisal"].ExecuteTemplate(&out, "print", filled); err != nil {
		return nil, fmt.Errorf("write the paper of an appraisal: %w", err)
	}
	return out.Bytes(), nil
}

// mostHead is how much of a title stands in the running head.
const mostHead = 80

// cssString writes text as a string of a style sheet, with everything but letters
// and digits escaped (CSS Syntax Module Level 3, section 4.3.7).
func cssString(text string) template.CSS {
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range report.Shortened(text, mostHead) {
		if r < utf8.RuneSelf && (unicode.IsLetter(r) || unicode.IsDigit(r)) {
			b.WriteRune(r)
			continue
		}
		fmt.Fprintf(&b, `\%06x`, r)
	}
	b.WriteByte('"')
	return template.CSS(b.String()) //nolint:gosec // nothing of the text is left that could end the string
}
