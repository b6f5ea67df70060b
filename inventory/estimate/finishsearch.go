package estimate

import "sort"

// most is how many figures of a unit a stock finishes, with the ways to do so
// that compromise least. More figures never need less, so that the number is
// found by halving.
func (g *finisher) most(i int, stock []int64) (int, []int) {
	u := g.units[i]
	n := sort.Search(u.left, func(n int) bool {
		return g.assign(u, n+1, stock, nil, false) == nil
	})
	if n == 0 {
		return 0, nil
	}
	return n, g.assign(u, n, stock, nil, true)
}

// newAssignment prepares a search over the ways of the unit's next n figures.
// Nil: one of the steps cannot be served at all.
func (g *finisher) newAssignment(u *finishUnit, n int, stock []int64, fixed map[string]string) *assignment {
	a := &assignment{
		g:     g,
		u:     u,
		left:  append([]int64(nil), stock...),
		fixed: map[string]string{},
		way:   make([]int, len(u.steps)),
		bound: 1 << 62,
	}
	for k, v := range fixed {
		a.fixed[k] = v
	}
	if !a.prepare(n) {
		return nil
	}
	return a
}

// assign finds ways for all steps of the next n figures of a unit that a
// stock serves: any, or those with the least compromise. Nil: there are none,
// or none were found within the budget. Fixed names the options that match
// labels are bound to.
func (g *finisher) assign(u *finishUnit, n int, stock []int64, fixed map[string]string, least bool) []int {
	a := g.newAssignment(u, n, stock, fixed)
	if a == nil {
		return nil
	}
	var best []int
	a.each = func(compromise int) bool {
		best, a.bound = append(best[:0], a.way...), compromise
		return !least || compromise == 0
	}
	a.step(0, 0)
	return best
}

// assignment is the search for the ways of one unit's steps.
type assignment struct {
	g     *finisher
	u     *finishUnit
	left  []int64
	fixed map[string]string
	order []int     // steps, the fewest ways first
	ways  [][][]use // by step
	way   []int
	each  func(compromise int) bool // called with ways for all steps; true ends the search
	bound int                       // compromise at which a way is not looked at any more
	tries int
}

// prepare works out needs and drops ways that cannot be served even alone.
func (a *assignment) prepare(n int) bool {
	for i, s := range a.u.steps {
		ways, err := a.g.needs(a.u, s, n)
		if err != nil {
			return false
		}
		a.ways = append(a.ways, ways)
		servable := false
		for _, w := range ways {
			servable = servable || a.fits(w)
		}
		if !servable {
			return false
		}
		a.order = append(a.order, i)
	}
	sort.SliceStable(a.order, func(x, y int) bool {
		return len(a.u.steps[a.order[x]].options) < len(a.u.steps[a.order[y]].options)
	})
	return true
}

func (a *assignment) fits(w []use) bool {
	for _, x := range w {
		if x.ul > a.left[x.paint] {
			return false
		}
	}
	return true
}

// maxTries bounds the search for one unit's ways; a recipe of a dozen steps
// with three ways each that clash on one shelf stays below it.
const maxTries = 20_000

// step chooses the way of the k-th step in order and goes on. It reports
// whether the search is over.
func (a *assignment) step(k, compromise int) bool {
	if compromise >= a.bound {
		return false
	}
	if k == len(a.order) {
		return a.each(compromise)
	}
	i := a.order[k]
	s := a.u.steps[i]
	for j, w := range a.ways[i] {
		if a.tries++; a.tries > maxTries {
			a.g.cut = true
			return true
		}
		o := &s.options[j]
		if !a.fits(w) || s.match != "" && a.fixed[s.match] != "" && a.fixed[s.match] != o.ID {
			continue
		}
		binds := s.match != "" && a.fixed[s.match] == ""
		if binds {
			a.fixed[s.match] = o.ID
		}
		for _, x := range w {
			a.left[x.paint] -= x.ul
		}
		a.way[i] = j
		over := a.step(k+1, compromise+o.Compromise)
		for _, x := range w {
			a.left[x.paint] += x.ul
		}
		if binds {
			delete(a.fixed, s.match)
		}
		if over {
			return true
		}
		if j == 0 && s.match == "" && a.g.plenty(w) {
			return false // no other way could do better
		}
	}
	return false
}

// plenty reports whether a way takes only paints of which there is enough for
// everything anybody could ask of them.
func (g *finisher) plenty(w []use) bool {
	for _, x := range w {
		if !g.ample[x.paint] {
			return false
		}
	}
	return true
}

// together finds how many figures of each unit to finish so that most are
// finished in all, fills Together and Ways in, and reports whether that is
// proven.
func (g *finisher) together(units []UnitFinish) (int, bool) {
	g.limit(units)
	now, best := make([]choice, len(g.units)), make([]choice, len(g.units))
	total := -1
	var place func(i, sum int, stock []int64, fixed map[string]string) bool
	place = func(i, sum int, stock []int64, fixed map[string]string) bool {
		if g.spent += 1 + len(g.units)/8; g.spent > searchBudget {
			g.cut = true
			return true
		}
		if i == len(g.units) {
			if sum > total {
				total = sum
				copy(best, now)
			}
			return total == g.upper(0, g.stock)
		}
		rest := g.upper(i+1, stock)
		for n := min(g.units[i].alone, g.upper(i, stock)); n >= 0; n-- {
			if sum+n+rest <= total {
				return false
			}
			if n == 0 {
				now[i] = choice{}
				return place(i+1, sum, stock, fixed)
			}
			a := g.newAssignment(g.units[i], n, stock, fixed)
			if a == nil {
				continue
			}
			over := false
			a.each = func(int) bool {
				now[i] = choice{n, append([]int(nil), a.way...)}
				over = place(i+1, sum+n, a.left, a.fixed)
				return over || sum+n+g.upper(i+1, stock) <= total
			}
			a.step(0, 0)
			if over {
				return true
			}
		}
		return false
	}
	place(0, 0, g.stock, nil)
	for i, c := range best {
		units[i].Together = c.figures
		for j, way := range c.ways {
			s := g.units[i].steps[j]
			units[i].Ways = append(units[i].Ways, StepWay{
				Step:       s.step.ID,
				Option:     s.options[way].ID,
				Compromise: s.options[way].Compromise,
			})
		}
	}
	return max(total, 0), !g.cut
}

// choice is how many figures of a unit are finished, and how.
type choice struct {
	figures int
	ways    []int
}

// limit prepares the bound: how many figures a unit can finish alone, and what
// each of its figures takes of a paint at least, whichever ways are chosen and
// however many are done.
func (g *finisher) limit(units []UnitFinish) {
	work := 0
	for i, u := range g.units {
		u.alone, u.least = units[i].Alone.AtLeast, make([]float64, len(g.stock))
		for _, s := range u.steps {
			work += u.alone * len(s.options)
		}
	}
	if work > searchBudget { // too large a force to look at every number of figures
		return
	}
	for _, u := range g.units {
		for n := 1; n <= u.alone; n++ {
			least := make([]float64, len(g.stock))
			for _, s := range u.steps {
				ways, err := g.needs(u, s, n)
				if err != nil {
					return
				}
				for _, x := range ways[0] {
					always := x.ul
					for _, w := range ways[1:] {
						always = min(always, amountOf(w, x.paint))
					}
					least[x.paint] += float64(always)
				}
			}
			for p, v := range least {
				if v /= float64(n); n == 1 || v < u.least[p] {
					u.least[p] = v
				}
			}
		}
	}
}

func amountOf(w []use, paint int) int64 {
	for _, x := range w {
		if x.paint == paint {
			return x.ul
		}
	}
	return 0
}

// upper is the most figures that units i and later can finish with a stock:
// what each can alone, and for each paint what it can serve if the thriftiest
// units go first.
func (g *finisher) upper(i int, stock []int64) int {
	most := 0
	for _, u := range g.units[i:] {
		most += u.alone
	}
	for p, have := range stock {
		if g.ample[p] {
			continue
		}
		left, figures := float64(have)*(1+1e-9), 0.0
		for _, j := range g.byThrift(p) {
			u := g.units[j]
			if j < i {
				continue
			}
			if take := u.least[p] * float64(u.alone); take <= left {
				figures += float64(u.alone)
				left -= take
				continue
			}
			figures += left / u.least[p]
			break
		}
		most = min(most, int(figures+1e-6))
	}
	return most
}

// byThrift is the units by what a figure takes of a paint at least.
func (g *finisher) byThrift(p int) []int {
	if g.thrift[p] == nil {
		order := make([]int, len(g.units))
		for i := range order {
			order[i] = i
		}
		sort.SliceStable(order, func(a, b int) bool {
			return g.units[order[a]].least[p] < g.units[order[b]].least[p]
		})
		g.thrift[p] = order
	}
	return g.thrift[p]
}
