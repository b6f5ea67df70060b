package shelf

import (
	"math"

	"halfpot/inventory"
)

// Tare is the weight of an empty pot with its lid.
type Tare struct {
	Grams float64 // 0: not known
	SD    float64 // g
	Pots  int     // pots it rests on
}

// Tares are the empty weights that pots of one kind have taught: of one
// product, and of one maker's range and size, whose pots come from one mould.
type Tares struct {
	kinds map[tareKind]Tare
	idx   *inventory.Index
	given float64 // error of a weight the painter gave, g
}

// tareKind is a product, or else a range and size.
type tareKind struct {
	product, maker, line string
	nominal              inventory.Volume
}

// LearnTares gathers the empty weights on a shelf. What another pot of the
// kind would weigh has the spread of those known, drawn towards the rules'
// LearnedGrams as if that rested on three pots.
func LearnTares(s *inventory.Shelf, idx *inventory.Index, rules LevelRules) Tares {
	const prior = 3.0
	type sums struct{ n, sum, squares float64 }
	all := map[tareKind]sums{}
	t := Tares{kinds: map[tareKind]Tare{}, idx: idx, given: rules.TareGrams}
	for i := range s.Pots {
		p := &s.Pots[i]
		g := ownTare(p, p.InOrder())
		if g == 0 {
			continue
		}
		for _, k := range t.kindsOf(p) {
			a := all[k]
			all[k] = sums{a.n + 1, a.sum + g, a.squares + g*g}
		}
	}
	for k, a := range all {
		mean := a.sum / a.n
		scatter := math.Max(0, a.squares-a.n*mean*mean)
		variance := (prior*square(rules.LearnedGrams) + scatter) / (prior + a.n - 1)
		t.kinds[k] = Tare{Grams: mean, SD: math.Sqrt(variance * (1 + 1/a.n)), Pots: int(a.n)}
	}
	return t
}

// kindsOf is what a pot may have its empty weight from, the surest first.
func (t Tares) kindsOf(p *inventory.Pot) []tareKind {
	var out []tareKind
	if p.Product != "" {
		out = append(out, tareKind{product: p.Product, nominal: p.Nominal})
	}
	if paint := t.idx.Paints[p.Paint]; paint != nil && (paint.Maker != "" || paint.Range != "") {
		out = append(out, tareKind{maker: paint.Maker, line: paint.Range, nominal: p.Nominal})
	}
	return out
}

// Of is the empty weight of a pot: its own, else that of its kind, else not
// known.
func (t Tares) Of(p *inventory.Pot) Tare { return t.of(p, p.InOrder()) }

func (t Tares) of(p *inventory.Pot, events []inventory.PotEvent) Tare {
	if g := ownTare(p, events); g > 0 {
		return Tare{Grams: g, SD: t.given, Pots: 1}
	}
	if len(t.kinds) == 0 {
		return Tare{}
	}
	for _, k := range t.kindsOf(p) {
		if tare, ok := t.kinds[k]; ok {
			return tare
		}
	}
	return Tare{}
}

// ownTare is what the painter said the empty pot weighs, 0 for nothing.
func ownTare(p *inventory.Pot, events []inventory.PotEvent) float64 {
	for i := len(events) - 1; i >= 0; i-- {
		if e := &events[i]; e.Kind == inventory.Weighed && e.TareGrams > 0 {
			return e.TareGrams
		}
	}
	return p.TareGrams
}
