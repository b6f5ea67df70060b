package main

import (
	"slices"
	"strings"

	"halfpot/inventory"
)

// parcelsOf finds the orders that what came belongs to.
func parcelsOf(
	cat *inventory.Catalogue, orders []inventory.Order, typed string, items []boxes,
) ([]parcelOf, error) {
	if typed != "" {
		o, err := typedOrder(cat, orders, typed)
		if err != nil {
			return nil, err
		}
		parcel := inventory.Parcel{}
		for _, b := range items {
			if b.shop != "" {
				id, err := lookup("shop", b.shop, "halfpot shop list", shopNames(cat))
				if err != nil {
					return nil, err
				}
				if id != o.Shop {
					return nil, usagef("%s%s is of the shop %s, and %s was ordered at %s; "+
						"without an order each row goes to one of its shop", b.where, b.product, id, o.ID, o.Shop)
				}
			}
			item, err := parcelItem(cat, o.Currency, b, func(id string) bool { _, ok := o.Line(id); return ok })
			if err != nil {
				return nil, err
			}
			parcel.Items = append(parcel.Items, item)
		}
		return []parcelOf{{&o, parcel}}, nil
	}
	open := slices.DeleteFunc(slices.Clone(orders), func(o inventory.Order) bool {
		return len(o.Outstanding()) == 0
	})
	if len(open) == 0 {
		return nil, &usageError{
			"nothing is on its way: note what you bought with halfpot order bought",
			[]string{"halfpot order list --all", "halfpot order bought --help"},
		}
	}
	if len(items) == 0 {
		if len(open) > 1 {
			return nil, &usageError{
				"several orders are on their way: say which came, " + strings.Join(idsOf(open), ", "),
				[]string{"halfpot order list"},
			}
		}
		return []parcelOf{{&open[0], inventory.Parcel{}}}, nil
	}
	return allot(cat, open, items)
}

// allot deals boxes out to the orders that are on their way.
func allot(cat *inventory.Catalogue, open []inventory.Order, items []boxes) ([]parcelOf, error) {
	byShop := map[string][]inventory.ParcelItem{}
	var shops []string
	for _, b := range items {
		shop, err := shopOf(cat, open, b)
		if err != nil {
			return nil, err
		}
		waits := func(id string) bool {
			return slices.ContainsFunc(open, func(o inventory.Order) bool {
				_, ok := o.Line(id)
				return ok && o.Shop == shop
			})
		}
		item, err := parcelItem(cat, cat.Index().Shops[shop].Currency, b, waits)
		if err != nil {
			return nil, err
		}
		if !slices.Contains(shops, shop) {
			shops = append(shops, shop)
		}
		byShop[shop] = append(byShop[shop], item)
	}
	var out []parcelOf
	var faults inventory.Faults
	for _, shop := range shops {
		dealt, wrong := inventory.Allot(open, shop, byShop[shop])
		faults = append(faults, wrong...)
		for i := range open {
			if len(dealt[i]) > 0 {
				out = append(out, parcelOf{&open[i], inventory.Parcel{Items: dealt[i]}})
			}
		}
	}
	return out, faults.Err()
}

// shopOf is the shop a box came from: the one it names, or the only one that
// anything is on its way from.
func shopOf(cat *inventory.Catalogue, open []inventory.Order, b boxes) (string, error) {
	if b.shop != "" {
		return lookup("shop", b.shop, "halfpot shop list", shopNames(cat))
	}
	shops := map[string]bool{}
	for _, o := range open {
		shops[o.Shop] = true
	}
	if len(shops) > 1 {
		return "", &usageError{
			b.where + b.product + ": orders of several shops are on their way: say of which order it came",
			[]string{"halfpot order list"},
		}
	}
	return open[0].Shop, nil
}

func parcelItem(
	cat *inventory.Catalogue, currency string, b boxes, likely func(string) bool,
) (item inventory.ParcelItem, err error) {
	item.Count = b.count
	if b.instead == "" {
		item.Product, err = b.find(cat, b.product, likely)
	} else if item.Product, err = b.find(cat, b.product, func(string) bool { return true }); err == nil {
		item.Instead, err = b.find(cat, b.instead, likely)
	}
	if err == nil {
		item.Price, err = b.paid(currency)
	}
	if item.Count == 0 && (b.instead != "" || b.where != "") {
		item.Count = 1
	}
	return item, err
}

// arrived is what came of one order.
type arrived struct {
	order inventory.Order // as it stands after
	pots  []inventory.Pot
}
