package exact

import (
	"fmt"
	"slices"

	"halfpot/optimize"
	"halfpot/optimize/internal/words"
)

// This file puts infeasible subsystems into words.

func unmetReason(need optimize.Need, missing []optimize.Use, have map[string]int64) optimize.Reason {
	r := optimize.Reason{Kind: "need", Needs: []string{need.ID}}
	var why []string
	for i, u := range missing {
		if !slices.Contains(r.Paints, u.Paint) {
			r.Paints = append(r.Paints, u.Paint)
		}
		if i < 4 || len(missing) == 5 {
			why = append(why, fmt.Sprintf("option %s takes %d ul of paint %s, "+
				"which nobody sells and of which %d ul are left", words.Quote(need.Options[i].ID), u.UL, words.Quote(u.Paint), have[u.Paint]))
		}
	}
	if more := len(missing) - len(why); more > 0 {
		why = append(why, fmt.Sprintf("%d more options fare no better", more))
	}
	r.Text = fmt.Sprintf("Need %s can't be met: %s.", words.Quote(need.ID), words.Join(why, "and"))
	return r
}

func (c *subsystems) splitReason(label string, needs []int) optimize.Reason {
	r := optimize.Reason{Kind: "match", Match: label}
	for _, n := range needs {
		r.Needs = append(r.Needs, c.p.Needs[n].ID)
	}
	r.Text = fmt.Sprintf("The needs %s must match (%s), but have no option in common.",
		words.Quoted(r.Needs), words.Quote(label))
	return r
}

// reason describes an infeasible subsystem found with the oracle.
func (c *subsystems) reason(subsystem []constraint) optimize.Reason {
	var r optimize.Reason
	var while, labels []string
	kinds := map[string]bool{}
	needs := map[int]bool{}
	for _, e := range subsystem {
		switch e.kind {
		case needConstraint:
			needs[e.i] = true
			r.Needs = append(r.Needs, c.p.Needs[e.i].ID)
		case matchConstraint:
			kinds["match"] = true
			labels = append(labels, c.labels[e.i])
			while = append(while, fmt.Sprintf("those that match as %s take the same option",
				words.Quote(c.labels[e.i])))
		case minimumConstraint:
			kinds["minimum order"] = true
			shop := c.p.Shops[e.i]
			r.Shops = append(r.Shops, shop.ID)
			while = append(while, fmt.Sprintf("shop %s takes no order under %d (minor units of %s)",
				words.Quote(shop.ID), shop.MinOrder, c.p.Currency))
		case shopsConstraint:
			kinds["shops"] = true
			while = append(while, fmt.Sprintf("at most %d of the shops may be used", *c.p.Rules.MaxShops))
		case limitConstraint:
			kinds["limit"] = true
			o := c.p.Offers[e.i]
			r.Offers = append(r.Offers, o.Product+" @ "+o.Shop)
			while = append(while, fmt.Sprintf("shop %s has only %d of product %s",
				words.Quote(o.Shop), *o.Limit, words.Quote(o.Product)))
		}
	}
	if len(labels) > 0 {
		r.Match = labels[0]
	}
	r.Kind = "together"
	if len(kinds) == 1 {
		for kind := range kinds {
			r.Kind = kind
		}
	}
	r.Paints = c.onlyOnShelf(needs)
	if len(r.Needs) == 1 {
		r.Text = "Need " + words.Quoted(r.Needs) + " can't be met"
	} else {
		r.Text = "The needs " + words.Quoted(r.Needs) + " can't all be met"
	}
	if len(while) > 8 {
		while = append(while[:7], fmt.Sprintf("%d more such limits hold", len(while)-7))
	}
	switch {
	case len(while) > 0:
		r.Text += " while " + words.Join(while, "and")
	case len(r.Paints) > 0:
		r.Text += ": there is too little left of paint " + words.Quoted(r.Paints) + ", which nobody sells"
	}
	r.Text += "."
	return r
}

// onlyOnShelf lists the paints that the needs can use and nobody sells.
func (c *subsystems) onlyOnShelf(needs map[int]bool) (paints []string) {
	for n, need := range c.p.Needs {
		if !needs[n] {
			continue
		}
		for _, option := range need.Options {
			for _, u := range option.Uses {
				if u.UL > 0 && !c.sold[u.Paint] && !slices.Contains(paints, u.Paint) {
					paints = append(paints, u.Paint)
				}
			}
		}
	}
	return paints
}
