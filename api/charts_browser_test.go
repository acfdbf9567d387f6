package api_test

import (
	"testing"

	"swardcase/api/pages/browsertest"
)

// crowded lists, for every chart of a page, the texts that lie on another or out of
// the drawing, as the browser has set them. A hair is left round each, since the
// lines of letters may touch.
const crowded = `[...document.querySelectorAll("svg.chart")].flatMap(svg => {
	const found = [], frame = svg.viewBox.baseVal, texts = [...svg.querySelectorAll("text")].map(text => [text.textContent, text.getBBox()]);
	texts.forEach(([words, a], i) => {
		if (a.x < -1 || a.y < -1 || a.x + a.width > frame.width + 1 || a.y + a.height > frame.height + 1) found.push(words + " is clipped");
		texts.slice(0, i).forEach(([others, b]) => {
			if (a.x + 1 < b.x + b.width && b.x + 1 < a.x + a.width && a.y + 2.5 < b.y + b.height && b.y + 2.5 < a.y + a.height) found.push(words + " lies on " + others);
		});
	});
	return found;
})`

// TestChartsAreNotCrowded looks at the charts of an appraisal in a browser, whose
// type may be wider than the one that they are measured with.
func TestChartsAreNotCrowded(t *testing.T) {
	s := serve(t)
	stored := s.k.setUp()
	made := s.k.want(201, "POST", stored.at+"/appraisals", stored.appraisal(""))
	page := "/clubs/" + stored.club.ID + "/appraisals/" + made.ID
	for _, path := range []string{page, page + "/what-if?" + given.Encode()} {
		s.open(path)
		if n := browsertest.Eval[int](s.Browser, `document.querySelectorAll("svg.chart text").length`); n < 20 {
			t.Errorf("%s has %d texts in its charts", path, n)
		}
		for _, words := range browsertest.Eval[[]string](s.Browser, crowded) {
			t.Errorf("%s: %s", path, words)
		}
	}
}
