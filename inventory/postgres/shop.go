package postgres

import (
	"context"
	"fmt"

	"github.com/jackc/pgx/v5"
	"github.com/shopspring/decimal"

	"halfpot/inventory"
	queries "halfpot/sql"
)

type shopRow struct {
	ID, Name, Currency string
	MinOrder           decimal.Decimal
}

type bandRow struct {
	Shop            string
	FromAmount, Fee decimal.Decimal
	Currency        string
}

func queueShops(b *pgx.Batch, c *inventory.Catalogue) {
	queue(b, queries.ListShops, func(r shopRow) error {
		s := inventory.Shop{ID: r.ID, Name: r.Name, Currency: r.Currency}
		if !r.MinOrder.IsZero() {
			s.MinOrder = money(r.MinOrder, r.Currency)
		}
		c.Shops = append(c.Shops, s)
		return nil
	})
	shop := parent(&c.Shops, func(s *inventory.Shop) string { return s.ID })
	queue(b, queries.ListDeliveryBands, func(r bandRow) error {
		s := shop(r.Shop)
		s.Delivery = append(s.Delivery, inventory.DeliveryBand{
			From: money(r.FromAmount, r.Currency),
			Fee:  money(r.Fee, r.Currency),
		})
		return nil
	})
}

type offerRow struct {
	Product, Shop string
	Price         decimal.Decimal
	Currency      string
	StockLimit    *int
}

func queueOffers(b *pgx.Batch, c *inventory.Catalogue) {
	queue(b, queries.ListOffers, func(r offerRow) error {
		c.Offers = append(c.Offers, inventory.Offer{
			Product: r.Product,
			Shop:    r.Shop,
			Price:   money(r.Price, r.Currency),
			Limit:   r.StockLimit,
		})
		return nil
	})
}

// money is an amount as the column keeps it, with three decimals, without the
// zeros that say nothing: "12.500" is 12.5 EUR.
func money(d decimal.Decimal, currency string) inventory.Money {
	for places := int32(0); places < 3; places++ {
		if r := d.Truncate(places); r.Equal(d) {
			return inventory.Money{Amount: r, Currency: currency}
		}
	}
	return inventory.Money{Amount: d, Currency: currency}
}

// amount checks that the column can keep an amount exactly, since PostgreSQL
// itself would round it.
func amount(m inventory.Money) (decimal.Decimal, error) {
	if d := m.Amount.Truncate(3); !d.Equal(m.Amount) {
		return d, &Error{
			Kind: Invalid,
			Text: fmt.Sprintf("%s is finer than the database keeps money: three decimals", m),
		}
	}
	return m.Amount, nil
}

func shopID(s inventory.Shop) string { return s.ID }

func saveShops(ctx context.Context, tx pgx.Tx, have, want []inventory.Shop) (Count, error) {
	c := compare(have, want, shopID)
	var bands [][]any
	for _, s := range c.written() {
		if _, err := amount(s.MinOrder); err != nil {
			return c.count, err
		}
		for _, b := range s.Delivery {
			from, err := amount(b.From)
			if err != nil {
				return c.count, err
			}
			fee, err := amount(b.Fee)
			if err != nil {
				return c.count, err
			}
			bands = append(bands, []any{s.ID, from, fee})
		}
	}
	err := put(ctx, tx, c, queries.IntoShop, queries.UpdateShop, func(s inventory.Shop) []any {
		return []any{s.ID, s.Name, s.Currency, s.MinOrder.Amount}
	})
	if err != nil {
		return c.count, err
	}
	if err := clearParts(ctx, tx, c, queries.ClearDeliveryBands, shopID); err != nil {
		return c.count, err
	}
	return c.count, copyInto(ctx, tx, queries.IntoDeliveryBand, bands)
}

func saveOffers(ctx context.Context, tx pgx.Tx, have, want []inventory.Offer) (Count, error) {
	c := compare(have, want, func(o inventory.Offer) string { return o.Product + " " + o.Shop })
	for _, o := range c.written() {
		if _, err := amount(o.Price); err != nil {
			return c.count, err
		}
	}
	err := put(ctx, tx, c, queries.IntoOffer, queries.UpdateOffer, func(o inventory.Offer) []any {
		return []any{o.Product, o.Shop, o.Price.Amount, o.Price.Currency, o.Limit}
	})
	return c.count, err
}
