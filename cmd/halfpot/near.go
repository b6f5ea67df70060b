package main

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"halfpot/cmd/halfpot/view"
	"halfpot/inventory"
	"halfpot/inventory/colour"
	"halfpot/inventory/desk"
	"halfpot/inventory/likeness"
)

type nearOptions struct {
	among  desk.Among
	over   string
	within float64
	mix    int
	amount string
	wait   time.Duration
}

func (a *app) nearCommand() *cobra.Command {
	var o nearOptions
	c := &cobra.Command{
		Use: "near PAINT", Short: "what comes near a paint: twins, and mixes by parts",
		Long: `Looks for paints that can stand in for one, and for mixes that come nearer, among
all paints known or only those on the shelf, of a range, or sold by a shop.

Only paints that behave alike are compared: a wash is no stand-in for an opaque
paint. What you have judged yourself (halfpot add stand-in) counts before any
measure. How far two colours differ is CIEDE2000 of their swatches: up to 1 nobody
sees it on a figure, up to 2 only side by side, up to 5 it passes on figures apart,
above that it is another colour. Metallics and varnishes are not compared.

Mixes are predictions from smooth spectra (Kubelka and Munk's single-constant
rule): most such mixes are off by less than the number said, white with dark the
most. They get better with mixes you have made (halfpot add trial-mix) and measured
colours (halfpot add spectrum). Mix a little on a spare first. See-through paints
change with the undercoat; --over says which.`,
		Example: `  halfpot near old-tusk
  halfpot near "old tusk" --shelf --mix 3 --for 4ml
  halfpot near wet-moss --range parade --over '#d8c8a4'`,
		Args: cobra.ExactArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			st, err := a.state(c.Context())
			if err != nil {
				return err
			}
			id, err := lookup("paint", args[0], "halfpot paint list", paintNames(st.cat))
			if err != nil {
				return err
			}
			return a.near(st, st.byID.Paints[id], o)
		},
	}
	f := c.Flags()
	a.amongFlags(c, &o.among)
	f.StringVar(&o.over, "over", "", "the undercoat below see-through paints: a `COLOUR` like '#d8c8a4', or a paint")
	f.Float64Var(&o.within, "within", likeness.OfferedWithin, "show what differs by at most `N`")
	f.IntVar(&o.mix, "mix", 2, "mixes of up to `N` paints, 1 for none, 3 at most")
	f.StringVar(&o.amount, "for", "", "say how much of each paint makes `AMOUNT` of the mix, like 4ml")
	f.DurationVar(&o.wait, "time-limit", 2*time.Second, "look for mixes no longer than `TIME`; how far it got is then said")
	return completeArg(a, c, paintNames)
}

// amongFlags are the flags that say which paints may be chosen from.
func (a *app) amongFlags(c *cobra.Command, w *desk.Among) {
	f := c.Flags()
	f.BoolVar(&w.Shelf, "shelf", false, "only paints of which something is left")
	f.StringVar(&w.Range, "range", "", "only paints of this range or maker (`NAME`)")
	f.StringVar(&w.Shop, "shop", "", "only paints that this `SHOP` sells")
	complete(a, c, "range", rangeNames)
	complete(a, c, "shop", shopNames)
}

func rangeNames(c *inventory.Catalogue) []named {
	var out []string
	for _, p := range c.Paints {
		for _, n := range p.RangeNames() {
			if !slices.Contains(out, n) {
				out = append(out, n)
			}
		}
	}
	return ids(out)
}

// checkAmong finds the shop and the range that were named.
func checkAmong(cat *inventory.Catalogue, w *desk.Among) (err error) {
	if w.Shop != "" {
		if w.Shop, err = lookup("shop", w.Shop, "halfpot shop list", shopNames(cat)); err != nil {
			return err
		}
	}
	if w.Range != "" {
		w.Range, err = lookup("range", inventory.Slug(w.Range), "halfpot paint list", rangeNames(cat))
	}
	return err
}

type nearDoc struct {
	Paint   string          `json:"paint"`
	Name    string          `json:"name"`
	Twins   []twinRow       `json:"twins"`
	Mixes   []mixRow        `json:"mixes"`
	Stopped bool            `json:"mixes_stopped"`
	Proven  view.Difference `json:"no_mix_nearer_than"` // where the search was stopped
	Untold  []string        `json:"not_compared"`
}

type twinRow struct {
	Paint   string          `json:"paint" table:"paint"`
	Colour  view.Swatch     `json:"colour" table:"col."`
	Name    string          `json:"name" table:"name"`
	Differs view.Difference `json:"difference" table:"differs"`
	Seen    string          `json:"seen" table:"on figures"`
	Points  view.Count      `json:"points" table:"points"`
	Left    view.Amount     `json:"left" table:"on the shelf" narrow:"1"`
	Note    string          `json:"note" table:"note" narrow:"2"`
}

type mixRow struct {
	Mix     string          `json:"mix" table:"mix by parts"`
	Colour  view.Swatch     `json:"colour" table:"col."`
	Differs view.Difference `json:"difference" table:"differs"`
	Off     view.Num        `json:"most_within" table:"most within"`
	Amounts string          `json:"amounts" table:"to put out"`
	From    string          `json:"from" table:"how known" narrow:"1"`
	Paints  []string        `json:"paints"`
	Parts   []int           `json:"parts"`
}

func (a *app) near(st *state, paint *inventory.Paint, o nearOptions) error {
	if o.mix < 1 || o.mix > 3 {
		return usagef("--mix %d: expected 1, 2 or 3 paints", o.mix)
	}
	if !(o.within > 0 && o.within <= 100) {
		return usagef("--within %g: expected more than 0 and at most 100", o.within)
	}
	if o.wait <= 0 {
		return usagef("--time-limit %s: expected more than nothing, like 10s", o.wait)
	}
	var job inventory.Volume
	if o.amount != "" {
		m, err := inventory.ParseAmount(o.amount, inventory.BareNothing)
		if err != nil || m.Volume == nil || *m.Volume <= 0 {
			return usagef("--for %s: expected a volume like 4ml", o.amount)
		}
		job = *m.Volume
	}
	if err := checkAmong(st.cat, &o.among); err != nil {
		return err
	}
	over, err := overColour(st, o.over)
	if err != nil {
		return err
	}
	n, err := st.Near(likeness.Ask{Paint: paint, Over: over, Within: o.within, MixOf: o.mix}, o.among, o.wait)
	if untold := (*likeness.Untold)(nil); errors.As(err, &untold) {
		hints := []string{"halfpot add stand-in --help"}
		if untold.Reason == likeness.NoColour {
			hints = []string{fmt.Sprintf("halfpot change paint %s --colour '#c8b89a'", paint.ID), hints[0]}
		}
		return &usageError{paint.Title() + ": " + untold.Reason + "; a stand-in that you have judged yourself can be noted",
			hints}
	}
	if err != nil {
		return err
	}
	doc := newNearDoc(st, n, job)
	return a.show(doc, doc.Twins, func(page *view.Page) { doc.show(page, paint, over, o) })
}

// overColour reads a colour, or takes that of a paint.
func overColour(st *state, s string) (*inventory.Colour, error) {
	if s == "" {
		return nil, nil
	}
	if c, err := inventory.ParseColour(s); err == nil {
		return &c, nil
	} else if strings.HasPrefix(s, "#") {
		return nil, usagef("--over: %v", err)
	}
	id, err := lookup("paint", s, "halfpot paint list", paintNames(st.cat))
	if err != nil {
		return nil, err
	}
	if c := st.byID.Paints[id].Colour; c != nil {
		return c, nil
	}
	return nil, usagef("--over %s: no colour is known of that paint; expected a colour like '#d8c8a4'", s)
}

func newNearDoc(st *state, n *likeness.Near, job inventory.Volume) nearDoc {
	doc := nearDoc{
		Paint:   n.Paint.ID,
		Name:    n.Paint.Title(),
		Twins:   []twinRow{},
		Mixes:   []mixRow{},
		Untold:  []string{},
		Stopped: n.Stopped,
		Proven:  view.Difference(n.MixesOff),
	}
	for _, t := range n.Twins {
		row := twinRow{
			Paint:   t.Paint.ID,
			Colour:  paletteSwatch(st.Palette(), t.Paint),
			Name:    t.Paint.Title(),
			Differs: view.Difference(t.Difference),
			Seen:    seenAs(t),
			Points:  view.Count(t.Points),
			Note:    t.Note,
		}
		if l, ok := st.Paint(t.Paint.ID); ok {
			row.Left = view.About(l.Left(), t.Paint.Type.Counted())
		}
		doc.Twins = append(doc.Twins, row)
	}
	for _, m := range append(slices.Clone(n.Made), n.Mixes...) {
		row := mixRow{
			Colour:  view.Swatch(m.Colour.String()),
			Differs: view.Difference(m.Difference),
			Off:     view.Num(m.Error),
			Parts:   m.Parts,
			From:    howKnown(m),
		}
		var parts, amounts []string
		total := 0
		for _, p := range m.Parts {
			total += p
		}
		for i, p := range m.Of {
			row.Paints = append(row.Paints, p.ID)
			parts = append(parts, fmt.Sprintf("%d %s", m.Parts[i], p.Name))
			if job > 0 {
				amounts = append(amounts,
					view.About(inventory.Volume(int64(job)*int64(m.Parts[i])/int64(total)), false).String())
			}
		}
		row.Mix, row.Amounts = strings.Join(parts, " + "), strings.Join(amounts, " + ")
		doc.Mixes = append(doc.Mixes, row)
	}
	for _, u := range n.Untold {
		doc.Untold = append(doc.Untold, u.Error())
	}
	return doc
}

// howKnown says where a mix's colour comes from.
func howKnown(m likeness.Mix) string {
	switch {
	case m.Made:
		return "you made it"
	case m.Learned:
		return "learned from your mixes"
	}
	return "predicted"
}

// paletteSwatch is a paint's colour, the measured one where there is one.
func paletteSwatch(palette *likeness.Palette, p *inventory.Paint) view.Swatch {
	c, ok := palette.Shown(p)
	if !ok {
		return ""
	}
	return view.Swatch(c.String())
}

// seenAs says what a difference looks like on figures.
func seenAs(t likeness.Twin) string {
	if t.Judged {
		return "as you judged it"
	}
	switch colour.BandOf(t.Difference) {
	case colour.Same:
		return "nobody sees it"
	case colour.Close:
		return "seen side by side"
	case colour.Similar:
		return "passes apart"
	}
	return "another colour"
}

func (d *nearDoc) show(page *view.Page, paint *inventory.Paint, over *inventory.Colour, o nearOptions) {
	page.Line("%s, %s", d.Name, paint.Type.Words())
	page.Heading("Paints that come near")
	page.List(d.Twins, fmt.Sprintf("none that differs by %g or less", o.within))
	if o.mix > 1 {
		page.Heading("Mixes that come nearer")
		page.List(d.Mixes, "none that comes nearer")
	}
	if d.Stopped {
		if d.Proven > 0 {
			page.Note("The time was up: a nearer mix may exist, "+
				"but none nearer than %.1f (--time-limit looks longer).", float64(d.Proven))
		} else {
			page.Note("The time was up: a nearer mix may exist (--time-limit looks longer).")
		}
	}
	if slices.ContainsFunc(d.Mixes, func(m mixRow) bool { return m.From != "you made it" }) {
		page.Note("A mix is a prediction: try it on a spare first.")
	}
	if likeness.SeesThrough(paint.Type.Kin()) && over == nil {
		page.Note("See-through paints are compared by their swatches; " +
			"over your undercoat they may differ: --over.")
	}
	if n := len(d.Untold); n > 0 {
		page.Note("Not compared: %s%s.", strings.Join(d.Untold[:min(n, 3)], "; "), more(n-3))
	}
}

func more(n int) string {
	if n <= 0 {
		return ""
	}
	return fmt.Sprintf("; and %d more", n)
}
