package main

import (
	"strings"
	"testing"
)

// What was never used goes; what was used is retired and comes back; what a force needs
// is said.
func TestRemoveOrRetire(t *testing.T) {
	t.Parallel()
	d := newBench(t)
	d.must(append([]string{"load"}, smallSet(t)...)...)
	has := func(id string, args ...string) bool {
		return strings.Contains(d.must(append(args, "--format", "csv")...), id)
	}
	d.must("add", "paint", "Slip Of Mine", "--type", "base")
	if out := d.must("remove", "paint", "slip of mine"); !strings.Contains(out, "is gone") {
		t.Error(out)
	}
	if has("slip-of-mine", "paint", "list") ||
		d.number("select count(*) from halfpot.paint where id = 'slip-of-mine'") != 0 {
		t.Error("it is still there")
	}
	d.refuses("still needed, by", "remove", "recipe", "moss-uniform")
	d.refuses("still needed, by", "remove", "paint", "soot-wash")
	d.refuses("there is no paint", "remove", "paint", "nothing such")
	d.refuses("expected one of paint", "remove", "pencil", "x")
	if out := d.must("remove", "shop", "mill"); !strings.Contains(out, "retired") {
		t.Error(out)
	}
	if has("mill", "shop", "list") || has(",mill", "offer", "list") {
		t.Error("the retired shop is still listed")
	}
	if out := d.must("buy", "harbour-watch", "--skip-optional"); strings.Contains(out, "Mill") {
		t.Errorf("bought at a retired shop:\n%s", out)
	}
	d.must("remove", "shop", "mill", "--back")
	d.refuses("is not retired", "remove", "shop", "mill", "--back")
	if !has("mill", "shop", "list") {
		t.Error("it did not come back")
	}
	d.must("remove", "offer", "soot-wash-17", "mill")
	if d.number("select count(*) from halfpot.offer where product = 'soot-wash-17' and shop = 'mill'") != 0 {
		t.Error("the offer is still there")
	}
	d.must("remove", "force", "harbour-watch") // nothing was painted
	if d.number("select count(*) from halfpot.unit") != 0 {
		t.Error("its units are still there")
	}
}
