package desk

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"time"

	"halfpot/inventory"
	"halfpot/inventory/estimate"
	"halfpot/inventory/hand"
	"halfpot/inventory/shopping"
	"halfpot/optimize"
)

// reckoner counts in how many of the ways the truth may be a force is finished
// with what the shelf has and a plan buys: one hand over all steps, need and
// stock of a paint in one.
type reckoner struct {
	d       *Desk
	draws   *hand.Draws
	needs   *estimate.Needs
	force   inventory.Force
	jobs    map[string][]float64 // draws of what is applied, by need and option
	shares  map[string]map[string]float64
	stock   map[string][]float64 // by paint
	new     map[string][]float64 // of one new pot, by paint, size and number
	own     map[string][]float64 // needs by paint, each step done as its recipe asks
	ownUses map[string][]string  // need ids by paint
	order   []string             // the paints of own
	// what plans tried so far have shown the shelf to be reckoned too high by; below 0: too low
	held  inventory.Stock
	ranks *ranks // of stock and own
	err   error
}

// ranks are draws in the order of their size, since many levels are looked up in them.
type ranks struct {
	short              [][]float64 // own less stock, in the order of the draws, by the order of the paints
	enough             float64     // the chance that none is short
	own, stock, missed map[string][]float64
}

// ranked puts the draws in order once the stock is known.
func (r *reckoner) ranked() *ranks {
	out := &ranks{
		short:  r.short(r.own, nil, r.order),
		own:    map[string][]float64{},
		stock:  map[string][]float64{},
		missed: map[string][]float64{},
	}
	out.enough, _, _ = hand.Enough(out.short)
	for i, id := range r.order {
		out.own[id], out.missed[id] = sortedCopy(r.own[id]), sortedCopy(out.short[i])
	}
	for id, x := range r.stock {
		out.stock[id] = sortedCopy(x)
	}
	return out
}

// restocked is the same where the stock of a paint has changed.
func (k *ranks) restocked(r *reckoner, paint string) *ranks {
	out := &ranks{
		short:  slices.Clone(k.short),
		own:    k.own,
		stock:  maps.Clone(k.stock),
		missed: maps.Clone(k.missed),
	}
	out.stock[paint] = sortedCopy(r.stock[paint])
	if i := slices.Index(r.order, paint); i >= 0 {
		out.short[i] = r.short(r.own, nil, r.order[i:i+1])[0]
		out.missed[paint] = sortedCopy(out.short[i])
	}
	out.enough, _, _ = hand.Enough(out.short)
	return out
}

func sortedCopy(x []float64) []float64 {
	s := slices.Clone(x)
	slices.Sort(s)
	return s
}

func (d *Desk) reckoner(force inventory.Force, needs *estimate.Needs) *reckoner {
	r := &reckoner{
		d:       d,
		draws:   d.book.Hand.Draws(),
		needs:   needs,
		force:   force,
		jobs:    map[string][]float64{},
		shares:  map[string]map[string]float64{},
		stock:   map[string][]float64{},
		new:     map[string][]float64{},
		own:     map[string][]float64{},
		ownUses: map[string][]string{},
		held:    inventory.Stock{},
	}
	e := d.estimator()
	for i := range needs.List {
		n := &needs.List[i]
		for j := range n.Options {
			if r.err == nil {
				r.err = r.job(e, n, &n.Options[j])
			}
		}
		if len(n.Options) == 0 || r.err != nil {
			continue
		}
		r.add(r.own, n, &n.Options[0])
		for _, u := range n.Options[0].Uses {
			if r.ownUses[u.Paint] == nil {
				r.order = append(r.order, u.Paint)
			}
			r.ownUses[u.Paint] = append(r.ownUses[u.Paint], n.ID())
		}
	}
	for i := range d.Shelf.Pots {
		p := &d.Shelf.Pots[i]
		if d.Levels[i].Gone != "" {
			continue
		}
		if x := d.book.PotDraws(r.draws, p.ID, p, d.At); x != nil {
			sum(r.stock, p.Paint, x, 1)
		}
	}
	number := map[string]int{}
	for _, c := range d.Coming { // what is on its way counts as it will on the shelf
		for range c.Pots {
			if x := r.pot("on its way "+c.Paint, c.Paint, c.Size, number[c.Paint]); x != nil {
				sum(r.stock, c.Paint, x, 1)
			}
			number[c.Paint]++
		}
	}
	r.ranks = r.ranked()
	return r
}

// again is the same reckoner before any plan was tried.
func (r *reckoner) again() *reckoner { return r.with(inventory.Stock{}) }

// with is the same reckoner with what other plans have shown.
func (r *reckoner) with(held inventory.Stock) *reckoner {
	c := *r
	c.held = inventory.Stock{}
	maps.Copy(c.held, held)
	return &c
}

func sum(into map[string][]float64, key string, x []float64, factor float64) {
	s := into[key]
	if s == nil {
		s = make([]float64, len(x))
		into[key] = s
	}
	for k, v := range x {
		s[k] += v * factor
	}
}

func jobKey(n *estimate.Need, option string) string { return n.ID() + " " + option }

// job draws what a step takes when it is done one way.
func (r *reckoner) job(e *estimate.Estimator, n *estimate.Need, o *estimate.Option) error {
	unit, _ := r.force.Unit(n.Unit)
	step, _ := r.d.Index.Recipes[unit.Recipe].Step(n.Step)
	s, err := e.Sum(unit, &step, o.Mix, o.Thinning, n.Figures)
	if err != nil {
		return err
	}
	key := jobKey(n, o.ID)
	r.jobs[key] = r.draws.Job(n.ID(), unit.Figure, r.d.book.Work(&s))
	shares := map[string]float64{}
	if s.Applied.Median > 0 {
		for _, u := range o.Uses {
			shares[u.Paint] += u.Amount.Median / s.Applied.Median
		}
	}
	r.shares[key] = shares
	return nil
}

// add adds what a need takes done one way.
func (r *reckoner) add(into map[string][]float64, n *estimate.Need, o *estimate.Option) {
	key := jobKey(n, o.ID)
	for paint, share := range r.shares[key] {
		sum(into, paint, r.jobs[key], share)
	}
}

// pot draws one new pot of a paint: as it comes from the shop, the same as it
// will be on the shelf.
func (r *reckoner) pot(name, paint string, size inventory.Volume, number int) []float64 {
	key := fmt.Sprintf("%s %d %d", name, size, number)
	x, ok := r.new[key]
	if !ok {
		x = r.d.book.PotDraws(r.draws, key, &inventory.Pot{Paint: paint, Nominal: size}, time.Time{})
		r.new[key] = x
	}
	return x
}

// short is need less stock of each paint, in each draw.
func (r *reckoner) short(need, bought map[string][]float64, paints []string) [][]float64 {
	out := make([][]float64, len(paints))
	for i, p := range paints {
		out[i] = make([]float64, hand.Points)
		copy(out[i], need[p])
		for _, have := range [][]float64{r.stock[p], bought[p]} {
			for k, x := range have {
				out[i][k] -= x
			}
		}
	}
	return out
}

// slack is by how much less than the chance asked for a shelf may be sure and
// still be let alone: what was bought for it must not be bought again.
const slack = 0.005

// state is how needs and stock are reckoned at a level, 0 for the one at which
// the whole has the chance.
func (r *reckoner) state(chance, level float64) (*shopping.Reckoning, inventory.Stock) {
	spared := hand.Spared(r.ranks.short, chance)
	if level == 0 {
		cover, _ := hand.Cover(r.ranks.short, spared, chance)
		level = math.Min(math.Max(cover, chance), 0.999)
	}
	out := &shopping.Reckoning{Level: level, Scale: map[string]float64{}}
	stock := inventory.Stock{}
	for id, x := range r.ranks.stock {
		stock[id] = inventory.FloorUL(hand.AtSorted(x, 1-level) * 1000)
	}
	each := map[string]map[string]float64{}
	for i := range r.needs.List {
		n := &r.needs.List[i]
		if len(n.Options) == 0 {
			continue
		}
		for _, u := range n.Options[0].Uses {
			if each[u.Paint] == nil {
				each[u.Paint] = map[string]float64{}
			}
			each[u.Paint][n.ID()] = float64(u.UL(level))
		}
	}
	for i, id := range r.order {
		together := hand.AtSorted(r.ranks.own[id], level) * 1000
		apart := 0.0
		for _, ul := range each[id] {
			apart += ul
		}
		if apart > 0 {
			for _, n := range r.ownUses[id] {
				if _, ok := out.Scale[n]; !ok {
					out.Scale[n] = together / apart
				}
			}
		}
		missing := hand.AtSorted(r.ranks.missed[id], level) * 1000
		if spared[i] || r.ranks.enough >= chance-slack {
			missing = math.Min(missing, 0)
		}
		// Rounding each need up must not make a paint short that is enough.
		have := together - missing
		if missing <= 0 {
			have += float64(len(r.ownUses[id])) + 1
		}
		stock[id] = max(0, inventory.FloorUL(have))
		if r.stock[id] == nil {
			stock[id] = 0
		}
	}
	for id, ul := range r.held {
		stock[id] = max(0, stock[id]-ul)
	}
	return out, stock
}

// tighten learns from a plan that is not sure enough. What the shelf holds is
// reckoned against all that the recipes ask of a paint; a plan that asks less of
// it, or more as a stand-in, may find it less sure. What is sure enough as the
// plan has it is left alone. It reports whether anything is held back from now on.
func (r *reckoner) tighten(q *shopping.Question, found *optimize.Result, chance, level float64) bool {
	paints, short := r.shortOf(q, found)
	spared := hand.Spared(short, chance)
	some := false
	for i, id := range paints {
		if spared[i] {
			continue
		}
		if missing := hand.At(short[i], level); missing > 0 && r.stock[id] != nil {
			r.held[id] += inventory.CeilUL(missing*1000) + 1
			some = true
		}
	}
	return some
}

// Chance is how sure a plan is.
type Chance struct {
	Enough float64 // chance that nothing of the force runs short
	Least  string  // the paint that is short most often; "": none ever
	Alone  float64 // chance that this paint is enough, by itself
}

// shortOf is need less stock less what is bought, of each paint that a plan
// takes, in each draw.
func (r *reckoner) shortOf(q *shopping.Question, found *optimize.Result) (paints []string, short [][]float64) {
	paints, need, bought := r.drawsOf(q, found)
	return paints, r.short(need, bought, paints)
}

// drawsOf are the paints that a plan takes, with what it needs and buys of each
// in each draw.
func (r *reckoner) drawsOf(
	q *shopping.Question, found *optimize.Result,
) (paints []string, need, bought map[string][]float64) {
	need, bought = map[string][]float64{}, map[string][]float64{}
	chosen := map[string]string{}
	for _, c := range found.Choices {
		chosen[c.Need] = c.Option
	}
	for i := range r.needs.List {
		n := &r.needs.List[i]
		for j := range n.Options {
			if o := &n.Options[j]; o.ID == chosen[n.ID()] {
				r.add(need, n, o)
			}
		}
	}
	pots := map[string]int{}
	for _, b := range found.Buy {
		for _, c := range q.Index.Products[b.Product].Contents {
			for range int64(c.Count) * b.Count {
				if x := r.pot("new "+c.Paint, c.Paint, c.Volume, pots[c.Paint]); x != nil {
					sum(bought, c.Paint, x, 1)
				}
				pots[c.Paint]++
			}
		}
	}
	for _, p := range r.d.Catalogue.Paints {
		if need[p.ID] != nil {
			paints = append(paints, p.ID)
		}
	}
	return paints, need, bought
}

// spend lets the shelf serve a paint that a plan buys though the whole has the
// chance asked for without it: of several the one that leaves the whole surest.
// It reports whether there is one.
func (r *reckoner) spend(q *shopping.Question, found *optimize.Result, chance float64) bool {
	paints, need, bought := r.drawsOf(q, found)
	best, most := "", chance
	for _, id := range paints {
		have := bought[id]
		if have == nil || r.stock[id] == nil {
			continue
		}
		delete(bought, id)
		if enough, _, _ := hand.Enough(r.short(need, bought, paints)); enough >= most {
			best, most = id, enough
		}
		bought[id] = have
	}
	for _, b := range found.Paints {
		if b.Paint == best && b.NeedUL > b.HaveUL {
			r.held[best] -= inventory.Volume(b.NeedUL - b.HaveUL)
			return true
		}
	}
	return false
}

// of counts the draws in which a plan is enough for the units it finishes.
func (r *reckoner) of(q *shopping.Question, found *optimize.Result) Chance {
	paints, short := r.shortOf(q, found)
	out := Chance{Enough: 1}
	if len(paints) == 0 {
		return out
	}
	enough, least, each := hand.Enough(short)
	out.Enough = enough
	if least >= 0 {
		out.Least, out.Alone = paints[least], each[least]
	}
	return out
}
