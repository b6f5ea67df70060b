package textfile

import (
	"errors"
	"strings"

	"halfpot/inventory"
)

func (b *Bundle) paint(r *record) {
	p := inventory.Paint{
		ID:           r.id("id"),
		Maker:        r.text("maker"),
		Range:        r.text("range"),
		Name:         r.text("name"),
		Code:         r.text("code"),
		Type:         inventory.PaintType(r.word("type")),
		Finish:       inventory.Finish(r.word("finish")),
		Carrier:      inventory.Carrier(r.word("carrier")),
		Tone:         inventory.Tone(r.word("tone")),
		VolumeSolids: r.share("volume-solids"), Density: r.number("density"),
	}
	r.need("name", "type")
	if r.has("colour") {
		if c := parsed(r, "colour", "a colour", parseColour); !r.bad {
			p.Colour = &c
		}
	}
	made := p.ID == ""
	if made {
		p.ID = r.slug(p.Name, p.Title())
	}
	if p.ID != "" && b.claim(r, "paints."+p.ID) {
		b.made[p.ID] = made
		b.Catalogue.Paints = append(b.Catalogue.Paints, p)
	}
}

// twins are the slips of paints whose id was made from their name, where the same
// paint is stored under another.
func (b *Bundle) twins(stored inventory.Catalogue) (out Slips) {
	known := map[string]bool{}
	for _, p := range stored.Paints {
		known[p.ID] = true
	}
	for _, p := range b.Catalogue.Paints {
		if !b.made[p.ID] || known[p.ID] {
			continue
		}
		if twin, found := stored.PaintLike(p); found {
			out = append(out, b.slipAt(b.places["paints."+p.ID], "name", show(p.Name)+" without an id",
				"id "+twin.ID+" in its row, if it is that paint, "+twin.Title()+", or another id if it is not"))
		}
	}
	return out
}

func (b *Bundle) standIn(r *record) {
	s := inventory.StandIn{
		For:        r.id("for"),
		Use:        r.id("use"),
		Compromise: r.count("compromise"),
		EitherWay:  r.flag("either-way"),
		Note:       r.text("note"),
		OtherKind:  r.flag("other-kind"),
	}
	r.need("for", "use")
	if b.claim(r, "stand-ins."+s.For+"@"+s.Use) {
		b.Catalogue.StandIns = append(b.Catalogue.StandIns, s)
	}
}

func parseColour(s string) (inventory.Colour, error) {
	c, err := inventory.ParseColour(s)
	if err != nil {
		_, what, _ := strings.Cut(err.Error(), "expected ")
		return c, errors.New(what)
	}
	return c, nil
}
