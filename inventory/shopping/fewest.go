package shopping

import (
	"context"
	"fmt"

	"halfpot/optimize"
)

// Fewest finds the fewest paints that still do every task, each in one of several
// ways that take some paints each; ways with other paints than those owned are left
// out, and tasks that have none then. It is stated as a purchase in which every paint
// costs one. Proven says that no fewer do.
func Fewest(
	ctx context.Context, solve Solver, owned []string, tasks [][][]string,
) (keep []string, proven bool, err error) {
	p := &optimize.Problem{Currency: "EUR", Shops: []optimize.Shop{{ID: "shelf", Delivery: []optimize.Band{{}}}}}
	own := map[string]bool{}
	one := int64(1)
	for _, id := range owned {
		own[id] = true
		p.Paints = append(p.Paints, optimize.Paint{ID: id})
		p.Products = append(p.Products, optimize.Product{
			ID:       id,
			Contents: []optimize.Content{{Paint: id, UL: int64(len(tasks)) + 1, Count: 1}},
		})
		p.Offers = append(p.Offers, optimize.Offer{Product: id, Shop: "shelf", Price: 1, Limit: &one})
	}
	for i, ways := range tasks {
		n := optimize.Need{ID: fmt.Sprint("task-", i), Group: "all"}
		for j, paints := range ways {
			o := optimize.Option{ID: fmt.Sprint("way-", j)}
			can := true
			for _, id := range paints {
				can = can && own[id]
				o.Uses = append(o.Uses, optimize.Use{Paint: id, UL: 1})
			}
			if can {
				n.Options = append(n.Options, o)
			}
		}
		if len(n.Options) > 0 {
			p.Needs = append(p.Needs, n)
		}
	}
	if len(p.Needs) == 0 {
		return nil, true, nil
	}
	r, err := solve(ctx, p)
	if err != nil {
		return nil, false, err
	}
	for _, b := range r.Buy {
		keep = append(keep, b.Product)
	}
	return keep, r.Status == optimize.Optimal, nil
}
