// Package confidence says how sure a comparison of options is. It is handed
// named inputs, each with three points, and a function that turns one draw of
// them into the outcomes of every option; it knows nothing of what the inputs
// and outcomes stand for.
//
//	Study.Run        many draws: bands, and how often each option is best
//	Study.Tornado    each input at its ends, the others likely
//	Study.BreakEven  the value of one input at which the answer turns
//
// Three choices hold throughout:
//
//   - Every (seed, input name, draw number) has a random number of its own, so
//     adding an input or an option, or sharing the work among more workers, shifts
//     no other number. All options see the same draw (common random numbers).
//   - The inputs are drawn independently. What moves together, such as the level
//     of prices, is one input that the evaluating function applies to many.
//   - An outcome that is NaN, infinite or beyond 1e15 either way is absent from
//     that draw: a payback that never comes, for one.
package confidence
