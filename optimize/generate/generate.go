package generate

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"halfpot/optimize"
)

// Shape says what a generated problem looks like: its size and which parts of
// the purchase problem it exercises.
type Shape struct {
	Needs, Paints, Shops int
	Ranges               int // makers' ranges; 0 means one for each 60 paints, at least 3
	Sets                 int // products of several pots; 0 leaves only single pots
	Bands                bool
	MoneyOff             bool // a last band with a negative fee
	Limits               bool
	MinOrders            bool
	Match                bool
	Mixes                bool
	CompromisePrice      bool
	MaxShops             bool
	Budget               bool
	Thirsty              bool // volumes of the order of a pot instead of a small part of one
	Scarce               bool // paints nobody sells, tight limits: may have no plan
	Workshop             bool // see Workshop
	// three options a step at most, and delivery thresholds of 4000 to 9000 minor units whatever the
	// size
	Plain bool
}

// Named gives the shape of one of the sizes tiny, desk, force, club and
// studio; ok is false for any other name. max_shops and budget are left off.
func Named(name string) (s Shape, ok bool) {
	s = Shape{
		Bands:           true,
		MoneyOff:        true,
		Limits:          true,
		MinOrders:       true,
		Match:           true,
		Mixes:           true,
		CompromisePrice: true,
	}
	switch name {
	case "tiny":
		s.Needs, s.Paints, s.Shops, s.Sets = 3, 6, 2, 1
	case "desk":
		s.Needs, s.Paints, s.Shops, s.Sets = 16, 90, 3, 3
	case "force":
		s.Needs, s.Paints, s.Shops, s.Sets = 80, 200, 5, 10
	case "club":
		s.Needs, s.Paints, s.Shops, s.Sets = 400, 720, 8, 40
	case "studio":
		s.Needs, s.Paints, s.Shops, s.Sets = 1900, 2400, 15, 120
	default:
		return Shape{}, false
	}
	return s, true
}

// Plain is the shape with fewer options a step, no minimum orders and one
// delivery threshold a shop, which does not grow with the size: an easier kind,
// some of which general solvers can still do at club size.
func Plain(s Shape) Shape {
	s.Plain, s.MoneyOff, s.MinOrders = true, false, false
	return s
}

// Problem makes a purchase problem of the given shape. The same seed and
// shape always give the same problem. What makes real orders hard is in it on
// purpose: a few paints that many steps share, near twins in other ranges at
// nearly the same price, shops a few cents apart, sets that are cheap by the
// pot but hold pots nobody needs, and delivery thresholds worth filling up to.
func Problem(seed uint64, s Shape) *optimize.Problem {
	g := &generator{
		Shape: s,
		rng:   rand.New(rand.NewPCG(seed, 0x68616c66706f74)),
		p:     &optimize.Problem{Currency: "EUR"},
	}
	if g.Ranges == 0 {
		g.Ranges = max(3, s.Paints/60)
	}
	g.Ranges = min(g.Ranges, max(1, s.Paints))
	g.makePaints()
	if g.Workshop {
		g.makeCans()
	}
	g.makeNeeds()
	g.makeProducts()
	g.makeShops()
	g.makeOffers()
	g.makeRules()
	return g.p
}

// A generator holds what the steps of Generate share. Paint i belongs to
// range i mod Ranges and hue i div Ranges; paints of one hue are near twins.
type generator struct {
	Shape
	rng                *rand.Rand
	p                  *optimize.Problem
	potUL              []int64   // by range
	price              []int64   // list price of a single pot, by paint
	use                []int     // times an option names the paint
	canUL              []int64   // of paints that come in cans, which stand after the others
	huePull, rangePull []float64 // running sums of popularity
}

func (g *generator) between(lo, hi int64) int64 { return lo + g.rng.Int64N(hi-lo+1) }
func (g *generator) chance(pr float64) bool     { return g.rng.Float64() < pr }
func (g *generator) hues() int                  { return (g.Paints + g.Ranges - 1) / g.Ranges }

func (g *generator) makePaints() {
	base := make([]int64, g.Ranges)
	g.potUL = make([]int64, g.Ranges)
	for r := range g.Ranges {
		g.potUL[r] = []int64{17000, 17000, 17000, 15000, 18000, 12000}[g.rng.IntN(6)]
		base[r] = 260 + g.potUL[r]/1000*5 + g.between(-20, 20)
	}
	g.price = make([]int64, g.Paints)
	g.use = make([]int, g.Paints)
	for i := range g.Paints {
		have := int64(0)
		switch {
		case g.chance(0.6):
		case g.chance(0.1):
			have = g.between(3000, 9000)
		default:
			have = g.between(50, 1500)
		}
		if g.Thirsty {
			have *= 3
		}
		g.p.Paints = append(g.p.Paints, optimize.Paint{ID: fmt.Sprintf("p%d", i+1), HaveUL: have})
		g.price[i] = base[i%g.Ranges] + 5*g.between(-2, 2)
	}
	g.huePull = g.zipf(g.hues())
	g.rangePull = g.zipf(g.Ranges)
}

// zipf gives running sums of the popularity of n things: the kth most popular,
// in a shuffled order, is asked for about as often as 1/k.
func (g *generator) zipf(n int) []float64 {
	sums := make([]float64, n)
	for k, i := range g.rng.Perm(n) {
		sums[i] = 1 / float64(k+1)
	}
	for i := 1; i < n; i++ {
		sums[i] += sums[i-1]
	}
	return sums
}

func (g *generator) pick(sums []float64) int {
	i, _ := slices.BinarySearch(sums, g.rng.Float64()*sums[len(sums)-1])
	return min(i, len(sums)-1)
}

// paint is the paint of a hue in a range, or -1 past the end of the last hue.
func (g *generator) paint(hue, rang int) int {
	if i := hue*g.Ranges + rang; i < g.Paints {
		return i
	}
	return -1
}

func (g *generator) popularHue() int   { return g.pick(g.huePull) }
func (g *generator) popularRange() int { return g.pick(g.rangePull) }

// A step is what a need asks, before it is scaled to a unit's figures.
type step struct {
	perFigure int64 // ul
	options   []optimize.Option
}

func (g *generator) makeStep(home int) step {
	s := step{}
	switch x := g.rng.Float64(); {
	case x < 0.15: // priming, dry-brushing and washing whole figures
		s.perFigure = g.between(100, 400)
	case x < 0.65: // a region
		s.perFigure = g.between(30, 150)
	default: // highlights and details
		s.perFigure = g.between(5, 30)
	}
	if g.Thirsty {
		s.perFigure *= 20
	}
	hue := g.popularHue()
	main := g.paint(hue, home)
	if main < 0 {
		main = g.paint(hue, 0)
	}
	seen := map[string]bool{}
	add := func(points int64, paints ...int) {
		o := optimize.Option{Compromise: points}
		for k, i := range paints {
			if i < 0 || k > 0 && i == paints[0] {
				return
			}
			if k > 0 {
				o.ID += "+"
			}
			o.ID += g.p.Paints[i].ID
			share := s.perFigure
			if len(paints) == 2 { // mixed 2:1
				share = (s.perFigure*int64(2-k) + 2) / 3
			}
			o.Uses = append(o.Uses, optimize.Use{Paint: g.p.Paints[i].ID, UL: share})
		}
		if seen[o.ID] {
			return
		}
		seen[o.ID] = true
		for _, i := range paints {
			g.use[i]++
		}
		s.options = append(s.options, o)
	}
	add(0, main)
	want := int(g.between(3, 5))
	if g.Plain {
		want = int(g.between(1, 3))
	}
	for try := 0; len(s.options) < want && try < 30; try++ {
		near := hue + 1 - 2*g.rng.IntN(2)
		if near < 0 || near >= g.hues() {
			near = hue
		}
		other := g.popularRange()
		switch x := g.rng.Float64(); {
		case x < 0.5: // a near twin, now and then as good as the paint itself
			add(g.between(2, 11)/4, g.paint(hue, other))
		case x < 0.75:
			add(g.between(2, 3), g.paint(near, home))
		case g.Mixes:
			add(g.between(1, 3), g.paint(near, other), g.paint(g.popularHue(), other))
		}
	}
	return s
}

func (g *generator) makeNeeds() {
	// Steps that must look alike over the whole force, such as straps.
	var alike []step
	if g.Match {
		for range 1 + g.Needs/60 {
			alike = append(alike, g.makeStep(g.popularRange()))
		}
	}
	alikeAt := 0
	if g.Workshop {
		alikeAt = 1 // the first is the primer
	}
	var recipes [][]step
	for unit := 1; len(g.p.Needs) < g.Needs; unit++ {
		var recipe []step
		switch {
		case g.Workshop:
			if len(recipes) == 0 {
				recipes = g.makeBook()
			}
			recipe = recipes[min(g.rng.IntN(len(recipes)), g.rng.IntN(len(recipes)))]
		case len(recipes) > 0 && g.chance(0.2):
			recipe = recipes[g.rng.IntN(len(recipes))]
		default:
			home := g.popularRange()
			for range g.between(6, 12) {
				recipe = append(recipe, g.makeStep(home))
			}
			recipes = append(recipes, recipe)
		}
		group := fmt.Sprintf("u%d", unit)
		figures := g.between(3, 20)
		label := -1
		if len(alike) > 0 && g.chance(0.5) {
			label = g.rng.IntN(len(alike))
		}
		for k, s := range recipe {
			if len(g.p.Needs) == g.Needs {
				break
			}
			n := optimize.Need{ID: fmt.Sprintf("%s-s%d", group, k+1), Group: group, Figures: figures}
			if k == alikeAt && label >= 0 {
				s = alike[label]
				n.Match = fmt.Sprintf("m%d", label+1)
			}
			waste := g.between(0, 200)
			for _, o := range s.options {
				o.Uses = slices.Clone(o.Uses)
				for u := range o.Uses {
					o.Uses[u].UL = o.Uses[u].UL*figures + waste
				}
				n.Options = append(n.Options, o)
			}
			// One figure may lack a stand-in that others have.
			if n.Match != "" && len(n.Options) > 2 && g.chance(0.2) {
				n.Options = n.Options[:len(n.Options)-1]
			}
			g.p.Needs = append(g.p.Needs, n)
		}
		g.p.Groups = append(g.p.Groups, optimize.Group{ID: group, Worth: figures})
	}
}

func (g *generator) makeProducts() {
	for i, paint := range g.p.Paints {
		g.p.Products = append(g.p.Products, optimize.Product{
			ID:       "pot-" + paint.ID,
			Contents: []optimize.Content{{Paint: paint.ID, UL: g.volume(i)}},
		})
	}
	for k := range g.Sets {
		r := g.popularRange()
		set := optimize.Product{ID: fmt.Sprintf("set%d", k+1)}
		size := int(g.between(4, 10))
		var in []int
		for try := 0; len(in) < size && try < 60; try++ {
			h := g.rng.IntN(g.hues())
			if g.chance(0.45) {
				h = g.popularHue()
			}
			if i := g.paint(h, r); i >= 0 && !slices.Contains(in, i) {
				in = append(in, i)
			}
		}
		list := int64(0)
		for _, i := range in {
			c := optimize.Content{Paint: g.p.Paints[i].ID, UL: g.potUL[r]}
			if g.chance(g.doubled()) {
				c.Count = 2
			}
			set.Contents = append(set.Contents, c)
			list += c.Containers() * g.price[i]
		}
		g.p.Products = append(g.p.Products, set)
		g.price = append(g.price, list*g.between(55, 85)/100)
	}
	if g.Workshop {
		g.makeLargePots()
	}
}

func (g *generator) makeShops() {
	scale := math.Sqrt(max(1, float64(g.Needs)/80))
	if g.Needs < 10 {
		scale = 0.4
	}
	for h := range g.Shops {
		shop := optimize.Shop{ID: fmt.Sprintf("shop%d", h+1)}
		fee := 5 * g.between(60, 140)
		shop.Delivery = []optimize.Band{{From: 0, Fee: fee}}
		if g.Bands {
			from := int64(float64(g.between(25, 60)*100) * scale)
			if g.Plain {
				from = g.between(40, 90) * 100
			}
			low := int64(0)
			if g.chance(0.35) {
				low = fee / 2
			}
			shop.Delivery = append(shop.Delivery, optimize.Band{From: from, Fee: low})
			if g.MoneyOff && g.chance(0.3) {
				shop.Delivery = append(shop.Delivery, optimize.Band{
					From: from * g.between(15, 25) / 10,
					Fee:  -from * g.between(3, 8) / 100,
				})
			}
		}
		if g.MinOrders && g.chance(0.35) {
			shop.MinOrder = g.between(10, 30) * 100
		}
		g.p.Shops = append(g.p.Shops, shop)
	}
}

func (g *generator) makeOffers() {
	// Every shop keeps most ranges whole and some in part.
	keeps := make([][]float64, g.Shops)
	level := make([]int64, g.Shops)
	for h := range keeps {
		level[h] = g.between(91, 106)
		for range g.Ranges {
			share := 0.9
			if g.chance(0.3) {
				share = float64(g.between(0, 5)) / 10
			}
			keeps[h] = append(keeps[h], share)
		}
	}
	offer := func(k, h int) {
		price := g.price[k] * level[h] / 100
		switch {
		case g.chance(0.08): // special price
			price = price * g.between(75, 92) / 100
		case g.chance(0.5):
			price += 5 * g.between(-1, 2)
		}
		o := optimize.Offer{Product: g.p.Products[k].ID, Shop: g.p.Shops[h].ID, Price: max(price, 1)}
		pr := 0.1
		switch {
		case g.Scarce:
			pr = 0.6
		case g.Workshop:
			pr = 0.25
		}
		if g.Limits && g.chance(pr) {
			n := g.between(1, 3)
			if g.Scarce {
				n = g.between(0, 1)
			}
			o.Limit = &n
		}
		g.p.Offers = append(g.p.Offers, o)
	}
	for k := range g.p.Products {
		sold := false
		for h := range g.Shops {
			share := 0.4 // of sets
			if k < len(g.p.Paints) {
				share = keeps[h][k%g.Ranges]
			}
			if g.chance(share) {
				offer(k, h)
				sold = sold || g.p.Offers[len(g.p.Offers)-1].Limit == nil
			}
		}
		if !sold && !g.Scarce && k < len(g.p.Paints) && g.use[k] > 0 {
			h := g.rng.IntN(g.Shops)
			g.p.Offers = slices.DeleteFunc(g.p.Offers, func(o optimize.Offer) bool {
				return o.Product == g.p.Products[k].ID && o.Shop == g.p.Shops[h].ID
			})
			offer(k, h)
			g.p.Offers[len(g.p.Offers)-1].Limit = nil
		}
	}
}

func (g *generator) makeRules() {
	if g.CompromisePrice {
		g.p.Rules.CompromisePrice = []int64{10, 25, 50}[g.rng.IntN(3)]
	}
	if g.MaxShops {
		n := g.between(1, int64(max(1, g.Shops/2)))
		g.p.Rules.MaxShops = &n
	}
	if g.Budget {
		// Between a quarter and all of a pot for every need that the shelf
		// alone can't serve, shared pots counted once.
		have := map[string]int64{}
		for _, p := range g.p.Paints {
			have[p.ID] = p.HaveUL
		}
		bought := map[string]bool{}
		for _, n := range g.p.Needs {
			for _, u := range n.Options[0].Uses {
				if have[u.Paint] < u.UL {
					bought[u.Paint] = true
				}
			}
		}
		b := int64(len(bought)) * g.between(80, 330)
		g.p.Rules.Budget = &b
	}
}
