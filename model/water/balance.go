package water

import (
	"math"

	"swardcase/model/fault"
)

// Stores are the sizes of what holds water in and on a green.
type Stores struct {
	// GravityMM is the water held above field capacity when the profile is full;
	// it leaves by the discharge.
	GravityMM float64 `json:"gravity_store_mm"`
	// GreatestDeficitMM is how far below field capacity the profile can dry.
	GreatestDeficitMM float64 `json:"greatest_deficit_mm"`
	// DetentionMM can stand on a full profile before the rest runs off.
	DetentionMM float64 `json:"surface_detention_mm"`
	// StandingMM is the depth on the surface above which the green is wet.
	StandingMM float64 `json:"standing_water_mm"`
}

// Stores are those of an old green.
func (p Parameters) Stores() Stores {
	return Stores{GravityMM: p.GravityStoreMM, GreatestDeficitMM: p.GreatestDeficitMM, DetentionMM: p.SurfaceDetentionMM, StandingMM: p.StandingWaterMM}
}

// RebuiltStores are those of a green with a new root zone of some depth over
// gravel: as an old one's, but the gravity store is what the root zone gives up
// before the water in it hangs.
func (p Parameters) RebuiltStores(rootZoneMM float64) Stores {
	s := p.Stores()
	s.GravityMM = p.RootZone().GravityStoreMM(rootZoneMM)
	return s
}

func (s Stores) check() fault.List {
	return checkBounds(
		bound{"/gravity_store_mm", s.GravityMM, 1, 1000, " mm"},
		bound{"/greatest_deficit_mm", s.GreatestDeficitMM, 1, 500, " mm"},
		bound{"/surface_detention_mm", s.DetentionMM, 0, 500, " mm"},
		bound{"/standing_water_mm", s.StandingMM, 0, 50, " mm"},
	)
}

// Rates are what a green does with water.
type Rates struct {
	// SurfaceMMPerH is the rate of the wet surface with water of 20 °C.
	SurfaceMMPerH WetSurfaceMMPerH `json:"wet_surface_rate_mm_per_h"`
	// DischargeMMPerDay is what drains and subsoil take out of a profile that
	// holds water above field capacity.
	DischargeMMPerDay float64 `json:"discharge_mm_per_day"`
}

func (r Rates) check() fault.List {
	return checkBounds(
		bound{"/wet_surface_rate_mm_per_h", float64(r.SurfaceMMPerH), 0, mostConductivity, " mm/h"},
		bound{"/discharge_mm_per_day", r.DischargeMMPerDay, 0, mostConductivity * hoursInDay, " mm/day"},
	)
}

// Run is what one pass through the weather gives.
type Run struct {
	Lost  LostDays
	Water MonthlyWater
	// StoredMM is the water in and on the profile at the end of the record less
	// that at its start, per year.
	StoredMM float64
}

// Run carries a green through the weather. Its surface is soft above the given
// share of the gravity store, 0.3 to 0.98. The error is a fault.List.
func (w *Weather) Run(r Rates, softAboveShare float64, s Stores) (Run, error) {
	faults := append(r.check(), s.check()...)
	faults = append(faults, checkBounds(bound{"/soft_above_store_share", softAboveShare, leastSoftShare, mostSoftShare, ""})...)
	if err := faults.Err(); err != nil {
		return Run{}, err
	}
	counts := make([]Months, 1)
	total := w.run(r, []float64{softAboveShare}, s, counts)
	run := Run{Lost: LostDays{WaterloggedDays: w.perYear(counts[0]), FrostDays: w.FrostDays()}}
	for month := range monthDays {
		run.Water.RainMM[month] = total[month].rain
		run.Water.EvapotranspirationMM[month] = total[month].evapotranspiration
		run.Water.DischargeMM[month] = total[month].discharge
		run.Water.RunoffMM[month] = total[month].runoff
		run.StoredMM += total[month].stored
	}
	for _, m := range []*Months{&run.Water.RainMM, &run.Water.EvapotranspirationMM, &run.Water.DischargeMM, &run.Water.RunoffMM} {
		*m = w.perYear(*m)
	}
	run.StoredMM /= w.Years()
	return run, nil
}

// flows are sums in mm over a record.
type flows struct{ rain, evapotranspiration, discharge, runoff, stored float64 }

// dried is the water of a profile, in mm above field capacity, after
// evapotranspiration. Below field capacity the profile dries the more slowly the
// larger its deficit: by E (D + w)/D, D the greatest deficit. Source: the rule of
// the hybrid soil-moisture-deficit model for Irish grassland (Schulte, Diamond,
// Finkele, Holden and Brereton 2005, Irish Journal of Agricultural and Food
// Research 44:95-110; from memory), which D = 110 mm fits to the series that the
// Irish weather service publishes.
func dried(water, evapotranspiration, greatestDeficit float64) float64 {
	if water < 0 {
		evapotranspiration *= (greatestDeficit + water) / greatestDeficit
	}
	return water - evapotranspiration
}

// run is the balance. It counts, for each share of the store in softShares
// (rising), the days lost to water by month, and returns the flows by month.
//
// Two amounts are carried. total is all the water above field capacity, in the
// profile and on it; it is what the flows balance on. pond is what a slow surface
// has not yet let in, at most what can stand. The rest of total is in the
// profile, and what the profile cannot hold stands on it as well. Each step:
//
//	pond  ← rain in; the wet surface's rate and evapotranspiration out
//	total ← rain in; what store and surface cannot hold runs off;
//	        evapotranspiration out; discharge out, as far as the pond has let it in
//
// Surplus runs off by what the whole green holds and not by the pond, and water
// beyond what may stand on a slow surface is taken to get in: otherwise a slower
// surface would shed water and, in a profile that discharges badly, seem the better
// for it. So both amounts only ever fall when the surface's rate or the discharge
// rises, step by step, and the lost days with them. The green is judged by its
// hollow, where water that is shed higher up ends.
//
// Two things are left out. Discharge is one rate for as long as there is water to
// drain, not one that falls with the head; and a pond over a dry profile dries at
// the full rate while total, on which the balance is kept, dries at the profile's.
//
// A dry day on which nothing stands and nothing drains is one stride.
func (w *Weather) run(r Rates, softShares []float64, s Stores, counts []Months) [12]flows {
	var sums [12]flows
	g := green{
		surface: float64(r.SurfaceMMPerH), discharge: r.DischargeMMPerDay / hoursInDay,
		deficit: s.GreatestDeficitMM, most: s.GravityMM + s.DetentionMM, detention: s.DetentionMM, standing: s.StandingMM,
	}
	least := softShares[0] * s.GravityMM
	// The year before the record is taken to have been like its first.
	for i := range w.days[:leastYearDays] {
		g.day(&w.days[i], w.steps, &flows{})
	}
	for i := range w.days {
		d := &w.days[i]
		before, sum := g.total, &sums[d.month]
		wetness := g.day(d, w.steps, sum)
		sum.stored += g.total - before
		if wetness <= least || d.frozen {
			continue
		}
		for j, share := range softShares {
			if wetness <= share*s.GravityMM {
				break
			}
			counts[j][d.month]++
		}
	}
	return sums
}

// green is a green in the middle of a run: what does not change, and the two
// amounts that do. Rates are by the hour, amounts in mm.
type green struct {
	surface, discharge                 float64
	deficit, most, detention, standing float64
	pond, total                        float64
}

// dryNow is the wetness of a green that is not wet at all.
const dryNow = -1

// day takes the green through one day and returns how wet it was: the lesser of
// the two looks at it, each the water above field capacity in mm, or without
// bound when water stood.
func (g *green) day(d *day, steps []step, sum *flows) float64 {
	if d.dry && g.pond == 0 && g.total <= 0 {
		after := dried(g.total, min(d.evapotranspirationMM, g.deficit), g.deficit)
		sum.evapotranspiration += g.total - after
		g.total = after
		return dryNow
	}
	wetness := math.Inf(1)
	pond, total := g.pond, g.total
	rained, evapotranspired, discharged, ranOff := 0.0, 0.0, 0.0, 0.0
	for i := range steps[d.from:d.to] {
		s := &steps[int(d.from)+i]
		pond += s.rainMM - s.evapotranspirationMM - g.surface*s.conductingHours
		pond = max(0, min(pond, g.detention))

		total += s.rainMM
		rained += s.rainMM
		if surplus := total - g.most; surplus > 0 {
			ranOff += surplus
			total = g.most
		}
		after := dried(total, min(s.evapotranspirationMM, g.deficit), g.deficit)
		evapotranspired += total - after
		drained := max(0, min(g.discharge*s.hours, after-pond))
		discharged += drained
		total = after - drained
		if s.look != noLook && pond <= g.standing {
			wetness = min(wetness, total)
		}
	}
	g.pond, g.total = pond, total
	sum.rain += rained
	sum.evapotranspiration += evapotranspired
	sum.discharge += discharged
	sum.runoff += ranOff
	return wetness
}
