package inventory

import (
	"strings"
	"testing"
	"time"
)

func TestSmallCatalogueIsSound(t *testing.T) {
	if err := smallCatalogue().Validate().Err(); err != nil {
		t.Fatal(err)
	}
}

// TestValidate breaks one thing at a time and expects it told, with its place.
func TestValidate(t *testing.T) {
	for name, c := range map[string]struct {
		breaks  func(*Catalogue)
		path    string
		says    string
		nearest string
	}{
		"bad id":                {func(c *Catalogue) { c.Paints[1].ID = "Cloth A" }, "paints.2.id", "like cloth-a", ""},
		"id twice":              {func(c *Catalogue) { c.Paints[2].ID = "cloth-a" }, "paints.cloth-a.id", "a second time", ""},
		"unknown type":          {func(c *Catalogue) { c.Paints[0].Type = "spray" }, "paints.bone-can.type", "primer-spray", ""},
		"solids over 100 %":     {func(c *Catalogue) { c.Paints[0].VolumeSolids = 35 }, "paints.bone-can.volume-solids", "0 to 1", ""},
		"absurd pot":            {func(c *Catalogue) { c.Products[1].Contents[0].Volume = 17 * Litre }, "products.p-cloth-a.contents.1.volume", "5000 ml", ""},
		"negative pot":          {func(c *Catalogue) { c.Products[1].Contents[0].Volume = -1 }, "products.p-cloth-a.contents.1.volume", "more than 0", ""},
		"pencil by volume":      {func(c *Catalogue) { c.Products[8].Contents[0].Volume = 17 * Millilitre }, "products.p-pencil.contents.1.volume", "by the piece", ""},
		"paint not there":       {func(c *Catalogue) { c.Products[3].Contents[0].Paint = "lether" }, "products.p-leather.contents.1.paint", "in the catalogue", "leather"},
		"empty product":         {func(c *Catalogue) { c.Products[0].Contents = nil }, "products.p-bone.contents", "at least one pot", ""},
		"mixed currencies":      {func(c *Catalogue) { c.Offers[2].Price = MoneyOfMinor(300, "GBP") }, "offers.p-cloth-a@corner.price", "EUR", ""},
		"shops of two monies":   {func(c *Catalogue) { c.Shops[1].Currency = "GBP" }, "shops.post.currency", "one plan has one currency", ""},
		"unknown currency":      {func(c *Catalogue) { c.Shops[1].Currency = "QQQ" }, "shops.post.currency", "ISO 4217", ""},
		"negative price":        {func(c *Catalogue) { c.Offers[2].Price = eur(-1) }, "offers.p-cloth-a@corner.price", "0 or more", ""},
		"price finer than cent": {func(c *Catalogue) { c.Offers[2].Price.Amount = dec("1.005") }, "offers.p-cloth-a@corner.price", "finer", ""},
		"offer twice":           {func(c *Catalogue) { c.Offers[1] = c.Offers[0] }, "offers.p-bone@corner", "at most one", ""},
		"first band not 0":      {func(c *Catalogue) { c.Shops[1].Delivery[0].From = eur(1) }, "shops.post.delivery.1.from", "0", ""},
		"bands fall":            {func(c *Catalogue) { c.Shops[1].Delivery[1].From = eur(0) }, "shops.post.delivery.2.from", "more than", ""},
		"fee rises":             {func(c *Catalogue) { c.Shops[1].Delivery[1].Fee = eur(500) }, "shops.post.delivery.2.fee", "never pay more", ""},
		"shares over 100 %":     {func(c *Catalogue) { c.Figures[0].Regions[0].Share = 0.9 }, "figures.walker.regions", "115 %", ""},
		"negative area":         {func(c *Catalogue) { c.Figures[0].AreaCM2 = -3 }, "figures.walker.area", "above 0", ""},
		"no area at all":        {func(c *Catalogue) { c.Figures[0].AreaCM2 = 0 }, "figures.walker", "neither", ""},
		"a giant":               {func(c *Catalogue) { c.Figures[0].AreaCM2, c.Figures[0].Body = 0, &Body{StatureCM: 900, Scale: 56} }, "figures.walker.body", "stature", ""},
		"film of 5 mm":          {func(c *Catalogue) { c.Recipes[0].Steps[1].FilmUM = 5000 }, "recipes.plain.steps.cloth.film", "2000 um", ""},
		"loss of all":           {func(c *Catalogue) { l := 1.0; c.Recipes[0].Steps[1].Loss = &l }, "recipes.plain.steps.cloth.loss", "0.99", ""},
		"region not there":      {func(c *Catalogue) { c.Recipes[0].Steps[1].Regions.Names = []string{"gaiters"} }, "forces.patrol.units.first.recipe", "region gaiters", ""},
		"no region":             {func(c *Catalogue) { c.Recipes[0].Steps[1].Regions.Names = nil }, "recipes.plain.steps.cloth.regions", "at least one region", ""},
		"all but everything": {func(c *Catalogue) {
			c.Figures[0].Regions = []Region{{Name: "x", Share: 1}}
			c.Recipes[0].Steps = []Step{{ID: "s", Mix: one("black"), Regions: RegionSet{All: true, Except: []string{"x"}}}}
			c.Forces[0].Match = nil
		}, "forces.patrol.units.first.recipe", "all but every region", ""},
		"unknown method":      {func(c *Catalogue) { c.Recipes[0].Steps[1].Method = "roller" }, "recipes.plain.steps.cloth.method", "airbrush", ""},
		"dangling mix":        {func(c *Catalogue) { c.Recipes[0].Steps[2].Mix[1].Paint = "blak" }, "recipes.plain.steps.straps.mix.2.paint", "in the catalogue", "black"},
		"mix without parts":   {func(c *Catalogue) { c.Recipes[0].Steps[2].Mix[1].Parts = 0 }, "recipes.plain.steps.straps.mix.2.parts", "above 0", ""},
		"pencil in a mix":     {func(c *Catalogue) { c.Recipes[0].Steps[2].Mix[1].Paint = "soft-pencil" }, "recipes.plain.steps.straps.mix.2.paint", "mixed by volume", ""},
		"thinned spray":       {func(c *Catalogue) { c.Recipes[0].Steps[0].Thinning = &Thinning{"medium", 1, 1} }, "recipes.plain.steps.prime.thinning", "no thinning", ""},
		"same way twice":      {func(c *Catalogue) { c.Recipes[0].Steps[1].Alternatives[0].Mix = one("cloth-a") }, "recipes.plain.steps.cloth.alternatives.1.mix", "a second time", ""},
		"negative compromise": {func(c *Catalogue) { c.Recipes[0].Steps[1].Alternatives[0].Compromise = -1 }, "recipes.plain.steps.cloth.alternatives.1.compromise", "0 to", ""},
		"cycle of stand-ins": {func(c *Catalogue) {
			c.StandIns = []StandIn{{For: "black", Use: "leather"}, {For: "leather", Use: "strap-b"}, {For: "strap-b", Use: "black"}}
		}, "stand-ins", "black -> leather -> strap-b -> black", ""},
		"stand-in for itself": {func(c *Catalogue) { c.StandIns[0].Use = "black" }, "stand-ins.black@black", "two different", ""},
		"zero figures":        {func(c *Catalogue) { c.Forces[0].Units[0].Figures = 0 }, "forces.patrol.units.first.figures", "1 to", ""},
		"no units":            {func(c *Catalogue) { c.Forces[0].Units = nil }, "forces.patrol.units", "at least one unit", ""},
		"dangling recipe":     {func(c *Catalogue) { c.Forces[0].Units[0].Recipe = "plian" }, "forces.patrol.units.first.recipe", "recipe", "plain"},
		"match of nothing":    {func(c *Catalogue) { c.Forces[0].Match[0].Steps = []string{"strap"} }, "forces.patrol.match.1.steps", "step", "straps"},
		"work on no unit":     {func(c *Catalogue) { c.Forces[0].Done = []Work{{Unit: "fist", Step: "cloth", Figures: 1}} }, "forces.patrol.done.1.unit", "unit", "first"},
		"work on no step":     {func(c *Catalogue) { c.Forces[0].Done = []Work{{Unit: "first", Step: "clot", Figures: 1}} }, "forces.patrol.done.1.step", "step", "cloth"},
	} {
		t.Run(name, func(t *testing.T) {
			cat := smallCatalogue()
			c.breaks(cat)
			faults := cat.Validate()
			for _, f := range faults {
				if f.Path == c.path && strings.Contains(f.Error(), c.says) && (c.nearest == "" || len(f.Nearest) > 0 && f.Nearest[0] == c.nearest) {
					return
				}
			}
			t.Errorf("no fault at %s that says %q (nearest %q) among:\n%v", c.path, c.says, c.nearest, faults)
		})
	}
}

// All slips are told in one go.
func TestValidateTellsAll(t *testing.T) {
	c := smallCatalogue()
	c.Paints[0].Name, c.Products[0].Contents[0].Paint, c.Forces[0].Units[0].Figures = "", "nothing-like-it", 0
	if got := c.Validate(); len(got) != 3 {
		t.Errorf("three slips give %d faults:\n%v", len(got), got)
	}
}

// Near twins go both ways without being a cycle.
func TestEitherWayIsNoCycle(t *testing.T) {
	c := smallCatalogue()
	c.StandIns = append(c.StandIns, StandIn{For: "cloth-a", Use: "cloth-b", EitherWay: true}, StandIn{For: "leather", Use: "strap-b"})
	if err := c.Validate().Err(); err != nil {
		t.Error(err)
	}
}

func TestShelfValidate(t *testing.T) {
	idx := smallCatalogue().Index()
	v := func(ml float64) *Volume { x := VolumeOfML(ml); return &x }
	f := func(x float64) *float64 { return &x }
	sound := func() *Shelf {
		return &Shelf{Pots: []Pot{{ID: "a", Paint: "black", Nominal: 17 * Millilitre, TareGrams: 20, Events: []PotEvent{
			{ID: 1, Kind: Bought, At: noon}, {ID: 2, Kind: Judged, At: noon, Fraction: f(0.5)}, {ID: 3, Kind: Corrected, At: noon, Undoes: 2}}}}}
	}
	if err := sound().Validate(idx, noon).Err(); err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		breaks func(*Pot)
		path   string
		says   string
	}{
		"future":           {func(p *Pot) { p.Events[0].At = noon.Add(time.Hour) }, "pots.a.events.1.at", "not in the future"},
		"gross below tare": {func(p *Pot) { p.Events[1] = PotEvent{ID: 2, Kind: Weighed, At: noon, GrossGrams: 19} }, "pots.a.events.2.gross", "at least the empty pot's 20 g"},
		"two measures":     {func(p *Pot) { p.Events[1].Volume = v(3) }, "pots.a.events.2", "one:"},
		"no measure":       {func(p *Pot) { p.Events[1].Fraction = nil }, "pots.a.events.2", "one:"},
		"over full":        {func(p *Pot) { p.Events[1].Fraction = f(1.2) }, "pots.a.events.2.fraction", "0 to 1"},
		"more than fits":   {func(p *Pot) { p.Events[1].Fraction, p.Events[1].Volume = nil, v(60) }, "pots.a.events.2.volume", "no more than fits"},
		"unknown kind":     {func(p *Pot) { p.Events[1].Kind = "looked at" }, "pots.a.events.2.kind", "judged"},
		"undoes nothing":   {func(p *Pot) { p.Events[2].Undoes = 9 }, "pots.a.events.3.undoes", "an earlier event"},
		"undone twice": {func(p *Pot) { p.Events = append(p.Events, PotEvent{ID: 4, Kind: Corrected, At: noon, Undoes: 2}) },
			"pots.a.events.4.undoes", "not been undone"},
		"no such paint": {func(p *Pot) { p.Paint = "blak" }, "pots.a.paint", "black"},
		"absurd size":   {func(p *Pot) { p.Nominal = 6 * Litre }, "pots.a.size", "at most 5000 ml"},
	} {
		t.Run(name, func(t *testing.T) {
			s := sound()
			c.breaks(&s.Pots[0])
			for _, fault := range s.Validate(idx, noon) {
				if fault.Path == c.path && strings.Contains(fault.Error(), c.says) {
					return
				}
			}
			t.Errorf("no fault at %s that says %q among:\n%v", c.path, c.says, s.Validate(idx, noon))
		})
	}
}

// A correction of a correction brings the event back.
func TestStanding(t *testing.T) {
	p := Pot{Events: []PotEvent{{ID: 1, Kind: Bought}, {ID: 2, Kind: Opened}, {ID: 3, Kind: Corrected, Undoes: 2}}}
	if got := p.Standing(); len(got) != 1 || got[0].ID != 1 {
		t.Errorf("after a correction %v stands", got)
	}
	p.Events = append(p.Events, PotEvent{ID: 4, Kind: Corrected, Undoes: 3})
	if got := p.Standing(); len(got) != 2 {
		t.Errorf("after the correction was corrected %v stands", got)
	}
}

func TestRecordLeavesThePotAlone(t *testing.T) {
	idx := smallCatalogue().Index()
	p := Pot{ID: "a", Paint: "black", Nominal: 17 * Millilitre, Events: make([]PotEvent, 0, 4)}
	q, err := p.Record(PotEvent{Kind: Opened, At: noon}, idx, noon)
	if err != nil || len(p.Events) != 0 || len(q.Events) != 1 {
		t.Fatalf("recorded %v, %v; the first pot now has %d events", q.Events, err, len(p.Events))
	}
	if _, err := p.Record(PotEvent{Kind: Used, At: noon}, idx, noon); err == nil {
		t.Error("a use without a volume is taken")
	}
}
