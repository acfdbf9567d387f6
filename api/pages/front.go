package pages

import "net/http"

// showFront shows what the service is and where to go from here.
func (p *Pages) showFront(v Visit) error {
	return p.show(v, http.StatusOK, "front", Frame{Title: "The case for or against rebuilding a green"})
}
