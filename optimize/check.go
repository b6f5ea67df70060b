package optimize

import (
	"errors"
	"fmt"
)

// Check says whether a result keeps its word: every constraint of the problem
// holds and every total is what the problem's data make it. It works from the
// data alone and shares nothing with the solver. It can't see whether a plan
// is the cheapest one, but the totals must fit the claim: a proven level 1
// has a bound equal to its objective. A result without a plan passes when it
// shows none of a plan's parts. The error names the first thing that is wrong.
func Check(p *Problem, r *Result) error {
	if r == nil {
		return errors.New("no result")
	}
	if r.Currency != p.Currency {
		return fmt.Errorf("currency is %q, the problem's is %q", r.Currency, p.Currency)
	}
	switch r.Status {
	case Infeasible, Unsolved:
		if r.Totals != nil || len(r.Choices)+len(r.Buy)+len(r.Shops)+len(r.Paints)+len(r.Finished) > 0 {
			return fmt.Errorf("status %q with parts of a plan", r.Status)
		}
		if r.Status == Unsolved && len(r.Reasons) > 0 {
			return errors.New("reasons, although nothing is proven")
		}
		return nil
	case Optimal, Feasible:
	default:
		return fmt.Errorf("unknown status %q", r.Status)
	}
	if len(r.Reasons) > 0 {
		return errors.New("a plan together with reasons why there is none")
	}
	if r.Totals == nil {
		return errors.New("a plan without totals")
	}
	c := checker{p: p, r: r, used: map[string]int64{}, bought: map[string]int64{}, ordered: map[string]int64{}}
	for _, step := range []func() error{
		c.choices, c.groups, c.matches, c.purchases, c.bills, c.balances, c.totals, c.claims,
	} {
		if err := step(); err != nil {
			return err
		}
		if c.wrapped {
			return errors.New("an amount passes what an int64 holds")
		}
	}
	return nil
}

type checker struct {
	p       *Problem
	r       *Result
	taken   []int            // option each need takes, -1 for none
	used    map[string]int64 // ul of each paint that the choices use
	bought  map[string]int64 // ul of each paint in the boxes
	ordered map[string]int64 // goods at each used shop

	goods, delivery, points, boxes, worth int64

	wrapped bool
}

func (c *checker) plus(a, b int64) int64 {
	s := a + b
	if (s > a) != (b > 0) && b != 0 {
		c.wrapped = true
	}
	return s
}

func (c *checker) times(a, b int64) int64 {
	if a == 0 || b == 0 {
		return 0
	}
	m := a * b
	if m/b != a || m/a != b {
		c.wrapped = true
	}
	return m
}

// choices: known needs in order, none twice, each with an option it has.
func (c *checker) choices() error {
	place := map[string]int{}
	for n, need := range c.p.Needs {
		place[need.ID] = n
		c.taken = append(c.taken, -1)
	}
	last := -1
	for _, choice := range c.r.Choices {
		n, ok := place[choice.Need]
		if !ok {
			return fmt.Errorf("a choice for the need %q, which is not in the problem", choice.Need)
		}
		if n <= last {
			return fmt.Errorf("the choice for need %q is repeated or out of order", choice.Need)
		}
		last = n
		for o, option := range c.p.Needs[n].Options {
			if option.ID == choice.Option {
				c.taken[n] = o
				c.points = c.plus(c.points, option.Compromise)
				for _, u := range option.Uses {
					c.used[u.Paint] = c.plus(c.used[u.Paint], u.UL)
				}
			}
		}
		if c.taken[n] < 0 {
			return fmt.Errorf("need %q takes the option %q, which it does not have", choice.Need, choice.Option)
		}
	}
	return nil
}

// groups: constraint 1.
func (c *checker) groups() error {
	if c.p.Rules.Budget == nil {
		for n, o := range c.taken {
			if o < 0 {
				return fmt.Errorf("need %q takes no option", c.p.Needs[n].ID)
			}
		}
		if len(c.r.Finished) > 0 {
			return errors.New("finished groups are listed without a budget")
		}
		return nil
	}
	finished := map[string]bool{}
	for _, id := range c.r.Finished {
		if finished[id] {
			return fmt.Errorf("group %q is listed as finished twice", id)
		}
		finished[id] = true
	}
	known := map[string]bool{}
	for _, g := range c.p.Groups {
		known[g.ID] = true
		if finished[g.ID] {
			c.worth = c.plus(c.worth, g.Worth)
		}
	}
	for n, need := range c.p.Needs {
		if need.Group != "" {
			known[need.Group] = true
		}
		switch takes := c.taken[n] >= 0; {
		case takes && !finished[need.Group]:
			return fmt.Errorf("need %q takes an option, but its group %q is not finished", need.ID, need.Group)
		case !takes && finished[need.Group]:
			return fmt.Errorf("need %q takes no option, but its group %q is finished", need.ID, need.Group)
		}
	}
	for _, id := range c.r.Finished {
		if !known[id] {
			return fmt.Errorf("the finished group %q is not in the problem", id)
		}
	}
	return nil
}

// matches: constraint 2.
func (c *checker) matches() error {
	needs := map[string][]int{}
	for n, need := range c.p.Needs {
		if need.Match != "" {
			needs[need.Match] = append(needs[need.Match], n)
		}
	}
	for label, members := range needs {
		chosen, first := "", -1
		for _, n := range members {
			if c.taken[n] < 0 {
				continue
			}
			id := c.p.Needs[n].Options[c.taken[n]].ID
			if first >= 0 && id != chosen {
				return fmt.Errorf("match %q: need %q takes %q and need %q takes %q",
					label, c.p.Needs[first].ID, chosen, c.p.Needs[n].ID, id)
			}
			chosen, first = id, n
		}
		for _, n := range members {
			has := first < 0
			for _, option := range c.p.Needs[n].Options {
				has = has || option.ID == chosen
			}
			if !has {
				return fmt.Errorf("match %q: option %q is taken, but need %q has no such option",
					label, chosen, c.p.Needs[n].ID)
			}
		}
	}
	return nil
}

// purchases: boxes on offer, in order, within their limits; then constraint 3.
func (c *checker) purchases() error {
	contents := map[string][]Content{}
	for _, product := range c.p.Products {
		contents[product.ID] = product.Contents
	}
	next := 0
	for _, b := range c.r.Buy {
		for next < len(c.p.Offers) &&
			(c.p.Offers[next].Product != b.Product || c.p.Offers[next].Shop != b.Shop) {
			next++
		}
		if next == len(c.p.Offers) {
			return fmt.Errorf("product %q at shop %q is not on offer, or repeated or out of order",
				b.Product, b.Shop)
		}
		offer := c.p.Offers[next]
		next++
		if b.Count < 1 {
			return fmt.Errorf("%d boxes of product %q at shop %q are bought", b.Count, b.Product, b.Shop)
		}
		if offer.Limit != nil && b.Count > *offer.Limit {
			return fmt.Errorf("%d boxes of product %q are bought at shop %q, which has %d",
				b.Count, b.Product, b.Shop, *offer.Limit)
		}
		c.boxes = c.plus(c.boxes, b.Count)
		cost := c.times(b.Count, offer.Price)
		c.goods = c.plus(c.goods, cost)
		c.ordered[b.Shop] = c.plus(c.ordered[b.Shop], cost)
		for _, content := range contents[b.Product] {
			ul := c.times(c.times(content.UL, content.Containers()), b.Count)
			c.bought[content.Paint] = c.plus(c.bought[content.Paint], ul)
		}
	}
	for _, paint := range c.p.Paints {
		if have := c.plus(paint.HaveUL, c.bought[paint.ID]); c.used[paint.ID] > have {
			return fmt.Errorf("paint %q: %d ul are used, %d ul are there", paint.ID, c.used[paint.ID], have)
		}
	}
	return nil
}

// bills: constraints 4 to 6, shop by shop in order.
func (c *checker) bills() error {
	next := 0
	for _, shop := range c.p.Shops {
		goods, used := c.ordered[shop.ID]
		if !used {
			continue
		}
		if next == len(c.r.Shops) {
			return fmt.Errorf("no bill of shop %q, which is used", shop.ID)
		}
		bill := c.r.Shops[next]
		next++
		if bill.Shop != shop.ID {
			return fmt.Errorf("a bill of shop %q stands where that of shop %q is due", bill.Shop, shop.ID)
		}
		if bill.Goods != goods {
			return fmt.Errorf("shop %q: goods are %d, the boxes come to %d", shop.ID, bill.Goods, goods)
		}
		if bill.Goods < shop.MinOrder {
			return fmt.Errorf("shop %q: goods of %d are under its minimum order of %d",
				shop.ID, bill.Goods, shop.MinOrder)
		}
		fee := int64(0)
		for _, band := range shop.Delivery {
			if band.From <= bill.Goods {
				fee = band.Fee
			}
		}
		if bill.Fee != fee {
			return fmt.Errorf("shop %q: the fee is %d, its bands say %d", shop.ID, bill.Fee, fee)
		}
		c.delivery = c.plus(c.delivery, fee)
	}
	if next < len(c.r.Shops) {
		return fmt.Errorf("a bill of shop %q, where nothing is bought or which has one already",
			c.r.Shops[next].Shop)
	}
	if most := c.p.Rules.MaxShops; most != nil && int64(next) > *most {
		return fmt.Errorf("%d shops are used, at most %d may be", next, *most)
	}
	if budget := c.p.Rules.Budget; budget != nil && c.plus(c.goods, c.delivery) > *budget {
		return fmt.Errorf("goods and delivery come to %d, over the budget of %d", c.goods+c.delivery, *budget)
	}
	return nil
}

// balances: what is left of every paint, in order.
func (c *checker) balances() error {
	if len(c.r.Paints) != len(c.p.Paints) {
		return fmt.Errorf("%d paints are balanced, the problem has %d", len(c.r.Paints), len(c.p.Paints))
	}
	for i, paint := range c.p.Paints {
		want := PaintBalance{
			Paint:  paint.ID,
			HaveUL: paint.HaveUL,
			NeedUL: c.used[paint.ID],
			BuyUL:  c.bought[paint.ID],
		}
		want.LeftUL = want.HaveUL + want.BuyUL - want.NeedUL
		if c.r.Paints[i] != want {
			return fmt.Errorf("paint %q: the balance is %+v, the plan makes it %+v",
				paint.ID, c.r.Paints[i], want)
		}
	}
	return nil
}

func (c *checker) totals() error {
	t := c.r.Totals
	objective := c.plus(c.plus(c.goods, c.delivery), c.times(c.p.Rules.CompromisePrice, c.points))
	for _, total := range []struct {
		name        string
		found, want int64
	}{
		{"goods", t.Goods, c.goods},
		{"delivery", t.Delivery, c.delivery},
		{"points", t.Points, c.points},
		{"boxes", t.Boxes, c.boxes},
		{"shops_used", t.ShopsUsed, int64(len(c.r.Shops))},
		{"worth", t.Worth, c.worth},
		{"objective", t.Objective, objective},
	} {
		if total.found != total.want {
			return fmt.Errorf("total %s is %d, the plan makes it %d", total.name, total.found, total.want)
		}
	}
	return nil
}

// claims: what is said to be proven fits the numbers.
func (c *checker) claims() error {
	t, levels := c.r.Totals, 4
	proven := c.r.ProvenLevels // from level 1 on
	if c.p.Rules.Budget != nil {
		levels = 5
		proven--
		if t.WorthBound < t.Worth {
			return fmt.Errorf("the bound %d on worth is under the worth %d reached", t.WorthBound, t.Worth)
		}
		if c.r.ProvenLevels >= 1 && t.WorthBound != t.Worth {
			return fmt.Errorf("the worth is said to be proven, with a worth of %d and a bound of %d",
				t.Worth, t.WorthBound)
		}
	} else if t.WorthBound != 0 {
		return errors.New("a bound on worth without a budget")
	}
	if c.r.ProvenLevels < 0 || c.r.ProvenLevels > levels {
		return fmt.Errorf("%d levels are said to be proven, there are %d", c.r.ProvenLevels, levels)
	}
	if (c.r.Status == Optimal) != (c.r.ProvenLevels == levels) {
		return fmt.Errorf("status %q with %d of %d levels proven", c.r.Status, c.r.ProvenLevels, levels)
	}
	// Until the greatest worth is proven a bound on the cost bounds nothing
	// that can be compared with this plan.
	if proven >= 0 && t.Bound > t.Objective {
		return fmt.Errorf("the bound %d lies over the objective %d", t.Bound, t.Objective)
	}
	if proven >= 1 && t.Bound != t.Objective {
		return fmt.Errorf("the cost is said to be proven, with an objective of %d and a bound of %d",
			t.Objective, t.Bound)
	}
	return nil
}
