// Package aeration is the arithmetic of the operations that keep a green open:
// what a programme of hollow coring, deep tining, slit tining, scarifying, mole
// ploughing, top dressing and overseeding does to the surface in a year, what
// it consumes, how long it disturbs play, and what it leaves behind for a
// forecast.
//
// Build turns a Programme into a Calendar that adds up: every amount is worked
// out for one visit, and lines, months and totals are sums of visits.
//
// Three things are kept apart because mixing them up is the usual mistake:
//
//   - The inside diameter of a hollow tine sets what leaves the green; the
//     outside diameter sets the hole, the disturbance and the sand to fill it.
//   - Coring takes out sand and organic matter together, so it leaves the
//     percentage of organic matter where it was; only the sand that goes in
//     lowers it.
//   - Coring does nothing against annual meadow grass by itself: an open hole
//     is a seedbed for it.
//
// The package is pure. It imports only model/fault and model/assumption.
package aeration
