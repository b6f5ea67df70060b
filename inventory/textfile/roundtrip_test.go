package textfile

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"
	"time"
	"unicode"

	"github.com/shopspring/decimal"

	"halfpot/inventory"
	"halfpot/inventory/colour"
)

// same compares values by what they show, with pointers followed and money by
// its amount, whatever its number of decimals.
func same[T any](t *testing.T, what string, got, want []T) {
	t.Helper()
	if len(got) != len(want) {
		t.Errorf("%s: %d, want %d:\n%v", what, len(got), len(want), got)
		return
	}
	for i := range got {
		if g, w := plain(got[i]), plain(want[i]); g != w {
			t.Errorf("%s %d: got\n%s\nwant\n%s", what, i, g, w)
		}
	}
}

func plain(v any) string {
	var b bytes.Buffer
	dump(&b, v)
	return b.String()
}

// made builds a catalogue with every field in use out of fuzzed values.
func made(name, note string, a, b uint16, f float64, flag bool) (inventory.Catalogue, []inventory.Pot) {
	share := float64(a%1000+1) / 1000
	v := inventory.Volume(a) + 1
	money := func(n uint16) inventory.Money {
		return inventory.Money{Amount: decimal.New(int64(n), -2), Currency: "EUR"}
	}
	limit, worth, loss := int(b), int(a), share/2
	at := time.Unix(int64(a)*86400+int64(b), int64(b)*1000).UTC()
	opened := at
	cost := money(b)
	col := inventory.Colour{R: uint8(a), G: uint8(b), B: uint8(a >> 8)}
	mix := inventory.Mix{{Paint: "p1", Parts: f}, {Paint: "p2", Parts: 1}}
	thin := &inventory.Thinning{Medium: "p2", PaintParts: f, MediumParts: 1.5}
	fraction, vol := share, v
	c := inventory.Catalogue{
		Paints: []inventory.Paint{
			{ID: "p1", Maker: note, Range: name, Name: name, Code: note, Type: inventory.Base, Colour: &col,
				VolumeSolids: share, Density: f, Finish: inventory.Satin, Carrier: inventory.Solvent,
				Tone: inventory.Dark},
			{ID: "p2", Name: name, Type: inventory.Medium},
		},
		StandIns: []inventory.StandIn{{For: "p1", Use: "p2", Compromise: int(b), EitherWay: flag,
			OtherKind: !flag, Note: note}},
		Spectra: []inventory.Spectrum{
			{
				Paint: "p1",
				Readings: []colour.Reading{
					{NM: 380 + f, Reflectance: share},
					{NM: 720.5, Reflectance: share / 3},
				},
			},
			{Paint: "p2", Readings: []colour.Reading{{NM: 400, Reflectance: 0}}},
		},
		TrialMixes: []inventory.TrialMix{{Mix: mix, Seen: col, Note: note}},
		Products: []inventory.Product{{ID: "x", Name: name, Code: note,
			Contents: []inventory.Content{
				{Paint: "p1", Volume: v, Count: int(a)},
				{Paint: "p2", Volume: v + 1, Count: 1},
			}}},
		Shops: []inventory.Shop{{ID: "s", Name: name, Currency: "EUR", MinOrder: money(a | 1),
			Delivery: []inventory.DeliveryBand{
				{From: money(0), Fee: money(b)},
				{From: money(a), Fee: inventory.Money{Amount: decimal.New(-int64(b), -2), Currency: "EUR"}},
			}}},
		Offers: []inventory.Offer{
			{Product: "x", Shop: "s", Price: money(a), Limit: &limit},
			{Product: "y", Shop: "s", Price: money(b)},
		},
		Figures: []inventory.FigureType{
			{ID: "f", Name: name, AreaCM2: f, Source: "measured", Note: note, Material: inventory.Resin,
				Regions: []inventory.Region{{Name: "jacket", Share: share}, {Name: "base", AreaCM2: f}}},
			{
				ID:   "g",
				Name: name,
				Body: &inventory.Body{
					StatureCM: 100 + share,
					MassKG:    f,
					Scale:     1 + f,
					Formula:   "boyd",
					Clo:       share,
					Kit:       f,
					Heroic:    f,
				},
			},
		},
		Recipes: []inventory.Recipe{{ID: "r", Name: name, Steps: []inventory.Step{
			{ID: "one", Name: name, Label: note, Regions: inventory.RegionSet{Names: []string{
				"jacket",
				"base",
			}}, Share: share, Method: "brush", Mix: mix, Thinning: thin, NoStandIns: flag,
				Alternatives: []inventory.Alternative{
					{Label: note, Mix: inventory.Mix{{Paint: "p2", Parts: 1}}, Compromise: int(b)},
					{Mix: mix, Thinning: thin},
				},
				Coats:     int(a % 9),
				CoatsOver: []inventory.CoatsOver{{Undercoat: "p1", Coats: 2}},
				Optional:  flag,
				WaitAfter: time.Duration(b) * 7 * time.Second,
				FilmUM:    f,
				Loss:      &loss,
				Allow:     []string{"hidden"}},
			{ID: "sand", Name: name, Kind: inventory.Sand,
				Regions: inventory.RegionSet{Names: []string{"base"}}, PerItem: f,
				NextWithin: time.Duration(b) * 11 * time.Second, After: []string{"one"}},
			{ID: "two", Name: name, Regions: inventory.RegionSet{All: true},
				Mix: inventory.Mix{{Paint: "p1", Parts: 1}}, WaitAfter: time.Duration(a) * time.Minute},
			{ID: "three", Name: name, Regions: inventory.RegionSet{All: true, Except: []string{"base"}},
				Mix: inventory.Mix{{Paint: "p1", Parts: f}}}}}},
		Forces: []inventory.Force{
			{ID: "h", Name: name, Units: []inventory.Unit{
				{ID: "u", Name: name, Figures: int(a), Figure: "f", Recipe: "r", Undercoat: "p1",
					Batch: int(b), Worth: &worth},
				{ID: "w", Name: name, Figures: 1, Figure: "f", Recipe: "r", After: []string{"u"}},
			},
				Match: []inventory.Match{
					{Label: name, Steps: []string{"one"}, Units: []string{"u", "w"}},
					{Label: name + "x", Steps: []string{"two", "three"}},
				}},
		},
	}
	pots := []inventory.Pot{
		{ID: "a", Paint: "p1", Product: "x", Nominal: v, Cost: &cost, Place: note, Opened: &opened, TareGrams: f, Events: []inventory.PotEvent{
			{ID: 1, Kind: inventory.Bought, At: at, Fraction: &fraction, Note: note},
			{ID: 2, Kind: inventory.Used, At: at, Volume: &vol, Estimated: flag, Job: "job-1"},
			{ID: 5, Kind: inventory.Weighed, At: at.Add(time.Hour), GrossGrams: f, TareGrams: f},
			{ID: 6 + int64(b), Kind: inventory.Corrected, At: at, Undoes: 5}}},
	}
	return c, pots
}

// usable says whether fuzzed text is what a field can hold.
func usable(s string) bool {
	return len(s) < 1000 && inventory.CheckCode(s) == nil && strings.TrimSpace(s) == s &&
		strings.ToValidUTF8(s, "") == s &&
		!strings.ContainsFunc(s, func(r rune) bool {
			return r < ' ' && r != '\n' && r != '\t' || r == 0x7f || r == unicode.ReplacementChar
		})
}

func FuzzRoundTrip(f *testing.F) {
	f.Add("Bone Tone", "", uint16(7), uint16(3), 1.5, true)
	f.Add(`=cmd|"x"`, "'+1", uint16(0), uint16(65535), 0.1, false)
	f.Add("a,b;c\nd", "'", uint16(999), uint16(1), 1e-7, false)
	f.Fuzz(func(t *testing.T, name, note string, a, b uint16, x float64, flag bool) {
		if !usable(name) || !usable(note) || name == "" || math.IsNaN(x) || math.IsInf(x, 0) ||
			math.Abs(x) > 999 || x < 0.0001 {
			return
		}
		c, pots := made(name, note, a, b, x, flag)
		var text bytes.Buffer
		if err := WriteTOML(&text, c, pots); err != nil {
			t.Fatal(err)
		}
		got, err := read("all.toml", text.String())
		if err != nil {
			t.Fatalf("%v in\n%s", err, text.String())
		}
		compare(t, "TOML", got, c, pots)

		idx := c.Index()
		var files []string
		add := func(name string, write func(*bytes.Buffer) error) {
			var b bytes.Buffer
			if err := write(&b); err != nil {
				t.Fatal(err)
			}
			dangerous(t, name, b.Bytes())
			files = append(files, name, b.String())
		}
		add("paints.csv", func(b *bytes.Buffer) error { return WritePaints(b, c.Paints) })
		add("stand-ins.csv", func(b *bytes.Buffer) error { return WriteStandIns(b, c.StandIns) })
		add("spectra.csv", func(b *bytes.Buffer) error { return WriteSpectra(b, c.Spectra) })
		add("trial-mixes.csv", func(b *bytes.Buffer) error { return WriteTrialMixes(b, c.TrialMixes) })
		add("products.csv", func(b *bytes.Buffer) error { return WriteProducts(b, c.Products, idx) })
		add("shops.csv", func(b *bytes.Buffer) error { return WriteShops(b, c.Shops) })
		add("delivery.csv", func(b *bytes.Buffer) error { return WriteDelivery(b, c.Shops) })
		add("offers.csv", func(b *bytes.Buffer) error { return WriteOffers(b, c.Offers) })
		add("pots.csv", func(b *bytes.Buffer) error { return WritePots(b, pots, idx) })
		add("pot-events.csv", func(b *bytes.Buffer) error { return WritePotEvents(b, pots) })
		got, err = read(files...)
		if err != nil {
			t.Fatalf("%v in\n%s", err, files)
		}
		c.Figures, c.Recipes, c.Forces = nil, nil, nil
		compare(t, "CSV", got, c, pots)
	})
}

func compare(t *testing.T, form string, got *Bundle, c inventory.Catalogue, pots []inventory.Pot) {
	t.Helper()
	same(t, form+" paints", got.Catalogue.Paints, c.Paints)
	same(t, form+" stand-ins", got.Catalogue.StandIns, c.StandIns)
	same(t, form+" spectra", got.Catalogue.Spectra, c.Spectra)
	same(t, form+" trial mixes", got.Catalogue.TrialMixes, c.TrialMixes)
	same(t, form+" products", got.Catalogue.Products, c.Products)
	same(t, form+" shops", got.Catalogue.Shops, c.Shops)
	same(t, form+" offers", got.Catalogue.Offers, c.Offers)
	same(t, form+" figures", got.Catalogue.Figures, c.Figures)
	same(t, form+" recipes", got.Catalogue.Recipes, c.Recipes)
	same(t, form+" forces", got.Catalogue.Forces, c.Forces)
	same(t, form+" pots", got.Pots, pots)
}

// dangerous fails for a cell that a spreadsheet would run as a formula; money
// below zero is a number and stays.
func dangerous(t *testing.T, name string, b []byte) {
	rows, err := csv.NewReader(bytes.NewReader(b)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range rows {
		for _, cell := range row {
			if cell != "" && strings.ContainsRune("=+-@\t", rune(cell[0])) && !strings.HasSuffix(cell, " EUR") {
				t.Errorf("%s: the cell %q could be run", name, cell)
			}
		}
	}
}

// FuzzRead begins with what three quarters of an hour of it found worth keeping
// (testdata/kept.txt: 9 million mutated files, none of which broke anything).
func FuzzRead(f *testing.F) {
	kept, err := os.ReadFile("testdata/kept.txt")
	if err != nil {
		f.Fatal(err)
	}
	for line := range strings.Lines(string(kept)) {
		kind, quoted, _ := strings.Cut(strings.TrimSuffix(line, "\n"), " ")
		text, err := strconv.Unquote(quoted)
		if err != nil {
			f.Fatalf("%q: %v", line, err)
		}
		f.Add([]byte(text), kind == "csv")
	}
	f.Add([]byte("name,type\na,base\n"), true)
	f.Add([]byte("pot,kind,at\nb,bought,2026-01-01\n"), true)
	f.Add([]byte("[[recipes]]\nid='r'\n[[recipes.steps]]\nid='s'\nmix=[{paint='a',parts=1}]\n[a.b]\nc.d=1"),
		false)
	f.Fuzz(func(t *testing.T, data []byte, asCSV bool) {
		name := "x.toml"
		if asCSV {
			name = "x.csv"
		}
		b, err := read(name, string(data))
		if (b == nil) || (err == nil) != (len(b.slips) == 0) {
			t.Fatalf("%v %v", b, err)
		}
		if _, err := b.Check(inventory.Catalogue{}); err != nil && fmt.Sprint(err) == "" {
			t.Fatal("an error without words")
		}
	})
}

// What a pot's row says of it is kept or refused, and never lost, where its events are
// listed too.
func TestRowsBesideListedEventsLoseNothing(t *testing.T) {
	paints := "id,maker,range,name,type\nbone,m,r,Bone,base\n"
	pots := "id,paint,size,bought,full\np,bone,17 ml,2026-01-02,half\n"
	listed := "pot,kind,at,fraction\np,bought,2026-01-02,\np,judged,2026-02-01,50 %\n"
	if _, err := read("paints.csv", paints, "pots.csv", pots, "pot-events.csv", listed); err != nil {
		t.Errorf("all of it is listed: %v", err)
	}
	b, err := read("paints.csv", paints, "pots.csv", "id,paint,size,bought\np,bone,17 ml,2026-01-02\n",
		"pot-events.csv", "pot,kind,at,fraction\np,judged,2026-02-01,50 %\n")
	if err != nil || len(b.Pots[0].Events) != 2 || b.Pots[0].Events[0].Kind != inventory.Bought {
		t.Errorf("the purchase stands first: %v, %+v", err, b.Pots)
	}
	_, err = read("paints.csv", paints, "pots.csv", pots, "pot-events.csv",
		"pot,kind,at,fraction\np,opened,2026-02-01,\n")
	if err == nil || !strings.Contains(err.Error(), "pots.csv:2:") || !strings.Contains(err.Error(), "full") {
		t.Errorf("got %v, want the level named with its line", err)
	}
}
