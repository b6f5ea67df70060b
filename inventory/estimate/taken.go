package estimate

import (
	"errors"
	"slices"

	"halfpot/inventory"
	"halfpot/inventory/shelf"
)

// Taken are the ways in which the steps of a force will really be done: as begun;
// else as the recipe asks where the pots hold enough of that; else the way with
// the least compromise that they hold enough of; else as the recipe asks, which
// is then to be bought.
type Taken map[string]Option // by "unit/step"; a step done on all figures has none

// Of is the way of a step of a unit.
func (t Taken) Of(unit, step string) (Option, bool) {
	o, ok := t[unit+"/"+step]
	return o, ok
}

// Taken goes through a force in its order, taking what each step uses from the
// pots, at the median; steps that must look alike are taken together. Of two
// lists of levels the first comes first: what is on the shelf, then that with
// what is on its way.
func (e *Estimator) Taken(f *inventory.Force, levels ...[]shelf.Level) (Taken, error) {
	needs, err := e.Needs(f, NeedRules{})
	if errors.Is(err, ErrNothingLeft) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	var stocks []inventory.Stock
	for _, l := range levels {
		stocks = append(stocks, shelf.StockOf(l, 0.5))
	}
	out := Taken{}
	dealt := make([]bool, len(needs.List))
	for i, n := range needs.List {
		if dealt[i] {
			continue
		}
		together := []Need{n}
		for j := i + 1; j < len(needs.List) && n.Match != ""; j++ {
			if needs.List[j].Match == n.Match {
				together, dealt[j] = append(together, needs.List[j]), true
			}
		}
		way := likeliest(together, stocks)
		for _, m := range together {
			o := m.Options[0]
			if k := slices.IndexFunc(m.Options, func(o Option) bool { return o.ID == way }); k >= 0 {
				o = m.Options[k]
			}
			out[m.ID()] = o
			for _, u := range o.Uses {
				for _, stock := range stocks {
					stock[u.Paint] = max(0, stock[u.Paint]-inventory.VolumeOfML(u.Amount.Median))
				}
			}
		}
	}
	return out, nil
}

// likeliest is the id of the first way of needs that the first stock can serve on
// all of them, and so on; the recipe's own where none can.
func likeliest(needs []Need, stocks []inventory.Stock) string {
	for _, stock := range stocks {
		for _, o := range needs[0].Options {
			wants := inventory.Stock{}
			all := true
			for _, n := range needs {
				k := slices.IndexFunc(n.Options, func(x Option) bool { return x.ID == o.ID })
				if all = all && k >= 0; !all {
					break
				}
				for _, u := range n.Options[k].Uses {
					wants[u.Paint] += inventory.VolumeOfML(u.Amount.Median)
				}
			}
			for paint, v := range wants {
				all = all && v <= stock[paint]
			}
			if all {
				return o.ID
			}
		}
	}
	return needs[0].Options[0].ID
}
