package optimize

// Status says how far a solve came.
type Status string

const (
	Optimal    Status = "optimal"    // every level of the objective is proven
	Feasible   Status = "feasible"   // a plan, not all proven (see Stop); Totals.Bound is a proven lower bound
	Infeasible Status = "infeasible" // no plan exists; Reasons says why
	Unsolved   Status = "unsolved"   // a limit came before any plan was found
)

// Stop says why a Feasible or Unsolved result is not proven.
type Stop string

const (
	ByLimit     Stop = "limit"     // the caller's time was over or it called the search off
	ByPrecision Stop = "precision" // the amounts are so large that the levels left can't be weighed exactly
)

// Result is what Solve gives back. Where Status is Infeasible or Unsolved
// only Currency, Reasons, ProvenLevels and Seconds mean anything.
type Result struct {
	Status       Status         `json:"status"`
	Currency     string         `json:"currency"`
	Choices      []Choice       `json:"choices,omitempty"` // in the order of the needs; unfinished groups' needs are absent
	Buy          []Purchase     `json:"buy,omitempty"`     // in the order of the offers
	Shops        []ShopBill     `json:"shops,omitempty"`   // used shops, in the order of the shops
	Totals       *Totals        `json:"totals,omitempty"`
	Paints       []PaintBalance `json:"paints,omitempty"`   // in the order of the paints
	Finished     []string       `json:"finished,omitempty"` // under a budget: ids of the finished groups
	Reasons      []Reason       `json:"reasons,omitempty"`
	Stop         Stop           `json:"stopped_by,omitempty"` // why it is not proven, where it is not
	ProvenLevels int            `json:"proven_levels"`        // levels of the objective proven, in order: 4, or 5 under a budget, when optimal
	Seconds      float64        `json:"seconds"`              // wall clock, told by the caller's clock
}

// Choice is the option a need takes.
type Choice struct {
	Need   string `json:"need"`
	Option string `json:"option"`
}

// Purchase is a number of boxes of a product bought at a shop.
type Purchase struct {
	Product string `json:"product"`
	Shop    string `json:"shop"`
	Count   int64  `json:"count"`
}

// ShopBill is what one used shop charges, in minor units.
type ShopBill struct {
	Shop  string `json:"shop"`
	Goods int64  `json:"goods"`
	Fee   int64  `json:"fee"`
}

// Totals sums a plan up. Objective is Goods + Delivery + compromise price x
// Points; Bound is a proven lower bound on it (equal to it when level 1 is
// proven).
type Totals struct {
	Goods     int64 `json:"goods"`
	Delivery  int64 `json:"delivery"`
	Points    int64 `json:"points"`
	Boxes     int64 `json:"boxes"`
	ShopsUsed int64 `json:"shops_used"`
	Worth     int64 `json:"worth,omitempty"` // of the finished groups, under a budget
	Objective int64 `json:"objective"`
	Bound     int64 `json:"bound"`
	// WorthBound is a proven upper bound on Worth; only under a budget.
	WorthBound int64 `json:"worth_bound,omitempty"`
}

// PaintBalance follows one paint through the plan: HaveUL + BuyUL - NeedUL = LeftUL.
type PaintBalance struct {
	Paint  string `json:"paint"`
	HaveUL int64  `json:"have_ul"`
	NeedUL int64  `json:"need_ul"`
	BuyUL  int64  `json:"buy_ul"`
	LeftUL int64  `json:"left_ul"`
}

// Reason is one irreducible infeasible subsystem: things of which no plan keeps all.
// Dropping any one of them would make the others feasible.
type Reason struct {
	Kind   string   `json:"kind"` // "need", "minimum order", "limit", "shops", "match" or "together"
	Needs  []string `json:"needs,omitempty"`
	Paints []string `json:"paints,omitempty"`
	Shops  []string `json:"shops,omitempty"`
	Offers []string `json:"offers,omitempty"` // "product @ shop" whose limit takes part
	Match  string   `json:"match,omitempty"`
	Text   string   `json:"text"` // one plain sentence naming them by id
}
