package inventory_test

import (
	"strings"
	"testing"
	"time"

	"halfpot/inventory"
	"halfpot/inventory/internal/fixture"
)

func TestSmallCatalogueIsSound(t *testing.T) {
	if err := fixture.SmallCatalogue().Validate().Err(); err != nil {
		t.Fatal(err)
	}
}

// TestValidate breaks one thing at a time and expects it told, with its place.
func TestValidate(t *testing.T) {
	for name, c := range map[string]struct {
		breaks  func(*inventory.Catalogue)
		path    string
		says    string
		nearest string
	}{
		"bad id": {func(c *inventory.Catalogue) { c.Paints[1].ID = "Cloth A" },
			"paints.2.id", "like cloth-a", ""},
		"id twice": {func(c *inventory.Catalogue) { c.Paints[2].ID = "cloth-a" },
			"paints.cloth-a.id", "a second time", ""},
		"unknown type": {func(c *inventory.Catalogue) { c.Paints[0].Type = "spray" },
			"paints.bone-can.type", "primer-spray", ""},
		"solids over 100 %": {func(c *inventory.Catalogue) { c.Paints[0].VolumeSolids = 35 },
			"paints.bone-can.volume-solids", "0 to 1", ""},
		"absurd pot": {func(c *inventory.Catalogue) { c.Products[1].Contents[0].Volume = 17 * inventory.Litre },
			"products.p-cloth-a.contents.1.volume", "5000 ml", ""},
		"negative pot": {func(c *inventory.Catalogue) { c.Products[1].Contents[0].Volume = -1 },
			"products.p-cloth-a.contents.1.volume", "more than 0", ""},
		"pencil by volume": {func(c *inventory.Catalogue) {
			c.Products[8].Contents[0].Volume = 17 * inventory.Millilitre
		},
			"products.p-pencil.contents.1.volume", "by the piece", ""},
		"paint not there": {func(c *inventory.Catalogue) { c.Products[3].Contents[0].Paint = "lether" },
			"products.p-leather.contents.1.paint", "in the catalogue", "leather"},
		"empty product": {func(c *inventory.Catalogue) { c.Products[0].Contents = nil },
			"products.p-bone.contents", "at least one pot", ""},
		"mixed currencies": {func(c *inventory.Catalogue) {
			c.Offers[2].Price = inventory.MoneyOfMinor(300, "GBP")
		},
			"offers.p-cloth-a@corner.price", "EUR", ""},
		"shops of two monies": {func(c *inventory.Catalogue) { c.Shops[1].Currency = "GBP" },
			"shops.post.currency", "one plan has one currency", ""},
		"unknown currency": {func(c *inventory.Catalogue) { c.Shops[1].Currency = "QQQ" },
			"shops.post.currency", "ISO 4217", ""},
		"negative price": {func(c *inventory.Catalogue) { c.Offers[2].Price = fixture.Eur(-1) },
			"offers.p-cloth-a@corner.price", "0 or more", ""},
		"price finer than cent": {func(c *inventory.Catalogue) {
			c.Offers[2].Price.Amount = fixture.Dec("1.005")
		},
			"offers.p-cloth-a@corner.price", "finer", ""},
		"offer twice": {func(c *inventory.Catalogue) { c.Offers[1] = c.Offers[0] },
			"offers.p-bone@corner", "at most one", ""},
		"first band not 0": {func(c *inventory.Catalogue) { c.Shops[1].Delivery[0].From = fixture.Eur(1) },
			"shops.post.delivery.1.from", "0", ""},
		"bands fall": {func(c *inventory.Catalogue) { c.Shops[1].Delivery[1].From = fixture.Eur(0) },
			"shops.post.delivery.2.from", "more than", ""},
		"fee rises": {func(c *inventory.Catalogue) { c.Shops[1].Delivery[1].Fee = fixture.Eur(500) },
			"shops.post.delivery.2.fee", "never pay more", ""},
		"shares over 100 %": {func(c *inventory.Catalogue) { c.Figures[0].Regions[0].Share = 0.9 },
			"figures.walker.regions", "115 %", ""},
		"negative area": {func(c *inventory.Catalogue) { c.Figures[0].AreaCM2 = -3 },
			"figures.walker.area", "above 0", ""},
		"no area at all": {func(c *inventory.Catalogue) { c.Figures[0].AreaCM2 = 0 }, "figures.walker",
			"neither", ""},
		"a giant": {func(c *inventory.Catalogue) {
			c.Figures[0].AreaCM2, c.Figures[0].Body = 0, &inventory.Body{StatureCM: 900, Scale: 56}
		}, "figures.walker.body", "stature", ""},
		"film of 5 mm": {func(c *inventory.Catalogue) { c.Recipes[0].Steps[1].FilmUM = 5000 },
			"recipes.plain.steps.cloth.film", "2000 um", ""},
		"loss of all": {func(c *inventory.Catalogue) { l := 1.0; c.Recipes[0].Steps[1].Loss = &l },
			"recipes.plain.steps.cloth.loss", "0.99", ""},
		"region not there": {func(c *inventory.Catalogue) {
			c.Recipes[0].Steps[1].Regions.Names = []string{"gaiters"}
		},
			"forces.patrol.units.first.recipe", "region gaiters", ""},
		"no region": {func(c *inventory.Catalogue) { c.Recipes[0].Steps[1].Regions.Names = nil },
			"recipes.plain.steps.cloth.regions", "at least one region", ""},
		"all but everything": {func(c *inventory.Catalogue) {
			c.Figures[0].Regions = []inventory.Region{{Name: "x", Share: 1}}
			c.Recipes[0].Steps = []inventory.Step{{
				ID:      "s",
				Mix:     fixture.One("black"),
				Regions: inventory.RegionSet{All: true, Except: []string{"x"}},
			}}
			c.Forces[0].Match = nil
		}, "forces.patrol.units.first.recipe", "all but every region", ""},
		"unknown method": {func(c *inventory.Catalogue) { c.Recipes[0].Steps[1].Method = "roller" },
			"recipes.plain.steps.cloth.method", "airbrush", ""},
		"dangling mix": {func(c *inventory.Catalogue) { c.Recipes[0].Steps[2].Mix[1].Paint = "blak" },
			"recipes.plain.steps.straps.mix.2.paint", "in the catalogue", "black"},
		"mix without parts": {func(c *inventory.Catalogue) { c.Recipes[0].Steps[2].Mix[1].Parts = 0 },
			"recipes.plain.steps.straps.mix.2.parts", "above 0", ""},
		"pencil in a mix": {func(c *inventory.Catalogue) { c.Recipes[0].Steps[2].Mix[1].Paint = "soft-pencil" },
			"recipes.plain.steps.straps.mix.2.paint", "mixed by volume", ""},
		"thinned spray": {func(c *inventory.Catalogue) {
			c.Recipes[0].Steps[0].Thinning = &inventory.Thinning{Medium: "medium", PaintParts: 1, MediumParts: 1}
		}, "recipes.plain.steps.prime.thinning", "no thinning", ""},
		"same way twice": {func(c *inventory.Catalogue) {
			c.Recipes[0].Steps[1].Alternatives[0].Mix = fixture.One("cloth-a")
		},
			"recipes.plain.steps.cloth.alternatives.1.mix", "a second time", ""},
		"negative compromise": {func(c *inventory.Catalogue) {
			c.Recipes[0].Steps[1].Alternatives[0].Compromise = -1
		},
			"recipes.plain.steps.cloth.alternatives.1.compromise", "0 to", ""},
		"cycle of stand-ins": {func(c *inventory.Catalogue) {
			c.StandIns = []inventory.StandIn{
				{For: "black", Use: "leather"},
				{For: "leather", Use: "strap-b"},
				{For: "strap-b", Use: "black"},
			}
		}, "stand-ins.strap-b@black", "black -> leather -> strap-b -> black", ""},
		"stand-in for itself": {func(c *inventory.Catalogue) { c.StandIns[0].Use = "black" },
			"stand-ins.black@black", "two different", ""},
		"zero figures": {func(c *inventory.Catalogue) { c.Forces[0].Units[0].Figures = 0 },
			"forces.patrol.units.first.figures", "1 to", ""},
		"no units": {func(c *inventory.Catalogue) { c.Forces[0].Units = nil },
			"forces.patrol.units", "at least one unit", ""},
		"dangling recipe": {func(c *inventory.Catalogue) { c.Forces[0].Units[0].Recipe = "plian" },
			"forces.patrol.units.first.recipe", "recipe", "plain"},
		"match of nothing": {func(c *inventory.Catalogue) { c.Forces[0].Match[0].Steps = []string{"strap"} },
			"forces.patrol.match.1.steps", "step", "straps"},
		"work on no unit": {func(c *inventory.Catalogue) {
			c.Forces[0].Done = []inventory.Work{{Unit: "fist", Step: "cloth", Figures: 1}}
		}, "forces.patrol.done.1.unit", "unit", "first"},
		"work on no step": {func(c *inventory.Catalogue) {
			c.Forces[0].Done = []inventory.Work{{Unit: "first", Step: "clot", Figures: 1}}
		}, "forces.patrol.done.1.step", "step", "cloth"},
	} {
		t.Run(name, func(t *testing.T) {
			cat := fixture.SmallCatalogue()
			c.breaks(cat)
			faults := cat.Validate()
			for _, f := range faults {
				if f.Path == c.path && strings.Contains(f.Error(), c.says) &&
					(c.nearest == "" ||
						f.Nearest != nil &&
							strings.HasPrefix(strings.Join(f.Nearest(), " ")+" ", c.nearest+" ")) {
					return
				}
			}
			t.Errorf("no fault at %s that says %q (nearest %q) among:\n%v", c.path, c.says, c.nearest, faults)
		})
	}
}

// All slips are told in one go.
func TestValidateTellsAll(t *testing.T) {
	c := fixture.SmallCatalogue()
	c.Paints[0].Name, c.Products[0].Contents[0].Paint, c.Forces[0].Units[0].Figures = "", "nothing-like-it", 0
	if got := c.Validate(); len(got) != 3 {
		t.Errorf("three slips give %d faults:\n%v", len(got), got)
	}
}

// Near twins go both ways without being a cycle.
func TestEitherWayIsNoCycle(t *testing.T) {
	c := fixture.SmallCatalogue()
	c.StandIns = append(c.StandIns, inventory.StandIn{For: "cloth-a", Use: "cloth-b", EitherWay: true},
		inventory.StandIn{For: "leather", Use: "strap-b"})
	if err := c.Validate().Err(); err != nil {
		t.Error(err)
	}
}

func TestShelfValidate(t *testing.T) {
	idx := fixture.SmallCatalogue().Index()
	v := func(ml float64) *inventory.Volume { x := inventory.VolumeOfML(ml); return &x }
	f := func(x float64) *float64 { return &x }
	sound := func() *inventory.Shelf {
		return &inventory.Shelf{Pots: []inventory.Pot{
			{ID: "a", Paint: "black", Nominal: 17 * inventory.Millilitre, TareGrams: 20, Events: []inventory.PotEvent{
				{ID: 1, Kind: inventory.Bought, At: fixture.Noon},
				{ID: 2, Kind: inventory.Judged, At: fixture.Noon, Fraction: f(0.5)},
				{ID: 3, Kind: inventory.Corrected, At: fixture.Noon, Undoes: 2}}},
		}}
	}
	if err := sound().Validate(idx, fixture.Noon).Err(); err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		breaks func(*inventory.Pot)
		path   string
		says   string
	}{
		"future": {func(p *inventory.Pot) { p.Events[0].At = fixture.Noon.Add(time.Hour) },
			"pots.a.events.1.at", "not in the future"},
		"gross below tare": {func(p *inventory.Pot) {
			p.Events[1] = inventory.PotEvent{ID: 2, Kind: inventory.Weighed, At: fixture.Noon, GrossGrams: 19}
		}, "pots.a.events.2.gross", "at least the empty pot's 20 g"},
		"two measures": {func(p *inventory.Pot) { p.Events[1].Volume = v(3) }, "pots.a.events.2", "one:"},
		"no measure":   {func(p *inventory.Pot) { p.Events[1].Fraction = nil }, "pots.a.events.2", "one:"},
		"over full": {func(p *inventory.Pot) { p.Events[1].Fraction = f(1.2) },
			"pots.a.events.2.fraction", "0 to 1"},
		"more than fits": {func(p *inventory.Pot) { p.Events[1].Fraction, p.Events[1].Volume = nil, v(60) },
			"pots.a.events.2.volume", "no more than fits"},
		"unknown kind": {func(p *inventory.Pot) { p.Events[1].Kind = "looked at" },
			"pots.a.events.2.kind", "judged"},
		"undoes nothing": {func(p *inventory.Pot) { p.Events[2].Undoes = 9 }, "pots.a.events.3.undoes",
			"an earlier event"},
		"undone twice": {func(p *inventory.Pot) {
			p.Events = append(p.Events, inventory.PotEvent{
				ID:     4,
				Kind:   inventory.Corrected,
				At:     fixture.Noon,
				Undoes: 2,
			})
		},
			"pots.a.events.4.undoes", "not been undone"},
		"no such paint": {func(p *inventory.Pot) { p.Paint = "blak" }, "pots.a.paint", "black"},
		"absurd size": {func(p *inventory.Pot) { p.Nominal = 6 * inventory.Litre }, "pots.a.size",
			"at most 5000 ml"},
	} {
		t.Run(name, func(t *testing.T) {
			s := sound()
			c.breaks(&s.Pots[0])
			for _, fault := range s.Validate(idx, fixture.Noon) {
				if fault.Path == c.path && strings.Contains(fault.Error(), c.says) {
					return
				}
			}
			t.Errorf("no fault at %s that says %q among:\n%v", c.path, c.says, s.Validate(idx, fixture.Noon))
		})
	}
}

// A correction of a correction brings the event back.
func TestStanding(t *testing.T) {
	p := inventory.Pot{Events: []inventory.PotEvent{
		{ID: 1, Kind: inventory.Bought},
		{ID: 2, Kind: inventory.Opened},
		{ID: 3, Kind: inventory.Corrected, Undoes: 2},
	}}
	if got := p.Standing(); len(got) != 1 || got[0].ID != 1 {
		t.Errorf("after a correction %v stands", got)
	}
	p.Events = append(p.Events, inventory.PotEvent{ID: 4, Kind: inventory.Corrected, Undoes: 3})
	if got := p.Standing(); len(got) != 2 {
		t.Errorf("after the correction was corrected %v stands", got)
	}
}

func TestRecordLeavesThePotAlone(t *testing.T) {
	idx := fixture.SmallCatalogue().Index()
	p := inventory.Pot{
		ID:      "a",
		Paint:   "black",
		Nominal: 17 * inventory.Millilitre,
		Events:  make([]inventory.PotEvent, 0, 4),
	}
	q, err := p.Record(inventory.PotEvent{Kind: inventory.Opened, At: fixture.Noon}, idx, fixture.Noon)
	if err != nil || len(p.Events) != 0 || len(q.Events) != 1 {
		t.Fatalf("recorded %v, %v; the first pot now has %d events", q.Events, err, len(p.Events))
	}
	if _, err := p.Record(inventory.PotEvent{
		Kind: inventory.Used,
		At:   fixture.Noon,
	}, idx, fixture.Noon); err == nil {
		t.Error("a use without a volume is taken")
	}
}
