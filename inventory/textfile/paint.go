package textfile

import (
	"errors"
	"strings"

	"halfpot/inventory"
)

func (b *Batch) paint(r *record) {
	p := inventory.Paint{
		ID: r.id("id"), Maker: r.text("maker"), Range: r.text("range"), Name: r.text("name"), Code: r.text("code"),
		Type:   inventory.PaintType(r.text("type")),
		Finish: inventory.Finish(r.text("finish")), Carrier: inventory.Carrier(r.text("carrier")), Tone: inventory.Tone(r.text("tone")),
		VolumeSolids: r.share("volume-solids"), Density: r.number("density"),
	}
	r.need("name", "type")
	if r.has("colour") {
		if c := parsed(r, "colour", "a colour", parseColour); !r.bad {
			p.Colour = &c
		}
	}
	if p.ID == "" {
		p.ID = r.slug(p.Name, p.Title())
	}
	if p.ID != "" && b.claim(r, "paints."+p.ID) {
		b.Catalogue.Paints = append(b.Catalogue.Paints, p)
	}
}

func (b *Batch) standIn(r *record) {
	s := inventory.StandIn{For: r.id("for"), Use: r.id("use"), Compromise: r.count("compromise"), EitherWay: r.flag("either-way"), Note: r.text("note"), OtherKind: r.flag("other-kind")}
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
