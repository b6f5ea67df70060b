package main

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"halfpot/inventory"
	"halfpot/inventory/estimate"
	"halfpot/inventory/shopping"
)

// ruleFlags are the what-if flags of buy, as typed.
type ruleFlags struct {
	confidence      float64
	maxShops        int
	budget          string
	compromisePrice string
	moneyAlone      bool
	byColour        int
	maxPoints       int
	exactColours    bool
	keep            bool
	withoutShops    []string
	withoutRanges   []string
	onlyRanges      []string
	must            []string
	skipOptional    bool
	withoutOrders   bool
	timeLimit       time.Duration
}

func (r *ruleFlags) add(a *app, c *cobra.Command) {
	f := c.Flags()
	addConfidence(f, &r.confidence, "that nothing runs short over the whole force")
	f.IntVar(&r.maxShops, "max-shops", 0, "order from at most `N` shops")
	f.StringVar(&r.budget, "budget", "", "spend at most `MONEY`, like 60 EUR, and finish what is worth most")
	f.StringVar(&r.compromisePrice, "compromise-price", "", "`MONEY` that avoiding one point of compromise in a unit is worth, like 0.50 EUR (default what you keep in halfpot estimate defaults, else a quarter of a usual pot)")
	f.BoolVar(&r.moneyAlone, "money-alone", false,
		"the cheapest order, however far its colours are from the recipes'")
	f.IntVar(&r.maxPoints, "max-points", 0, "at most `N` points of compromise in all")
	addByColour(f, &r.byColour)
	f.BoolVar(&r.exactColours, "exact-colours", false, "only the paints the recipes themselves ask for")
	f.BoolVar(&r.keep, "keep", false, "use up what is owned: what the shelf can serve, it serves")
	f.StringArrayVar(&r.withoutShops, "without-shop", nil, "leave `SHOP` out (may be repeated)")
	f.StringArrayVar(&r.withoutRanges, "without-range", nil, "buy nothing of `RANGE`, which may be a maker (may be repeated)")
	f.StringArrayVar(&r.onlyRanges, "only-range", nil, "buy only `RANGE`, which may be a maker (may be repeated)")
	f.StringArrayVar(&r.must, "must", nil, "have `THING` in the order, a product or paint, like pale-bone or pale-bone=2 (may be repeated)")
	f.BoolVar(&r.skipOptional, "skip-optional", false, "leave out the recipes' optional steps")
	f.BoolVar(&r.withoutOrders, "without-orders", false, "leave out what is on its way")
	f.DurationVar(&r.timeLimit, "time-limit", 0, "stop the search after `TIME`, like 30s, and show the best found")
	complete(a, c, "without-shop", shopNames)
	complete(a, c, "must", productNames)
}

// rules turns what was typed into the painter's conditions.
func (r *ruleFlags) rules(c *cobra.Command, cat *inventory.Catalogue) (shopping.Rules, error) {
	out := shopping.Rules{Confidence: r.confidence, MaxShops: r.maxShops, ExactColours: r.exactColours,
		KeepOwned: r.keep, WithoutRanges: r.withoutRanges, OnlyRanges: r.onlyRanges}
	if c.Flags().Changed("max-shops") && r.maxShops < 1 {
		return out, usagef("--max-shops %d: expected at least 1", r.maxShops)
	}
	if c.Flags().Changed("time-limit") && r.timeLimit <= 0 {
		return out, usagef("--time-limit %s: expected more than nothing, like 30s", r.timeLimit)
	}
	currency := ""
	if len(cat.Shops) > 0 {
		currency = cat.Shops[0].Currency
	}
	if r.budget != "" {
		m, err := inventory.ParseMoney(r.budget, currency)
		if err != nil {
			return out, usagef("--budget: %v", err)
		}
		out.Budget = &m
	}
	if err := checkByColour(r.byColour); err != nil {
		return out, err
	}
	out.MoneyAlone = r.moneyAlone
	if c.Flags().Changed("max-points") {
		if r.maxPoints < 0 {
			return out, usagef("--max-points %d: expected 0 or more", r.maxPoints)
		}
		out.MaxPoints = &r.maxPoints
	}
	if r.compromisePrice != "" {
		m, err := inventory.ParseMoney(r.compromisePrice, currency)
		if err != nil {
			return out, usagef("--compromise-price: %v", err)
		}
		out.CompromisePrice, out.MoneyAlone = m, m.IsZero()
	}
	for _, typed := range r.withoutShops {
		id, err := lookup("shop", typed, "halfpot shop list", shopNames(cat))
		if err != nil {
			return out, err
		}
		out.WithoutShops = append(out.WithoutShops, id)
	}
	for _, typed := range r.must {
		m, err := parseMust(typed, cat)
		if err != nil {
			return out, err
		}
		out.Must = append(out.Must, m)
	}
	return out, nil
}

// needs turns what was typed into what is worked out of the recipes.
func (r *ruleFlags) needs(st *state) estimate.NeedRules {
	out := estimate.NeedRules{SkipOptional: r.skipOptional}
	if r.byColour > 0 {
		out.Nearby = st.Nearby(r.byColour)
	}
	return out
}

// parseMust reads "pale-bone" or "pale-bone=2": a product if there is one of
// that name, else any product with that paint.
func parseMust(typed string, cat *inventory.Catalogue) (shopping.Must, error) {
	name, number, counted := strings.Cut(typed, "=")
	m := shopping.Must{Count: 1}
	if counted {
		n, err := strconv.Atoi(strings.TrimSpace(number))
		if err != nil || n < 1 {
			return m, usagef("--must %q: expected a number of items after the =, like %s=2", typed, name)
		}
		m.Count = n
	}
	id, err := lookup("product", name, "", productNames(cat))
	if err == nil {
		m.Product = id
		return m, nil
	}
	if m.Paint, err = lookup("paint", name, "halfpot product list", paintNames(cat)); err == nil {
		return m, nil
	}
	near := nearestThings(name, append(productNames(cat), paintNames(cat)...))
	msg := fmt.Sprintf("--must: there is no product or paint %q", name)
	if len(near) > 0 {
		msg += "; nearest: " + strings.Join(near, ", ")
	}
	return m, &usageError{msg, []string{"halfpot product list"}}
}

// addByColour adds the flag that lets paints and mixes of a near colour be used.
func addByColour(f *pflag.FlagSet, points *int) {
	f.IntVar(points, "by-colour", 0, "use other paints, and mixes of two, whose colour comes near: up to so many `POINTS` a step (1 seen side by side, 4 passes apart)")
}

func checkByColour(points int) error {
	if points < 0 || points > mostByColour {
		return usagef("--by-colour %d: expected 0 to %d points", points, mostByColour)
	}
	return nil
}

// mostByColour bounds --by-colour: beyond lies a colour of another name.
const mostByColour = 20
