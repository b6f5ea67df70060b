package main

import (
	"fmt"
	"slices"
	"strings"
	"unicode"

	"halfpot/inventory"

	"github.com/spf13/cobra"
)

// named is something a painter may type on the command line.
type named struct {
	id    string
	names []string // other ways to call it
	// retired things are found by their whole id, and by name only where nothing else
	// has it; nobody is offered them.
	retired bool
}

// lookup finds what was typed: an exact id, else the one thing with that name
// in any case, or with that barcode, else the one whose id or name begins so (see
// beginning). Otherwise the error gives those that fit or come nearest, and list
// is the command that shows them all.
func lookup(kind, typed, list string, things []named) (string, error) {
	fit, exact := fitting(typed, things)
	switch {
	case len(fit) == 1:
		return fit[0], nil
	case len(fit) > 1 && exact:
		return "", &usageError{
			fmt.Sprintf("%q is the name of %d %ss: %s; use the id", typed, len(fit), kind, listed(fit)),
			nil,
		}
	case len(fit) > 1:
		return "", &usageError{
			fmt.Sprintf("%q fits %d %ss: %s; type more of it", typed, len(fit), kind, listed(fit)),
			nil,
		}
	}
	e := &usageError{msg: fmt.Sprintf("there is no %s %q", kind, typed), hints: []string{list}}
	if err := inventory.CheckCode(typed); err != nil && (kind == "product" || kind == "paint" || kind == "pot") {
		e.msg = err.Error()
	} else if near := nearestThings(typed, things); len(near) > 0 {
		e.msg += "; nearest: " + strings.Join(near, ", ")
	} else if len(things) == 0 {
		e.msg += fmt.Sprintf("; there is no %s at all yet", kind)
		if slices.Contains([]string{"paint", "pot", "product", "shop", "figure", "recipe", "force"}, kind) {
			e.hints = []string{"halfpot add " + kind + " --help", "halfpot help files"}
		}
	}
	return "", e
}

// mostListed is how many ids an error lists.
const mostListed = 8

func listed(ids []string) string {
	if more := len(ids) - mostListed; more > 1 {
		return strings.Join(ids[:mostListed], ", ") + fmt.Sprintf(" and %d more", more)
	}
	return strings.Join(ids, ", ")
}

// fitting gives the ids of all things that what was typed may mean, the closest
// way of meaning first: only the first way with any counts. exact is a whole id,
// name or barcode.
func fitting(typed string, things []named) (fit []string, exact bool) {
	ways := []func(name string) bool{
		func(name string) bool {
			return strings.EqualFold(squeeze(name), squeeze(typed)) || inventory.SameGTIN(name, typed)
		},
		func(name string) bool { return beginning(typed, name, false) },
		func(name string) bool { return beginning(typed, name, true) },
	}
	for _, t := range things {
		if t.id == typed {
			return []string{typed}, true
		}
	}
	for _, retired := range []bool{false, true} {
		for i, means := range ways {
			for _, t := range things {
				meant := slices.ContainsFunc(append([]string{t.id}, t.names...), func(n string) bool {
					return n != "" && means(n)
				})
				if meant && t.retired == retired {
					fit = append(fit, t.id)
				}
			}
			if len(fit) > 0 {
				return fit, i == 0
			}
		}
	}
	return nil, false
}

// beginning tells whether each word typed begins a word of the name, in their
// order and side by side, the first of them the name's first or, where inside is
// set, any. A number must be there whole: bone-1 is not the beginning of bone-12.
func beginning(typed, name string, inside bool) bool {
	want, have := nameWords(typed), nameWords(name)
	if len(want) == 0 {
		return false
	}
	for from := 0; from+len(want) <= len(have); from++ {
		all := true
		for i, w := range want {
			h := have[from+i]
			whole := strings.Trim(w, "0123456789") == ""
			all = all && (h == w || !whole && strings.HasPrefix(h, w))
		}
		if all {
			return true
		}
		if !inside {
			return false
		}
	}
	return false
}

func nameWords(s string) []string {
	return strings.FieldsFunc(strings.ToLower(s), func(r rune) bool { return unicode.IsSpace(r) || r == '-' })
}

// nearestThings gives up to three ids whose id or name comes close.
func nearestThings(typed string, things []named) []string {
	var words []string
	owner := map[string]string{}
	for _, t := range things {
		if t.retired {
			continue
		}
		for _, n := range append([]string{t.id}, t.names...) {
			if _, taken := owner[n]; !taken && n != "" {
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

// one runs f with the thing that was typed of a kind the catalogue has.
func (a *app) one(
	kind string,
	names func(*inventory.Catalogue) []named,
	f func(cat *inventory.Catalogue, id string) error,
) func(*cobra.Command, []string) error {
	return func(c *cobra.Command, args []string) error {
		cat, err := a.catalogue(c.Context())
		if err != nil {
			return err
		}
		id, err := lookup(kind, args[0], "halfpot "+kind+" list", names(cat))
		if err != nil {
			return err
		}
		return f(cat, id)
	}
}

// rowsOf lists all that the catalogue has of a kind.
func rowsOf[T, R any](
	a *app, of func(*inventory.Catalogue) []T, row func(*inventory.Catalogue, T) R, empty string,
) func(*cobra.Command, []string) error {
	return func(c *cobra.Command, _ []string) error {
		cat, err := a.listed(c.Context())
		if err != nil {
			return err
		}
		rows := []R{}
		for _, t := range of(cat) {
			rows = append(rows, row(cat, t))
		}
		return a.list(rows, empty)
	}
}

// namesOf names things of one kind.
func namesOf[T any](list []T, name func(T) named) []named {
	out := make([]named, len(list))
	for i, t := range list {
		out[i] = name(t)
	}
	return out
}

// Every kind of thing by its id and its name.
func paintNames(c *inventory.Catalogue) []named {
	codes := barcodes(c)
	return namesOf(c.Paints, func(p inventory.Paint) named {
		return named{
			id:      p.ID,
			names:   append([]string{p.Name, p.Range + " " + p.Name, p.Title()}, codes[p.ID]...),
			retired: c.Retired.Has("paint", p.ID),
		}
	})
}

// barcodes of the products that hold one pot of a paint and nothing else, by
// the paint: whoever scans a pot means the paint.
func barcodes(c *inventory.Catalogue) map[string][]string {
	out := map[string][]string{}
	for _, p := range c.Products {
		if p.Code != "" && !p.Set() && len(p.Contents) == 1 {
			out[p.Contents[0].Paint] = append(out[p.Contents[0].Paint], p.Code)
		}
	}
	return out
}

func productNames(c *inventory.Catalogue) []named {
	return namesOf(c.Products, func(p inventory.Product) named {
		return named{p.ID, []string{p.Name, p.Code}, c.Retired.Has("product", p.ID)}
	})
}

func shopNames(c *inventory.Catalogue) []named {
	return namesOf(c.Shops, func(s inventory.Shop) named {
		return named{s.ID, []string{s.Name}, c.Retired.Has("shop", s.ID)}
	})
}

func figureNames(c *inventory.Catalogue) []named {
	return namesOf(c.Figures, func(f inventory.FigureType) named {
		return named{f.ID, []string{f.Name}, c.Retired.Has("figure", f.ID)}
	})
}

func recipeNames(c *inventory.Catalogue) []named {
	return namesOf(c.Recipes, func(r inventory.Recipe) named {
		return named{r.ID, []string{r.Name}, c.Retired.Has("recipe", r.ID)}
	})
}

func forceNames(c *inventory.Catalogue) []named {
	return namesOf(c.Forces, func(f inventory.Force) named {
		return named{f.ID, []string{f.Name}, c.Retired.Has("force", f.ID)}
	})
}

func unitNames(f inventory.Force) []named {
	return namesOf(f.Units, func(u inventory.Unit) named { return named{id: u.ID, names: []string{u.Name}} })
}

// potNames lets a pot be called by its paint, or the barcode on it, where there
// is only one such pot.
func potNames(c *inventory.Catalogue, s inventory.Shelf) []named {
	byID, codes := c.Index(), barcodes(c)
	return namesOf(s.Pots, func(p inventory.Pot) named {
		if paint := byID.Paints[p.Paint]; paint != nil && !p.NeverCame() {
			return named{
				id:    p.ID,
				names: append([]string{paint.ID, paint.Name, paint.Title()}, codes[paint.ID]...),
			}
		}
		return named{id: p.ID}
	})
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
	return namesOf(list, func(id string) named { return named{id: id} })
}
