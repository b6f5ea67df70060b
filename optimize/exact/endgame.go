package exact

import (
	"context"
	"math"

	"halfpot/optimize"
	"halfpot/optimize/internal/flat"
)

// endgame solves what is left of a node in which every used shop has its
// delivery band, and what is open falls into components that share nothing but the
// orders they go to: which shop sells a pot, which of two pots some needs take.
// Where orders are held at thresholds, thousands of such answers lie within a
// few cents of each other, and no bound tells them apart.
//
// Each component has its columns: what one weighs, and what it adds to the orders
// held. The best plan takes one column of each component, so that every order reaches
// its threshold. With a discount nu for each of these orders no plan weighs
// less than
//
//	sum over components of the least (weight - nu*goods) + sum over orders of nu*(threshold - sure goods)
//
// (Lagrangian relaxation; a discount of 1 stands for topping the order up).
// That rules out most columns. Through the rest goes a table over the components, see
// endgame_table.go.
type endgame struct {
	s *search
	d *domain
	r *relax
	w weights

	held      []int32 // shops whose orders are held at a threshold
	dim       []int32 // place of each shop in held; -1
	from      goods   // what each order lacks to its threshold, beside what is sure
	hard      bool    // no plan that is wanted tops an order up
	byPots    bool    // large components are gone through by volumes of boxes
	plans     []potPlan
	plansOf   [][]int32 // of each component
	unsettled []int32   // of them, those that the last table went through
	base      float64   // weight of all that is certain, with the charges
	start     []int32   // the columns of component i are columns[start[i]:start[i+1]]
	columns   []column
	book      []entry

	cutoff float64 // weight above which no plan is wanted
	begun  float64 // bound of the node, and by how much such a plan may weigh more
	room   float64
	nu     goods
	grid   []goods // discounts that plans are bounded at, the best first
	best   *solution
	bestW  float64

	components components
	walk       endWalk
	table      endTable
}

// endHeld is how many orders may be held at thresholds at most.
const endHeld = 8

// goods is a value for each of the orders held: of goods, weighted, or a discount.
type goods [endHeld]float64

func (g goods) plus(b *goods) goods {
	for i := range g {
		g[i] += b[i]
	}
	return g
}

// at is the discount on goods g at nu.
func (g *goods) at(nu *goods) float64 {
	sum := 0.0
	for i := range g {
		sum += g[i] * nu[i]
	}
	return sum
}

// noLess says that g is nowhere less than b.
func (g *goods) noLess(b *goods) bool {
	for i := range g {
		if g[i] < b[i] {
			return false
		}
	}
	return true
}

// column is one way to settle a component.
type column struct {
	weight float64
	goods  goods
	last   int32 // the last of its boxes and options in the book; -1
	plan   int32 // where its options are; noPlan: in the book
}

// entry is a box (of an offer) or an option (-1 - option) that a column takes,
// beside those that the entry prev leads to.
type entry struct{ prev, what int32 }

func (e *endgame) note(prev, what int32) int32 {
	e.book = append(e.book, entry{prev, what})
	return int32(len(e.book) - 1)
}

// Numbers of states that the table keeps after a component: at first, to find a
// good plan, and at most.
const (
	endFirst = 1 << 8
	endMost  = 1 << 14
	endInner = 1 << 10 // in a search near a plan
)

// tough is what was too much for an endgame at a node of the search. The nodes
// below it are tried again when less of that is left.
type tough struct {
	component, columns int
	gap                float64 // of the relaxation then
	early              bool    // with the effort of early endgames
}

// less says whether n is so much less than what was too much that trying again
// is worth while.
func less(n, much int) bool { return much == 0 || n <= much-max(1, much/8) }

// endNode is a node of a search that has been bounded.
type endNode struct {
	s        *search
	d        *domain
	r        *relax
	f        *facts
	bound    float64
	discount func(h int) float64 // at each shop's threshold, of the bound
	byPots   bool                // see endgame
}

// solveEnd runs the worker's endgame on the node it has bounded.
func (k *worker) solveEnd(
	ctx context.Context, s *search, d *domain, cutoff float64, past *tough,
) (best *solution, weight float64, done bool) {
	p := k.volume.best
	nu := func(h int) float64 { return p.shop[h].nu }
	return k.end.run(ctx, endNode{s, d, &k.relax, k.facts, p.value, nu, false}, cutoff, past)
}

// run solves a node, as far as it is an endgame: it looks for the best plan of no
// more weight than cutoff. done says that there is no better one; past, otherwise,
// what was too much.
func (e *endgame) run(
	ctx context.Context, node endNode, cutoff float64, past *tough,
) (best *solution, weight float64, done bool) {
	s := node.s
	if !e.prepare(node, cutoff) || !e.split(s.m, node.f, past) {
		return nil, 0, false
	}
	most := endMost
	if s.inner || node.byPots {
		most = endInner
	}
	for width := endFirst; ; {
		if !e.narrow() {
			return e.best, e.bestW, true
		}
		for e.tighten() {
			if !e.narrow() {
				return e.best, e.bestW, true
			}
		}
		if !less(len(e.columns), past.columns) || !e.setHard() {
			return e.best, e.bestW, false
		}
		was := e.cutoff
		switch {
		case e.table.run(ctx, e, width):
			return e.best, e.bestW, true
		case ended(ctx):
			return e.best, e.bestW, false
		case e.settleSome():
		case e.cutoff < was: // the same with less room
		case width == most || !e.table.cut: // a wider table would be the same
			past.columns = len(e.columns)
			return e.best, e.bestW, false
		default:
			width = min(8*width, most)
		}
	}
}

// prepare adds up what is certain; false where the node is no endgame.
func (e *endgame) prepare(node endNode, cutoff float64) bool {
	s, d, r := node.s, node.d, node.r
	m := s.m
	// The table looks for the least weight. Where a cap on the money comes
	// before that, only what all plans have in common may differ from it.
	if s.w.spare != 0 || len(r.needs) > 0 && m.cap != noCap {
		return false
	}
	for h := range m.bands {
		if !d.settled(h) {
			return false
		}
	}
	e.s, e.d, e.r, e.w, e.best = s, d, r, s.w, nil
	e.cutoff, e.begun, e.room = cutoff, node.bound, cutoff-node.bound
	e.byPots = node.byPots
	e.held, e.dim = e.held[:0], flat.Resize(e.dim, len(m.bands))
	e.base, e.from, e.nu = r.constant, goods{}, goods{}
	for h := range m.bands {
		e.dim[h] = -1
		if d.unused(h) {
			continue
		}
		k := d.bandLo[h]
		sure, boxes := 0.0, int32(0)
		for j := m.shopStart[h]; j < m.shopStart[h+1]; j++ {
			n := float64(d.lo[j])
			sure += n * float64(m.price[j]) * e.w.money
			e.base += n * e.w.box
			boxes += d.lo[j]
		}
		e.base += float64(m.bands[h][k].Fee)*e.w.money + e.w.shop + sure
		lacks := r.from[h][k] - sure
		if m.bands[h][k].Fee < 0 && boxes == 0 && lacks <= 0 {
			return false // the money off would be had without an order
		}
		if lacks > 0 {
			if len(e.held) == endHeld {
				return false
			}
			i := len(e.held)
			e.dim[h], e.from[i], e.nu[i] = int32(i), lacks, node.discount(h)
			e.held = append(e.held, int32(h))
		}
	}
	return true
}

// setHard finds out whether a plan that is wanted can hold goods nobody needs,
// bought to reach a threshold; false where what there is of these is limited,
// so that it may depend on what else is bought.
func (e *endgame) setHard() bool {
	e.hard = true
	limited := false
	room := e.cutoff - e.value(e.nu)
	for i, h := range e.held {
		least := math.Inf(1)
		for _, f := range e.s.m.fillers[h] {
			if f.price > 0 {
				least = min(least, float64(f.price)*e.w.money)
			}
			limited = limited || f.limit < optimize.MostBoxes
		}
		if least*(1-e.nu[i]) <= room {
			e.hard = false
		}
	}
	return e.hard || !limited
}

// try values the plan that takes the given columns.
func (e *endgame) try(columns []int32) {
	m := e.s.m
	x := append([]int32(nil), e.d.lo...)
	pick := make([]int32, len(m.members))
	for n := range pick {
		for o := m.optStart[n]; o < m.optStart[n+1]; o++ {
			if e.d.alive[o] {
				pick[n] = o
				break
			}
		}
	}
	unsettled := len(e.unsettled)
	for _, k := range columns {
		if id := e.columns[k].plan; id != noPlan {
			if !e.plans[id].exact {
				e.unsettled = append(e.unsettled, id)
				continue
			}
			for _, o := range e.plans[id].options {
				pick[m.optNeed[o]] = o
			}
		}
		for at := e.columns[k].last; at >= 0; at = e.book[at].prev {
			if what := e.book[at].what; what >= 0 {
				x[what]++
			} else {
				pick[m.optNeed[-1-what]] = -1 - what
			}
		}
	}
	if len(e.unsettled) > unsettled {
		return
	}
	if sol, w := e.s.worthOf(x, pick); sol != nil && w <= e.cutoff {
		e.best, e.bestW, e.cutoff = sol, w, w-e.s.grain
	}
}
