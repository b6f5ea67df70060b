package shopping

import (
	"fmt"
	"strings"

	"halfpot/inventory"
	"halfpot/optimize"
)

// stateMusts adds, for each must-buy, a paint that only the wanted boxes hold
// and a need for it.
func (q *Question) stateMusts() {
	for i, m := range q.Rules.Must {
		id := fmt.Sprintf("%s%d", mustPrefix, i+1)
		q.Problem.Paints = append(q.Problem.Paints, optimize.Paint{ID: id})
		for j := range q.Problem.Products {
			p := &q.Problem.Products[j]
			if pots := m.pots(q.Index.Products[p.ID]); pots > 0 {
				p.Contents = append(p.Contents, optimize.Content{Paint: id, UL: 1, Count: pots})
			}
		}
		q.Problem.Needs = append(q.Problem.Needs, optimize.Need{ID: id, Group: id,
			Options: []optimize.Option{{
				ID:   "bought",
				Uses: []optimize.Use{{Paint: id, UL: int64(max(1, m.Count))}},
			}}})
	}
}

// pots is how far one box of a product goes towards a must-buy.
func (m Must) pots(p *inventory.Product) int64 {
	if m.Product != "" {
		if p.ID == m.Product {
			return 1
		}
		return 0
	}
	n := int64(0)
	for _, c := range p.Contents {
		if c.Paint == m.Paint {
			n += int64(c.Count)
		}
	}
	return n
}

func isMust(id string) bool { return strings.HasPrefix(id, mustPrefix) }

func (q *Question) stateRules() error {
	r := &q.Problem.Rules
	var err error
	if r.CompromisePrice, err = minorOrNone(q.Rules.CompromisePrice); err != nil {
		return fmt.Errorf("compromise price: %w", err)
	}
	if n := int64(q.Rules.MaxShops); n > 0 {
		r.MaxShops = &n
	}
	if q.Rules.Budget == nil {
		return nil
	}
	budget, err := minorOrNone(*q.Rules.Budget)
	if err != nil {
		return fmt.Errorf("budget: %w", err)
	}
	r.Budget = &budget
	return q.stateWorth()
}

// stateWorth gives each unit what finishing it is worth. A must-buy is worth
// more than all units together: it comes first as long as the budget allows.
func (q *Question) stateWorth() error {
	f := q.Index.Forces[q.Needs.Force]
	if f == nil {
		return fmt.Errorf("force %s is not in the catalogue", q.Needs.Force)
	}
	total := int64(1)
	open := map[string]bool{}
	for _, n := range q.Needs.List {
		open[n.Unit] = true
	}
	for _, u := range f.Units {
		if !open[u.ID] {
			continue
		}
		worth := int64(u.Figures)
		if u.Worth != nil {
			worth = int64(*u.Worth)
		}
		total += worth
		q.Problem.Groups = append(q.Problem.Groups, optimize.Group{ID: u.ID, Worth: worth})
	}
	for i := range q.Rules.Must {
		q.Problem.Groups = append(q.Problem.Groups, optimize.Group{
			ID:    fmt.Sprintf("%s%d", mustPrefix, i+1),
			Worth: total,
		})
	}
	return nil
}
