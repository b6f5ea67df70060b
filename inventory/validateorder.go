package inventory

import (
	"fmt"
	"slices"
	"strconv"

	"github.com/google/uuid"
)

// MaxBoxes is the most boxes of a product in one order; more is a slip of the pen.
const MaxBoxes = 10_000

// Validate returns everything that is wrong with the order, given the catalogue's
// index. In step with the pots', the days of what has a key have been looked at
// before.
func (o *Order) Validate(idx *Index) Faults {
	k := &checker{cat: &Catalogue{}, idx: idx}
	at := k.ids("orders", 1, func(int) string { return o.ID })[0]
	ref(k, at+".shop", "shop", o.Shop, idx.Shops)
	if o.Force != "" {
		ref(k, at+".force", "force", o.Force, idx.Forces)
	}
	if _, err := MinorDigits(o.Currency); err != nil {
		k.add(at+".currency", Quoted(o.Currency), "three capital letters of ISO 4217, like EUR")
		return k.faults
	}
	if o.Delivery != nil {
		k.faults = append(k.faults, o.Delivery.Check(at+".delivery", o.Currency, true)...)
	}
	k.text(at+".note", o.Note)
	if o.At.IsZero() {
		k.add(at+".at", "nothing", "when it was placed")
	}
	if len(o.Lines) == 0 {
		k.add(at+".lines", "nothing", "at least one product")
	}
	for i, l := range o.Lines {
		k.orderLine(fmt.Sprintf("%s.lines.%d", at, i+1), o, i, l)
	}
	for i := range o.Events {
		k.orderEvent(fmt.Sprintf("%s.events.%d", at, i+1), o, i)
	}
	for _, l := range o.Lines {
		if received, off := o.Settled(l.Product); received+off > l.Count {
			k.add(at+"."+l.Product, fmt.Sprintf("%d received and %d called off", received, off),
				fmt.Sprintf("at most the %d ordered", l.Count))
		}
	}
	return k.faults
}

func (k *checker) orderLine(at string, o *Order, i int, l OrderLine) {
	ref(k, at+".product", "product", l.Product, k.idx.Products)
	if slices.ContainsFunc(o.Lines[:i], func(other OrderLine) bool { return other.Product == l.Product }) {
		k.add(at+".product", l.Product+" a second time", "each product once, with how many")
	}
	k.boxes(at, l.Count)
	k.price(at, l.Price, o.Currency)
}

func (k *checker) boxes(at string, n int) {
	if n < 1 || n > MaxBoxes {
		k.add(at+".count", strconv.Itoa(n), fmt.Sprintf("1 to %d", MaxBoxes))
	}
}

func (k *checker) price(at string, m *Money, currency string) {
	if m != nil {
		k.faults = append(k.faults, m.Check(at+".price", currency, false)...)
	}
}

func (k *checker) orderEvent(at string, o *Order, i int) {
	e := o.Events[i]
	if !slices.Contains(OrderEventKinds(), e.Kind) {
		k.add(at+".kind", Quoted(string(e.Kind)), "received, called-off, corrected or put-right")
		return
	}
	k.text(at+".note", e.Note)
	if e.Remark != nil {
		k.text(at+".remark", *e.Remark)
	}
	if e.Delivery != nil {
		k.faults = append(k.faults, e.Delivery.Check(at+".delivery", o.Currency, true)...)
	}
	if says := e.Delivery != nil || e.Remark != nil; says != (e.Kind == OrderPutRight) {
		k.add(at, string(e.Kind)+" with a charge or note said anew, or put-right without",
			"a charge, a note or both where the order is put right, and nowhere else")
	}
	if e.At.IsZero() {
		k.add(at+".at", "nothing", "when it happened")
	} else if e.Key == uuid.Nil && o.before(e) {
		k.add(at+".at", whenWords(e.At, e.DayOnly),
			"a day on which it was ordered: "+o.At.Format("2006-01-02")+" or later")
	}
	if e.Kind == OrderPutRight {
		if e.Product != "" || e.Count != 0 || e.Came != "" || e.Price != nil || e.Undoes != 0 ||
			len(e.Pots) > 0 {
			k.add(at, "a charge or note put right with boxes of its own", "only what the order says anew")
		}
		return
	}
	if e.Kind == OrderCorrected {
		before := Order{Events: o.Events[:i]}
		if e.Undoes == 0 ||
			!slices.ContainsFunc(before.Standing(), func(s OrderEvent) bool { return s.ID == e.Undoes }) {
			k.add(at+".undoes", strconv.FormatInt(e.Undoes, 10),
				"the number of an earlier entry of this order that has not been undone")
		}
		if e.Product != "" || e.Count != 0 || e.Came != "" || e.Price != nil || len(e.Pots) > 0 {
			k.add(at, "a correction of something of its own", "only which entry it undoes")
		}
		return
	}
	if e.Undoes != 0 {
		k.add(at+".undoes", strconv.FormatInt(e.Undoes, 10), "nothing: only a correction undoes an entry")
	}
	if _, ok := o.Line(e.Product); !ok {
		k.add(at+".product", Quoted(e.Product), "a product of the order")
	}
	k.boxes(at, e.Count)
	k.price(at, e.Price, o.Currency)
	if e.Came != "" {
		ref(k, at+".came", "product", e.Came, k.idx.Products)
	}
	if e.Kind == CalledOff && (e.Came != "" || e.Price != nil || len(e.Pots) > 0) {
		k.add(at, "something that came of what was called off", "nothing")
	}
}

// before tells whether an event lies before the order was placed.
func (o *Order) before(e OrderEvent) bool {
	if e.DayOnly || o.DayOnly {
		return dateNumber(e.At) < dateNumber(o.At)
	}
	return e.At.Before(o.At)
}
