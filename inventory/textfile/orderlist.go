package textfile

import "halfpot/inventory"

// ListedBox is a row of a list of what was ordered or came, such as halfpot buy
// writes. Texts are as they stand there: a product may be its id, its name or the
// number under its bar code.
type ListedBox struct {
	Line    int
	Product string
	Shop    string
	Count   int              // 0: not said
	Price   *inventory.Money // for one; nil: not said
	Instead string           // the product it came for
}

// ReadOrderList reads a CSV list of boxes: the columns product or code, and
// count, price, shop, instead where they are known; name, sum and for are passed
// over. What is wrong in it is [Slips].
func ReadOrderList(o Options, s Source) ([]ListedBox, error) {
	var out []ListedBox
	b := newBundle(o)
	b.files = []string{s.Name}
	b.only = &kind{
		name:     "an order list",
		columns:  []string{"count", "name", "price", "sum", "for", "shop", "product", "code", "instead"},
		required: nil,
		read: func(b *Bundle, r *record) {
			l := ListedBox{
				Line:    r.source.(*csvRow).line,
				Product: r.text("product"),
				Shop:    r.text("shop"),
				Count:   r.count("count"),
				Instead: r.text("instead"),
			}
			if l.Product == "" {
				l.Product = r.text("code")
			}
			if l.Product == "" {
				l.Product = r.text("name")
			}
			if l.Product == "" {
				r.slip("product", "nothing", "a product, or the number under its bar code in the column code")
			}
			if r.has("count") && (l.Count < 1 || l.Count > inventory.MaxBoxes) {
				r.slip("count", show(r.text("count")), "1 to 10000 items")
			}
			if r.has("price") {
				m := r.money("price", "")
				l.Price = &m
			}
			out = append(out, l)
		},
	}
	err := b.readList(s)
	return out, err
}

// readList reads a file of one kind, a list; what is wrong in it is [Slips].
func (b *Bundle) readList(s Source) error {
	data, err := readAll(s, MaxCSVBytes)
	if slip, ok := err.(Slip); ok {
		return Slips{slip}
	}
	if err != nil {
		return err
	}
	b.readCSV(0, data)
	b.sort(b.slips)
	return b.slips.Err()
}
