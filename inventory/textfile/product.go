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

// productRow reads one row of a list of products: rows with the same id are
// one box.
func (b *Batch) productRow(r *record) {
	c := r.content()
	id, name, code := r.id("id"), r.text("name"), r.code("code")
	if id == "" {
		id = inventory.Slug(c.Paint + " " + c.Volume.String())
	}
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
			r.slip(f.field, show(f.here), fmt.Sprintf("%s as in the first row of %s, or nothing", show(*f.known), id))
		}
	}
	p.Contents = append(p.Contents, c)
	r.named(fmt.Sprintf("products.%s.contents.%d", id, len(p.Contents)))
}

func (b *Batch) product(r *record) {
	p := inventory.Product{ID: r.id("id"), Name: r.text("name"), Code: r.code("code")}
	contents := r.tables("contents")
	r.need("contents")
	for _, t := range contents {
		t.need("paint", "volume")
		p.Contents = append(p.Contents, t.content())
		t.closed()
	}
	if p.ID == "" && len(p.Contents) == 1 {
		p.ID = inventory.Slug(p.Contents[0].Paint + " " + p.Contents[0].Volume.String())
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
