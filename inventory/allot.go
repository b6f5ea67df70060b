package inventory

import "fmt"

// Allot deals what came from a shop out to its orders, each box to the oldest
// of which it is outstanding. The items are by the order's place in the list;
// what no order of the shop waits for is a fault.
func Allot(orders []Order, shop string, items []ParcelItem) (map[int][]ParcelItem, Faults) {
	left := make([]map[string]int, len(orders))
	for i := range orders {
		left[i] = map[string]int{}
		if orders[i].Shop == shop {
			for _, l := range orders[i].Outstanding() {
				left[i][l.Product] = l.Count
			}
		}
	}
	out := map[int][]ParcelItem{}
	var faults Faults
	for _, item := range items {
		product, open := item.ordered(), 0
		for i := range orders {
			open += left[i][product]
		}
		if item.Count == 0 {
			item.Count = max(open, 1)
		}
		if item.Count > open {
			faults = append(faults, Fault{
				Path:     "orders at " + shop,
				Found:    fmt.Sprintf("%d of %s", item.Count, product),
				Expected: fmt.Sprintf("at most the %d still on their way from there", open),
			})
			continue
		}
		for i := range orders {
			if n := min(item.Count, left[i][product]); n > 0 {
				part := item
				part.Count = n
				out[i] = append(out[i], part)
				left[i][product] -= n
				item.Count -= n
			}
		}
	}
	return out, faults
}
