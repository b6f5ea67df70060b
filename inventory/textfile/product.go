package textfile

import (
	"fmt"
	"strconv"
	"strings"

	"halfpot/inventory"
)

// code reads a product's number, and checks it where it is a barcode.
func (r *record) code(field string) string {
	s := r.text(field)
	if err := inventory.CheckCode(s); err != nil {
		_, what, _ := strings.Cut(err.Error(), "expected ")
		r.slip(field, show(s), what)
	}
	return s
}

// content reads what a box holds; a count that is not given is one.
func (r *record) content() inventory.Content {
	c := inventory.Content{Paint: r.id("paint"), Volume: r.volume("volume"), Count: 1}
	if r.has("count") {
		c.Count = r.count("count")
	}
	return c
}

// boxID names a product of one kind of pot after its paint and size: pieces are
// counted, and several of a kind in one box are not the one alone.
func (r *record) boxID(c inventory.Content) string {
	pieces := false
	if text, ok := r.scalar("volume", "a volume"); ok {
		a, err := inventory.ParseAmount(text, inventory.BareNothing)
		pieces = err == nil && a.Pieces
	}
	return inventory.Slug(c.Label(c.Paint, pieces))
}

// boxRow is a row of a list of products without an id, which waits for the others
// of its name: they tell whether it is one of a set.
type boxRow struct{ r *record }

// productRow reads one row of a list of products: rows with the same id, or
// without one and with the same name, are one box.
func (b *Bundle) productRow(r *record) {
	if r.has("id") {
		b.box(r, r.id("id"))
		return
	}
	row := *r.source.(*csvRow) // the reader uses its row again
	row.values = append([]string(nil), row.values...)
	kept := b.record(r.file, &row)
	kept.bad, kept.missed = r.bad, r.missed
	b.boxes = append(b.boxes, boxRow{kept})
}

// joinBoxes gives the rows without an id theirs.
func (b *Bundle) joinBoxes() {
	type named struct {
		file int
		name string
	}
	kinds := map[named]map[string]bool{}
	ids := make([]string, len(b.boxes))
	names := make([]named, len(b.boxes))
	slips := len(b.slips)
	for i, row := range b.boxes {
		ids[i] = row.r.boxID(inventory.Content{
			Paint:  row.r.id("paint"),
			Volume: row.r.volume("volume"),
			Count:  max(1, row.r.count("count")),
		})
		names[i] = named{row.r.file, row.r.text("name")}
		if kinds[names[i]] == nil {
			kinds[names[i]] = map[string]bool{}
		}
		kinds[names[i]][ids[i]] = true
	}
	b.slips = b.slips[:slips] // box says them again
	for i, row := range b.boxes {
		if n := names[i]; n.name != "" && len(kinds[n]) > 1 {
			ids[i] = row.r.slug(n.name, n.name)
		}
		b.box(row.r, ids[i])
	}
	b.boxes = nil
}

// box adds a row to the product of an id.
func (b *Bundle) box(r *record, id string) {
	c := r.content()
	name, code := r.text("name"), r.code("code")
	key := strconv.Itoa(r.file) + "." + id
	i, more := b.rows[key]
	if !more {
		if !b.claim(r, "products."+id) {
			return
		}
		i = len(b.Catalogue.Products)
		b.rows[key] = i
		b.Catalogue.Products = append(b.Catalogue.Products, inventory.Product{ID: id, Name: name, Code: code})
	}
	p := &b.Catalogue.Products[i]
	for _, f := range []struct {
		field, here string
		known       *string
	}{{"name", name, &p.Name}, {"code", code, &p.Code}} {
		switch {
		case *f.known == "":
			*f.known = f.here
		case f.here != "" && f.here != *f.known:
			r.slip(f.field, show(f.here), fmt.Sprintf("%s as in the first row of %s, or nothing",
				show(*f.known), id))
		}
	}
	p.Contents = append(p.Contents, c)
	r.named(fmt.Sprintf("products.%s.contents.%d", id, len(p.Contents)))
}

func (b *Bundle) product(r *record) {
	p := inventory.Product{ID: r.id("id"), Name: r.text("name"), Code: r.code("code")}
	contents := r.tables("contents")
	r.need("contents")
	for _, t := range contents {
		t.need("paint", "volume")
		p.Contents = append(p.Contents, t.content())
		t.closed()
	}
	if p.ID == "" && len(p.Contents) == 1 {
		p.ID = contents[0].boxID(p.Contents[0])
	}
	if p.ID == "" {
		if p.ID = r.slug(p.Name, p.Name); p.ID == "" && p.Name != "" {
			return
		}
	}
	if !b.claim(r, "products."+p.ID) {
		return
	}
	for i, t := range contents {
		t.named(fmt.Sprintf("products.%s.contents.%d", p.ID, i+1))
	}
	b.Catalogue.Products = append(b.Catalogue.Products, p)
}
