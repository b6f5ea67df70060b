package optimize

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
	cost0 [nuSteps + 1]float64 // sum of the reduced costs of what is taken at each discount
	goods [nuSteps + 1]float64 // and of its value
	done  int                  // up to here both are summed; beyond, they are of one step alone
}

func (c *curve) build(r *relax, p *point, h int) {
	clear(c.cost0[:])
	clear(c.goods[:])
	add := func(cost, price, boxes float64) {
		if boxes <= 0 {
			return
		}
		step := 0
		if cost >= 0 {
			if cost >= price {
				return
			}
			step = int(cost/price*nuSteps) + 1
		}
		c.cost0[step] += cost * boxes
		c.goods[step] += price * boxes
	}
	for j := r.shopStart[h]; j < r.shopStart[h+1]; j++ {
		first, more, price := p.first[j], p.more[j], r.offPrice[j]
		lo, hi := float64(r.offLo[j]), float64(r.offHi[j])
		if lo > 0 { // sure to be bought
			c.cost0[0] += first + (lo-1)*more
			c.goods[0] += lo * price
			add(more, price, hi-lo)
			continue
		}
		add(first, price, 1)
		add(more, price, hi-1)
	}
	c.done = 0
}

// reach sums up until goods worth t are taken, or to the end.
func (c *curve) reach(t float64) {
	for c.done < nuSteps && c.goods[c.done] < t {
		c.done++
		c.cost0[c.done] += c.cost0[c.done-1]
		c.goods[c.done] += c.goods[c.done-1]
	}
}

// at is the least cost of goods worth t, seen at one discount.
func (c *curve) at(step int, t float64) float64 {
	nu := float64(step) / nuSteps
	return nu*(t-c.goods[step]) + c.cost0[step]
}

// cost is the best bound over all discounts, and the one that gives it.
func (c *curve) cost(t float64) (float64, int) {
	c.reach(t)
	lo, hi := 0, c.done
	for lo < hi { // the first discount at which enough is taken
		mid := (lo + hi) / 2
		if c.goods[mid] >= t {
			hi = mid
		} else {
			lo = mid + 1
		}
	}
	return c.at(lo, t), lo
}

// costWithout is cost when an offer taken at reduced cost and price is left out.
func (c *curve) costWithout(t, cost, price float64) float64 {
	c.reach(t + price)
	lo, hi := 0, c.done
	for lo < hi {
		mid := (lo + hi) / 2
		g := c.goods[mid]
		if cost < float64(mid)/nuSteps*price {
			g -= price
		}
		if g >= t {
			hi = mid
		} else {
			lo = mid + 1
		}
	}
	return c.at(lo, t) - min(0, cost-float64(lo)/nuSteps*price)
}
