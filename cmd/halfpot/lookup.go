package main

import (
	"fmt"
	"slices"
	"strings"

	"halfpot/inventory"
)

// named is something a painter may type on the command line.
type named struct {
	id    string
	names []string // other ways to call it
}

// lookup finds what was typed: an exact id, else the one thing with that name
// in any case. Otherwise the error gives the nearest, and list is the command
// that shows them all.
func lookup(kind, typed, list string, things []named) (string, error) {
	var byName []string
	var all []string
	for _, t := range things {
		if t.id == typed {
			return t.id, nil
		}
		all = append(all, t.id)
		if slices.ContainsFunc(append(t.names, t.id), func(n string) bool { return strings.EqualFold(squeeze(n), squeeze(typed)) }) {
			byName = append(byName, t.id)
		}
	}
	switch len(byName) {
	case 1:
		return byName[0], nil
	case 0:
	default:
		return "", &usageError{fmt.Sprintf("%q is the name of %d %ss: %s; use the id", typed, len(byName), kind, strings.Join(byName, ", ")), nil}
	}
	e := &usageError{msg: fmt.Sprintf("there is no %s %q", kind, typed), hints: []string{list}}
	if near := nearestThings(typed, things); len(near) > 0 {
		e.msg += "; nearest: " + strings.Join(near, ", ")
	} else if len(all) == 0 {
		e.msg += fmt.Sprintf("; there is no %s at all yet", kind)
	}
	return "", e
}

// nearestThings gives up to three ids whose id or name comes close.
func nearestThings(typed string, things []named) []string {
	var words []string
	owner := map[string]string{}
	for _, t := range things {
		for _, n := range append([]string{t.id}, t.names...) {
			if _, taken := owner[n]; !taken {
				owner[n] = t.id
				words = append(words, n)
			}
		}
	}
	var ids []string
	for _, n := range inventory.Nearest(typed, words, len(words)) {
		if id := owner[n]; !slices.Contains(ids, id) && len(ids) < 3 {
			ids = append(ids, id)
		}
	}
	return ids
}

func squeeze(s string) string { return strings.Join(strings.Fields(s), " ") }

func paintNames(c *inventory.Catalogue) []named {
	out := make([]named, len(c.Paints))
	for i, p := range c.Paints {
		out[i] = named{p.ID, []string{p.Name, p.Range + " " + p.Name, p.Title()}}
	}
	return out
}

func productNames(c *inventory.Catalogue) []named {
	out := make([]named, len(c.Products))
	for i, p := range c.Products {
		out[i] = named{p.ID, []string{p.Name}}
	}
	return out
}

func shopNames(c *inventory.Catalogue) []named {
	out := make([]named, len(c.Shops))
	for i, s := range c.Shops {
		out[i] = named{s.ID, []string{s.Name}}
	}
	return out
}

func figureNames(c *inventory.Catalogue) []named {
	out := make([]named, len(c.Figures))
	for i, f := range c.Figures {
		out[i] = named{f.ID, []string{f.Name}}
	}
	return out
}

func recipeNames(c *inventory.Catalogue) []named {
	out := make([]named, len(c.Recipes))
	for i, r := range c.Recipes {
		out[i] = named{r.ID, []string{r.Name}}
	}
	return out
}

func forceNames(c *inventory.Catalogue) []named {
	out := make([]named, len(c.Forces))
	for i, f := range c.Forces {
		out[i] = named{f.ID, []string{f.Name}}
	}
	return out
}

func unitNames(f inventory.Force) []named {
	out := make([]named, len(f.Units))
	for i, u := range f.Units {
		out[i] = named{u.ID, []string{u.Name}}
	}
	return out
}

// potNames lets a pot be called by its paint where there is only one such pot.
func potNames(c *inventory.Catalogue, s inventory.Shelf) []named {
	byID := c.Index()
	out := make([]named, len(s.Pots))
	for i, p := range s.Pots {
		out[i] = named{id: p.ID}
		if paint := byID.Paints[p.Paint]; paint != nil {
			out[i].names = []string{paint.ID, paint.Name, paint.Title()}
		}
	}
	return out
}

// cutLast cuts at the last separator.
func cutLast(s, sep string) (before, after string, found bool) {
	if i := strings.LastIndex(s, sep); i >= 0 {
		return s[:i], s[i+len(sep):], true
	}
	return s, "", false
}

// ids names things that have nothing but an id.
func ids(list []string) []named {
	out := make([]named, len(list))
	for i, id := range list {
		out[i] = named{id: id}
	}
	return out
}
