// Package outline turns the outline of a green into what a rebuild needs of
// it: area, perimeter, fall, the part where holes can be cut, and drain layouts
// that can be priced and set out.
//
// An outline comes in metres or as GeoJSON. Read checks it and gives a Shape,
// which is known to be simple: no two of its sides cross or come within a
// millimetre of one another. Everything after that works on Shapes in local
// metres, and reports points in the frame in which the outline was given.
//
//	Outline ── Read ──> Shape ── FitPlane ──> Plane ── Lay ──> Layout ── DrawPlan, RunsGeoJSON
//
// Design does all of it for both layouts and says which costs less.
package outline
