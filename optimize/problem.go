package optimize

// Problem is a purchase problem: paints with some volume left, needs with
// their acceptable options, and what shops offer. Volumes are whole
// microlitres (1 ml = 1000 ul), money is whole minor units of Currency.
// All slices are in the order of the input; ids are unique within a slice.
type Problem struct {
	Currency string    `json:"currency"` // ISO 4217 alphabetic code
	Paints   []Paint   `json:"paints"`
	Groups   []Group   `json:"groups,omitempty"`
	Needs    []Need    `json:"needs"`
	Products []Product `json:"products"`
	Shops    []Shop    `json:"shops"`
	Offers   []Offer   `json:"offers"`
	Rules    Rules     `json:"rules,omitzero"`
}

// Paint is one paint and what is left of it on the shelf.
type Paint struct {
	ID     string `json:"id"`
	HaveUL int64  `json:"have_ul,omitempty"` // usable volume on the shelf, >= 0
}

// Group is a unit of figures; its worth counts only under a budget.
type Group struct {
	ID    string `json:"id"`
	Worth int64  `json:"worth"` // >= 0
}

// Need is one painting step on one unit of figures.
type Need struct {
	ID      string   `json:"id"`
	Group   string   `json:"group,omitempty"`
	Match   string   `json:"match,omitempty"`   // needs with one label take options of one id
	Figures int64    `json:"figures,omitempty"` // for reports only
	Options []Option `json:"options"`
}

// Option is one way to meet a need.
type Option struct {
	ID         string `json:"id"`
	Compromise int64  `json:"compromise,omitempty"` // points, 0 for exactly what the recipe asks
	Uses       []Use  `json:"uses"`                 // each paint at most once
}

// Use is the volume of one paint that an option takes.
type Use struct {
	Paint string `json:"paint"`
	UL    int64  `json:"ul"` // >= 0
}

// Product is what a shop sells as one box: a single pot or a set.
type Product struct {
	ID       string    `json:"id"`
	Contents []Content `json:"contents"`
}

// Content is one kind of pot in a product.
type Content struct {
	Paint string `json:"paint"`
	UL    int64  `json:"ul"`              // usable volume in one container, > 0
	Count int64  `json:"count,omitempty"` // containers, >= 1; 0 stands for the absent key and means 1
}

// Containers is the number of containers, 1 where none is stated.
func (c Content) Containers() int64 {
	if c.Count == 0 {
		return 1
	}
	return c.Count
}

// Shop is one seller with its delivery charge.
type Shop struct {
	ID       string `json:"id"`
	MinOrder int64  `json:"min_order,omitempty"` // least value of goods it accepts
	Delivery []Band `json:"delivery"`            // first From is 0, From strictly rising, Fee never rising
}

// Band is a delivery charge that holds for orders worth From or more, up to
// the next band. A negative fee is money off.
type Band struct {
	From int64 `json:"from"`
	Fee  int64 `json:"fee"`
}

// Offer is a product at a shop.
type Offer struct {
	Product string `json:"product"`
	Shop    string `json:"shop"`
	Price   int64  `json:"price"`           // >= 0, for one box
	Limit   *int64 `json:"limit,omitempty"` // boxes the shop has; nil: no limit
}

// Rules are the painter's own conditions.
type Rules struct {
	CompromisePrice int64  `json:"compromise_price,omitempty"` // money one point is worth
	MaxShops        *int64 `json:"max_shops,omitempty"`        // nil: as many as there are
	Budget          *int64 `json:"budget,omitempty"`           // most that goods and delivery may cost; nil: none
}
