package shopping

import (
	"halfpot/inventory"
)

// Stranding is what one line of an order is there for: the steps that could
// not be finished without it.
type Stranding struct {
	Shop    string
	Product string
	Steps   []string // "unit/step" in the order of painting; empty: the line only helps the price
	Paints  []string // the paints that would run short
}

// Strandings says for each line of a plan which steps would be stranded if it
// were left out and nothing else bought. Steps are painted in the order of the
// list, so the last ones to take a paint are the ones it runs out on.
func (l *ShoppingList) Strandings(q *Question) []Stranding {
	var out []Stranding
	for _, o := range l.Orders {
		for _, line := range o.Lines {
			out = append(out, l.stranding(q, o.Shop, line))
		}
	}
	return out
}

func (l *ShoppingList) stranding(q *Question, shop string, line OrderLine) Stranding {
	s := Stranding{Shop: shop, Product: line.Product}
	left := map[string]inventory.Volume{}
	for _, b := range l.Balance {
		left[b.Paint] = b.Have + b.Bought
	}
	for _, p := range q.Problem.Products {
		if p.ID != line.Product {
			continue
		}
		for _, c := range p.Contents {
			if !isMust(c.Paint) {
				left[c.Paint] -= inventory.Volume(c.UL * c.Containers() * line.Count)
			}
		}
	}
	short := map[string]bool{}
	for _, step := range l.Steps {
		fits := true
		for _, t := range step.Takes {
			if t.Volume > 0 && left[t.Paint] < t.Volume {
				fits = false
				if !short[t.Paint] {
					short[t.Paint] = true
					s.Paints = append(s.Paints, t.Paint)
				}
			}
		}
		if !fits {
			s.Steps = append(s.Steps, step.Unit+"/"+step.Step)
			continue
		}
		for _, t := range step.Takes {
			left[t.Paint] -= t.Volume
		}
	}
	return s
}
