package exact

import (
	"math"

	"halfpot/optimize/internal/whole"
)

// phase is one search with one set of weights: it proves the objective's
// levels up to and including levels.
type phase struct {
	w      weights
	grain  float64 // every plan's weight is a whole multiple of it
	levels int
	rest   float64 // the most that the levels after money can weigh
	most   float64 // the most that the money of a sensible plan weighs
	tilt   float64 // see tilted
	cap    float64 // the budget, where tilted
	exact  bool    // sums stay exact, so that the search is a proof
}

// moneyBound turns a bound on the weight into one on the money.
func (ph phase) moneyBound(lower float64) int64 {
	if math.IsInf(lower, 0) || math.IsNaN(lower) {
		return math.MinInt64
	}
	if !ph.exact {
		lower -= ph.grain + (math.Abs(lower)+ph.most)*roundingShare
	}
	return int64(math.Ceil((lower - ph.tilt*ph.cap - ph.rest) / (ph.w.money - ph.tilt)))
}

// roundingShare is far more than rounding can put into a sum of the millions
// of terms that a bound has, as a share of the amounts summed.
const roundingShare = 1.0 / (1 << 24)

// exactLimit is the largest weight at which sums of whole multiples of the
// quantum stay exact with room to spare.
const exactLimit = 1 << 43

// coarseGrains is the number of grains of money up to which a plan's cost is proven
// alone at first: rounding the bound up to a whole grain then saves much.
const coarseGrains = 1000

// next is the phase that goes on from the levels proven so far: it takes as
// many of the later levels as can be weighed exactly, each outweighing those
// after it. only, where set, asks for no more than that many levels.
//
// A level that is proven needs to outweigh only what the incumbent has of the
// later ones, since no plan is better in it; those not yet proven need to
// outweigh all that a plan can have.
func (m *model) next(proven int, best *solution, only int) (phase, bool) {
	last := 4
	if only > 0 {
		last = only
	}
	for levels := last; levels > proven; levels-- {
		if ph := m.weighing(proven, best, levels); ph.exact {
			return ph, true
		}
	}
	return m.weighing(0, nil, 1), proven == 0
}

func (m *model) weighing(proven int, best *solution, levels int) phase {
	points, boxes, shops := m.largest()
	most := [4]float64{0, points, boxes, shops}
	if proven > 0 {
		c := best.cost
		known := [4]float64{0, float64(c.points), float64(c.boxes), float64(c.shops)}
		for l := range known {
			known[l] = min(known[l], most[l])
			if l < proven {
				most[l] = known[l]
			}
		}
		return m.weighed(most, known, proven, levels)
	}
	return m.weighed(most, most, 0, levels)
}

// weighed weighs levels 1 to levels; a level that is not proven outweighs most
// of the later ones, one that is proven known of them.
func (m *model) weighed(most, known [4]float64, proven, levels int) phase {
	var w [4]float64
	rest, later := 0.0, 0.0 // what the later levels weigh at most, and in the incumbent
	for l := levels - 1; l >= 0; l-- {
		if l >= proven {
			w[l] = rest + 1
		} else {
			w[l] = later + 1
		}
		if l == 0 {
			break
		}
		rest += w[l] * most[l]
		later += w[l] * known[l]
	}
	// Discounts are multiples of 1/nuSteps of a weighted price.
	w[0] = math.Ceil(w[0]/nuSteps) * nuSteps
	ph := phase{grain: 1, levels: levels, rest: rest, most: w[0] * m.mostMoney()}
	ph.exact = ph.most < exactLimit
	ph.w = weights{money: w[0], point: w[1], box: w[2], shop: w[3], quantum: quantumFor(ph.most)}
	if levels == 1 {
		unit, implied := m.moneyGrain()
		ph.grain = w[0] * float64(unit)
		if implied {
			ph.levels = 4
		}
	}
	return ph
}

// tilted makes goods and delivery weigh share more than the objective says,
// and takes for each plan what it leaves of the budget as much on top. A plan's
// weight is then what it was, up to a constant; the relaxed problem knows
// nothing of the budget and sees goods and delivery dearer, but not the part
// of the budget left over, which is never less than nothing: its bound is one
// still, and lies higher where the budget binds. (A budget row relaxed, with
// share as its multiplier.)
func (m *model) tilted(ph phase, share float64) (phase, bool) {
	tilt := math.Ceil(ph.w.money*share/nuSteps) * nuSteps
	most := ph.most + tilt*(m.mostMoney()+float64(m.cap))
	if most >= exactLimit {
		return ph, false
	}
	ph.tilt, ph.cap, ph.most = tilt, float64(m.cap), most
	ph.w.money += tilt
	ph.w.point -= float64(m.cp) * tilt // compromise weighs what it did
	ph.w.spare = tilt
	ph.w.quantum = quantumFor(most)
	return ph, true
}

// bestTilt is the phase with the tilt that lifts the bound at the root most.
func (m *model) bestTilt(ph phase) phase {
	if m.cap == noCap || m.cp == 0 || !ph.exact {
		return ph // without a price on compromise the cheapest plan is within the cap
	}
	best, bound := ph, m.rootBound(ph, m.quickGoal(ph))
	better := func(share float64) bool {
		t, ok := m.tilted(ph, share)
		if !ok {
			return false
		}
		b := m.rootBound(t, m.quickGoal(t)) - t.tilt*t.cap
		if b <= bound {
			return false
		}
		best, bound = t, b
		return true
	}
	share := 0.25 // the bound is concave in it: where little is too much, nothing is best
	for share < 64 && better(share) {
		share *= 2
	}
	if best.tilt > 0 {
		better(0.75 * share)
		better(0.35 * share)
	}
	return best
}

// rootBound is a quick bound on the weight of all plans; goal is about what
// the best one weighs.
func (m *model) rootBound(ph phase, goal float64) float64 {
	k := newWorker(m, ph.w)
	d := newDomain(m)
	if !m.propagate(d, k.facts) {
		return math.Inf(1)
	}
	k.rootStart(&search{m: m, w: ph.w, grain: ph.grain, upper: math.Inf(1)}, d)
	k.relax.build(m, ph.w, d, k.facts)
	k.volume.run(&k.relax, k.mu, 200, goal, math.Inf(1))
	return k.volume.best.value
}

// quickGoal is the weight of a plan that comes easily, whether or not it is
// within the cap.
func (m *model) quickGoal(ph phase) float64 {
	free := *m
	free.cap = noCap
	if plan := free.quickPlan(); plan != nil {
		return (&search{w: ph.w}).weight(plan.cost)
	}
	return ph.most
}

// moneyGrain is the greatest amount that divides every plan's cost. implied
// says that the cost also settles the later levels: all boxes have one price,
// nothing else costs anything, and there is one shop to buy at.
func (m *model) moneyGrain() (grain int64, implied bool) {
	alike := len(m.bands) == 1 || m.maxShops == 1
	price := int64(-1)
	join := func(amount int64) {
		if amount != 0 { // the gcd of nothing and 0 is nothing yet
			grain = whole.GCD(grain, amount)
		}
	}
	see := func(p int64) {
		join(p)
		if price >= 0 && price != p {
			alike = false
		}
		price = p
	}
	for _, p := range m.price {
		see(p)
	}
	for h := range m.bands {
		for _, f := range m.fillers[h] {
			see(f.price)
		}
		for _, b := range m.bands[h] {
			join(b.Fee)
			alike = alike && b.Fee == 0
		}
	}
	for _, pts := range m.optPts {
		if pts > 0 {
			join(m.cp)
			alike = false
		}
	}
	return max(grain, 1), alike && price > 0
}

// quantumFor is the power of two that leaves room for sums 2^9 times as large
// as the weight of a plan.
func quantumFor(weight float64) float64 {
	e := math.Ceil(math.Log2(weight+1)) + 9 - 52
	return math.Exp2(math.Max(-20, e))
}

// largest bounds what a best plan can have of points, boxes and shops.
func (m *model) largest() (points, boxes, shops float64) {
	for n := range m.members {
		most := int64(0)
		for o := m.optStart[n]; o < m.optStart[n+1]; o++ {
			most = max(most, m.optPts[o])
		}
		points += float64(most)
	}
	for q := range m.have {
		least := int64(math.MaxInt64)
		for _, s := range m.sources[q] {
			least = min(least, s.ul)
		}
		if len(m.sources[q]) > 0 && m.most[q] > m.have[q] {
			boxes += float64(whole.CeilDiv(m.most[q]-m.have[q], least))
		}
	}
	for h := range m.bands {
		least := int64(math.MaxInt64)
		for _, f := range m.fillers[h] {
			if f.price > 0 {
				least = min(least, f.price)
			}
		}
		if m.filler[h] {
			boxes += 1 + float64(m.bands[h][len(m.bands[h])-1].From)/float64(least)
		}
	}
	return points, math.Ceil(boxes), float64(min(m.maxShops, len(m.bands)))
}

// mostMoney bounds what a sensible plan costs: every paint from its dearest
// offer, every shop's charge, every option's points.
func (m *model) mostMoney() float64 {
	sum := 1.0
	for q := range m.have {
		most := 0.0
		for _, s := range m.sources[q] {
			most = max(most, float64(m.price[s.off])*float64(whole.CeilDiv(max(0, m.most[q]-m.have[q]), s.ul)))
		}
		sum += most
	}
	for h := range m.bands {
		fee := 0.0
		for _, b := range m.bands[h] {
			fee = max(fee, math.Abs(float64(b.Fee)))
		}
		sum += fee + float64(m.bands[h][len(m.bands[h])-1].From)
	}
	for n := range m.members {
		most := int64(0)
		for o := m.optStart[n]; o < m.optStart[n+1]; o++ {
			most = max(most, m.optPts[o])
		}
		sum += float64(most) * float64(m.cp)
	}
	return sum
}
