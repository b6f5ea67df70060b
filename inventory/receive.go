package inventory

import (
	"fmt"
	"math/big"
	"slices"
	"strconv"
	"time"
)

// Parcel is what came of an order at one time.
type Parcel struct {
	At      time.Time
	DayOnly bool         // only the day is known
	Place   string       // where the pots go; "": where the paint's last pot stands
	Items   []ParcelItem // none: all that is outstanding
	Note    string
}

// ParcelItem is boxes of one product in a parcel.
type ParcelItem struct {
	Product string // what came
	Count   int    // boxes; 0: all that is outstanding of it
	Instead string // the product ordered, where another came; ""
	Price   *Money // paid for one; nil: as ordered
}

// Receipt is what a parcel brings about.
type Receipt struct {
	Events []OrderEvent // their pots are named
	Pots   []Pot        // new ones, with their purchase
}

// Receive says what a parcel brings about; it keeps nothing. The error is
// [Faults]: what was not ordered, was received before, or came before it was
// ordered.
func (o *Order) Receive(p Parcel, c *Catalogue, s *Shelf) (Receipt, error) {
	idx := c.Index()
	items, faults := o.unpack(p.Items)
	if o.before(OrderEvent{At: p.At, DayOnly: p.DayOnly}) {
		faults = append(faults, Fault{
			Path:     "received",
			Found:    whenWords(p.At, p.DayOnly),
			Expected: "a day since it was ordered, " + o.At.Format(time.DateOnly),
		})
	}
	for _, i := range items {
		if f := MissingRef(o.ID, "product", i.Product, idx.Products); f != nil {
			faults = append(faults, *f)
		}
		if i.Price != nil {
			faults = append(faults, i.Price.Check(o.ID+"."+i.Product+".price", o.Currency, false)...)
		}
	}
	if len(faults) > 0 {
		return Receipt{}, faults
	}
	var r Receipt
	names := potNames{taken: map[string]bool{}}
	for i := range s.Pots {
		names.taken[s.Pots[i].ID] = true
	}
	for _, i := range items {
		line, _ := o.Line(i.ordered())
		e := OrderEvent{
			Kind:    Received,
			At:      p.At,
			DayOnly: p.DayOnly,
			Product: line.Product,
			Count:   i.Count,
			Price:   i.Price,
			Note:    p.Note,
		}
		if i.Instead != "" {
			e.Came = i.Product
		}
		if e.Price == nil {
			e.Price = line.Price
		}
		box := unboxed(c, idx, idx.Products[i.Product], e.Price)
		for range i.Count {
			for _, pot := range box {
				pot.ID = names.next(pot.Paint)
				if pot.Place = p.Place; pot.Place == "" {
					pot.Place = s.UsualPlace(pot.Paint)
				}
				pot.Events = []PotEvent{pot.Settled(PotEvent{
					ID:      1,
					Kind:    Bought,
					At:      p.At,
					DayOnly: p.DayOnly,
					Note:    o.ID,
				})}
				e.Pots = append(e.Pots, pot.ID)
				r.Pots = append(r.Pots, pot)
			}
		}
		r.Events = append(r.Events, e)
	}
	return r, nil
}

func (i ParcelItem) ordered() string {
	if i.Instead != "" {
		return i.Instead
	}
	return i.Product
}

// unpack holds a parcel against what is outstanding, and fills in what was
// not said. Items alike are one.
func (o *Order) unpack(items []ParcelItem) ([]ParcelItem, Faults) {
	outstanding := o.Outstanding()
	if len(items) == 0 {
		for _, l := range outstanding {
			items = append(items, ParcelItem{Product: l.Product, Count: l.Count})
		}
		if len(items) == 0 {
			return nil, Faults{{
				Path:     o.ID,
				Found:    "nothing on its way",
				Expected: "an order of which something is outstanding: all of this was received or called off",
			}}
		}
	}
	left := map[string]int{}
	for _, l := range outstanding {
		left[l.Product] = l.Count
	}
	var out []ParcelItem
	var faults Faults
	for _, i := range items {
		product := i.ordered()
		if _, ok := o.Line(product); !ok {
			expected := "a product of this order: " + o.productWords()
			if i.Instead == "" {
				expected += "; what came for another needs --instead"
			}
			faults = append(faults, Fault{
				Path:     o.ID,
				Found:    product + ", which was not ordered",
				Expected: expected,
			})
			continue
		}
		if i.Count == 0 {
			i.Count = max(left[product], 1)
		}
		if i.Count < 0 || i.Count > left[product] {
			received, off := o.Settled(product)
			l, _ := o.Line(product)
			found := fmt.Sprintf("%d more of %s", i.Count, product)
			expected := fmt.Sprintf("at most %d: %d ordered, %d received, %d called off",
				left[product], l.Count, received, off)
			if left[product] == 0 {
				expected = fmt.Sprintf("nothing more: all %d ordered were received (%d) or called off (%d)",
					l.Count, received, off)
			}
			faults = append(faults, Fault{Path: o.ID, Found: found, Expected: expected})
			continue
		}
		left[product] -= i.Count
		out = append(out, i)
	}
	return out, faults
}

func (o *Order) productWords() string {
	words := ""
	for i, l := range o.Lines {
		if i > 0 {
			words += ", "
		}
		words += l.Product
	}
	return words
}

// CallOff says what calling off boxes brings about: those of the items, or all
// that is outstanding. The error is [Faults].
func (o *Order) CallOff(items []ParcelItem, at time.Time, dayOnly bool, note string) ([]OrderEvent, error) {
	items, faults := o.unpack(items)
	if o.before(OrderEvent{At: at, DayOnly: dayOnly}) {
		faults = append(faults, Fault{
			Path:     "called off",
			Found:    whenWords(at, dayOnly),
			Expected: "a day since it was ordered, " + o.At.Format(time.DateOnly),
		})
	}
	if len(faults) > 0 {
		return nil, faults
	}
	var out []OrderEvent
	for _, i := range items {
		out = append(out, OrderEvent{
			Kind:    CalledOff,
			At:      at,
			DayOnly: dayOnly,
			Product: i.ordered(),
			Count:   i.Count,
			Note:    note,
		})
	}
	return out, nil
}

// PutRight says what saying an order's charge or note anew brings about; nil leaves
// either as it is. The error is [Faults]: nothing said, or a charge that can't be.
func (o *Order) PutRight(charge *Money, remark *string, at time.Time, dayOnly bool) (OrderEvent, error) {
	if charge != nil {
		if was := o.Charge(); was != nil && was.Equal(*charge) {
			charge = nil
		}
	}
	if remark != nil && *remark == o.Remark() {
		remark = nil
	}
	if charge == nil && remark == nil {
		return OrderEvent{}, Faults{{
			Path:     o.ID,
			Found:    "nothing new",
			Expected: "another delivery charge or note than it has",
		}}
	}
	return OrderEvent{Kind: OrderPutRight, At: at, DayOnly: dayOnly, Delivery: charge, Remark: remark}, nil
}

// PotChange is an event to be added to a pot.
type PotChange struct {
	Pot   string
	Event PotEvent
}

// Undo says what undoing an entry of the order brings about: the correction, and
// for a receipt those of its pots' purchases, so that they never came. A pot that
// was begun, judged or otherwise touched since is a fault: it must have come.
func (o *Order) Undo(number int64, at time.Time, note string, s *Shelf) (OrderEvent, []PotChange, error) {
	standing := o.Standing()
	i := slices.IndexFunc(standing, func(e OrderEvent) bool { return e.ID == number })
	if i < 0 {
		return OrderEvent{}, nil, Faults{{
			Path:     o.ID,
			Found:    "the number " + strconv.FormatInt(number, 10),
			Expected: "the number of an entry of this order that has not been undone",
		}}
	}
	var changes []PotChange
	var faults Faults
	for _, id := range standing[i].Pots {
		p, ok := s.Pot(id)
		if !ok {
			continue
		}
		came := p.Standing()
		if len(came) != 1 || came[0].Kind != Bought {
			faults = append(faults, Fault{
				Path:     "pots." + id,
				Found:    "more than its purchase",
				Expected: "a pot that nothing was noted of since: halfpot pot correct takes back what was",
			})
			continue
		}
		changes = append(changes, PotChange{
			id,
			PotEvent{Kind: Corrected, At: at, Undoes: came[0].ID, Note: note},
		})
	}
	if len(faults) > 0 {
		return OrderEvent{}, nil, faults
	}
	return OrderEvent{Kind: OrderCorrected, At: at, Undoes: number, Note: note}, changes, nil
}

// potNames gives pots free ids: their paint's with a number.
type potNames struct{ taken map[string]bool }

func (n potNames) next(paint string) string {
	id := paint + "-1"
	for i := 2; n.taken[id]; i++ {
		id = paint + "-" + strconv.Itoa(i)
	}
	n.taken[id] = true
	return id
}

// UsualPlace is where the paint's last pot that has a place stands; "" where
// there is none.
func (s *Shelf) UsualPlace(paint string) string {
	for i := range slices.Backward(s.Pots) {
		if p := &s.Pots[i]; p.Paint == paint && p.Place != "" && !p.NeverCame() {
			return p.Place
		}
	}
	return ""
}

// NeverCame tells whether all that was ever noted of the pot was taken back, its
// purchase too: it was entered by mistake.
func (p *Pot) NeverCame() bool {
	bought, corrected := false, false
	for i := range p.Events {
		bought = bought || p.Events[i].Kind == Bought
		corrected = corrected || p.Events[i].Kind == Corrected
	}
	return bought && corrected && len(p.Standing()) == 0
}

// unboxed is the pots in a box, each with its part of the price. The parts are
// as the pots' worth and add up to the price to the smallest coin.
func unboxed(c *Catalogue, idx *Index, product *Product, price *Money) []Pot {
	var pots []Pot
	var worths []int64
	worth := contentWorth(c, idx, product)
	for i, k := range product.Contents {
		for range k.Count {
			pots = append(pots, Pot{Paint: k.Paint, Product: product.ID, Nominal: k.Volume})
			worths = append(worths, worth[i])
		}
	}
	if price == nil {
		return pots
	}
	minor, err := price.Minor()
	if err != nil {
		return pots
	}
	for i, part := range shared(minor, worths) {
		m := MoneyOfMinor(part, price.Currency)
		pots[i].Cost = &m
	}
	return pots
}

// contentWorth is what a pot of each kind in a box is worth beside the others:
// what it costs alone where every kind can be had alone, else its volume where
// none is counted by the piece, else all the same.
func contentWorth(c *Catalogue, idx *Index, product *Product) []int64 {
	alone := map[Content]int64{}
	single := map[string]Content{}
	for _, p := range c.Products {
		if !p.Set() && len(p.Contents) == 1 {
			k := p.Contents[0]
			k.Count = 0
			single[p.ID] = k
		}
	}
	for _, o := range c.Offers {
		k, ok := single[o.Product]
		if n, err := o.Price.Minor(); ok && err == nil && n > 0 && (alone[k] == 0 || n < alone[k]) {
			alone[k] = n
		}
	}
	priced, poured := true, true
	for _, k := range product.Contents {
		k.Count = 0
		priced = priced && alone[k] > 0
		p := idx.Paints[k.Paint]
		poured = poured && p != nil && !p.Type.Counted()
	}
	out := make([]int64, len(product.Contents))
	for i, k := range product.Contents {
		switch k.Count = 0; {
		case priced:
			out[i] = alone[k]
		case poured:
			out[i] = int64(k.Volume)
		default:
			out[i] = 1
		}
	}
	return out
}

// shared cuts a whole into parts as the weights, none of them 0; the parts add
// up to it.
func shared(whole int64, weights []int64) []int64 {
	sum, so := new(big.Int), new(big.Int)
	for _, w := range weights {
		sum.Add(sum, big.NewInt(w))
	}
	out := make([]int64, len(weights))
	given := int64(0)
	for i, w := range weights {
		so.Add(so, big.NewInt(w))
		upTo := new(big.Int).Mul(big.NewInt(whole), so)
		upTo.Div(upTo, sum)
		out[i] = upTo.Int64() - given
		given = upTo.Int64()
	}
	return out
}
