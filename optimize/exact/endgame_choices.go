package exact

import (
	"math"

	"halfpot/optimize/lp"
)

// choices looks for the options of least cost within given room by branch and bound over
// their linear relaxation: one column an option, a row that one is taken for each need, and
// one for each paint's room. Where the room is tight, that shows in a few hundred exchanges
// what going through the options does not in a hundred thousand steps.
type choices struct {
	a      *potWalk
	lp     *lp.Solver
	cert   lp.Certificate
	costs  []int64 // in grains
	fewest int64   // cost of the best choice known
	best   []int   // the option taken for each need
	nodes  int     // that are left
	lost   bool    // the nodes ran out, or the arithmetic gave out
}

const (
	choiceRounds = 4 // of rows of the tableau
	choiceRows   = 20
	choicePivots = 2000 // in a node
)

// choiceNodes is how many nodes are looked at; a variable for tests.
var choiceNodes = 100

// choose looks for the options of least cost, given that they cost no less than from: which one
// of its own each need takes, and what that costs, +Inf where there is no room for the needs.
// Where exact is false, the cost is a bound.
func (a *potWalk) choose(from float64) (cost float64, picks []int, exact bool) {
	c := choices{a: a, fewest: math.MaxInt64, nodes: choiceNodes}
	if !c.layOut() {
		return from, nil, false
	}
	least := c.root()
	c.visit()
	unit := max(a.grain, 1)
	switch {
	case c.lost:
		return max(from, least*unit), nil, false
	case c.best == nil:
		return math.Inf(1), nil, true
	}
	return float64(c.fewest) * unit, c.best, true
}

// layOut makes the program; false where numbers are too large for it.
func (c *choices) layOut() bool {
	a := c.a
	n := len(a.room)
	var columns []lp.Column
	for _, cost := range a.costs {
		grains := 0.0
		if a.grain > 0 {
			grains = math.Round(cost / a.grain)
		}
		if grains*a.grain != cost || math.Abs(grains) > float64(lp.MaxCost) {
			return false
		}
		c.costs = append(c.costs, int64(grains))
		columns = append(columns, lp.Column{Cost: int64(grains), Upper: 1})
	}
	s, err := lp.New(columns)
	if err != nil {
		return false
	}
	c.lp = s
	for at := range a.order {
		one := lp.Row{Lower: 1, Upper: 1}
		for o := a.first[at]; o < a.first[at+1]; o++ {
			one.Cols, one.Coefs = append(one.Cols, o), append(one.Coefs, 1)
		}
		if s.AddRow(one) != nil {
			return false
		}
	}
	for i, room := range a.room {
		within := lp.Row{Lower: -lp.Inf, Upper: room}
		for o := range c.costs {
			if ul := a.takes[o*n+i]; ul != 0 {
				within.Cols, within.Coefs = append(within.Cols, int32(o)), append(within.Coefs, ul)
			}
		}
		if s.AddRow(within) != nil {
			return false
		}
	}
	return true
}

// root strengthens the relaxation, and returns what it says the options cost at least, in grains.
func (c *choices) root() float64 {
	least := math.Inf(-1)
	for range choiceRounds {
		switch c.lp.Solve(choicePivots) {
		case lp.Infeasible:
			if c.lp.CertifyInfeasible(&c.cert) {
				return math.Inf(1)
			}
			return least
		case lp.Optimal:
		default:
			return least
		}
		c.lp.Certify(&c.cert)
		least = max(least, math.Ceil(c.cert.Bound()))
		rows := c.lp.BasisRows(choiceRows)
		for _, r := range rows {
			if c.lp.AddRow(r) != nil {
				return least
			}
		}
		if len(rows) == 0 {
			break
		}
	}
	return least
}

// visit looks at the node that the columns' bounds make, and splits it on an option in doubt.
func (c *choices) visit() {
	if c.nodes--; c.nodes < 0 {
		c.lost = true
		return
	}
	switch c.lp.Solve(choicePivots) {
	case lp.Infeasible:
		c.lost = c.lost || !c.lp.CertifyInfeasible(&c.cert)
		return
	case lp.Optimal:
	default:
		c.lost = true
		return
	}
	if c.lp.Certify(&c.cert); c.cert.Bound() > float64(c.fewest-1) {
		return
	}
	o := c.open()
	if o < 0 {
		c.take()
		return
	}
	for _, side := range [...]int64{1, 0} {
		c.lp.SetBounds(o, side, side)
		if c.visit(); c.lost {
			return
		}
	}
	c.lp.SetBounds(o, 0, 1)
}

// open is the option to split on, -1 where all are whole: one far from whole that takes much,
// since the small ones fit in somewhere once the large ones are placed.
func (c *choices) open() (most int) {
	const whole = 1e-6
	n, best := len(c.a.room), 0.0
	most = -1
	for o := range c.costs {
		v := c.lp.Value(o)
		doubt := min(v, 1-v)
		if doubt <= whole {
			continue
		}
		takes := int64(1)
		for _, ul := range c.a.takes[o*n : o*n+n] {
			takes = max(takes, ul)
		}
		if score := doubt * float64(takes); score > best {
			most, best = o, score
		}
	}
	return most
}

// take notes what a whole answer takes. Whether that is within the room is seen in whole numbers.
func (c *choices) take() {
	a := c.a
	n := len(a.room)
	picks, cost := make([]int, len(a.order)), int64(0)
	room := append([]int64(nil), a.room...)
	for at := range picks {
		picks[at] = -1
		for o := a.first[at]; o < a.first[at+1]; o++ {
			if c.lp.Value(int(o)) < 0.5 {
				continue
			}
			picks[at] = int(a.option[o])
			cost += c.costs[o]
			for i, ul := range a.takes[int(o)*n : int(o)*n+n] {
				room[i] -= ul
			}
			break
		}
		if picks[at] < 0 {
			c.lost = true
			return
		}
	}
	for _, left := range room {
		if left < 0 {
			c.lost = true
			return
		}
	}
	// A cost above the bound, which rounding may leave, would not be known to be least.
	if c.lost = c.cert.Bound() <= float64(cost-1); !c.lost && cost < c.fewest {
		c.fewest, c.best = cost, picks
	}
}
