package textfile

import (
	"fmt"
	"strings"

	"halfpot/inventory"
)

func (b *Bundle) shop(r *record) {
	s := inventory.Shop{ID: r.id("id"), Name: r.text("name"), Currency: strings.ToUpper(r.text("currency"))}
	r.need("name", "currency")
	if s.MinOrder = r.money("min-order", s.Currency); s.MinOrder.IsZero() {
		s.MinOrder = inventory.Money{}
	}
	if s.ID == "" {
		s.ID = r.slug(s.Name, s.Name)
	}
	if s.ID == "" {
		return
	}
	if !b.claim(r, "shops."+s.ID) {
		return
	}
	if r.used != nil { // CSV has the bands in a list of their own
		for i, t := range r.tables("delivery") {
			t.need("from", "fee")
			s.Delivery = append(s.Delivery, inventory.DeliveryBand{
				From: t.money("from", s.Currency),
				Fee:  t.money("fee", s.Currency),
			})
			t.named(fmt.Sprintf("shops.%s.delivery.%d", s.ID, i+1))
			t.closed()
		}
	}
	b.Catalogue.Shops = append(b.Catalogue.Shops, s)
}

// deliveryRow keeps a band until the shops are known.
func (b *Bundle) deliveryRow(r *record) {
	shop := r.id("shop")
	if r.bad {
		return
	}
	// The reader uses its row again, so this one is kept as a copy.
	row := *r.source.(*csvRow)
	row.values = append([]string(nil), row.values...)
	b.bands = append(b.bands, bandRow{shop: shop, r: b.record(r.file, &row)})
}

func (b *Bundle) offer(r *record) {
	o := inventory.Offer{Product: r.id("product"), Shop: r.id("shop")}
	r.need("product", "shop", "price")
	if r.has("limit") {
		n := r.count("limit")
		o.Limit = &n
	}
	if o.Product == "" || o.Shop == "" { // said already
		return
	}
	if !b.claim(r, "offers."+o.Product+"@"+o.Shop) {
		return
	}
	i := len(b.Catalogue.Offers)
	b.Catalogue.Offers = append(b.Catalogue.Offers, o)
	r.shopMoney("price", o.Shop, func(b *Bundle, m inventory.Money) { b.Catalogue.Offers[i].Price = m })
}
