// Package condition turns what was measured on a green into a condition index
// from 0 to 100, a grade, and a diagnosis: what is at fault, what shows it, what
// upkeep can mend and what it cannot, and which test would settle what the
// readings leave open.
//
// # The index
//
// Each of four measures is valued from 0 to 100 on a piecewise-linear scale and
// the values are averaged with weights. The scales are fixed points, not shares
// of the greens compared, so judging one more green never changes another's
// index. (Scores made to sum to one over whatever is compared do not have this
// property: Belton and Gear 1983 reverse a ranking by adding a copy.)
//
// The four measures are treated as independent. Each measure's interval goes
// through its scale, which is monotone, and the one-sided deviations are added in
// quadrature. A measure without an interval adds nothing and is listed, so a
// narrow index interval made of bare values is not mistaken for certainty.
//
// # What the infiltration scale reads
//
// The built-in scale is entered with the ring rate at 20 °C on a wet surface, and
// not with the (much lower) rate of a trodden winter surface, because ring rates
// are what the published field figures are:
//
//   - Baker, Binns and Cook 1997 found 3 to 160 mm/h on 58 sand-dominated greens
//     in use, recently aerated ones left out.
//   - Baker and Richards 1993 found 52 mm/h for pure sand after three years of
//     wear and 4 mm/h for mixes with about 13 % of silt and clay.
//
// Read as ring rates, 4 mm/h scores 19 of 100, 52 mm/h scores 90 and 160 mm/h
// scores 100: the scale parts a worn soil-rich green from a worn sand one, which
// is what it is for. Were the scale entered with the wet-surface rate, taken as
// 0.15 of the ring rate, the best green of that survey would read 24 mm/h and
// score 68, and no green in use would have a sound surface. A club that prefers
// the other reading sets infiltration_reads to wet_surface_rate; the ring rate is
// then multiplied by the assumption wet_surface_to_ring_ratio before the scale.
// (How the two studies measured is not stated in their abstracts; that they are
// ring rates is taken from the practice of the time.)
//
// # The diagnosis
//
// Every possible cause is reported, in a fixed order, as present, absent or
// cannot_judge, with each piece of evidence and whether it speaks for or against.
// Evidence seen on the spot (rings below the surface, pits, the outfall after
// rain) outweighs what is inferred from a soil's texture; evidence that conflicts
// gives cannot_judge and the test that would settle it. The worst zone of the
// green rules where it differs clearly from the rest, since it is the wet corner
// that takes a green out of play.
package condition
