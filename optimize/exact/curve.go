package exact

import "math/bits"

// curve tells what goods of a shop cost at least at reduced costs, by their
// value: the continuous knapsack, with discounts that are multiples of
// 1/nuSteps. For any discount nu the cost of goods worth t is at least
//
//	nu*t + sum over offers of min(0, reduced cost - nu*price)
//
// and the best nu takes offers in the order of reduced cost per price.
// No discount above 1 is looked at: then anything at all could be bought to
// make up the value, at its price.
type curve struct {
	cost0 [nuSteps + 1]float64 // reduced costs of what is taken from each discount on
	goods [nuSteps + 1]float64 // and its value
	mark  [nuSteps/64 + 1]uint64

	steps []curveStep // the discounts at which anything is taken, and the greatest
}

// curveStep is a discount and what is taken at it, in all.
type curveStep struct {
	nu, cost, goods float64
}

func (c *curve) build(r *relax, p *point, h int) {
	c.add(0, 0, 0)
	c.add(nuSteps, 0, 0)
	for j := r.shopStart[h]; j < r.shopStart[h+1]; j++ {
		first, more, price := p.first[j], p.more[j], r.offPrice[j]
		lo, hi := float64(r.offLo[j]), float64(r.offHi[j])
		if lo > 0 { // sure to be bought
			c.add(0, first+(lo-1)*more, lo*price)
			c.take(more, price, hi-lo)
			continue
		}
		c.take(first, price, 1)
		c.take(more, price, hi-1)
	}
	c.steps = c.steps[:0]
	cost, goods := 0.0, 0.0
	for w, word := range c.mark {
		for ; word != 0; word &= word - 1 {
			step := w*64 + bits.TrailingZeros64(word)
			cost += c.cost0[step]
			goods += c.goods[step]
			c.steps = append(c.steps, curveStep{float64(step) / nuSteps, cost, goods})
			c.cost0[step], c.goods[step] = 0, 0
		}
		c.mark[w] = 0
	}
}

func (c *curve) add(step int, cost, goods float64) {
	c.mark[step/64] |= 1 << (step % 64)
	c.cost0[step] += cost
	c.goods[step] += goods
}

// take adds boxes at the discount from which on they are worth while.
func (c *curve) take(cost, price, boxes float64) {
	switch {
	case boxes <= 0 || cost >= 0 && cost >= price:
	case cost < 0:
		c.add(0, cost*boxes, price*boxes)
	default:
		c.add(int(cost/price*nuSteps)+1, cost*boxes, price*boxes)
	}
}

// cost is the best bound over all discounts on the cost of goods worth t, and
// the discount that gives it.
func (c *curve) cost(t float64) (cost, nu float64) {
	return c.costWithout(t, 0, 0)
}

// costWithout is cost when an offer taken at reduced cost and price is left out.
func (c *curve) costWithout(t, cost, price float64) (float64, float64) {
	lo, hi := 0, len(c.steps)-1
	for lo < hi { // the first discount at which enough is taken
		mid := (lo + hi) / 2
		g := c.steps[mid].goods
		if cost < c.steps[mid].nu*price {
			g -= price
		}
		if g >= t {
			hi = mid
		} else {
			lo = mid + 1
		}
	}
	s := c.steps[lo]
	return s.nu*(t-s.goods) + s.cost - min(0, cost-s.nu*price), s.nu
}
