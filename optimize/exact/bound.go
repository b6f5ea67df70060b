package exact

import (
	"math"

	"halfpot/optimize/internal/flat"
)

// The bound is Lagrangian. Relaxed, with a multiplier each, are:
//
//	need[n]    need n takes at least one option
//	link[u]    an option that needs several paints is served with each of them
//	base[q]    units of paint q in the boxes bought >= units needed
//
// Beside that, each paint keeps a knapsack of its own: what is left of it
// serves only so many of the needs that would do with it, unless one more box
// is bought, which serves them all. Where one more may not be enough, the paint
// decides by itself how many units it pays for and whom they serve.
//
// What remains falls apart by shop: each shop decides by itself whether it is
// used, which delivery band it reaches and which boxes it sells, so the bound
// sees a shop's charge whole. An option that needs one paint only is decided
// together with the boxes that hold it (the condensed dual of Erlenkotter,
// Oper. Res. 26, 1978), which keeps the multipliers few.
//
// Every multiplier is a whole multiple of one power of two (the quantum), as
// are all costs, and every sum stays far below 2^53 quanta: the floating-point
// sums are exact, so that a bound is a proof and not an estimate.

// weights turn the objective's levels into one number. Each level outweighs
// all that the later ones can come to.
type weights struct {
	money, point, box, shop float64
	spare                   float64 // of money under the cap; see tilt
	quantum                 float64
}

// multipliers belong to the model's indices, so that a child starts from its parent's.
type multipliers struct {
	need []float64 // per need
	link []float64 // per use
	base []float64 // per paint, for each unit
}

func newMultipliers(m *model) *multipliers {
	return &multipliers{
		need: make([]float64, len(m.members)),
		link: make([]float64, len(m.useUL)),
		base: make([]float64, len(m.have)),
	}
}

func (a *multipliers) copyFrom(b *multipliers) {
	copy(a.need, b.need)
	copy(a.link, b.link)
	copy(a.base, b.base)
}

// point is one set of multipliers in the relaxation's indices, with what the
// relaxed problem answers to them.
type point struct {
	need, link, base []float64
	value            float64

	oneGain    []float64 // multiplier of the need - cost, of each one-paint option
	anyGain    []float64
	oneServed  []float64 // share of it that what is at hand serves
	linkServed []float64
	worth      []float64 // what one more box of the paint is worth to the links
	units      []float64 // units beyond the sure ones that the paint pays for
	dear       []float64 // what a microlitre of the paint is worth to those it does not serve
	first      []float64 // reduced cost of an offer's first box
	more       []float64 // of each further box
	x          []float64 // boxes of each offer; a fraction where it just reaches a band
	shop       []shopChoice
}

type shopChoice struct {
	value float64 // of the shop used, at its best band
	nu    float64 // discount that the band's threshold gives on its goods
	band  int16
	used  bool
}

func (p *point) resize(r *relax) {
	p.need = flat.Resize(p.need, len(r.needs))
	p.link = flat.Resize(p.link, len(r.linkUse))
	p.base = flat.Resize(p.base, len(r.paints))
	p.oneGain = flat.Resize(p.oneGain, len(r.oneOpt))
	p.anyGain = flat.Resize(p.anyGain, len(r.anyOpt))
	p.oneServed = flat.Resize(p.oneServed, len(r.oneOpt))
	p.linkServed = flat.Resize(p.linkServed, len(r.linkUse))
	p.worth = flat.Resize(p.worth, len(r.paints))
	p.units = flat.Resize(p.units, len(r.paints))
	p.dear = flat.Resize(p.dear, len(r.paints))
	p.first = flat.Resize(p.first, len(r.offs))
	p.more = flat.Resize(p.more, len(r.offs))
	p.x = flat.Resize(p.x, len(r.offs))
	p.shop = flat.Resize(p.shop, len(r.m.bands))
}

// load takes the multipliers over from the model's indices. Rows that came
// into being by branching start at what the paint was worth before.
func (r *relax) load(p *point, mu *multipliers) {
	p.resize(r)
	for k, n := range r.needs {
		p.need[k] = mu.need[n]
	}
	for i, u := range r.linkUse {
		p.link[i] = mu.link[u]
	}
	for k, q := range r.paints {
		p.base[k] = 0
		if r.multi[k] {
			p.base[k] = mu.base[q]
		}
	}
	// Covering a need beyond the cost of an option that takes no box only loses.
	for i, k := range r.anyNeed {
		if r.anyStart[i] < r.anyStart[i+1] {
			continue
		}
		p.need[k] = min(p.need[k], r.anyCost[i])
	}
}

func (r *relax) store(p *point, mu *multipliers) {
	for k, n := range r.needs {
		mu.need[n] = p.need[k]
	}
	for i, u := range r.linkUse {
		mu.link[u] = p.link[i]
	}
	for k, q := range r.paints {
		mu.base[q] = p.base[k]
		if !r.multi[k] {
			mu.base[q] = p.worth[k]
		}
	}
}

// eval solves the relaxed problem at p's multipliers and sets p.value, a
// valid lower bound on every plan of the domain.
func (r *relax) eval(p *point) {
	r.evals++
	value := r.constant
	for _, c := range p.need {
		value += c
	}
	worth := p.worth
	clear(worth)
	for i, k := range r.oneNeed {
		g := p.need[k] - r.oneCost[i]
		p.oneGain[i] = g
		if g > 0 {
			worth[r.onePaint[i]] += g
		}
	}
	for i, k := range r.anyNeed {
		g := p.need[k] - r.anyCost[i]
		for l := r.anyStart[i]; l < r.anyStart[i+1]; l++ {
			g -= p.link[l]
			worth[r.linkAt[l]] += p.link[l]
		}
		p.anyGain[i] = g
		if g > 0 {
			value -= g
		}
	}
	value -= r.evalStock(p)
	for q := range worth {
		if r.multi[q] {
			value += r.boxes[q] * (p.base[q] + worth[q])
		}
	}
	for j := range r.offs {
		first, more := r.offCost[j], r.offCost[j]
		for k := r.conStart[j]; k < r.conStart[j+1]; k++ {
			q := r.conPaint[k]
			v := worth[q]
			if r.multi[q] {
				v = (v + p.base[q]) * r.conUnits[k]
				more -= v
			}
			first -= v
		}
		p.first[j], p.more[j] = first, more
	}
	p.value = value + r.evalShops(p)
}

// evalShops decides for each shop by itself, and returns the sum.
func (r *relax) evalShops(p *point) float64 {
	m, d := r.m, r.d
	sum, used := 0.0, 0
	for h := range m.bands {
		p.shop[h] = shopChoice{}
		if d.unused(h) {
			continue
		}
		r.evalShop(p, h)
		s := &p.shop[h]
		if s.value < 0 || !d.closed[h] {
			s.used = true
			sum += s.value
			used++
		}
	}
	for used > m.maxShops {
		// Too many shops would be used: leave out the ones that gain least.
		least := -1
		for h := range p.shop {
			if p.shop[h].used && d.closed[h] && (least < 0 || p.shop[h].value > p.shop[least].value) {
				least = h
			}
		}
		if least < 0 {
			break
		}
		p.shop[least].used = false
		sum -= p.shop[least].value
		used--
	}
	for h := range p.shop {
		if !p.shop[h].used {
			for j := r.shopStart[h]; j < r.shopStart[h+1]; j++ {
				p.x[j] = 0
			}
		}
	}
	return sum
}

const nuSteps = 1024 // the discounts tried are multiples of 1/nuSteps

// part is what an offer adds at reduced costs first and more, and how many boxes that takes.
func part(first, more float64, lo, hi int32) (float64, int32) {
	if more < 0 {
		if lo == 0 && first+float64(hi-1)*more >= 0 {
			return 0, 0
		}
		return first + float64(hi-1)*more, hi
	}
	if lo > 0 {
		return first + float64(lo-1)*more, lo
	}
	if first < 0 {
		return first, 1
	}
	return 0, 0
}

func (r *relax) evalShop(p *point, h int) {
	bands := r.m.bands[h]
	a, b := r.shopStart[h], r.shopStart[h+1]
	sum, goods := 0.0, 0.0
	for j := a; j < b; j++ {
		v, x := part(p.first[j], p.more[j], r.offLo[j], r.offHi[j])
		p.x[j] = float64(x)
		if x > 0 {
			sum += v
			goods += float64(x) * r.offPrice[j]
		}
	}
	s := &p.shop[h]
	lo, hi := int(r.d.bandLo[h]), int(r.d.bandHi[h])
	s.value = math.Inf(1)
	made := false
	for k := lo; k <= hi; k++ {
		fee := float64(bands[k].Fee)*r.w.money + r.w.shop
		from := r.from[h][k]
		v, nu := fee+sum, 0.0
		if goods < from {
			if !made {
				r.curve.build(r, p, h)
				made = true
			}
			c, discount := r.curve.cost(from)
			v, nu = fee+c, discount
		}
		if v < s.value {
			s.value, s.band, s.nu = v, int16(k), nu
		}
	}
	if s.nu > 0 {
		r.takeAt(p, h)
	}
}

// takeAt sets the boxes of a shop whose band's threshold gives a discount:
// what the discount just makes worth while is taken in part, so that the goods
// meet the threshold exactly. Only then do the answer's violations point the
// way up (they are a subgradient of the best discount, not of this one).
func (r *relax) takeAt(p *point, h int) {
	a, b := r.shopStart[h], r.shopStart[h+1]
	s := &p.shop[h]
	from := r.from[h][s.band]
	sure, edge := 0.0, 0.0
	before := s.nu - 1.0/nuSteps
	for j := a; j < b; j++ {
		cut := before * r.offPrice[j]
		_, x0 := part(p.first[j]-cut, p.more[j]-cut, r.offLo[j], r.offHi[j])
		cut = s.nu * r.offPrice[j]
		_, x1 := part(p.first[j]-cut, p.more[j]-cut, r.offLo[j], r.offHi[j])
		p.x[j] = float64(x1)
		sure += float64(x0) * r.offPrice[j]
		edge += float64(x1-x0) * r.offPrice[j]
	}
	if edge <= 0 || sure+edge <= from {
		return
	}
	share := (from - sure) / edge
	for j := a; j < b; j++ {
		cut := before * r.offPrice[j]
		_, x0 := part(p.first[j]-cut, p.more[j]-cut, r.offLo[j], r.offHi[j])
		p.x[j] = float64(x0) + share*(p.x[j]-float64(x0))
	}
}
