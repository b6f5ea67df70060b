package main

import (
	"strings"

	"github.com/spf13/cobra"

	"halfpot/cmd/halfpot/view"
	"halfpot/inventory"
	"halfpot/inventory/likeness"
)

func (a *app) paintCommand() *cobra.Command {
	return holder("paint", "the paints halfpot knows", `Paints are what makers sell, whether you own a pot of them or not. They come in
from files (halfpot load) or by hand (halfpot add paint).`,
		`  halfpot paint list wash                  paints with "wash" in what they are called
  halfpot paint show "sepia wash"`,
		a.paintList(), a.paintShow(), a.paintMixes())
}

type paintRow struct {
	ID      string      `json:"id" table:"paint"`
	Colour  view.Swatch `json:"colour" table:"col."`
	Maker   string      `json:"maker" table:"maker"`
	Range   string      `json:"range" table:"range"`
	Name    string      `json:"name" table:"name"`
	Code    string      `json:"code" table:"code" narrow:"3"`
	Type    string      `json:"type" table:"type"`
	Solids  view.Known  `json:"volume_solids" table:"solids" narrow:"2"`
	Density view.Known  `json:"density_g_per_ml" table:"g/ml" narrow:"2"`
}

func newPaintRow(p inventory.Paint) paintRow {
	return paintRow{
		ID:      p.ID,
		Colour:  swatch(p),
		Maker:   p.Maker,
		Range:   p.Range,
		Name:    p.Name,
		Code:    p.Code,
		Type:    string(p.Type),
		Solids:  view.Known(p.VolumeSolids),
		Density: view.Known(p.Density),
	}
}

func swatch(p inventory.Paint) view.Swatch {
	if p.Colour == nil {
		return ""
	}
	return view.Swatch(p.Colour.String())
}

func (a *app) paintList() *cobra.Command {
	var typ string
	c := &cobra.Command{
		Use: "list [WORD...]", Short: "list paints",
		Long: `Lists the paints in the order they were entered. With words, only those whose
id, maker, range, name or type holds every word.`,
		Example: "  halfpot paint list\n  halfpot paint list --type wash\n" +
			"  halfpot paint list bone --format csv",
		RunE: func(c *cobra.Command, words []string) error {
			cat, err := a.listed(c.Context())
			if err != nil {
				return err
			}
			rows := []paintRow{}
			for _, p := range cat.Paints {
				if matches(words, p.ID, p.Title(), string(p.Type), p.Code) &&
					(typ == "" || string(p.Type) == typ) {
					rows = append(rows, newPaintRow(p))
				}
			}
			return a.list(rows, "No paints yet, or none that fit. Bring some in: halfpot load paints.csv")
		},
	}
	words(c, c.Flags(), &typ, "type", "only paints of this type", paintTypeNames())
	return c
}

// paintDoc is one paint with what it comes in and where it is used.
type paintDoc struct {
	paintRow
	Products []offerRow  `json:"products"`
	Pots     []potRow    `json:"pots"`
	StandIns []standIn   `json:"stand_ins"`
	Recipes  []string    `json:"recipes"`
	Measured view.Swatch `json:"measured_colour"`
	Strength view.Known  `json:"strength"` // in mixes, as learned
}

type standIn struct {
	Paint      string     `json:"paint" table:"stand-in"`
	Name       string     `json:"name" table:"name"`
	Compromise view.Count `json:"compromise" table:"points"`
	Note       string     `json:"note" table:"note"`
}

func (a *app) paintShow() *cobra.Command {
	return &cobra.Command{
		Use: "show PAINT", Short: "one paint: pots of it, who sells it, what it is used for",
		Long: `Shows a paint, your pots of it, its stand-ins, who sells it and the recipes that
use it.`,
		Example: "  halfpot paint show pale-bone\n  halfpot paint show \"pale bone\" --format json",
		Args:    cobra.ExactArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			st, err := a.state(c.Context())
			if err != nil {
				return err
			}
			id, err := lookup("paint", args[0], "halfpot paint list", paintNames(st.cat))
			if err != nil {
				return err
			}
			doc := newPaintDoc(st.cat, id)
			for _, p := range st.PotsOf(id) {
				doc.Pots = append(doc.Pots, newPotRow(st.byID, p.Pot, p.Level, st.At))
			}
			return a.show(doc, []paintRow{doc.paintRow}, func(page *view.Page) {
				showPaint(page, st.byID.Paints[id], doc)
			})
		},
	}
}

func newPaintDoc(cat *inventory.Catalogue, id string) paintDoc {
	byID := cat.Index()
	doc := paintDoc{paintRow: newPaintRow(*byID.Paints[id])}
	palette := likeness.NewPalette(cat)
	if p := byID.Paints[id]; palette.Measured(p) {
		doc.Measured = paletteSwatch(palette, p)
	}
	if palette.Learned(id) {
		doc.Strength = view.Known(palette.Strength(id))
	}
	for _, o := range cat.Offers {
		for _, k := range byID.Products[o.Product].Contents {
			if k.Paint == id {
				doc.Products = append(doc.Products, newOfferRow(byID, o))
				break
			}
		}
	}
	for _, s := range cat.StandIns {
		other := ""
		switch {
		case s.For == id:
			other = s.Use
		case s.Use == id && s.EitherWay:
			other = s.For
		default:
			continue
		}
		doc.StandIns = append(doc.StandIns, standIn{
			Paint:      other,
			Name:       byID.Paints[other].Title(),
			Compromise: view.Count(s.Compromise),
			Note:       s.Note,
		})
	}
	for _, r := range cat.Recipes {
		if usesPaint(r, id) {
			doc.Recipes = append(doc.Recipes, r.ID)
		}
	}
	return doc
}

func usesPaint(r inventory.Recipe, id string) bool {
	for _, s := range r.Steps {
		mixes := []inventory.Mix{s.Mix}
		for _, alt := range s.Alternatives {
			mixes = append(mixes, alt.Mix)
		}
		for _, m := range mixes {
			for _, part := range m {
				if part.Paint == id {
					return true
				}
			}
		}
	}
	return false
}

func showPaint(page *view.Page, p *inventory.Paint, doc paintDoc) {
	page.Line("%s %s, %s", doc.Colour.Cell(page.Style()), p.Title(), p.Type.Words())
	solids, density := p.Solids(), p.GramsPerML()
	if !p.Type.Counted() {
		page.Note("  volume solids %.0f %% (%s), density %.2f g/ml (%s)",
			solids.Value*100, solids.Origin, density.Value, density.Origin)
	}
	if doc.Measured != "" {
		page.Note("  colour measured, %s %s: counts before the swatch",
			string(doc.Measured), doc.Measured.Cell(page.Style()))
	}
	if doc.Strength > 0 {
		page.Note("  strength in mixes %.2f, learned from your trial mixes (1: as other paints)",
			float64(doc.Strength))
	}
	page.Heading("On the shelf")
	page.List(doc.Pots, "no pot of it")
	if len(doc.StandIns) > 0 {
		page.Heading("May be replaced by")
		page.List(doc.StandIns, "")
	}
	page.Heading("Sold as")
	page.List(doc.Products, "nobody on record sells it")
	if len(doc.Recipes) > 0 {
		page.Heading("Used in")
		page.Line("%s", strings.Join(doc.Recipes, ", "))
	}
}

// matches reports whether every word stands somewhere in one of the texts.
func matches(words []string, texts ...string) bool {
	all := strings.ToLower(strings.Join(texts, "\n"))
	for _, w := range words {
		if !strings.Contains(all, strings.ToLower(w)) {
			return false
		}
	}
	return true
}
