package generate_test

import (
	"reflect"
	"testing"

	"halfpot/optimize"
	"halfpot/optimize/generate"
	"halfpot/optimize/internal/testkit"
)

func TestGeneratedProblemsAreValidAndRepeatable(t *testing.T) {
	for _, size := range []struct {
		name                 string
		needs, paints, shops int
	}{
		{"tiny", 3, 6, 2},
		{"desk", 16, 90, 3},
		{"force", 80, 200, 5},
		{"club", 400, 720, 8},
		{"studio", 1900, 2400, 15},
	} {
		shape, ok := generate.Named(size.name)
		if !ok {
			t.Fatalf("no size %s", size.name)
		}
		for seed := range uint64(5) {
			p := generate.Problem(seed, shape)
			if err := p.Validate(); err != nil {
				t.Fatalf("%s, seed %d: %v", size.name, seed, err)
			}
			if len(p.Needs) != size.needs || len(p.Paints) != size.paints || len(p.Shops) != size.shops {
				t.Errorf("%s has %d needs, %d paints, %d shops",
					size.name, len(p.Needs), len(p.Paints), len(p.Shops))
			}
			if !reflect.DeepEqual(p, generate.Problem(seed, shape)) {
				t.Errorf("%s, seed %d: two calls differ", size.name, seed)
			}
			if size.name == "studio" {
				break
			}
		}
		if reflect.DeepEqual(generate.Problem(1, shape), generate.Problem(2, shape)) {
			t.Errorf("%s: two seeds give one problem", size.name)
		}
	}
	if _, ok := generate.Named("huge"); ok {
		t.Error("a size that is none is known")
	}
}

// What makes a purchase problem hard is there: shared paints that take several
// pots, twins, shelf, sets, and every feature that the shape asks for.
func TestGeneratedProblemsHaveWhatTheirShapeAsks(t *testing.T) {
	shape, _ := generate.Named("club")
	shape.MaxShops, shape.Budget = true, true
	p := generate.Problem(1, shape)
	f := featuresOf(p)
	if f.onShelf < len(p.Paints)*3/10 || f.onShelf > len(p.Paints)/2 {
		t.Errorf("%d of %d paints are on the shelf", f.onShelf, len(p.Paints))
	}
	if f.popular < 5 {
		t.Errorf("only %d paints are asked for by 20 options or more", f.popular)
	}
	if f.thirsty < 2 {
		t.Errorf("only %d paints can take two pots or more", f.thirsty)
	}
	if f.sets != shape.Sets || f.mixes == 0 || f.limits == 0 || f.bands == 0 || f.moneyOff == 0 ||
		f.minOrders == 0 || f.matches < 2 || !f.maxShops || !f.budget || !f.price {
		t.Errorf("a feature is missing: %+v", f)
	}
	bare := featuresOf(generate.Problem(1, generate.Shape{Needs: 50, Paints: 100, Shops: 4}))
	bare.onShelf, bare.popular, bare.thirsty = 0, 0, 0
	if bare != (features{}) {
		t.Errorf("a bare shape has features: %+v", bare)
	}
}

// A plain problem has few options a step and one threshold a shop, the same at
// all sizes.
func TestPlainProblemsArePlain(t *testing.T) {
	for _, size := range []string{"desk", "club"} {
		shape, _ := generate.Named(size)
		p := generate.Problem(3, generate.Plain(shape))
		if err := p.Validate(); err != nil {
			t.Fatal(err)
		}
		for _, n := range p.Needs {
			if len(n.Options) > 3 {
				t.Errorf("%s: need %s has %d options, want three at most", size, n.ID, len(n.Options))
			}
		}
		for _, s := range p.Shops {
			if len(s.Delivery) != 2 || s.Delivery[1].From < 4000 || s.Delivery[1].From > 9000 ||
				s.MinOrder != 0 {
				t.Errorf("%s: shop %s has bands %v and a minimum order of %d",
					size, s.ID, s.Delivery, s.MinOrder)
			}
		}
	}
}

type features struct {
	onShelf, popular, thirsty, sets, mixes, limits, bands, moneyOff, minOrders, matches int
	maxShops, budget, price                                                             bool
}

func featuresOf(p *optimize.Problem) (f features) {
	asked, volume := map[string]int{}, map[string]int64{}
	for _, need := range p.Needs {
		if need.Match != "" {
			f.matches++
		}
		for o, option := range need.Options {
			if len(option.Uses) > 1 {
				f.mixes++
			}
			for _, u := range option.Uses {
				asked[u.Paint]++
				if o == 0 {
					volume[u.Paint] += u.UL
				}
			}
		}
	}
	for _, paint := range p.Paints {
		if paint.HaveUL > 0 {
			f.onShelf++
		}
		if asked[paint.ID] >= 20 {
			f.popular++
		}
		if volume[paint.ID] > 17000 {
			f.thirsty++
		}
	}
	for _, product := range p.Products {
		if len(product.Contents) > 1 {
			f.sets++
		}
	}
	for _, shop := range p.Shops {
		if len(shop.Delivery) > 1 {
			f.bands++
		}
		if shop.Delivery[len(shop.Delivery)-1].Fee < 0 {
			f.moneyOff++
		}
		if shop.MinOrder > 0 {
			f.minOrders++
		}
	}
	for _, o := range p.Offers {
		if o.Limit != nil {
			f.limits++
		}
	}
	f.maxShops, f.budget, f.price = p.Rules.MaxShops != nil, p.Rules.Budget != nil, p.Rules.CompromisePrice > 0
	return f
}

// The cross-checks with general solvers are meant to cover every feature.
func TestCrossShapesCoverEveryFeature(t *testing.T) {
	count := map[string]int{}
	for seed := range uint64(300) {
		f := reflect.ValueOf(featuresOf(generate.Problem(seed, testkit.CrossShape(seed))))
		for i := range f.NumField() {
			if !f.Field(i).IsZero() {
				count[f.Type().Field(i).Name]++
			}
		}
	}
	for _, name := range []string{
		"onShelf", "sets", "mixes", "limits", "bands", "moneyOff", "minOrders", "matches", "maxShops",
		"budget", "price",
	} {
		if count[name] < 60 {
			t.Errorf("only %d of 300 cross-check problems have %s", count[name], name)
		}
	}
}

// What a workshop's problem is for is in it: cans that every unit draws from, paints in
// two sizes of pot, doubled pots in sets, recipes that units share.
func TestWorkshopProblems(t *testing.T) {
	shape, _ := generate.Named("club")
	p := generate.Problem(1, generate.Workshop(shape))
	if err := p.Validate(); err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(p, generate.Problem(1, generate.Workshop(shape))) {
		t.Error("two calls differ")
	}
	sizes, doubled := map[string]map[int64]bool{}, 0
	for _, k := range p.Products {
		for _, c := range k.Contents {
			if c.Containers() > 1 {
				doubled++
			}
			if len(k.Contents) == 1 {
				if sizes[c.Paint] == nil {
					sizes[c.Paint] = map[int64]bool{}
				}
				sizes[c.Paint][c.UL] = true
			}
		}
	}
	two := 0
	for _, s := range sizes {
		if len(s) > 1 {
			two++
		}
	}
	if two < 30 || doubled < 30 {
		t.Errorf("%d paints in two sizes, %d doubled pots", two, doubled)
	}
	primed, figures := 0, map[string]int64{}
	total := map[string]int64{}
	for _, n := range p.Needs {
		figures[n.Group] = n.Figures
		if n.Options[0].ID[0] == 'p' && len(n.Options[0].ID) > 6 { // primer1 and its like
			primed++
		}
		total[n.Options[0].ID] += n.Options[0].Uses[0].UL
	}
	if primed < len(figures)*2/3 {
		t.Errorf("%d of %d units are primed from a can", primed, len(figures))
	}
	several := 0
	for _, ul := range total {
		if ul > 40000 {
			several++
		}
	}
	if several < 5 {
		t.Errorf("only %d paints are asked for by several pots", several)
	}
}
