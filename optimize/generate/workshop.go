package generate

import (
	"fmt"

	"halfpot/optimize"
)

// Workshop is the shape with units painted by a common book of recipes, and with what
// a workshop buys: cans of primer, varnish and medium that every unit draws from, pots
// in two sizes of one paint, sets with doubled pots, and more offers that are limited.
// Popular paints take several pots there, of either size.
func Workshop(s Shape) Shape {
	s.Workshop = true
	return s
}

// Kinds of cans, and makers of each.
var canKinds = []string{"primer", "varnish", "medium"}

const canMakers = 3

// makeCans adds what comes in cans.
func (g *generator) makeCans() {
	for _, kind := range canKinds {
		for k := range canMakers {
			ul := []int64{30000, 60000, 60000, 120000}[g.rng.IntN(4)]
			g.canUL = append(g.canUL, ul)
			g.p.Paints = append(g.p.Paints, optimize.Paint{
				ID:     fmt.Sprintf("%s%d", kind, k+1),
				HaveUL: g.between(0, 1) * g.between(1000, ul/2),
			})
			g.price = append(g.price, 400+ul*g.between(8, 13)/1000)
			g.use = append(g.use, 0)
		}
	}
}

// volume is what a single pot or can of paint i holds.
func (g *generator) volume(i int) int64 {
	if i >= g.Paints {
		return g.canUL[i-g.Paints]
	}
	return g.potUL[i%g.Ranges]
}

// doubled is how often a set holds two pots of one paint.
func (g *generator) doubled() float64 {
	if g.Workshop {
		return 0.3
	}
	return 0.05
}

// makeBook makes the recipes that all units choose from: each primes and varnishes, every
// other one thins, and between them come steps in few paints.
func (g *generator) makeBook() (book [][]step) {
	for range max(3, g.Needs/40) {
		home := g.popularRange()
		recipe := []step{g.canStep(0, 250, 600)}
		for range g.between(4, 9) {
			s := g.makeStep(home)
			if g.chance(0.3) { // a coat of the whole figure
				s = g.heavier(s, g.between(2, 5))
			}
			recipe = append(recipe, s)
		}
		if g.chance(0.5) {
			recipe = append(recipe, g.canStep(2, 40, 150))
		}
		book = append(book, append(recipe, g.canStep(1, 150, 400)))
	}
	return book
}

// canStep is a step done from a can of a kind, whoever made it.
func (g *generator) canStep(kind int, least, most int64) step {
	s := step{perFigure: g.between(least, most)}
	first := g.rng.IntN(canMakers)
	for k := range canMakers {
		i := g.Paints + kind*canMakers + (first+k)%canMakers
		g.use[i]++
		s.options = append(s.options, optimize.Option{ID: g.p.Paints[i].ID, Compromise: int64(min(k, 1)),
			Uses: []optimize.Use{{Paint: g.p.Paints[i].ID, UL: s.perFigure}}})
	}
	return s
}

// heavier is a step that takes times as much.
func (g *generator) heavier(s step, times int64) step {
	s.perFigure *= times
	for _, o := range s.options {
		for u := range o.Uses {
			o.Uses[u].UL *= times
		}
	}
	return s
}

// makeLargePots adds a larger size of some paints and of all cans.
func (g *generator) makeLargePots() {
	for i, paint := range g.p.Paints {
		if i < g.Paints && (g.use[i] == 0 || !g.chance(0.35)) {
			continue
		}
		g.p.Products = append(g.p.Products, optimize.Product{
			ID:       "large-" + paint.ID,
			Contents: []optimize.Content{{Paint: paint.ID, UL: g.volume(i) * g.between(20, 35) / 10}},
		})
		g.price = append(g.price, g.price[i]*g.between(165, 240)/100)
	}
}
