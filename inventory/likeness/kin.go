package likeness

import (
	"fmt"
	"math"

	"halfpot/inventory"
	"halfpot/inventory/colour"
)

// Kin is a group of paint types that behave alike on a figure, so that one may
// stand in for another by colour. Common practice, no source.
type Kin string

// The kin.
const (
	Undercoats  Kin = "undercoats"
	Opaque      Kin = "opaque paints"
	Translucent Kin = "one-coat paints"
	Washes      Kin = "washes"
	Glazes      Kin = "glazes and inks"
	DryBrushed  Kin = "dry-brush paints"
	Pencils     Kin = "pencils"
	Pigments    Kin = "pigments"
	None        Kin = "" // not compared by colour
)

var kinOf = map[inventory.PaintType]Kin{
	inventory.PrimerSpray: Undercoats, inventory.PrimerBrush: Undercoats,
	inventory.Base: Opaque, inventory.Layer: Opaque, inventory.Highlight: Opaque,
	inventory.OneCoat: Translucent, inventory.Wash: Washes,
	inventory.Glaze: Glazes, inventory.Ink: Glazes,
	inventory.DryBrush: DryBrushed, inventory.Pencil: Pencils, inventory.PigmentType: Pigments,
}

// KinOf is the kin of a type, None where colour says nothing.
func KinOf(t inventory.PaintType) Kin { return kinOf[t] }

// mixable says whether paints of the kin are mixed wet.
func (k Kin) mixable() bool {
	return k == Opaque || k == Translucent || k == Washes || k == Glazes || k == DryBrushed
}

// SeesThrough says whether the ground shows through one coat of the kin.
func (k Kin) SeesThrough() bool { return k == Translucent || k == Washes || k == Glazes }

func (k Kin) cover() colour.Cover {
	switch k {
	case Washes, Glazes:
		return colour.CoverOfWash
	case Translucent:
		return colour.CoverOfOneCoat
	}
	return colour.CoverOfOpaque
}

// Untold is why a paint has no colour to compare.
type Untold struct {
	Paint  string
	Reason string // "no colour is known", "metallic paint is not compared by colour"
}

func (u *Untold) Error() string { return u.Paint + ": " + u.Reason }

// shade is a paint with its colour as it is compared.
type shade struct {
	paint *inventory.Paint
	kin   Kin
	lab   colour.Lab
}

// shadeOf is the paint's colour, over a ground where one is given and the paint
// lets it show. An error is an *Untold.
func shadeOf(p *inventory.Paint, over *inventory.Colour) (shade, error) {
	s := shade{paint: p, kin: KinOf(p.Type)}
	if s.kin == None {
		return s, &Untold{p.ID, p.Type.Words() + " is not compared by colour"}
	}
	if p.Colour == nil {
		return s, &Untold{p.ID, "no colour is known"}
	}
	if over != nil && s.kin.SeesThrough() {
		film, err := spectrumOf(*p.Colour)
		if err != nil {
			return s, &Untold{p.ID, err.Error()}
		}
		ground, err := spectrumOf(*over)
		if err != nil {
			return s, &Untold{p.ID, err.Error()}
		}
		if off := colour.Unsure(&film, s.kin.cover(), &ground); off > colour.TooUnsure {
			return s, &Untold{p.ID, fmt.Sprintf("the ground %s shows through it so much that its colour there can't be told", over)}
		}
		seen := colour.Over(&film, s.kin.cover(), &ground)
		s.lab = seen.Lab()
		return s, nil
	}
	s.lab = colour.SRGB(*p.Colour).Lab()
	return s, nil
}

func spectrumOf(c inventory.Colour) (colour.Spectrum, error) {
	return colour.Smooth(colour.SRGB(c).XYZ())
}

// OfferedWithin is the difference up to which a stand-in is offered unasked
// (CIEDE2000): above it lies another colour. Assumption, see [colour.BandOf].
const OfferedWithin = 5.0

// Points are the compromise points of a difference (CIEDE2000, 0 or more): none
// up to 1, which nobody sees, then one for each further unit begun. Assumption.
func Points(difference float64) int {
	return int(math.Max(0, math.Ceil(difference-1-1e-9)))
}
