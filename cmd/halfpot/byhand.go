package main

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"halfpot/cmd/halfpot/view"
	"halfpot/inventory"
	"halfpot/inventory/postgres"
	"halfpot/inventory/textfile"
)

// Figures, recipes and forces are made and changed by hand with the keys that files
// have: each flag is a key, its value is read as a file's is, and what comes of it is
// looked at as a file is.

// key is a flag that sets a key of a file.
type key struct {
	flag, key string // the key is the flag's name where it is ""
	usage     string
	value     func(cat *inventory.Catalogue, typed string) (any, error) // nil: as it was typed
	many      bool                                                      // may be repeated; value gets one at a time
	yes       bool                                                      // a flag without a value
}

func (k key) name() string { return orWord(k.key, k.flag) }

// keyFlags gives a command the flags of keys.
func keyFlags(c *cobra.Command, keys []key) {
	for _, k := range keys {
		switch {
		case k.yes:
			c.Flags().Bool(k.flag, false, k.usage)
		case k.many:
			c.Flags().StringArray(k.flag, nil, k.usage+" (may be repeated)")
		default:
			c.Flags().String(k.flag, "", k.usage)
		}
	}
}

// setKeys puts what was typed into a thing's fields; an empty value takes a key away.
func setKeys(c *cobra.Command, cat *inventory.Catalogue, keys []key, fields map[string]any) error {
	for _, k := range keys {
		f := c.Flags().Lookup(k.flag)
		if !f.Changed {
			continue
		}
		if k.yes {
			if fields[k.name()] = true; f.Value.String() == "false" {
				delete(fields, k.name())
			}
			continue
		}
		typed := []string{f.Value.String()}
		if k.many {
			typed, _ = c.Flags().GetStringArray(k.flag) // it is one
		}
		var values []any
		for _, t := range typed {
			t = inventory.CleanText(t)
			if t == "" {
				continue
			}
			var v any = t
			if k.value != nil {
				var err error
				if v, err = k.value(cat, t); err != nil {
					return asFlag(k.flag, t, err)
				}
			}
			values = append(values, v)
		}
		switch {
		case len(values) == 0:
			delete(fields, k.name())
		case k.many:
			fields[k.name()] = values
		default:
			fields[k.name()] = values[0]
		}
	}
	return nil
}

func asFlag(flag, typed string, err error) error {
	if u, ok := errors.AsType[*usageError](err); ok {
		return &usageError{"--" + flag + ": " + u.msg, u.hints}
	}
	return usagef("--%s %q: %v", flag, typed, err)
}

// handmade is what a command makes by hand: a thing of a kind ("recipes") in a file's
// fields, and how it is told of when it is kept.
type handmade struct {
	kind   string
	fields map[string]any
	tell   func(cat *inventory.Catalogue, page *view.Page)
}

// byHand keeps what make gives, checked as a file is: all or nothing.
func (a *app) byHand(
	c *cobra.Command, args []string, look string, make func(cat *inventory.Catalogue) (handmade, error),
) error {
	err := a.change(c, args, look, func(ctx context.Context, tx *postgres.Tx) (func() error, error) {
		cat, err := tx.LoadCatalogue(ctx)
		if err != nil {
			return nil, err
		}
		made, err := make(&cat)
		if err != nil {
			return nil, err
		}
		options := textfile.Options{Now: a.now(), Shops: func() []inventory.Shop { return cat.Shops }}
		bundle, err := textfile.ReadFields(options, textfile.Fields{made.kind: {made.fields}})
		if bundle == nil {
			return nil, err
		}
		load, err := checkBundle(ctx, tx, bundle, a.now())
		if err != nil {
			return nil, asTyped(err)
		}
		if _, err := tx.Save(ctx, load); err != nil {
			return nil, err
		}
		after, err := tx.LoadCatalogue(ctx)
		return func() error {
			doc := struct {
				Kind string `json:"kind"`
				ID   string `json:"id"`
			}{strings.TrimSuffix(made.kind, "s"), fmt.Sprint(made.fields["id"])}
			if a.quiet && a.format == string(view.Text) {
				return nil
			}
			return a.showOne(doc, func(page *view.Page) { made.tell(&after, page) })
		}, err
	})
	if told, ok := errors.AsType[*usageError](err); ok && len(told.hints) == 0 {
		told.hints = []string{c.CommandPath() + " --help"}
	}
	return err
}

// asTyped says what is wrong with fields that were typed: by the flag, not by a place
// in a file.
func asTyped(err error) error {
	slips, ok := errors.AsType[textfile.Slips](err)
	if !ok {
		return err
	}
	var lines []string
	for _, s := range slips[:min(len(slips), textfile.MaxShown)] {
		line := fmt.Sprintf("found %s, expected %s%s", s.Found, s.Expected, inventory.NearestText(s.Nearest))
		if s.Field != "" {
			line = s.Field + ": " + line
		}
		if !slices.Contains(lines, line) {
			lines = append(lines, line)
		}
	}
	return &usageError{msg: strings.Join(lines, "\n")}
}

// fieldsOf is one thing of a catalogue as fields, to be changed.
func fieldsOf(kind string, c inventory.Catalogue) (map[string]any, error) {
	f, err := textfile.FieldsOf(c)
	if err != nil {
		return nil, err
	}
	if len(f[kind]) != 1 {
		return nil, fmt.Errorf("%s: %d things, expected one", kind, len(f[kind]))
	}
	return f[kind][0], nil
}

// newName gives a thing its name and an id that is free. An id that is taken is
// refused, with the way to change what has it.
func newName(kind, name, id string, taken func(string) bool, fields map[string]any) error {
	name, err := text("NAME", name)
	if err != nil {
		return err
	}
	free, err := idOr(orWord(id, inventory.Slug(name)), name, func(string) bool { return false })
	if err != nil {
		return err
	}
	if taken(free) {
		return &usageError{
			fmt.Sprintf("there is a %s %s already; nothing was changed. To add another, give --id; "+
				"to change that one", kind, free),
			[]string{fmt.Sprintf("halfpot change %s %s", kind, free)},
		}
	}
	fields["id"], fields["name"] = free, name
	return nil
}

// aID gives a key's value by the name of a thing.
func aID(kind string, names func(*inventory.Catalogue) []named) func(*inventory.Catalogue, string) (any, error) {
	return func(cat *inventory.Catalogue, typed string) (any, error) {
		return lookup(kind, typed, "halfpot "+kind+" list", names(cat))
	}
}

// commaList reads "jacket, trousers".
func commaList(_ *inventory.Catalogue, typed string) (any, error) {
	var out []any
	for _, w := range strings.Split(typed, ",") {
		if w = strings.TrimSpace(w); w != "" {
			out = append(out, w)
		}
	}
	return out, nil
}

// typedMix reads a paint, or "2 saddle-leather + 1 boot-black", into the keys that a
// step or an alternative has for it.
func typedMix(cat *inventory.Catalogue, typed string, into map[string]any) error {
	delete(into, "paint")
	delete(into, "mix")
	if typed == "" {
		return nil
	}
	parts, err := partsTyped(cat, typed)
	if err != nil {
		return err
	}
	var mix []any
	for _, p := range parts {
		mix = append(mix, map[string]any{"paint": p.Paint, "parts": p.Parts})
	}
	if len(mix) == 1 {
		into["paint"] = mix[0].(map[string]any)["paint"]
		return nil
	}
	into["mix"] = mix
	return nil
}

// partsTyped reads "2 saddle-leather + 1 boot-black"; parts that are not said are one.
func partsTyped(cat *inventory.Catalogue, typed string) (m inventory.Mix, err error) {
	for _, part := range strings.Split(typed, "+") {
		p := inventory.Part{Parts: 1}
		part = strings.TrimSpace(part)
		if number, rest, ok := strings.Cut(part, " "); ok {
			if n, err := strconv.ParseFloat(number, 64); err == nil {
				p.Parts, part = n, strings.TrimSpace(rest)
			}
		}
		if part == "" {
			return nil, usagef("%q: expected paints with their parts, like \"2 old-bone + 1 boot-black\"", typed)
		}
		if p.Paint, err = lookup("paint", part, "halfpot paint list", paintNames(cat)); err != nil {
			return nil, err
		}
		m = append(m, p)
	}
	return m, nil
}

// listIn are the tables of a list among fields.
func listIn(fields map[string]any, name string) []any {
	list, _ := fields[name].([]any)
	return slices.Clone(list)
}

// placeIn is where in a list of tables one with that id stands.
func placeIn(list []any, field, id string) int {
	return slices.IndexFunc(list, func(t any) bool { m, ok := t.(map[string]any); return ok && m[field] == id })
}

func cloned(table any) map[string]any {
	m, _ := table.(map[string]any)
	return maps.Clone(m)
}
