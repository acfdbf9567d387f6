package outline_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"swardcase/model/outline"
)

// drainDistance measures from a point to the nearest run that drains the
// green, from the reported points alone.
func drainDistance(layout *outline.Layout, x, y float64) float64 {
	best := math.Inf(1)
	for _, run := range layout.Runs {
		if run.Kind == outline.Outfall {
			continue
		}
		for i := 1; i < len(run.Points); i++ {
			a, b := run.Points[i-1], run.Points[i]
			best = min(best, toSegment(x, y, a.XM, a.YM, b.XM, b.YM))
		}
	}
	return best
}

func toSegment(x, y, ax, ay, bx, by float64) float64 {
	dx, dy := bx-ax, by-ay
	t := 0.0
	if l := dx*dx + dy*dy; l > 0 {
		t = min(1, max(0, ((x-ax)*dx+(y-ay)*dy)/l))
	}
	return math.Hypot(x-ax-t*dx, y-ay-t*dy)
}

// inRing is an even-odd test on the outline as given.
func inRing(ring [][]float64, x, y float64) bool {
	in := false
	for i := 1; i < len(ring); i++ {
		a, b := ring[i-1], ring[i]
		if (a[1] > y) != (b[1] > y) && x < a[0]+(b[0]-a[0])*(y-a[1])/(b[1]-a[1]) {
			in = !in
		}
	}
	return in
}

// Edge runs are added wherever the ground is further from a drain than half the
// spacing and the setback together; so in no finished layout is it. The ground
// is sampled here by itself every 0.25 m, apart from the layout's own search.
func TestNoGroundIsBeyondHalfTheSpacingAndTheSetback(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		random := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		ring := randomOutline(random)
		options := randomOptions(random)
		shape, faults := outline.Read(outline.Outline{Metres: ring})
		if len(faults) > 0 {
			t.Skip(faults.Error())
		}
		for _, kind := range []string{outline.Herringbone, outline.PerimeterMain} {
			layout, faults := shape.Lay(kind, options, nil, parameters())
			if err := faults.Err(); err != nil {
				t.Fatal(err)
			}
			limit := *options.SpacingM / 2
			if kind == outline.Herringbone {
				limit += *options.SetbackM
			}
			furthest := 0.0
			for x := -40.0; x < 40; x += 0.25 {
				for y := -40.0; y < 40; y += 0.25 {
					if inRing(ring, x, y) {
						furthest = max(furthest, drainDistance(layout, x, y))
					}
				}
			}
			const rounding = 0.02 // the search is true to 18 mm beyond the limit
			if furthest > limit+rounding {
				t.Fatalf("%s: ground %.3f m from a drain, limit %.3f m (reported %.3f m)", kind, furthest, limit, layout.GreatestDistanceM)
			}
			if furthest > layout.GreatestDistanceM+0.15 {
				t.Fatalf("%s: found ground %.3f m away, but %.3f m is reported", kind, furthest, layout.GreatestDistanceM)
			}
		}
	})
}
