package main

import (
	"encoding/json"
	"strings"
	"testing"
)

// A list of pots that is loaded again adds no purchase, moves no level, place or day that
// it does not give, and never beats a newer reading.
func TestPotsLoadedAgainStayPut(t *testing.T) {
	t.Parallel()
	d := newBench(t)
	d.must("load", d.file("paints.csv", "name,type\nBone,base\n"))
	pots := d.file("pots.csv", "paint,size,full,place\nbone,17 ml,60 %,drawer\nbone,17 ml,,\n")
	d.must("load", pots)
	d.must("pot", "judge", "bone", "20%")
	before := d.must("shelf", "--format", "json")
	events := d.number("select count(*) from halfpot.pot_event")
	if out := d.must("load", pots); !strings.Contains(out, "Nothing has changed") {
		t.Errorf("loaded again it says\n%s", out)
	}
	if after := d.must("shelf", "--format", "json"); after != before {
		t.Errorf("after loading again\n%s\nbefore\n%s", after, before)
	}
	d.must("load", d.file("pots.csv", "paint,size\nbone,17 ml\nbone,17 ml\n")) // fewer columns give less
	if after := d.must("shelf", "--format", "json"); after != before {
		t.Errorf("after loading fewer columns\n%s\nbefore\n%s", after, before)
	}
	d.must("load", d.file("pots.csv",
		"paint,size,full,judged,bought\nbone,17 ml,90 %,2026-01-05,2026-01-04\n")) // an older reading
	var listed []struct {
		Share    float64
		Measured string
	}
	after := d.must("shelf", "--format", "json")
	if err := json.Unmarshal([]byte(after), &listed); err != nil || len(listed) != 2 ||
		listed[0].Measured != "2026-03-09" || listed[0].Share > 0.6 {
		t.Errorf("an older line of 90 %% beat newer readings of 60 and 20 %%: %v\n%s", err, after)
	}
	if n := d.number("select count(*) from halfpot.pot_event where kind = 'bought'"); n != 2 {
		t.Errorf("%d purchases of 2 pots", n)
	}
	if n := d.number("select count(*) from halfpot.pot_event"); n > events+1 {
		t.Errorf("%d events, want at most one more than %d", n, events)
	}
	// A changed level is a new reading.
	d.must("load", d.file("pots.csv", "paint,size,full\nbone,17 ml,50 %\n"))
	if n := d.number("select count(*) from halfpot.pot_event where fraction = 0.5"); n != 1 {
		t.Errorf("a changed level made %d readings, want 1", n)
	}
}

// Offers alone find the shops that were loaded before.
func TestOffersLoadedAlone(t *testing.T) {
	t.Parallel()
	d := newBench(t)
	d.must(append([]string{"load"}, smallSet(t)...)...)
	d.must("load", d.file("offers.csv", "product,shop,price\nsoot-wash-17,mill,2.95\n"))
	if n := d.number("select count(*) from halfpot.offer where shop = 'mill' and price = 2.95 and " +
		"currency = 'EUR'"); n != 1 {
		t.Errorf("%d such offers", n)
	}
	d.refuses("nor loaded before", "load", d.file("offers.csv",
		"product,shop,price\nsoot-wash-17,nowhere,2.95\n"))
}
