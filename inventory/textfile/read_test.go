package textfile

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"halfpot/inventory"
)

var now = time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC)

// read reads files given as name, text, name, text.
func read(files ...string) (*Bundle, error) {
	var s []Source
	for i := 0; i < len(files); i += 2 {
		s = append(s, Source{files[i], strings.NewReader(files[i+1]), int64(len(files[i+1]))})
	}
	return Read(Options{Now: now}, s...)
}

func TestCSVForms(t *testing.T) {
	b, err := read("list.csv", "\xef\xbb\xbfColour, Type ,NAME,Volume solids,maker\r\n"+
		"#c8b89a,Base,\"Bone \"\"Tone\"\", pale\",35 %,Tallow\r\n, WASH , Dusk ,0.08,Tallow")
	if err != nil {
		t.Fatal(err)
	}
	want := []inventory.Paint{
		{ID: "tallow-bone-tone-pale", Maker: "Tallow", Name: `Bone "Tone", pale`, Type: "base", Colour: &inventory.Colour{R: 0xc8, G: 0xb8, B: 0x9a}, VolumeSolids: 0.35},
		{ID: "tallow-dusk", Maker: "Tallow", Name: "Dusk", Type: "wash", VolumeSolids: 0.08},
	}
	same(t, "paints", b.Catalogue.Paints, want)
}

func TestNotesKeepLineNumbers(t *testing.T) {
	b, err := read("paints.csv",
		"# a note, with a \"\r\n# another\n\ncolour,name,type\n#c8b89a,a,base\n#xyz,b,base\n")
	if err == nil || b == nil || err.Error() != `paints.csv:6:1: colour: found "#xyz", expected six hexadecimal digits of sRGB, like #c8b89a, or CIELAB, like lab 52.3 -4.1 20` {
		t.Errorf("got %v", err)
	}
}

// The kind of rows is told by the header, in any order of the columns.
func TestKindByHeader(t *testing.T) {
	for _, k := range kinds() {
		for _, columns := range [][]string{k.columns, k.required, reversed(k.columns)} {
			if got := kindOf("new.csv", columns); got.name != k.name {
				t.Errorf("columns %v: taken for %s, want %s", columns, got.name, k.name)
			}
		}
	}
	if got := kindOf("dir/OFFERS.csv", []string{"name", "type"}); got.name != "offers" {
		t.Errorf("a file named offers.csv was taken for %s", got.name)
	}
}

func reversed(s []string) []string {
	r := slices.Clone(s)
	slices.Reverse(r)
	return r
}

func TestJoinsAcrossFiles(t *testing.T) {
	b, err := read(
		"offers.csv", "product,shop,price,limit\nbone-17-ml,attic,3.20,2\nbone-17-ml,stall,3.40 EUR,\n",
		"delivery.csv", "shop,from,fee\nattic,0,4.50\nattic,40,0\nattic,80 EUR,-5\n",
		"shops.csv", "id,name,currency,min-order\nattic,The Attic,EUR,10\n,Stall,EUR,\n",
		"products.csv", "id,name,paint,volume,count\nset,Field set,bone,17 ml,2\n,,bone,17 ml,\n"+
			"set,,dusk,20 ml,1\n",
		"pots.csv", "paint,size,full,opened,cost,place\nbone,17 ml,60 %,2026-03-01,3.20 EUR,left drawer\n"+
			"bone,17 ml,,,,\ndusk,20 ml,5 ml,,,\n",
		"pot-events.csv", "pot,kind,at,gross,note\nbone-2,bought,2026-01-01,,=1+1\n"+
			"bone-2,weighed,2026-02-01T18:30:00+01:00,30.5 g,\n",
		"more.toml", "[[stand-ins]]\nfor = \"bone\"\nuse = \"ivory\"\ncompromise = 2\n",
	)
	if err != nil {
		t.Fatal(err)
	}
	eur := func(s string) inventory.Money { m, _ := inventory.ParseMoney(s, "EUR"); return m }
	two := 2
	same(t, "offers", b.Catalogue.Offers, []inventory.Offer{
		{Product: "bone-17-ml", Shop: "attic", Price: eur("3.20"), Limit: &two},
		{Product: "bone-17-ml", Shop: "stall", Price: eur("3.40")},
	})
	same(t, "shops", b.Catalogue.Shops, []inventory.Shop{
		{ID: "attic", Name: "The Attic", Currency: "EUR", MinOrder: eur("10"),
			Delivery: []inventory.DeliveryBand{
				{From: eur("0"), Fee: eur("4.50")},
				{From: eur("40"), Fee: eur("0")},
				{From: eur("80"), Fee: eur("-5")},
			}},
		{ID: "stall", Name: "Stall", Currency: "EUR"}})
	same(t, "products", b.Catalogue.Products, []inventory.Product{
		{
			ID:   "set",
			Name: "Field set",
			Contents: []inventory.Content{
				{Paint: "bone", Volume: 17000, Count: 2},
				{Paint: "dusk", Volume: 20000, Count: 1},
			},
		},
		{ID: "bone-17-ml", Contents: []inventory.Content{{Paint: "bone", Volume: 17000, Count: 1}}}})
	opened, full, five := time.Date(2026, 3, 1, 12, 0, 0, 0, time.UTC), 0.6, inventory.Volume(5000)
	cost := eur("3.20")
	same(t, "pots", b.Pots, []inventory.Pot{
		{ID: "bone", Paint: "bone", Nominal: 17000, Cost: &cost, Place: "left drawer", Opened: &opened, OpenedDay: true, Events: []inventory.PotEvent{
			{ID: 1, Kind: inventory.Bought, At: opened.Add(-12 * time.Hour), DayOnly: true},
			{ID: 2, Kind: inventory.Opened, At: opened, DayOnly: true},
			{ID: 3, Kind: inventory.Judged, At: now, Fraction: &full}}},
		{ID: "bone-2", Paint: "bone", Nominal: 17000, Events: []inventory.PotEvent{
			{ID: 1, Kind: inventory.Bought, At: time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC),
				DayOnly: true, Note: "=1+1"},
			{ID: 2, Kind: inventory.Weighed, At: time.Date(2026, 2, 1, 17, 30, 0, 0, time.UTC),
				GrossGrams: 30.5}}},
		{ID: "dusk", Paint: "dusk", Nominal: 20000,
			Events: []inventory.PotEvent{
				{ID: 1, Kind: inventory.Bought, At: now},
				{ID: 2, Kind: inventory.Judged, At: now, Volume: &five},
			}}})
	if !b.Undated["bone"] || b.Undated["bone-2"] || !b.Undated["dusk"] {
		t.Errorf("undated pots: %v", b.Undated)
	}
}

// How full a pot is may be said as a share, a decimal or a part, in CSV and TOML.
func TestPartsOfAPot(t *testing.T) {
	b, err := read(
		"pots.csv", "id,paint,size,full\na,bone,17 ml,1/2\nb,bone,17 ml,3 / 4\nc,bone,17 ml,75 %\n"+
			"d,bone,17 ml,0.75\ne,bone,17 ml,1/1\nf,bone,17 ml,\n",
		"pot-events.csv", "pot,kind,at,fraction\nf,bought,2026-01-01,\nf,judged,2026-01-02,1/4\n",
		"more.toml", "[[pots]]\nid = \"g\"\npaint = \"bone\"\nsize = \"17 ml\"\nfull = \"2/3\"\n",
	)
	if err != nil {
		t.Fatal(err)
	}
	want := map[string]float64{
		"a": 1.0 / 2, "b": 3.0 / 4, "c": 0.75, "d": 0.75, "e": 1, "f": 1.0 / 4, "g": 2.0 / 3,
	}
	for _, p := range b.Pots {
		if e := p.Events[len(p.Events)-1]; e.Kind != inventory.Judged || e.Fraction == nil ||
			*e.Fraction != want[p.ID] {
			t.Errorf("pot %s: last %+v; want judged %v full", p.ID, e, want[p.ID])
		}
	}
	if len(b.Pots) != len(want) {
		t.Errorf("%d pots, want %d", len(b.Pots), len(want))
	}
}

// Words of a list are read as people write them.
func TestWordsAsWritten(t *testing.T) {
	b, err := read("paints.csv", "name,type,finish\nMoss,One Coat,Matt\nTusk,primer  spray,\n")
	if err != nil {
		t.Fatal(err)
	}
	if p := b.Catalogue.Paints; p[0].Type != "one-coat" || p[0].Finish != inventory.Matt || p[1].Type != "primer-spray" {
		t.Errorf("%+v", p)
	}
}

// An amount is read in a file as it is in a command.
func TestAmountsAsInCommands(t *testing.T) {
	for text, want := range map[string]string{
		"half": "0.5", "3/4": "0.75", "1/2": "0.5", "60%": "0.6", "60 %": "0.6", "0.6": "0.6",
		"12ml": "12 ml", "12 ml": "12 ml", "0.25 items": "0.25 ml",
	} {
		b, err := read("pots.csv", "paint,size,full,cost\nbone,17ml,"+text+",2.95EUR\n")
		if err != nil {
			t.Fatal(err)
		}
		p := b.Pots[0]
		e, got := p.Events[len(p.Events)-1], ""
		if e.Volume != nil {
			got = e.Volume.String()
		} else {
			got = formatFloat(*e.Fraction)
		}
		if got != want || p.Nominal != 17000 || p.Cost.String() != "2.95 EUR" {
			t.Errorf("%q: read as %s, size %s, cost %s", text, got, p.Nominal, p.Cost)
		}
	}
}

// Every slip of a load comes at once, with its place.
func TestSlips(t *testing.T) {
	for name, c := range map[string]struct {
		files []string
		want  []string
	}{
		"values": {[]string{
			"pots.csv",
			"paint,size,full,tare,opened\nbone,17,60 %,,\nbone,-17 ml,,,\n" +
				"bone,17 oz,160 %,20 kilo,yesterday\nBone Tone,17 ml,,,\n,17 ml,,,\nbone,\"12,5 ml\",,,\n",
		}, []string{
			`pots.csv:2:6: size: found "17", expected a volume with its unit, like 17 ml`,
			`pots.csv:3:6: size: found "-17 ml", expected a volume with its unit`,
			`pots.csv:4:6: size: found "17 oz"`,
			`pots.csv:4:12: full: found "160 %", expected how full the pot is, like 60 %, 1/2 or 10 ml`,
			`pots.csv:4:18: tare: found "20 kilo", expected a mass, like 38.4 g`,
			`pots.csv:4:26: opened: found "yesterday", expected a date like 2026-11-25`,
			`pots.csv:5:1: paint: found "Bone Tone", expected an id of lower-case letters, digits and single hyphens, like bone-tone`,
			`pots.csv:6:1: paint: found nothing, expected a value`,
			`pots.csv:7:6: size: found "12,5 ml"`}},
		"parts of a pot": {[]string{
			"pots.csv",
			"paint,size,full\nbone,17 ml,3/2\nbone,17 ml,1/0\nbone,17 ml,0.5/2\nbone,17 ml,-1/2\n" +
				"bone,17 ml,haf\n",
			"pot-events.csv",
			"pot,kind,at,fraction\nbone,judged,2026-01-01,5/4\n",
		}, []string{
			`pots.csv:2:12: full: found "3/2", expected how full the pot is, like 60 %, 1/2 or 10 ml`, `pots.csv:3:12: full: found "1/0"`,
			`pots.csv:4:12: full: found "0.5/2"`, `pots.csv:5:12: full: found "-1/2"`, `pots.csv:6:12: full: found "haf"`,
			`pot-events.csv:2:24: fraction: found "5/4", expected a part of the pot, like 60 %, 0.6 or 1/2`}},
		"barcodes": {[]string{
			"products.csv",
			"id,code,paint,volume\na,6291041500214,b,17 ml\nb,96385075,b,17 ml\nc,H101,b,17 ml\n",
		}, []string{
			`products.csv:2:3: code: found "6291041500214", expected a barcode that ends in 3`, `products.csv:3:3: code: found "96385075", expected a barcode that ends in 4`}},
		"columns": {[]string{"a.csv", "name,tipe,name,\nx,y,z,\n"}, []string{
			`a.csv:1:6: found the unknown column "tipe", expected columns of paints: id, maker, range, name, code, type, colour, volume-solids, density, finish, carrier, tone; nearest: type, tone`,
			`a.csv:1:11: found the column name a second time`, `a.csv:1:16: found a column without a name`, `a.csv:1: found no column type`}},
		"semicolons":      {[]string{"a.csv", "name;type\nx;base\n"}, []string{`a.csv:1: found a header with semicolons between its columns, expected commas: save the file with commas`}},
		"tabs":            {[]string{"a.csv", "name\ttype\n"}, []string{`a header with tabs`}},
		"header only":     {[]string{"paints.csv", "name,type\n"}, []string{`paints.csv:1: found a header without rows, expected at least one row of paints`}},
		"empty":           {[]string{"paints.csv", ""}, []string{`paints.csv: found an empty file`}},
		"only blanks":     {[]string{"paints.csv", "\xef\xbb\xbf \r\n\n"}, []string{`paints.csv: found an empty file`}},
		"UTF-16":          {[]string{"paints.csv", "\xff\xfen\x00"}, []string{`paints.csv: found a file in UTF-16`}},
		"not UTF-8":       {[]string{"paints.csv", "name,type\nBr\xfbn,base\n"}, []string{`paints.csv:2:3: found byte 0xfb at position 12 of the text, which is not UTF-8`}},
		"field count":     {[]string{"paints.csv", "name,type\na,base,x\nb,base\nc\n"}, []string{`paints.csv:2: found 3 fields, expected 2, as in the header`, `paints.csv:4: found 1 fields`}},
		"quotes":          {[]string{"paints.csv", "name,type\na\"b,base\n\"c\"d,base\ne,base\n"}, []string{`paints.csv:2:2: found a quote inside a field`, `paints.csv:3:3: found a quote that is not doubled`}},
		"open quote":      {[]string{"paints.csv", "name,type\n\"a,base\nb,base\n"}, []string{`found a quote that is not doubled or not closed (the row begins on line 2)`}},
		"ending":          {[]string{"paints.txt", "x"}, []string{`paints.txt: found a file ending in ".txt", expected .csv or .toml`}},
		"twice":           {[]string{"a.csv", "name,type\nx,base\n", "b.toml", "[[paints]]\nname = \"X\"\ntype = \"wash\"\n"}, []string{`b.toml:1:3: found paints.x a second time, expected each once (it stands on line 2 of a.csv)`}},
		"control":         {[]string{"paints.csv", "name,type\na\x01b,base\n"}, []string{`name: found control character 0x01 after 1 bytes`}},
		"no currency":     {[]string{"offers.csv", "product,shop,price\na,b,3\na,c,1 EUR\na,d,1.234 EUR\n"}, []string{`offers.csv:2:5: price: found "3", expected an amount and a currency, like 12.50 EUR: the shop "b" is not in these files`, `offers.csv:4:5: price: found "1.234 EUR"`}},
		"stray band":      {[]string{"delivery.csv", "shop,from,fee\nb,0,1\n"}, []string{`delivery.csv:2:1: shop: found "b", expected a shop in these files`}},
		"stray event":     {[]string{"pot-events.csv", "pot,kind,at\nb,bought,2026-01-01\n"}, []string{`pot-events.csv:2:1: pot: found "b", expected a pot in these files`}},
		"event order":     {[]string{"pots.csv", "paint,size\nb,17 ml\n", "pot-events.csv", "pot,number,kind,at\nb,2,bought,2026-01-01\nb,2,opened,2026-01-02\n"}, []string{`pot-events.csv:3:3: number: found 2, expected more than 2 of the event before`}},
		"names disagree":  {[]string{"products.csv", "id,name,paint,volume\ns,One,a,1 ml\ns,Two,b,1 ml\n"}, []string{`products.csv:3:3: name: found "Two", expected "One" as in the first row of s, or nothing`}},
		"TOML syntax":     {[]string{"a.toml", "[[paints]]\nname = \n"}, []string{`a.toml:2:`}},
		"TOML key twice":  {[]string{"a.toml", "[[paints]]\nname = \"a\"\nname = \"b\"\ntype = \"base\"\n"}, []string{`a.toml:3:`}},
		"TOML nothing":    {[]string{"a.toml", "# nothing\n"}, []string{`a.toml: found no tables`}},
		"TOML top":        {[]string{"a.toml", "[[paint]]\nname = \"a\"\n"}, []string{`a.toml:1:3: paint: found the unknown field "paint", expected one of figures`, `nearest: paints`}},
		"TOML not a list": {[]string{"a.toml", "[paints]\nname = \"a\"\n"}, []string{`a.toml:1:2: paints: found something else, expected a list of tables`}},
		"both":            {[]string{"a.toml", "[[recipes]]\nid = \"r\"\n[[recipes.steps]]\nid = \"s\"\npaint = \"a\"\nmix = [{ paint = \"b\", parts = 1 }]\nregions = [\"a\"]\nall-but = [\"b\"]\n"}, []string{`a.toml:5:1: paint: found paint beside a mix`, `a.toml:8:1: all-but: found all-but beside regions`}},
		"TOML values": {[]string{
			"a.toml",
			"[[recipes]]\nid = \"r\"\n\n[[recipes.steps]]\nname = \"Base coat\"\nregions = \"all\"\n" +
				"mix = [{ paint = \"a\", parts = 2 },\n  { paint = \"b\", partz = 1 }]\n" +
				"wait-after = \"long\"\ncoats = 1.5\nfilm = \"35 mm\"\nloss = \"120 %\"\noptional = \"maybe\"\n",
		}, []string{
			`a.toml:8:5: parts: found nothing`, `a.toml:8:18: partz: found the unknown field "partz", expected one of paint, parts; nearest: parts`, `a.toml:9:1: wait-after: found "long", expected a time, like 30 min, 2 h, 1 d or overnight`,
			`a.toml:10:1: coats: found "1.5", expected a whole number`, `a.toml:11:1: film: found "35 mm", expected a film, like 35 um`, `a.toml:12:1: loss: found "120 %"`, `a.toml:13:1: optional: found "maybe", expected yes or no`}},
		"figure": {[]string{
			"a.toml",
			"[[figures]]\nid = \"f\"\nsource = \"hearsay\"\narea = \"5 acres\"\n[figures.body]\n" +
				"scale = \"28\"\nhight = 3\n",
		}, []string{
			`a.toml:3:1: source: found "hearsay"`, `a.toml:4:1: area: found "5 acres"`, `a.toml:6:1: scale: found "28", expected a scale, like "1:56", "28 mm to eye"`, `a.toml:7:1: hight: found the unknown field`}},
	} {
		_, err := read(c.files...)
		var slips Slips
		if !errors.As(err, &slips) {
			t.Errorf("%s: got %v, want slips", name, err)
			continue
		}
		for _, want := range c.want {
			if !strings.Contains(err.Error(), want) {
				t.Errorf("%s: got\n%v\nwhich lacks %q", name, err, want)
			}
		}
	}
}

func TestFiftyAreShown(t *testing.T) {
	_, err := read("paints.csv", "name,type,density\n"+strings.Repeat("a,base,much\n", 73))
	lines := strings.Split(fmt.Sprint(err), "\n")
	if len(lines) != 51 || lines[50] != "and 23 more" {
		t.Errorf("%d lines, the last %q", len(lines), lines[len(lines)-1])
	}
}

// endless is a file without end; reading more than the limit of it fails the test.
type endless struct {
	t    *testing.T
	read int64
}

func (e *endless) Read(b []byte) (int, error) {
	if e.read += int64(len(b)); e.read > 64<<20 {
		e.t.Fatal("far more was read than the limit")
	}
	for i := range b {
		b[i] = 'a'
	}
	return len(b), nil
}

func TestLargeFiles(t *testing.T) {
	_, err := Read(Options{Now: now}, Source{"big.csv", strings.NewReader(""), 200 << 20})
	if err == nil || !strings.Contains(err.Error(), "big.csv: found a file of 200 MB, expected at most 8 MB") {
		t.Errorf("a file of 200 MB: %v", err)
	}
	_, err = Read(Options{Now: now}, Source{"pipe.csv", &endless{t: t}, -1})
	if err == nil || !strings.Contains(err.Error(), "pipe.csv: found more than 8 MB") {
		t.Errorf("a pipe without end: %v", err)
	}
	_, err = Read(Options{Now: now}, Source{"bad.csv", failing{}, -1})
	if err == nil || !errors.Is(err, io.ErrNoProgress) {
		t.Errorf("a failing reader: %v", err)
	}
}

type failing struct{}

func (failing) Read([]byte) (int, error) { return 0, io.ErrNoProgress }

func TestReadFiles(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "paints.csv")
	if err := os.WriteFile(path, []byte("name,type\na,base\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	if b, err := ReadFiles(Options{Now: now}, path); err != nil || len(b.Catalogue.Paints) != 1 {
		t.Errorf("%v %v", b, err)
	}
	if _, err := ReadFiles(Options{Now: now}, filepath.Join(dir, "none.csv")); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("a file that is not there: %v", err)
	}
	if _, err := ReadFiles(Options{Now: now}, dir); err == nil || !strings.Contains(err.Error(), "is a folder") {
		t.Errorf("a folder: %v", err)
	}
	if b, err := ReadFS(Options{Now: now}, os.DirFS(dir), "paints.csv"); err != nil ||
		len(b.Catalogue.Paints) != 1 {
		t.Errorf("%v %v", b, err)
	}
}

// Ids made of names are the same whether they are written or left out.
func TestProductIDsLeftOut(t *testing.T) {
	b, err := read("products.csv", "name,paint,volume,count\n,bone,17 ml,\n,dust,1 item,\n,bone,17 ml,2\n"+
		"Pier set,bone,17 ml,\nPier set,rust,17 ml,2\nBlue pot,blue,17 ml,\n")
	if err != nil {
		t.Fatal(err)
	}
	var ids []string
	for _, p := range b.Catalogue.Products {
		ids = append(ids, p.ID)
	}
	same(t, "ids", ids, []string{"bone-17-ml", "dust-1-item", "bone-17-ml-x2", "pier-set", "blue-17-ml"})
	if n := len(b.Catalogue.Products[3].Contents); n != 2 {
		t.Errorf("%d kinds of pot in the set, want 2", n)
	}
	toml, err := read("products.toml", "[[products]]\nname = \"Pier set\"\n"+
		"contents = [{ paint = \"bone\", volume = \"17 ml\" }, { paint = \"rust\", volume = \"17 ml\", "+
		"count = 2 }]\n[[products]]\ncontents = [{ paint = \"dust\", volume = \"1 item\" }]\n")
	if err != nil {
		t.Fatal(err)
	}
	if got := toml.Catalogue.Products; got[0].ID != "pier-set" || got[1].ID != "dust-1-item" {
		t.Errorf("in TOML they are %s and %s", got[0].ID, got[1].ID)
	}
	// The same box twice is a slip, said once.
	if _, err := read("products.csv", "name,paint,volume\nBlue pot,blue,17 ml\nBlue pot,blue,17 ml\n"); err != nil {
		if n := len(err.(Slips)); n != 1 {
			t.Errorf("%d slips: %v", n, err)
		}
	}
	if _, err := read("products.csv", "name,paint,volume\nBlue pot,blue,17\n"); err == nil ||
		len(err.(Slips)) != 1 {
		t.Errorf("want one slip: %v", err)
	}
}

// Offers and delivery charges alone find the shops that were loaded before.
func TestOffersFindStoredShops(t *testing.T) {
	quay := inventory.Shop{ID: "quay", Name: "Quay", Currency: "EUR"}
	o := Options{
		Now:   time.Date(2026, 3, 9, 12, 0, 0, 0, time.UTC),
		Shops: func() []inventory.Shop { return []inventory.Shop{quay} },
	}
	b, err := Read(o, Source{"offers.csv", strings.NewReader("product,shop,price\nbone-17-ml,quay,3.20\n"), -1},
		Source{"delivery.csv", strings.NewReader("shop,from,fee\nquay,0,4.90\nquay,30,0\n"), -1})
	if err != nil {
		t.Fatal(err)
	}
	if p := b.Catalogue.Offers[0].Price.String(); p != "3.20 EUR" {
		t.Errorf("the price is %s", p)
	}
	if s := b.Catalogue.Shops; len(s) != 1 || s[0].Name != "Quay" || len(s[0].Delivery) != 2 ||
		s[0].Delivery[0].Fee.String() != "4.90 EUR" {
		t.Errorf("shops are %+v", s)
	}
	if _, err := Read(o, Source{
		"offers.csv",
		strings.NewReader("product,shop,price\nbone-17-ml,mill,3.20\n"),
		-1,
	}); err == nil || len(err.(Slips)) != 1 {
		t.Errorf("want one slip: %v", err)
	}
}
