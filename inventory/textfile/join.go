package textfile

import (
	"fmt"
	"slices"
	"strconv"
	"time"

	"halfpot/inventory"
)

// joins holds what can be settled only when every file has been read.
type joins struct {
	rows   map[string]int // CSV products by id: index in the catalogue
	owed   []owed
	boxes  []boxRow
	bands  []bandRow
	events []eventRow
	pots   []potStory
	potIDs map[string]int // pots without an id so far, by paint
}

func newJoins() joins {
	return joins{rows: map[string]int{}, potIDs: map[string]int{}}
}

// owed is an amount of money whose currency is that of a shop, which may stand
// further down or in another file.
type owed struct {
	shop string
	text string
	set  func(*Bundle, inventory.Money)

	r     *record // to which it belongs
	field string
}

type bandRow struct {
	shop string
	r    *record
}

type eventRow struct {
	pot     string
	event   inventory.PotEvent
	settled bool // its moment was given
	place   place
}

// potStory is how a pot without listed events came to be as it is.
type potStory struct {
	pot                    int
	opened, bought, judged when
	volume                 *inventory.Volume
	fraction               *float64
}

// claim gives a record its path and reports one that is taken already.
func (b *Bundle) claim(r *record, path string) bool {
	if p, taken := b.places[path]; taken && !r.bad {
		r.slip("", path+" a second time", fmt.Sprintf("each once (it stands on line %d of %s)",
			p.line, b.files[p.file]))
		return false
	}
	r.named(path)
	return true
}

// shopMoney reads an amount that may leave its currency to the shop.
func (r *record) shopMoney(field, shop string, set func(*Bundle, inventory.Money)) {
	text, ok := r.scalar(field, "a price, like 12.50 EUR")
	if !ok {
		return
	}
	if m, err := inventory.ParseMoney(text, ""); err == nil {
		set(r.b, m)
		return
	}
	r.b.owed = append(r.b.owed, owed{shop, text, set, r, field})
}

func (b *Bundle) join() {
	b.joinBoxes()
	shops := map[string]int{}
	for i, s := range b.Catalogue.Shops {
		shops[s.ID] = i
	}
	b.joinBands(shops)
	stored := b.storedShops(func(id string) bool { _, here := shops[id]; return here })
	for _, o := range b.owed {
		i, ok := shops[o.shop]
		currency := ""
		if ok {
			currency = b.Catalogue.Shops[i].Currency
		} else if s := stored[o.shop]; s != nil {
			ok, currency = true, s.Currency
		}
		m, err := inventory.ParseMoney(o.text, currency)
		if err != nil {
			expected := fmt.Sprintf("an amount and a currency, like 12.50 EUR (%s)", err)
			if !ok {
				expected = "an amount and a currency, like 12.50 EUR: the shop " + show(o.shop) +
					" is not in these files, nor loaded before, to tell it"
			}
			o.r.slip(o.field, show(o.text), expected)
			continue
		}
		o.set(b, m)
	}
	b.joinPots()
}

// storedShops are the shops that were loaded before, where one that is not in
// these files is named.
func (b *Bundle) storedShops(here func(string) bool) map[string]*inventory.Shop {
	out := map[string]*inventory.Shop{}
	asked := false
	for _, o := range b.owed {
		asked = asked || !here(o.shop)
	}
	for _, row := range b.bands {
		asked = asked || !here(row.shop)
	}
	if asked && b.shops != nil {
		for _, s := range b.shops() {
			out[s.ID] = &s
		}
	}
	return out
}

func (b *Bundle) joinBands(shops map[string]int) {
	stored := b.storedShops(func(id string) bool { _, here := shops[id]; return here })
	for _, row := range b.bands {
		i, ok := shops[row.shop]
		if s := stored[row.shop]; !ok && s != nil {
			// Its charges are written anew, and nothing else of it.
			anew := *s
			anew.Delivery = nil
			i, ok = len(b.Catalogue.Shops), true
			shops[row.shop] = i
			b.Catalogue.Shops = append(b.Catalogue.Shops, anew)
		}
		if !ok {
			row.r.slip("shop", show(row.shop), "a shop in these files, or loaded before")
			continue
		}
		s := &b.Catalogue.Shops[i]
		s.Delivery = append(s.Delivery, inventory.DeliveryBand{})
		n := len(s.Delivery)
		row.r.named("shops." + s.ID + ".delivery." + strconv.Itoa(n))
		row.r.shopMoney("from", s.ID, func(b *Bundle, m inventory.Money) {
			b.Catalogue.Shops[i].Delivery[n-1].From = m
		})
		row.r.shopMoney("fee", s.ID, func(b *Bundle, m inventory.Money) {
			b.Catalogue.Shops[i].Delivery[n-1].Fee = m
		})
	}
}

// joinPots puts listed events to their pots, and makes events of what a pot's
// own row says where none are listed.
func (b *Bundle) joinPots() {
	pots := map[string]int{}
	for i, p := range b.Pots {
		pots[p.ID] = i
	}
	b.buyFirst()
	for _, row := range b.events {
		i, ok := pots[row.pot]
		if !ok {
			if len(b.slips) >= maxSlips {
				b.more++
				continue
			}
			b.slip(b.slipAt(row.place, "pot", show(row.pot),
				"a pot in these files: load its events together with the pot"))
			continue
		}
		p := &b.Pots[i]
		b.eventPlaces[p.ID] = append(b.eventPlaces[p.ID], row.place)
		b.addEvent(p, row.event, row.settled, row.place)
	}
	b.events = nil
	for _, s := range b.pots {
		if p := &b.Pots[s.pot]; len(p.Events) == 0 {
			b.story(p, s)
		} else if !b.bad["pots."+p.ID] {
			b.untold(p, s)
		}
	}
}

// buyFirst begins the listed events of a pot with the purchase that its row tells,
// where the list has none and leaves the numbers to us.
func (b *Bundle) buyFirst() {
	lacks := map[string]bool{}
	for _, row := range b.events {
		if _, seen := lacks[row.pot]; !seen {
			lacks[row.pot] = true
		}
		if row.event.Kind == inventory.Bought || row.event.ID != 0 {
			lacks[row.pot] = false
		}
	}
	for _, s := range b.pots {
		if p := &b.Pots[s.pot]; lacks[p.ID] && len(p.Events) == 0 && !s.bought.at.IsZero() {
			at := b.places["pots."+p.ID]
			b.addEvent(p,
				inventory.PotEvent{Kind: inventory.Bought, At: s.bought.at, DayOnly: s.bought.dayOnly},
				false, at)
			b.eventPlaces[p.ID] = append(b.eventPlaces[p.ID], at)
			b.Told[p.ID] = true
		}
	}
}

// untold names what a pot's row says and the list of its events does not: it would
// be lost, since listed events are the whole of what happened.
func (b *Bundle) untold(p *inventory.Pot, s potStory) {
	name := func(said bool, field, found string, kind inventory.EventKind) {
		if said && !slices.ContainsFunc(p.Events, func(e inventory.PotEvent) bool { return e.Kind == kind }) {
			b.slip(b.slipAt(b.places["pots."+p.ID], field, found,
				"a line that says it among the listed events of this pot, or none of them listed"))
		}
	}
	name(!s.bought.at.IsZero(), "bought", s.bought.at.Format(time.DateOnly), inventory.Bought)
	name(s.volume != nil || s.fraction != nil, "full", "a level", inventory.Judged)
}

// addEvent numbers an event within its pot, after the others where it has no
// number of its own, and gives it its moment unless it has one.
func (b *Bundle) addEvent(p *inventory.Pot, e inventory.PotEvent, settled bool, at place) {
	if e.ID == 0 {
		e.ID = int64(len(p.Events)) + 1
	}
	if n := len(p.Events); n > 0 && e.ID <= p.Events[n-1].ID {
		b.slip(b.slipAt(at, "number", strconv.FormatInt(e.ID, 10),
			fmt.Sprintf("more than %d of the event before", p.Events[n-1].ID)))
		return
	}
	if !settled {
		e = p.Settled(e)
	}
	p.Events = append(p.Events, e)
}

// story tells a pot's events from its row: bought, opened where it says so,
// judged where it says how full it is.
func (b *Bundle) story(p *inventory.Pot, s potStory) {
	add := func(e inventory.PotEvent) {
		e.ID = int64(len(p.Events)) + 1
		p.Events = append(p.Events, p.Settled(e))
	}
	b.Told[p.ID] = true
	bought := s.bought
	if bought.at.IsZero() {
		bought = s.opened
	}
	if bought.at.IsZero() {
		bought = s.judged
	}
	if bought.at.IsZero() {
		bought = when{b.now, false}
		b.Undated[p.ID] = true
	}
	add(inventory.PotEvent{Kind: inventory.Bought, At: bought.at, DayOnly: bought.dayOnly})
	if !s.opened.at.IsZero() {
		add(inventory.PotEvent{Kind: inventory.Opened, At: s.opened.at, DayOnly: s.opened.dayOnly})
	}
	if s.volume != nil || s.fraction != nil {
		judged := s.judged
		if judged.at.IsZero() {
			judged = when{b.now, false}
			b.Undated[p.ID] = true
		}
		add(inventory.PotEvent{
			Kind:     inventory.Judged,
			At:       judged.at,
			DayOnly:  judged.dayOnly,
			Volume:   s.volume,
			Fraction: s.fraction,
		})
	}
}
