package sward

// The top of a green is followed in four layers of equal depth, counted from
// the surface as it stands: 0 to 20, 20 to 40, 40 to 60 and 60 to 80 mm, the
// depths at which surveys of greens sample.
const (
	layerCount   = 4
	layerDepthMM = 20.0
)

// stepsPerYear cuts a year into quarters: growth, cores and sand alternate
// through a season, and one long step would make their order matter.
const stepsPerYear = 4

// Layer is the dry matter of one layer under a square metre.
type Layer struct {
	OrganicKGPerM2 float64
	MineralKGPerM2 float64
}

// OrganicMatterPct is the organic matter by weight, as loss on ignition gives
// it; 0 for an empty layer.
func (l Layer) OrganicMatterPct() float64 {
	if total := l.OrganicKGPerM2 + l.MineralKGPerM2; total > 0 {
		return 100 * l.OrganicKGPerM2 / total
	}
	return 0
}

func (l Layer) plus(m Layer) Layer {
	return Layer{l.OrganicKGPerM2 + m.OrganicKGPerM2, l.MineralKGPerM2 + m.MineralKGPerM2}
}

// times takes a share of a layer, of the layer's own make-up.
func (l Layer) times(share float64) Layer {
	return Layer{l.OrganicKGPerM2 * share, l.MineralKGPerM2 * share}
}

// thicknessMM is the depth that a layer fills: organic and mineral matter each
// keep their own bulk density,
//
//	thickness = organic ÷ ρₒ + mineral ÷ ρₘ
//
// (kg/m² over t/m³ is mm). It is the same as the bulk density of a mixture
// 1 ÷ (f/ρₒ + (1 − f)/ρₘ) at organic share f: Adams 1973, Journal of Soil
// Science 24:10 to 17 (from memory), and as used for greens by Woods, December
// 2021, organic matter by mass and by volume.
func (l Layer) thicknessMM(p *TurfParameters) float64 {
	return l.OrganicKGPerM2/p.OrganicBulkDensityTPerM3 + l.MineralKGPerM2/p.SandBulkDensityTPerM3
}

// fullLayer is a layer of 20 mm with the given organic matter by weight.
func fullLayer(organicMatterPct float64, p *TurfParameters) Layer {
	unit := Layer{organicMatterPct / 100, 1 - organicMatterPct/100}
	return unit.times(layerDepthMM / unit.thicknessMM(p))
}

// Profile is the top 80 mm of a green, surface first.
type Profile [layerCount]Layer

// OrganicMatterByDepthPct is the organic matter of each layer by weight.
func (p Profile) OrganicMatterByDepthPct() [layerCount]float64 {
	var pct [layerCount]float64
	for i, l := range p {
		pct[i] = l.OrganicMatterPct()
	}
	return pct
}

// OrganicMatterToDepthPct is the organic matter by weight of a sample from the
// surface to a depth of at most 80 mm.
func (p Profile) OrganicMatterToDepthPct(depthMM float64) float64 {
	var sample Layer
	for i, l := range p {
		sample = sample.plus(l.times(overlapMM(i, depthMM) / layerDepthMM))
	}
	return sample.OrganicMatterPct()
}

// Total is the dry matter of the whole profile.
func (p Profile) Total() Layer {
	var sum Layer
	for _, l := range p {
		sum = sum.plus(l)
	}
	return sum
}

// overlapMM is how much of a layer lies above a depth.
func overlapMM(layer int, depthMM float64) float64 {
	return min(layerDepthMM, max(0, depthMM-float64(layer)*layerDepthMM))
}

// Balance is where the year's matter came from and went, per square metre. For
// organic and for mineral matter alike
//
//	profile after = profile before + Made + Sand − Decayed − Removed − Buried.
type Balance struct {
	// OrganicMadeKGPerM2 is what growth left, OrganicDecayedKGPerM2 what rotted.
	OrganicMadeKGPerM2    float64
	OrganicDecayedKGPerM2 float64
	// SandKGPerM2 is the sand that came into the profile; holes deeper than 80 mm
	// take the rest.
	SandKGPerM2 float64
	// Removed went off the green in cores and scarifyings; Buried was left below
	// 80 mm as the surface rose.
	Removed Layer
	Buried  Layer
}

// Removal is what one kind of operation takes out of a green in a year: the
// area lifted (for cores, by the inside diameter) and the depth it comes from.
type Removal struct {
	AreaPct float64
	DepthMM float64
}

// shareOf is the part of a layer that the removal takes in a year.
func (r Removal) shareOf(layer int) float64 {
	return r.AreaPct / 100 * overlapMM(layer, r.DepthMM) / layerDepthMM
}

// NextYear is the profile a year on, and the balance of what came and went.
//
// In each quarter growth leaves organic matter, most of it at the surface, and
// a share of all that is there decays. Cores and scarifyings take organic and
// mineral matter alike, so that they change no percentage: what they take only
// makes the sand that follows count for more. Sand fills the holes and the rest
// lies on top. A layer that is over-full pushes its oldest matter into the one
// below; one that has lost more than it got stays looser and is the first to
// take up what comes from above. Nothing rises from below.
//
// The year and the parameters are taken as checked; see CheckYear.
func (p Profile) NextYear(y Year, turf TurfParameters) (Profile, Balance) {
	return p.nextYear(&y, &turf)
}

func (p Profile) nextYear(y *Year, turf *TurfParameters) (Profile, Balance) {
	d := doseOf(y, turf)
	b := d.balance()
	for range stepsPerYear {
		p.quarter(&d, &b)
	}
	return p, b
}

// dose is a quarter's share of what a year brings to each layer and takes from
// it.
type dose struct {
	madeKGPerM2, filledKGPerM2, decayShare, lostShare [layerCount]float64
	dressing                                          Layer
	mmPerOrganic, mmPerMineral                        float64 // depth that 1 kg/m² fills
}

func doseOf(y *Year, turf *TurfParameters) dose {
	quarter := 1.0 / stepsPerYear
	d := dose{
		mmPerOrganic: 1 / turf.OrganicBulkDensityTPerM3,
		mmPerMineral: 1 / turf.SandBulkDensityTPerM3,
	}
	perMM := turf.SandBulkDensityTPerM3 * quarter
	d.dressing.MineralKGPerM2 = y.SandDressMM * perMM
	holes := y.Cored.DepthMM > 0
	if !holes {
		d.dressing.MineralKGPerM2 += y.SandFillMM * perMM
	}
	made, left := d.organicMadeKGPerM2(y.OrganicMatterMultiplier, turf)*quarter, 1.0
	for i := range layerCount {
		placed := left * turf.MadeInTopLayerShare
		if i == layerCount-1 {
			placed = left
		}
		left -= placed
		d.madeKGPerM2[i] = made * placed
		d.decayShare[i] = min(1, turf.decayPerYear(i)*quarter)
		d.lostShare[i] = min(1, (y.Cored.shareOf(i)+y.Scarified.shareOf(i))*quarter)
		if holes {
			d.filledKGPerM2[i] = y.SandFillMM * perMM * (overlapMM(i, y.Cored.DepthMM) / y.Cored.DepthMM)
		}
	}
	return d
}

// balance holds what comes in over the year; the quarters add what goes.
func (d *dose) balance() Balance {
	b := Balance{SandKGPerM2: d.dressing.MineralKGPerM2 * stepsPerYear}
	for i := range layerCount {
		b.OrganicMadeKGPerM2 += d.madeKGPerM2[i] * stepsPerYear
		b.SandKGPerM2 += d.filledKGPerM2[i] * stepsPerYear
	}
	return b
}

func (d *dose) thicknessMM(l Layer) float64 {
	return l.OrganicKGPerM2*d.mmPerOrganic + l.MineralKGPerM2*d.mmPerMineral
}

// organicMadeKGPerM2 is what a year's growth leaves before any of it decays.
// The net figure holds for a settled green, with the decay of that green's own
// organic matter already taken off; it is put back here. A young green, with
// less to decay, therefore gains faster.
func (d *dose) organicMadeKGPerM2(multiplier float64, turf *TurfParameters) float64 {
	decays := 0.0
	for i, pct := range turf.SettledOrganicMatterPct {
		share := pct / 100
		settled := share * layerDepthMM / (share*d.mmPerOrganic + (1-share)*d.mmPerMineral)
		decays += settled * turf.decayPerYear(i)
	}
	return multiplier * (turf.NetOrganicMatterKGPerM2PerYear + decays)
}

// decayPerYear is the share of a layer's organic matter that decays in a year;
// what lies below 40 mm is older, and has less air.
func (t *TurfParameters) decayPerYear(layer int) float64 {
	if float64(layer)*layerDepthMM >= 40 {
		return t.DecayPerYear * t.DecayBelow40MMRatio
	}
	return t.DecayPerYear
}

// quarter moves the profile on by one step, from the surface down; what leaves
// one layer below falls on the next. Half of the growth comes before the sand and
// half after it, so that the profile is neither caught freshly dressed nor just
// before: a layer may stand over-full by that half until the next quarter.
func (p *Profile) quarter(d *dose, b *Balance) {
	falling := d.dressing
	for i, l := range p {
		decayed := l.OrganicKGPerM2 * d.decayShare[i]
		grown := d.madeKGPerM2[i] / 2
		l.OrganicKGPerM2 += grown - decayed
		removed := l.times(d.lostShare[i])
		l.OrganicKGPerM2 -= removed.OrganicKGPerM2
		l.MineralKGPerM2 += d.filledKGPerM2[i] - removed.MineralKGPerM2
		p[i], falling = d.settle(l, falling)
		p[i].OrganicKGPerM2 += grown
		b.OrganicDecayedKGPerM2 += decayed
		b.Removed = b.Removed.plus(removed)
	}
	b.Buried = b.Buried.plus(falling)
}

// settle cuts a layer back to its depth, lays what falls from above on top, and
// returns the layer and what it gives up below: what it was over-full by, then
// the oldest of its own, and, when none of that is left, what fell.
func (d *dose) settle(l, falling Layer) (Layer, Layer) {
	thickness, incoming := d.thicknessMM(l), d.thicknessMM(falling)
	over := thickness + incoming - layerDepthMM
	if !(over > 0) {
		return l.plus(falling), Layer{}
	}
	if over <= thickness {
		out := l.times(over / thickness)
		return Layer{
			l.OrganicKGPerM2 - out.OrganicKGPerM2 + falling.OrganicKGPerM2,
			l.MineralKGPerM2 - out.MineralKGPerM2 + falling.MineralKGPerM2,
		}, out
	}
	stays := layerDepthMM / incoming // incoming alone fills the layer
	return falling.times(stays), l.plus(falling.times(1 - stays))
}
