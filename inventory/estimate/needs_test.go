package estimate

import (
	"errors"
	"slices"
	"testing"

	"halfpot/inventory"
	"halfpot/inventory/internal/fixture"
)

func optionIDs(n Need) []string {
	var out []string
	for _, o := range n.Options {
		out = append(out, o.ID)
	}
	return out
}

func findNeed(t *testing.T, n *Needs, id string) Need {
	t.Helper()
	i := slices.IndexFunc(n.List, func(x Need) bool { return x.ID() == id })
	if i < 0 {
		t.Fatalf("no need %s", id)
	}
	return n.List[i]
}

func TestForceNeeds(t *testing.T) {
	c := fixture.SmallCatalogue()
	n := fixture.Must[*Needs](t)(ForceNeeds(c, &c.Forces[0], nil, NeedRules{}))
	if len(n.List) != 10 {
		t.Fatalf("%d needs, want 5 steps of 2 units", len(n.List))
	}
	straps := findNeed(t, n, "second/straps")
	if got, want := optionIDs(straps), []string{
		"1:black+2:leather",
		"1:strap-b+2:leather",
	}; !slices.Equal(got, want) {
		t.Errorf("ways to do the straps: %v, want %v", got, want)
	}
	if o := straps.Options[1]; o.Kind != StandInFor || o.Compromise != 4 {
		t.Errorf("the stand-in is %+v", o)
	}
	if straps.Match != "straps alike" || findNeed(t, n, "second/cloth").Match != "" {
		t.Errorf("match labels %q and %q", straps.Match, findNeed(t, n, "second/cloth").Match)
	}
	cloth := findNeed(t, n, "first/cloth")
	if o := cloth.Options[1]; o.Kind != AlternativeOf || o.Label != "near twin" || o.Compromise != 2 {
		t.Errorf("the alternative is %+v", o)
	}
	shade := findNeed(t, n, "first/shade")
	if u := shade.Options[0].Uses; len(u) != 2 || u[1].Paint != "medium" || u[0].Amount != u[1].Amount {
		t.Errorf("shade thinned 1:1 takes %v", u)
	}
	if _, ok := func() (Need, bool) {
		m := fixture.Must[*Needs](t)(ForceNeeds(c, &c.Forces[0], nil, NeedRules{SkipOptional: true}))
		i := slices.IndexFunc(m.List, func(x Need) bool { return x.Step == "edges" })
		return Need{}, i >= 0
	}(); ok {
		t.Error("an optional step is there although it is to be skipped")
	}
}

// A pencil does a good hundred figures, so two units share one.
func TestPencilsAreCountedByThePiece(t *testing.T) {
	c := fixture.SmallCatalogue()
	n := fixture.Must[*Needs](t)(ForceNeeds(c, &c.Forces[0], nil, NeedRules{}))
	total := inventory.Volume(0)
	for _, x := range n.List {
		if x.Step == "edges" {
			total += x.Options[0].Uses[0].UL(DefaultConfidence)
		}
	}
	if total <= 0 || total > inventory.Item {
		t.Errorf("16 figures take %s of a pencil", c.Paints[8].FormatAmount(total))
	}
	if got := c.Paints[8].FormatAmount(inventory.Item); got != "1 item" {
		t.Errorf("one pencil is written %q", got)
	}
}

func TestWorkDoneIsSubtracted(t *testing.T) {
	c := fixture.SmallCatalogue()
	f := &c.Forces[0]
	f.Done = []inventory.Work{
		{Unit: "first", Step: "cloth", Figures: 4},
		{Unit: "first", Step: "cloth", Figures: 3},
		{Unit: "second", Step: "prime", Figures: 99},
	}
	n := fixture.Must[*Needs](t)(ForceNeeds(c, f, nil, NeedRules{}))
	if got := findNeed(t, n, "first/cloth").Figures; got != 3 {
		t.Errorf("%d figures are left, want 3", got)
	}
	if slices.ContainsFunc(n.List, func(x Need) bool { return x.ID() == "second/prime" }) {
		t.Error("a step done on every figure is still needed")
	}
	f.Done = nil
	for _, u := range f.Units {
		for _, s := range c.Recipes[0].Steps {
			f.Done = append(f.Done, inventory.Work{Unit: u.ID, Step: s.ID, Figures: u.Figures})
		}
	}
	if _, err := ForceNeeds(c, f, nil, NeedRules{}); !errors.Is(err, ErrNothingLeft) {
		t.Errorf("all is done, yet: %v", err)
	}
}

// A step begun with a stand-in stays with it, and so does what must match.
func TestBegunMixBinds(t *testing.T) {
	c := fixture.SmallCatalogue()
	f := &c.Forces[0]
	f.Done = []inventory.Work{{Unit: "first", Step: "straps", Figures: 2, Mix: "1:strap-b+2:leather"}}
	n := fixture.Must[*Needs](t)(ForceNeeds(c, f, nil, NeedRules{}))
	for _, id := range []string{"first/straps", "second/straps"} {
		if got := optionIDs(findNeed(t, n, id)); !slices.Equal(got, []string{"1:strap-b+2:leather"}) {
			t.Errorf("%s may be done with %v", id, got)
		}
	}
}

func TestUndercoatChangesCoats(t *testing.T) {
	c := fixture.SmallCatalogue()
	s := &c.Recipes[0].Steps[1]
	s.CoatsOver = []inventory.CoatsOver{{Undercoat: "bone-can", Coats: 3}, {Undercoat: "black", Coats: 0}}
	f := &c.Forces[0]
	amount := func() float64 {
		n := fixture.Must[*Needs](t)(ForceNeeds(c, f, nil, NeedRules{}))
		return findNeed(t, n, "first/cloth").Options[0].Uses[0].Amount.Median
	}
	once := amount()
	f.Units[0].Undercoat = "bone-can"
	if thrice := amount(); thrice <= 2*once || thrice > 3*once {
		t.Errorf("three coats take %g ml, one takes %g ml", thrice, once)
	}
	f.Units[0].Undercoat = "black"
	n := fixture.Must[*Needs](t)(ForceNeeds(c, f, nil, NeedRules{}))
	if slices.ContainsFunc(n.List, func(x Need) bool { return x.ID() == "first/cloth" }) {
		t.Error("no coat is needed over black, yet the step is there")
	}
}

// Chains of stand-ins add up their compromise; near twins go both ways; a mix
// never takes one paint twice.
func TestStandInChains(t *testing.T) {
	c := fixture.SmallCatalogue()
	c.StandIns = []inventory.StandIn{
		{For: "black", Use: "strap-b", Compromise: 4},
		{For: "strap-b", Use: "cloth-b", Compromise: 3},
		{For: "leather", Use: "strap-b", Compromise: 1, EitherWay: true},
	}
	n := fixture.Must[*Needs](t)(ForceNeeds(c, &c.Forces[0], nil, NeedRules{}))
	got := map[string]int{}
	for _, o := range findNeed(t, n, "first/straps").Options {
		got[o.ID] = o.Compromise
	}
	want := map[string]int{
		"1:black+2:leather": 0, "1:black+2:strap-b": 1, "1:strap-b+2:leather": 4, "1:black+2:cloth-b": 4,
		"1:cloth-b+2:leather": 7, "1:cloth-b+2:strap-b": 8, "1:strap-b+2:cloth-b": 8,
		"1:leather+2:strap-b": 6, "1:leather+2:cloth-b": 9,
	}
	for k, v := range want {
		if g, ok := got[k]; !ok || g != v {
			t.Errorf("%s: compromise %d (there: %v), want %d", k, g, ok, v)
		}
	}
	if len(got) != len(want) {
		t.Errorf("ways %v, want %v", got, want)
	}
	c.Recipes[0].Steps[2].NoStandIns = true
	n = fixture.Must[*Needs](t)(ForceNeeds(c, &c.Forces[0], nil, NeedRules{}))
	if ids := optionIDs(findNeed(t, n, "first/straps")); len(ids) != 1 {
		t.Errorf("stand-ins are forbidden, yet there are %v", ids)
	}
}

// Rules that share a step join: first with second, second with third.
func TestMatchRulesJoin(t *testing.T) {
	c := fixture.SmallCatalogue()
	f := &c.Forces[0]
	f.Units = append(f.Units, inventory.Unit{ID: "third", Figures: 2, Figure: "walker", Recipe: "plain"})
	f.Match = []inventory.Match{{Label: "a", Steps: []string{"cloth"}, Units: []string{"first", "second"}},
		{Label: "b", Steps: []string{"straps"}, Units: []string{"third"}},
		{Label: "c", Steps: []string{"cloth"}, Units: []string{"second", "third"}}}
	n := fixture.Must[*Needs](t)(ForceNeeds(c, f, nil, NeedRules{}))
	for id, want := range map[string]string{
		"first/cloth": "a + c", "second/cloth": "a + c", "third/cloth": "a + c", "third/straps": "b",
		"first/straps": "",
	} {
		if got := findNeed(t, n, id).Match; got != want {
			t.Errorf("%s has match %q, want %q", id, got, want)
		}
	}
}

func TestEstimateForce(t *testing.T) {
	c := fixture.SmallCatalogue()
	n := fixture.Must[*Needs](t)(ForceNeeds(c, &c.Forces[0], nil, NeedRules{}))
	lines := EstimateForce(n, inventory.Stock{"leather": 1, "cloth-a": 17 * inventory.Millilitre},
		func(_ string, u PaintUse) inventory.Volume { return u.UL(.9) })
	for _, l := range lines {
		sum := inventory.Volume(0)
		for _, x := range n.List {
			for _, u := range x.Options[0].Uses {
				if u.Paint == l.Paint {
					sum += u.UL(0.9)
				}
			}
		}
		if l.NeedAt != sum || l.Short != max(0, sum-l.OnShelf) || len(l.Steps) != 2 {
			t.Errorf("%s: %+v, want a need of %s", l.Paint, l, sum)
		}
		if q := l.Need.Quantile(0.9); q < l.NeedAt.ML()*0.97 || q > l.NeedAt.ML()*1.03 {
			t.Errorf("%s: the range ends at %g ml where the purchase reckons with %s", l.Paint, q, l.NeedAt)
		}
	}
}
