package exact

import (
	"context"
	"math"

	"halfpot/optimize/lp"
)

// linearVisit is the work on one node by its linear relaxation.
type linearVisit struct {
	k      *worker
	s      *search
	n      *node
	p      *program
	d      *domain
	root   bool    // of the search, and not a part that holds ties
	cutoff float64 // what a plan must beat for the node to be of use
	beat   float64 // and to be the best
	bills  bills   // of bands, at most at the cutoff
	out    outcome
}

// processLinear bounds a node by its linear relaxation, tightens it and splits it.
func (k *worker) processLinear(ctx context.Context, s *search, n *node) outcome {
	v := &linearVisit{k: k, s: s, n: n, d: n.parent.clone(), cutoff: s.cutoff(), beat: s.beat()}
	v.out.bound, v.out.tough, v.out.best = n.bound, n.tough, n.best
	if n.best != nil && s.weight(n.best.cost) > s.upper {
		v.out.bound = math.Inf(1)
		return v.out
	}
	k.volume.ctx, k.trialVolume.ctx, k.build.ctx = ctx, ctx, ctx
	n.decision.apply(s.m, v.d)
	v.dropDear()
	if !k.settleDomain(s, v.d) {
		v.out.bound = math.Inf(1)
		return v.out
	}
	k.mu.copyFrom(n.mu)
	k.observed = nil
	k.begun, k.planEffort = k.linearEffort(), 0
	if v.begin(ctx) && v.rounds(ctx) {
		v.handDown()
	}
	v.out.linWork, v.out.linPlanWork = k.linearEffort()-k.begun, k.planEffort
	if s.ties != nil && v.out.children == nil && ctx.Err() == nil {
		v.out.tie = v.d // plans as good as the best may be in here
	}
	return v.out
}

// dropDear rules out bands that a plan worth having can't pay for.
func (v *linearVisit) dropDear() (changed bool) {
	s := v.s
	most := (s.tieCutoff(v.cutoff) + s.grain/2) / s.w.money
	if s.moneyMost != noCap {
		most = min(most, float64(s.moneyMost))
	}
	v.bills = s.m.bandBills(v.d, most)
	if v.p != nil {
		v.p.bills = v.bills
	}
	return v.bills.drop(s.m, v.d)
}

// begin lays the node's relaxation out; false where nothing is left.
func (v *linearVisit) begin(ctx context.Context) bool {
	k, s, lin := v.k, v.s, v.n.lin
	v.root = lin.form == nil && s.moneyMost == noCap
	if s.linear && lin.form == nil && lin.was == nil { // one passed on has multipliers
		k.rootStart(s, v.d)
	}
	if lin.form == nil {
		form := newLinear(s.m, s.w, v.d, k.facts, s.moneyMost)
		switch {
		case lin.was == nil:
			lin = &linearNode{form: form}
		case lin.was.m == s.m:
			lin = lin.narrow(form)
		default:
			lin = &linearNode{form: form, rows: form.translate(lin.was, lin.rows)}
		}
	}
	if v.n.row != nil {
		lin = lin.with(v.n.row)
	}
	if k.program == nil || k.program.l != lin.form {
		k.pastEffort = k.linearEffort()
		k.program = newProgram(lin.form)
	}
	v.p = k.program
	v.p.bills, v.p.tries = v.bills, k.basisTries(s, v.d, v.root)
	v.p.stop = func() bool { return ctx.Err() != nil }
	if !v.p.load(lin, v.d, k.facts) {
		v.out.bound = math.Inf(1)
		return false
	}
	return true
}

// keep notes a plan that beats what is known.
func (v *linearVisit) keep(sol *solution, w float64) {
	if sol != nil && w <= v.beat && sol.cost.money <= v.s.moneyMost {
		v.out.found, v.out.foundW = sol, w
		v.beat = w - v.s.grain
		v.cutoff = min(v.cutoff, v.beat)
	}
}

// rounds bounds the node, looks for plans and for a split, again while trying splits
// forces one side; false where the node is done with.
func (v *linearVisit) rounds(ctx context.Context) bool {
	for again := 0; ; again++ {
		v.p.lp.Limit(v.cutoff-float64(v.p.l.base)+v.s.grain/2, v.p.stop)
		state := v.bound(v.newRounds(again))
		if state == linearOpen && v.p.tries == 0 && v.leave() { // with rows of the tableau, perhaps not
			v.p.tries = basisSmall
			state = v.bound(v.newRounds(again))
		}
		if state == linearDone || ctx.Err() != nil {
			return false
		}
		if v.leave() {
			v.out.turn = true
			return false
		}
		var forced []decision
		if state == linearOpen {
			switch v.improve(ctx, again) {
			case visitOver:
				return false
			case visitAgain:
				continue
			}
			var over bool
			if forced, over = v.split(); over {
				return false
			}
		}
		if len(v.out.children) == 0 { // whole, or the arithmetic gave out
			return !v.close(ctx, state == linearBad)
		}
		if len(forced) == 0 || again == forcedMost {
			return true
		}
		for _, f := range forced {
			f.apply(v.s.m, v.d)
		}
		v.out.children = nil
		if !v.narrowed() {
			return false
		}
	}
}

// visitNext is what follows in a visit.
type visitNext uint8

const (
	visitSplit visitNext = iota
	visitAgain           // bound it anew: more can be ruled out now
	visitOver            // nothing better is left
)

// improve looks for plans near a node that its bound leaves open, tries shops out at the
// root, and tries the node as an endgame.
func (v *linearVisit) improve(ctx context.Context, again int) visitNext {
	if again == 0 && v.out.best == nil && !(v.root && v.s.guess != nil) {
		before := v.cutoff
		v.k.linearPlans(ctx, v.s, v.n, v.d, v.root, &v.out, v.keep)
		if v.out.bound > v.cutoff {
			return visitOver
		}
		if v.root && v.cutoff < before {
			return visitAgain
		}
	}
	if again == 0 && v.root && v.probe(v.s.linearCare().probePivots) {
		if !v.narrowed() {
			return visitOver
		}
		return visitAgain
	}
	if v.endgame(ctx) {
		return visitOver
	}
	return visitSplit
}

// narrowed works out what follows where something was taken from the domain; false where
// nothing is left.
func (v *linearVisit) narrowed() bool {
	if v.k.settleDomain(v.s, v.d) && v.p.setBounds(v.d, v.k.facts) {
		return true
	}
	v.out.bound = math.Inf(1)
	return false
}

// split makes the node's children, none where the answer is whole, and gives what trying
// forces; over says that the plan which the answer is ends the node.
func (v *linearVisit) split() (forced []decision, over bool) {
	v.out.children, forced = v.k.linearBranch(v.s, v.d, v.cutoff)
	if v.out.children != nil {
		return forced, false
	}
	v.keep(v.k.wholePlan(v.s, v.d))
	if v.out.bound > v.cutoff {
		return nil, true
	}
	for _, c := range v.p.extraSplit() {
		v.out.children = c.children([2]float64{math.Inf(-1), math.Inf(-1)})
	}
	return forced, false
}

// handDown leaves what the children start from.
func (v *linearVisit) handDown() {
	k, p, s := v.k, v.p, v.s
	v.out.observed, v.out.domain = k.observed, v.d
	v.out.mu = newMultipliers(s.m)
	v.out.mu.copyFrom(k.mu)
	v.out.lin = &linearNode{form: p.l, rows: append([]*linearRow(nil), p.rows...), basis: p.lp.Basis()}
	if float64(p.openColumns()) < reformShare*float64(p.lp.Columns()) {
		v.out.lin = v.out.lin.narrow(newLinear(s.m, s.w, v.d, k.facts, s.moneyMost))
	}
}

// close ends a node where the relaxation shows nothing to split on: its answer is
// whole but no plan weighs as little, since goods bought to reach a threshold are
// whole boxes, or its arithmetic gave out (bad). The Lagrangian bound, or the endgame, may
// be done with it; else it is split on the first thing that is open. It returns true where
// nothing is left.
func (v *linearVisit) close(ctx context.Context, bad bool) bool {
	k, s := v.k, v.s
	settled := k.shopsSettled(v.d)
	if s.moneyMost == noCap && (settled || bad) {
		k.volume.run(&k.relax, k.mu, closeSteps, v.cutoff, v.cutoff)
		v.out.bound = max(v.out.bound, k.volume.best.value)
		if v.out.bound > v.cutoff {
			return true
		}
	}
	if s.moneyMost == noCap && settled {
		sol, w, done := k.solveEnd(ctx, s, v.d, v.cutoff, &v.out.tough)
		v.keep(sol, w)
		if done {
			return true
		}
	}
	v.out.children = k.undecided(v.d, s.m)
	if v.out.children == nil {
		v.keep(k.leaf(s, v.d))
		return true
	}
	return false
}

// closeSteps is the steps of the volume algorithm for a node that is closed.
const closeSteps = 40

// endShare is the share of the best plan's weight that may be open where a node is tried as
// an endgame; a variable for tests.
var endShare = 0.0012

// endNodes is the nodes after which endgames may take more effort than a node does. A variable
// for tests.
var endNodes int64 = 200

// early says whether they may not yet. Nodes that were passed on have lasted long enough.
func (s *search) early() bool { return s.linear && s.nodes < endNodes }

// Where fewer than one endgame of so many comes to an end, after some first ones, no more are tried.
const (
	endWorth = 8
	endFair  = 24
)

// endgames says whether nodes of the linear relaxation are tried as endgames by now.
func (s *search) endgames() bool {
	e := s.endCount()
	return !s.inner && s.moneyMost == noCap && e.tried <= endFair+endWorth*e.done
}

// endCount is how many nodes were tried as endgames, and how many of these ended.
type endCount struct{ tried, done int64 }

// endCount is the count of endgames of as much effort as those tried now.
func (s *search) endCount() *endCount {
	if s.early() {
		return &s.ends[0]
	}
	return &s.ends[1]
}

// endgame goes through what is left of a node whose shops have their bands, if that is not
// too much; true where it holds nothing better.
func (v *linearVisit) endgame(ctx context.Context) (done bool) {
	k, s, p := v.k, v.s, v.p
	gap, past := v.cutoff-v.out.bound, &v.out.tough
	switch {
	case v.out.best != nil && v.d.allows(s.m, v.out.best), // it would be found again
		!s.endgames(),
		math.IsInf(v.cutoff, 1) || gap > endShare*math.Abs(v.cutoff),
		!k.shopsSettled(v.d),
		!s.linear && k.end.largest(s, v.d, &k.relax, k.facts) > passEnd:
		return false
	}
	if past.gap > 0 && (gap < endAgain*past.gap || past.early && !s.early()) {
		*past = tough{}
	}
	nu := make([]float64, len(s.m.bands))
	for i := range p.l.core {
		if key := p.l.core[i].key; key%coreKinds == goodsKey {
			nu[key/coreKinds] = min(max(math.Round(p.lp.Price(i)/s.w.money*nuSteps)/nuSteps, 0), 1)
		}
	}
	// Where later levels follow, it also says whether a plan as good as the best is in here.
	cut := s.tieCutoff(v.cutoff)
	node := endNode{s, v.d, &k.relax, k.facts, v.out.bound, func(h int) float64 { return nu[h] }, true}
	sol, w, done := k.end.run(ctx, node, cut, past)
	v.out.endTried = true
	v.out.endDone = done
	v.keep(sol, w)
	switch {
	case done && sol == nil:
		v.out.bound = max(v.out.bound, cut+s.grain)
	case done && s.ties != nil:
		v.out.best = sol // split on: the later levels are easier in small parts
		return false
	case !done && (past.component > 0 || past.columns > 0) && (past.gap == 0 || gap < past.gap):
		past.gap, past.early = gap, s.early()
	}
	return done
}

// endAgain is the share of the gap that was open when an endgame was too much, at which the
// nodes below are tried again.
const endAgain = 0.75

type linearState uint8

const (
	linearOpen linearState = iota // bounded, and something is left
	linearDone                    // nothing better is in the node
	linearBad                     // the arithmetic gave out
)

// bound solves the relaxation, puts broken rows in and rules out what the bound
// allows, for as long as that pays.
func (v *linearVisit) bound(r rowRounds) linearState {
	p := v.p
	for {
		st := p.solve(linearLimit)
		ended := p.stop()
		if ended {
			st = lp.Stopped
		}
		switch st {
		case lp.Trouble, lp.Stopped:
			if !ended { // a solve that does not end in so many iterations is no better
				v.s.troubles.Add(1)
			}
			v.out.bound = max(v.out.bound, p.bound)
			return linearBad
		case lp.Infeasible:
			if p.lp.CertifyInfeasible(&p.cert) {
				v.out.bound = math.Inf(1)
				return linearDone
			}
			v.s.troubles.Add(1)
			return linearBad
		case lp.Cut:
			if p.bound <= v.cutoff { // it passes the cutoff with shifted costs only
				p.lp.Limit(math.Inf(1), p.stop)
				continue
			}
		}
		v.out.bound = max(v.out.bound, p.bound)
		if !v.ruleOut() {
			v.out.bound = math.Inf(1)
			return linearDone
		}
		if p.bound > v.cutoff {
			return linearDone
		}
		if !r.next(p, v.cutoff) {
			return linearOpen
		}
	}
}

// leave says whether the search is left to the Lagrangian bound at its root.
func (v *linearVisit) leave() bool { return v.root && !v.s.inner && v.out.bound < v.s.wanted }

// newRounds says how many rounds of new rows the node may have.
func (v *linearVisit) newRounds(again int) rowRounds {
	care := v.s.linearCare()
	r := rowRounds{
		root: v.root, most: nodeRounds, gain: care.rootGain, patience: care.rootPatience, linkGain: care.linkGain,
	}
	if len(v.p.rows) > 0 {
		r.gain, r.patience = care.againGain, care.againPatience
	}
	switch {
	case v.root && v.s.inner:
		r.most = innerRounds
	case v.root:
		r.most, r.clustersMost = rootRounds, care.clusterRounds
		if v.s.guess != nil {
			r.clustersMost = min(r.clustersMost, 1)
		}
	case again > 0:
		r.most = 1
	}
	return r
}

// ruleOut takes from the domain what the bound rules out; false where nothing is left.
func (v *linearVisit) ruleOut() bool {
	s, p := v.s, v.p
	// No plan weighs between two grains: half of one makes up for sums that are rounded.
	changed := p.fix(v.d, s.tieCutoff(v.cutoff)+s.grain/2)
	changed = v.dropDear() || changed
	if linearWatch != nil {
		linearWatch(s, p, v.d, s.tieCutoff(v.cutoff))
	}
	return !changed || v.k.settleDomain(s, v.d) && p.setBounds(v.d, v.k.facts)
}
