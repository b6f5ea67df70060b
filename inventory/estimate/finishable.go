package estimate

import (
	"fmt"
	"slices"

	"halfpot/inventory"
	"halfpot/inventory/shelf"
)

// Figures is a number of figures as a range.
type Figures struct {
	AtLeast int // with the confidence asked for
	Likely  int // at even odds
	AtMost  int // not passed with that confidence
}

// Finishing is how far the shelf goes towards finishing a force.
type Finishing struct {
	Confidence float64
	Units      []UnitFinish // in the order of the force, units with something left
	Together   int          // figures finished when the units share the shelf, with the confidence
	Proven     bool         // no way of sharing finishes more; false where the search was cut short
	Bound      int          // no way of sharing finishes more than this; Together where that is proven
	RunsOut    []RunOut     // every paint of the recipes' own ways, the soonest gone first
}

// UnitFinish is how many figures of a unit can be finished: all their steps,
// beyond those finished already.
type UnitFinish struct {
	Unit     string
	Left     int     // figures not finished yet
	Alone    Figures // with the whole shelf to itself
	Together int     // of Finishing.Together
	Ways     []StepWay
	Lacking  []string // paints that one more figure, alone and as the recipe says, lacks at the confidence
}

// StepWay is the way a step is done on the figures that get finished.
type StepWay struct {
	Step       string
	Option     string // option id
	Compromise int
}

// RunOut says after how many figures of the force, unit by unit in its order
// and as the recipes say, a paint on the shelf is used up.
type RunOut struct {
	Paint   string
	Figures        // that get all their steps before it runs out
	Of      int    // figures the force still has to be painted
	Unit    string // where it runs out, with the confidence; "" where it does not
	Step    string
}

// Enough reports whether the paint lasts for all, with the confidence.
func (r RunOut) Enough() bool { return r.AtLeast >= r.Of }

// searchBudget is how many choices the search for the best sharing may look
// at: some seconds on any machine, and far more than a painter's shelf needs.
const searchBudget = 400_000

// Finishable works out how many figures of each unit of a force the shelf can
// finish now, with the alternatives and stand-ins the painter accepts, how
// many together when units share paints, and which paint runs out first.
// Levels are those of the shelf's pots. Confidence is 0.5 to below 1; 0 is
// DefaultConfidence. The answer together is the best there is: branch and
// bound over units, figures and ways, where a paint that every way of a unit
// needs bounds how many figures it can serve at most; should that take longer
// than a few seconds, the best found is given and Proven is false.
func (e *Estimator) Finishable(
	f *inventory.Force, levels []shelf.Level, rules NeedRules, confidence float64,
) (*Finishing, error) {
	if confidence == 0 {
		confidence = DefaultConfidence
	}
	if !(confidence >= 0.5 && confidence < 1) {
		return nil, inventory.Fault{
			Path:     "confidence",
			Found:    fmt.Sprint(confidence),
			Expected: "0.5 to below 1",
		}
	}
	out := &Finishing{Confidence: confidence}
	sure, err := newFinisher(e, f, levels, rules, confidence)
	if err != nil {
		return nil, err
	}
	for i, u := range sure.units {
		alone, _ := sure.most(i, sure.stock)
		out.Units = append(out.Units, UnitFinish{
			Unit:    u.unit.ID,
			Left:    u.left,
			Alone:   Figures{AtLeast: alone},
			Lacking: sure.lacking(i, alone),
		})
	}
	likely, err := newFinisher(e, f, levels, rules, 0.5)
	if err != nil {
		return nil, err
	}
	lucky, err := newFinisher(e, f, levels, rules, 1-confidence)
	if err != nil {
		return nil, err
	}
	for i := range out.Units {
		out.Units[i].Alone.Likely, _ = likely.most(i, likely.stock)
		out.Units[i].Alone.AtMost, _ = lucky.most(i, lucky.stock)
	}
	out.Together, out.Proven = sure.together(out.Units)
	if out.Bound = out.Together; !out.Proven {
		out.Bound = sure.upper(0, sure.stock)
	}
	out.RunsOut, err = e.RunOuts(f, levels, rules, confidence)
	return out, err
}

// finisher is the question at one quantile: needs not passed with probability
// q, stock passed with it.
type finisher struct {
	e      *Estimator
	q      float64
	units  []*finishUnit
	paint  map[string]int // place in stock
	stock  []int64        // ul
	ample  []bool         // enough for everything anybody could ask of it
	spent  int            // of searchBudget
	cut    bool           // the search was cut short
	thrift [][]int
}

type finishUnit struct {
	unit  inventory.Unit
	left  int // figures not finished
	steps []*finishStep
	alone int
	least []float64 // of each paint, ul a figure that no way avoids
}

type finishStep struct {
	step    *inventory.Step
	ahead   int // figures that have had this step beyond those finished
	match   string
	options []Option
	uses    map[int][][]use // by figures: each option's use of each paint
}

// use is an amount of a paint in the finisher's numbering.
type use struct {
	paint int
	ul    int64
}

func newFinisher(
	e *Estimator, f *inventory.Force, levels []shelf.Level, rules NeedRules, q float64,
) (*finisher, error) {
	g := &finisher{e: e, q: q, paint: map[string]int{}}
	stock := shelf.StockOf(levels, q)
	labels, done := newMatcher(f, e.Index), doneBySteps(f)
	for _, u := range f.Units {
		r := e.Index.Recipes[u.Recipe]
		if r == nil || e.Index.Figures[u.Figure] == nil {
			return nil, fmt.Errorf("unit %s: its recipe or figure type is not in the catalogue", u.ID)
		}
		fu := &finishUnit{unit: u}
		finished := u.Figures
		for i := range r.Steps {
			s := &r.Steps[i]
			if len(s.Mix) == 0 || s.CoatsOn(u.Undercoat) == 0 || (s.Optional && rules.SkipOptional) {
				continue
			}
			at := unitStep{u.ID, s.ID}
			options, err := e.options(u, s, max(1, u.Figures-done[at]), rules.Nearby)
			if err != nil {
				return nil, err
			}
			if options, err = e.keepBegun(u, s, options, labels.mix(at), max(1, u.Figures-done[at])); err != nil {
				return nil, err
			}
			for _, o := range options {
				for _, p := range o.Uses {
					if _, ok := g.paint[p.Paint]; !ok {
						g.paint[p.Paint] = len(g.stock)
						g.stock = append(g.stock, int64(stock[p.Paint]))
					}
				}
			}
			fu.steps = append(fu.steps, &finishStep{
				step:    s,
				ahead:   done[at],
				match:   labels.label(at),
				options: options,
				uses:    map[int][][]use{},
			})
			finished = min(finished, done[at])
		}
		if fu.left = u.Figures - finished; fu.left == 0 || len(fu.steps) == 0 {
			continue
		}
		for _, s := range fu.steps {
			s.ahead -= finished
		}
		g.units = append(g.units, fu)
	}
	return g, g.findAmple()
}

// findAmple marks the paints whose stock serves every step at once, each in
// the way that takes most of them.
func (g *finisher) findAmple() error {
	g.ample, g.thrift = make([]bool, len(g.stock)), make([][]int, len(g.stock))
	most := make([]int64, len(g.stock))
	for _, u := range g.units {
		for _, s := range u.steps {
			ways, err := g.needs(u, s, u.left)
			if err != nil {
				return err
			}
			worst := map[int]int64{}
			for _, w := range ways {
				for _, x := range w {
					worst[x.paint] = max(worst[x.paint], x.ul)
				}
			}
			for p, ul := range worst {
				most[p] += ul
			}
		}
	}
	for p := range most {
		g.ample[p] = most[p] <= g.stock[p]
	}
	return nil
}

// needs are what each way of a step takes for the unit's next n figures.
func (g *finisher) needs(u *finishUnit, s *finishStep, n int) ([][]use, error) {
	figures := max(0, n-s.ahead)
	if out, ok := s.uses[figures]; ok {
		return out, nil
	}
	out := make([][]use, len(s.options))
	if figures > 0 {
		for i, o := range s.options {
			sum, err := g.e.Sum(u.unit, s.step, o.Mix, o.Thinning, figures)
			if err != nil {
				return nil, err
			}
			for _, p := range sum.Uses(o.Mix, o.Thinning) {
				if ul := p.UL(g.q); ul > 0 {
					out[i] = append(out[i], use{g.paint[p.Paint], int64(ul)})
				}
			}
		}
	}
	s.uses[figures] = out
	return out, nil
}

// lacking lists the paints of the recipe's own ways that stop the unit at n
// figures, in the order of its steps.
func (g *finisher) lacking(i, n int) []string {
	u := g.units[i]
	if n >= u.left {
		return nil
	}
	names := make([]string, len(g.stock))
	for id, p := range g.paint {
		names[p] = id
	}
	sum := make([]int64, len(g.stock))
	var order []int
	for _, s := range u.steps {
		ways, err := g.needs(u, s, n+1)
		if err != nil {
			continue
		}
		for _, w := range ways[0] {
			if sum[w.paint] == 0 {
				order = append(order, w.paint)
			}
			sum[w.paint] += w.ul
		}
	}
	var out []string
	for _, p := range order {
		if sum[p] > g.stock[p] {
			out = append(out, names[p])
		}
	}
	return slices.Clip(out)
}
