package inventory

import (
	"strconv"
	"strings"
)

// Product is what a shop sells as one box: a single pot, or a set of several.
type Product struct {
	ID       string
	Name     string
	Code     string // the number on the box: a [GTIN], or the maker's own; may be empty
	Contents []Content
}

// Content is one kind of pot in a product.
type Content struct {
	Paint  string // paint id
	Volume Volume // nominal volume of one pot as on its label; Item for a pencil or pigment
	Count  int    // pots of this kind in the box, at least 1
}

// Label is what a pot of a paint is called where nobody has named it: "Pale Bone 17 ml",
// "Edge Lead 1 item" where the paint is counted, and "x2" behind it for two in one box.
func (c Content) Label(paint string, counted bool) string {
	size := c.Volume.String()
	if counted {
		size = strings.TrimSuffix(size, "ml") + "item"
	}
	if c.Count > 1 {
		size += " x" + strconv.Itoa(c.Count)
	}
	return paint + " " + size
}

// Set reports whether the product holds more than one pot.
func (p Product) Set() bool {
	return len(p.Contents) > 1 || (len(p.Contents) == 1 && p.Contents[0].Count > 1)
}
