package shopping

import (
	"slices"

	"halfpot/inventory"
)

// pointShare is the part of a usual pot that avoiding a point of compromise in one
// unit is worth: a pot is bought for a visible difference (3 points) seen in two
// units, and not for one that hardly anybody sees. Assumption.
const pointShare = 0.25

// PointPrice is what a point of compromise is worth where the painter does not
// say: a quarter of what a single pot usually costs, the median of the offers. It
// is zero where none is on offer.
func PointPrice(c *inventory.Catalogue) inventory.Money {
	idx := c.Index()
	currency := planCurrency(c, Rules{})
	var prices []int64
	for _, o := range c.Offers {
		p := idx.Products[o.Product]
		if p == nil || len(p.Contents) != 1 || p.Contents[0].Count != 1 {
			continue
		}
		if price, err := minorOrNone(o.Price); err == nil && price > 0 {
			prices = append(prices, price)
		}
	}
	if len(prices) == 0 {
		return inventory.Money{}
	}
	slices.Sort(prices)
	return inventory.MoneyOfMinor(int64(pointShare*float64(prices[len(prices)/2])+0.5), currency)
}
