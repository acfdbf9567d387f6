package pages

import (
	"bytes"
	"context"
	"fmt"
	"html/template"
	"strings"
	"unicode"
	"unicode/utf8"

	"swardcase/api/contract"
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

// PrintStored writes a stored appraisal as one document for the printer.
func (p *Pages) PrintStored(ctx context.Context, stored service.Appraisal) ([]byte, error) {
	kept, err := p.keptOf(ctx, source{stored: stored})
	if err != nil {
		return nil, err
	}
	return p.printKept(kept)
}

// PrintAnswer writes the answer to a case as one document for the printer.
func (p *Pages) PrintAnswer(ctx context.Context, answer model.Appraisal, document contract.Document) ([]byte, error) {
	design, err := p.designOf(ctx, document)
	if err != nil {
		return nil, err
	}
	return p.printKept(kept{answer: answer, design: design})
}

func (p *Pages) printKept(k kept) ([]byte, error) {
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
