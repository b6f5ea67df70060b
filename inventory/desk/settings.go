package desk

import (
	"context"
	"fmt"
	"strconv"
	"strings"
	"time"

	"halfpot/inventory"
	"halfpot/inventory/coverage"
	"halfpot/inventory/shelf"
	"halfpot/inventory/shopping"
)

// rulePrefix begins the names under which the painter's rules are kept.
const rulePrefix = "rule-"

// RuleName is the setting under which a rule of how pots are reckoned is kept.
func RuleName(rule string) string { return rulePrefix + inventory.Slug(rule) }

// acceptedName begins the names under which accepted readings are kept.
const acceptedName = "accepted-"

// AcceptedName is the setting by which an odd reading is accepted: "yes".
func AcceptedName(pot string, reading time.Time) string {
	return fmt.Sprintf("%s%s-%d", acceptedName, pot, reading.Unix())
}

// LevelRules are the rules pots are reckoned with: the defaults, changed as the
// painter has said. A kept rule that is none is a Fault.
func LevelRules(ctx context.Context, kept Kept) (shelf.LevelRules, error) {
	rules := shelf.DefaultLevelRules()
	said, err := kept.Settings(ctx)
	if err != nil {
		return rules, err
	}
	for name, value := range said {
		rule, ok := strings.CutPrefix(name, rulePrefix)
		if !ok {
			continue
		}
		v, err := strconv.ParseFloat(value, 64)
		if err != nil {
			return rules, inventory.Fault{
				Path:     "settings." + name,
				Found:    inventory.Quoted(value),
				Expected: "a number",
			}
		}
		if err := rules.Set(rule, v); err != nil {
			return rules, err
		}
	}
	return rules, nil
}

// tablePrefix begins the names under which the painter's own defaults are kept.
const tablePrefix = "default-"

// TableName is the setting under which a default of films, losses or waste is
// kept; its value is the number and its range, "70 50 100".
func TableName(name string) string { return tablePrefix + inventory.Slug(name) }

// PaintTables are the films, losses and waste reckoned with: the defaults,
// changed as the painter has said. A kept default that is none is a Fault.
func PaintTables(ctx context.Context, kept Kept) (coverage.Tables, error) {
	var t coverage.Tables
	said, err := kept.Settings(ctx)
	if err != nil {
		return t, err
	}
	for _, name := range coverage.TableNames() {
		value, ok := said[TableName(name)]
		if !ok {
			continue
		}
		var v, low, high float64
		if _, err := fmt.Sscanf(value, "%g %g %g", &v, &low, &high); err != nil {
			return t, inventory.Fault{
				Path:     "settings." + TableName(name),
				Found:    inventory.Quoted(value),
				Expected: "a number and its range, like \"70 50 100\"",
			}
		}
		if t, err = t.With(name, v, low, high); err != nil {
			return t, inventory.Fault{
				Path:     "settings." + TableName(name),
				Found:    inventory.Quoted(value),
				Expected: err.Error(),
			}
		}
	}
	return t, nil
}

// PointPriceName is the setting under which the painter's price of a point of
// compromise is kept, "0.50 EUR".
const PointPriceName = "compromise-price"

// PointPrice is the price of a point that the painter keeps; false where none is
// kept. One that is none is a Fault.
func PointPrice(ctx context.Context, kept Kept) (price inventory.Money, is bool, err error) {
	said, err := kept.Settings(ctx)
	if err != nil {
		return price, false, err
	}
	value, is := said[PointPriceName]
	if !is {
		return price, false, nil
	}
	price, err = inventory.ParseMoney(value, "")
	if err != nil || !price.Amount.IsPositive() {
		return price, false, inventory.Fault{
			Path:     "settings." + PointPriceName,
			Found:    inventory.Quoted(value),
			Expected: "an amount above 0 with its currency, like \"0.50 EUR\"",
		}
	}
	return price, true, nil
}

// pointPrice is the price kept, or the usual one where none is or the shops charge in
// another currency.
func pointPrice(ctx context.Context, kept Kept, c *inventory.Catalogue) (inventory.Money, error) {
	usual := shopping.PointPrice(c)
	price, is, err := PointPrice(ctx, kept)
	if is && (usual.IsZero() || usual.Currency == price.Currency) {
		return price, err
	}
	return usual, err
}
