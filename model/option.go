package model

import (
	"fmt"
	"strings"
)

// Route is one of the four ways on: the yardstick and the three routes that
// are costed against it.
type Route string

// The routes.
const (
	PresentProgramme    Route = "present_programme"
	IntensifiedAeration Route = "intensified_aeration"
	PartialRenovation   Route = "partial_renovation"
	LayeredRebuild      Route = "layered_rebuild"
)

// Surface is how a renovated or rebuilt green gets its grass.
type Surface string

// The surfaces. Routes without new turf have the empty surface.
const (
	NoSurface    Surface = ""
	Seed         Surface = "seed"
	SupplierTurf Surface = "supplier_turf"
	NurseryTurf  Surface = "nursery_turf"
	ExistingTurf Surface = "existing_turf"
)

// Option is a route with its surface, written `route/surface`, as in
// `layered_rebuild/nursery_turf`; a route without a surface stands alone.
type Option string

// Options lists the yardstick and the seven options, in the order in which
// every table shows them.
func Options() []Option {
	return []Option{
		"present_programme",
		"intensified_aeration",
		"partial_renovation/existing_turf",
		"partial_renovation/supplier_turf",
		"layered_rebuild/seed",
		"layered_rebuild/supplier_turf",
		"layered_rebuild/nursery_turf",
		"layered_rebuild/existing_turf",
	}
}

// Yardstick is the option that all others are measured against.
const Yardstick = Option(PresentProgramme)

// Route returns the part before the slash.
func (o Option) Route() Route {
	route, _, _ := strings.Cut(string(o), "/")
	return Route(route)
}

// Surface returns the part after the slash.
func (o Option) Surface() Surface {
	_, surface, _ := strings.Cut(string(o), "/")
	return Surface(surface)
}

// HasWorks reports whether the option takes the green out of play for works.
func (o Option) HasWorks() bool {
	return o.Route() == PartialRenovation || o.Route() == LayeredRebuild
}

// Words names the option in a sentence.
func (o Option) Words() string {
	words := map[Route]string{
		PresentProgramme:    "the present programme",
		IntensifiedAeration: "an intensified aeration programme",
		PartialRenovation:   "a partial renovation",
		LayeredRebuild:      "a full layered rebuild",
	}[o.Route()]
	switch o.Surface() {
	case Seed:
		return words + ", seeded"
	case SupplierTurf:
		return words + " with supplier turf"
	case NurseryTurf:
		return words + " with the club's nursery turf"
	case ExistingTurf:
		return words + " with the existing turf relaid"
	}
	return words
}

// infeasible records why the option cannot be done.
func (o *OptionAppraisal) infeasible(code, text string, values ...any) {
	o.Infeasible = append(o.Infeasible, Reason{code, fmt.Sprintf(text, values...)})
}
