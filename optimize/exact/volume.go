package exact

import (
	"context"
	"math"

	"halfpot/optimize/internal/flat"
)

// volumeAlgorithm raises the bound with the volume algorithm (Barahona & Anbil, Math.
// Programming 87, 2000): steps along the violation of an average of the
// relaxed answers seen so far. The average is also close to a best fractional
// plan, so branching looks at it.
type volumeAlgorithm struct {
	ctx         context.Context // ends a run early; nil: it is not asked
	floor       float64         // a bound already known: below it a run takes up to three times the steps
	best, trial *point

	// Violation of the averaged answer and of the last one.
	need, link, base    []float64
	gNeed, gLink, gBase []float64

	spare []float64 // what an unused shop lacks to be worth using
	count []float64 // units bought of each paint, less those sure to be bought
	x     []float64 // averaged boxes of each offer
	used  []float64 // averaged use of each shop
	one   []float64 // choice of each one-paint option in the last answer
	yOne  []float64 // averaged
	y     []float64 // averaged choice of each option that is not tied to one box
}

func newVolumeAlgorithm() *volumeAlgorithm {
	return &volumeAlgorithm{floor: math.Inf(-1), best: &point{}, trial: &point{}}
}

// violation computes how far the relaxed answer at p breaks each relaxed row.
func (a *volumeAlgorithm) violation(r *relax, p *point) {
	clear(a.count)
	for j := range r.offs {
		if p.x[j] == 0 {
			continue
		}
		x := p.x[j]
		for k := r.conStart[j]; k < r.conStart[j+1]; k++ {
			q := r.conPaint[k]
			if r.multi[q] {
				a.count[q] += x * r.conUnits[k]
			} else {
				a.count[q] += min(x, 1)
			}
		}
	}
	for q := range a.count {
		a.gBase[q] = 0
		if r.multi[q] {
			a.count[q] -= r.boxes[q]
			a.gBase[q] = (p.units[q] - a.count[q]) * r.scale(q)
		}
	}
	for k := range a.gNeed {
		a.gNeed[k] = 1
	}
	for i, k := range r.oneNeed {
		a.one[i] = 0
		if p.oneGain[i] <= 0 {
			continue
		}
		n := r.supplied(r.onePaint[i], p.oneServed[i], a.count)
		if n == 0 {
			continue
		}
		a.one[i] = n
		a.gNeed[k] -= n
	}
	for i, k := range r.anyNeed {
		y := 0.0
		if p.anyGain[i] > 0 {
			y = 1
			a.gNeed[k]--
		}
		for l := r.anyStart[i]; l < r.anyStart[i+1]; l++ {
			a.gLink[l] = y - r.supplied(r.linkAt[l], p.linkServed[l], a.count)
		}
	}
}

// scale is what the row of paint q is multiplied by, so that a paint that may
// take hundreds of units does not drown the others out.
func (r *relax) scale(q int) float64 {
	if r.steps[q] <= fewSteps {
		return 1
	}
	return fewSteps / float64(r.steps[q])
}

// fewSteps is how many units a paint may take without its row being scaled.
const fewSteps = 3

// supplied is how far paint q serves a need of which served is served by what
// is at hand, or by the units the paint pays for.
func (r *relax) supplied(q int32, served float64, count []float64) float64 {
	if r.steps[q] > 0 {
		return served
	}
	return served + (1-served)*count[q]
}

func (a *volumeAlgorithm) resize(r *relax) {
	a.need, a.gNeed = flat.Resize(a.need, len(r.needs)), flat.Resize(a.gNeed, len(r.needs))
	a.link, a.gLink = flat.Resize(a.link, len(r.linkUse)), flat.Resize(a.gLink, len(r.linkUse))
	a.base, a.gBase = flat.Resize(a.base, len(r.paints)), flat.Resize(a.gBase, len(r.paints))
	a.count = flat.Resize(a.count, len(r.paints))
	a.x, a.used = flat.Resize(a.x, len(r.offs)), flat.Resize(a.used, len(r.m.bands))
	a.y = flat.Resize(a.y, len(r.anyOpt))
	a.one, a.yOne = flat.Resize(a.one, len(r.oneOpt)), flat.Resize(a.yOne, len(r.oneOpt))
}

// schedule says how the steps of a run are sized and when it ends. All numbers were
// measured, on generated problems of all sizes.
type schedule struct {
	step     float64 // length of a step at first, as a share of Polyak's
	longest  float64 // and at most
	longer   float64 // what a step that raised the bound makes the next ones longer by
	shorter  float64 // what poor steps that did not, one after the other, do
	poor     int
	mix      float64 // share of the last answer in the averaged one at most, at first
	leastMix float64 // and however slow the bound rises
	lessMix  float64 // what a check that shows too little does to it
	every    int     // steps between checks, each after a dual ascent
	little   float64 // rise between checks, as a share of the gap, that is too little
	patience int     // checks in a row that may show too little
}

// scheduleFor is the schedule of a run of so many steps over so many open needs.
func scheduleFor(steps, needs int) schedule {
	c := schedule{
		step: 0.3, longest: 2, longer: 1.15, shorter: 0.7, poor: 6,
		mix: 0.1, leastMix: 0.001, lessMix: 0.7, every: 20, little: 2e-3, patience: 4,
	}
	if needs < 64 { // what a small problem's bound can reach shows sooner
		c.every, c.little, c.patience = 5, 5e-4, 3
	}
	if steps <= 100 { // a node, not the root: its children will go on
		c.mix = 0.2
		c.every, c.little, c.patience = 8, 1e-2, 3
	}
	return c
}

// run raises the bound from the multipliers mu for at most steps steps, or
// until it exceeds enough or hardly moves, and leaves the best point in a.best.
// target is the value of a plan, or a guess at it.
func (a *volumeAlgorithm) run(r *relax, mu *multipliers, steps int, target, enough float64) {
	a.begin(r, mu)
	if math.IsInf(target, 0) { // nothing to aim at
		target = 1.3*math.Abs(a.best.value) + 1
	}
	c := scheduleFor(steps, len(r.needs))
	poor, still := 0, 0
	checkAt, checkValue := c.every, a.best.value
	for it := 1; it <= steps || it <= 3*steps && a.best.value < a.floor; it++ {
		if a.best.value > enough || ended(a.ctx) {
			return
		}
		norm := a.norm(r)
		if norm < 1e-9 {
			return
		}
		gap := math.Max(target-a.best.value, 1e-7*math.Abs(target)+1)
		a.step(r, c.step*gap/norm)
		r.eval(a.trial)
		a.violation(r, a.trial)
		dot := a.average(r, c.mix)
		if a.trial.value > a.best.value {
			a.best, a.trial = a.trial, a.best
			poor = 0
			if dot > 0 {
				c.step = math.Min(c.step*c.longer, c.longest)
			}
		} else if poor++; poor >= c.poor {
			c.step *= c.shorter
			poor = 0
		}
		if it < checkAt {
			continue
		}
		// Steps are slow to find the last little, and the later levels of
		// the objective weigh no more than that.
		a.violation(r, a.best)
		a.lift(r)
		if a.best.value-checkValue < c.little*math.Max(1, target-a.best.value) {
			c.mix = max(c.lessMix*c.mix, c.leastMix)
			still++
			if still >= c.patience && a.best.value >= a.floor {
				return
			}
		} else {
			still = 0
		}
		checkAt, checkValue = it+c.every, a.best.value
	}
}

// begin evaluates the multipliers, after two dual ascents from them, and takes the
// answer as the average.
func (a *volumeAlgorithm) begin(r *relax, mu *multipliers) {
	a.resize(r)
	r.load(a.best, mu)
	a.trial.resize(r)
	r.eval(a.best)
	a.violation(r, a.best)
	a.lift(r)
	a.lift(r)
	a.violation(r, a.best)
	copy(a.need, a.gNeed)
	copy(a.link, a.gLink)
	copy(a.base, a.gBase)
	copy(a.x, a.best.x)
	copy(a.yOne, a.one)
	for i := range a.y {
		a.y[i] = 0
		if a.best.anyGain[i] > 0 {
			a.y[i] = 1
		}
	}
	for h := range a.used {
		a.used[h] = 0
		if a.best.shop[h].used {
			a.used[h] = 1
		}
	}
}

// ended says whether there is a context and it is over.
func ended(ctx context.Context) bool { return ctx != nil && ctx.Err() != nil }

// norm is the squared length of the violation, leaving out rows at a zero
// multiplier that want to go below it.
func (a *volumeAlgorithm) norm(r *relax) float64 {
	n := 0.0
	add := func(v, mu []float64) {
		for i, g := range v {
			if g > 0 || mu[i] > 0 {
				n += g * g
			}
		}
	}
	add(a.need, a.best.need)
	add(a.link, a.best.link)
	add(a.base, a.best.base)
	return n
}

// step sets the trial point s along the violation from the best one, rounded
// to the quantum.
func (a *volumeAlgorithm) step(r *relax, s float64) {
	// Adding and taking away this number rounds to a multiple of the quantum.
	round := r.w.quantum * (3 << 51)
	move := func(to, from, v []float64) {
		for i, g := range v {
			m := from[i] + s*g
			if m <= 0 {
				to[i] = 0
				continue
			}
			m += round
			to[i] = m - round
		}
	}
	move(a.trial.need, a.best.need, a.need)
	move(a.trial.link, a.best.link, a.link)
	for q := range a.base {
		a.trial.base[q] = 0
		if r.multi[q] {
			m := max(0, a.best.base[q]+s*a.base[q]*r.scale(q)) + round
			a.trial.base[q] = m - round
		}
	}
}

// average moves the averaged answer towards the last one by the share that
// makes its violation shortest, at most most. It returns the product of the
// two violations.
func (a *volumeAlgorithm) average(r *relax, most float64) float64 {
	vv, vg, gg := 0.0, 0.0, 0.0
	sum := func(v, g []float64) {
		for i := range v {
			vv += v[i] * v[i]
			vg += v[i] * g[i]
			gg += g[i] * g[i]
		}
	}
	sum(a.need, a.gNeed)
	sum(a.link, a.gLink)
	sum(a.base, a.gBase)
	alpha := most
	if den := vv - 2*vg + gg; den > 1e-12 {
		alpha = (vv - vg) / den
		if alpha < most/10 {
			alpha = most / 10
		}
		if alpha > most {
			alpha = most
		}
	}
	mix := func(v, g []float64) {
		for i := range v {
			v[i] += alpha * (g[i] - v[i])
		}
	}
	mix(a.need, a.gNeed)
	mix(a.link, a.gLink)
	mix(a.base, a.gBase)
	for j := range a.x {
		a.x[j] += alpha * (a.trial.x[j] - a.x[j])
	}
	for i := range a.yOne {
		a.yOne[i] += alpha * (a.one[i] - a.yOne[i])
	}
	for i := range a.y {
		y := 0.0
		if a.trial.anyGain[i] > 0 {
			y = 1
		}
		a.y[i] += alpha * (y - a.y[i])
	}
	for h := range a.used {
		u := 0.0
		if a.trial.shop[h].used {
			u = 1
		}
		a.used[h] += alpha * (u - a.used[h])
	}
	return vg
}
