package main

import (
	"context"

	"halfpot/cmd/halfpot/view"
	"halfpot/inventory"
	"halfpot/inventory/coverage"
	"halfpot/inventory/desk"
	"halfpot/inventory/postgres"
	"halfpot/inventory/shopping"
)

// pointPriceWords is what the price of a point is called among the defaults.
const pointPriceWords = "compromise price"

// pointPriceTyped keeps the price of a point, or forgets it, where that is the
// default that was typed.
func (a *app) pointPriceTyped(
	ctx context.Context, tx *postgres.Tx, set, unset string,
) (done func() error, is bool, err error) {
	name, amount, ok := cutLast(set, "=")
	if set == "" {
		name = unset
	}
	if inventory.Slug(name) != inventory.Slug(pointPriceWords) {
		return nil, false, nil
	}
	if set == "" {
		if _, kept, err := desk.PointPrice(ctx, tx); err != nil {
			return nil, true, err
		} else if !kept {
			return nil, true, usagef("--unset %q: it has its default already", unset)
		}
		return func() error {
			return a.done(struct {
				Name string `json:"name"`
			}{pointPriceWords}, "The %s has its default again, a quarter of a usual pot.", pointPriceWords)
		}, true, tx.RemoveSetting(ctx, desk.PointPriceName)
	}
	cat, err := tx.LoadCatalogue(ctx)
	if err != nil {
		return nil, true, err
	}
	currency := ""
	if len(cat.Shops) > 0 {
		currency = cat.Shops[0].Currency
	}
	price, err := inventory.ParseMoney(amount, currency)
	switch {
	case !ok || err != nil:
		return nil, true, usagef("--set %q: expected an amount, like \"%s=0.50 EUR\"", set, pointPriceWords)
	case !price.Amount.IsPositive():
		return nil, true, usagef("--set %q: expected more than 0; "+
			"for money alone say halfpot buy --money-alone", set)
	case currency != "" && price.Currency != currency:
		return nil, true, usagef("--set %q: the shops charge in %s: expected that", set, currency)
	}
	return func() error {
		return a.done(struct {
			Name  string          `json:"name"`
			Value inventory.Money `json:"value"`
		}{pointPriceWords, price}, "Avoiding a point of compromise is worth %s from now on.", price)
	}, true, tx.SetSetting(ctx, desk.PointPriceName, price.String())
}

// pointPriceRow shows the price of a point among the defaults; false where there is
// none, since no price is known.
func pointPriceRow(ctx context.Context, store *postgres.Store) (factorRow, bool, error) {
	price, kept, err := desk.PointPrice(ctx, store)
	if err != nil {
		return factorRow{}, false, err
	}
	origin, source := coverage.Given, "set by you"
	if !kept {
		cat, err := store.LoadCatalogue(ctx)
		if err != nil {
			return factorRow{}, false, err
		}
		price, origin, source = shopping.PointPrice(&cat), coverage.Assumption, "a quarter of a usual pot"
	}
	v := price.Amount.InexactFloat64()
	return factorRow{
		Name:   pointPriceWords,
		Value:  view.Fine(v),
		Unit:   price.Currency + " a point",
		Low:    view.Num(v),
		High:   view.Num(v),
		Origin: string(origin),
		Source: source,
	}, !price.IsZero(), nil
}
