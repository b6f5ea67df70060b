package likeness

import (
	"fmt"
	"math"

	"halfpot/inventory"
	"halfpot/inventory/colour"
)

// Palette is what is known of the colours of a catalogue: given colours, measured
// spectra, how strong each paint is in a mix, and what the painter has judged. It
// is not safe for use by several goroutines.
type Palette struct {
	paints   map[string]*inventory.Paint
	standIns []inventory.StandIn
	trials   []inventory.TrialMix
	measured map[string]colour.Spectrum
	learned  map[string]float64                   // strength by paint; nil: not worked out yet
	smooth   map[inventory.Colour]colour.Spectrum // worked out so far
}

// NewPalette makes the palette of a catalogue that passes
// [inventory.Catalogue.Validate].
func NewPalette(c *inventory.Catalogue) *Palette {
	p := &Palette{paints: c.Index().Paints, standIns: c.StandIns, measured: map[string]colour.Spectrum{},
		trials: c.TrialMixes, smooth: map[inventory.Colour]colour.Spectrum{}}
	for _, s := range c.Spectra {
		if m, err := colour.FromReadings(s.Readings); err == nil { // what is kept has been looked at
			p.measured[s.Paint] = m
		}
	}
	return p
}

// NoColour is why a paint can't be compared that has neither swatch nor spectrum.
const NoColour = "no colour is known"

// Untold is why a paint has no colour to compare.
type Untold struct {
	Paint  string
	Reason string // NoColour, "metallic paint is not compared by colour"
}

func (u *Untold) Error() string { return u.Paint + ": " + u.Reason }

// shade is a paint with its colour as it is compared.
type shade struct {
	paint *inventory.Paint
	kin   inventory.Kin
	lab   colour.Lab
}

// Told says whether a colour of the paint is known.
func (c *Palette) Told(p *inventory.Paint) bool {
	_, measured := c.measured[p.ID]
	return measured || p.Colour != nil
}

// shadeOf is the paint's colour, over a ground where one is given and the paint
// lets it show. An error is an *Untold.
func (c *Palette) shadeOf(p *inventory.Paint, over *inventory.Colour) (shade, error) {
	s := shade{paint: p, kin: p.Type.Kin()}
	if !byColour[s.kin] {
		return s, &Untold{p.ID, p.Type.Words() + " is not compared by colour"}
	}
	if !c.Told(p) {
		return s, &Untold{p.ID, NoColour}
	}
	if over == nil || !SeesThrough(s.kin) {
		s.lab = c.masstone(p)
		return s, nil
	}
	film, err := c.spectrum(p)
	if err != nil {
		return s, &Untold{p.ID, err.Error()}
	}
	s.lab, err = c.seenOver(&film, s.kin, *over)
	if err != nil {
		return s, &Untold{p.ID, err.Error()}
	}
	return s, nil
}

// masstone is the paint's own colour, thick enough to hide what is below.
func (c *Palette) masstone(p *inventory.Paint) colour.Lab {
	if s, ok := c.measured[p.ID]; ok {
		return s.Lab()
	}
	return colour.SRGB(*p.Colour).Lab()
}

// seenOver is the colour of one coat over a ground; an error says why it can't be
// told.
func (c *Palette) seenOver(film *colour.Spectrum, kin inventory.Kin, over inventory.Colour) (colour.Lab, error) {
	ground, err := c.smoothOf(over)
	if err != nil {
		return colour.Lab{}, err
	}
	if off := colour.Unsure(film, hidingOf(kin), &ground); off > colour.TooUnsure {
		return colour.Lab{}, fmt.Errorf("the ground %s shows through it so much that its colour there "+
			"can't be told", over)
	}
	seen := colour.Over(film, hidingOf(kin), &ground)
	return seen.Lab(), nil
}

// Shown is the paint's colour as a screen shows it, the measured one where there is
// one; false where none is known.
func (c *Palette) Shown(p *inventory.Paint) (inventory.Colour, bool) {
	if !c.Told(p) {
		return inventory.Colour{}, false
	}
	return c.masstone(p).XYZ().SRGB(), true
}

// Measured says whether the paint's spectrum was measured.
func (c *Palette) Measured(p *inventory.Paint) bool {
	_, ok := c.measured[p.ID]
	return ok
}

// spectrum is the paint's measured spectrum, or a smooth one of its colour.
func (c *Palette) spectrum(p *inventory.Paint) (colour.Spectrum, error) {
	if s, ok := c.measured[p.ID]; ok {
		return s, nil
	}
	return c.smoothOf(*p.Colour)
}

func (c *Palette) smoothOf(x inventory.Colour) (colour.Spectrum, error) {
	s, ok := c.smooth[x]
	if !ok {
		var err error
		if s, err = colour.Smooth(colour.SRGB(x).XYZ()); err != nil {
			return s, err
		}
		c.smooth[x] = s
	}
	return s, nil
}

// ingredient is the paint as it mixes. Mixing happens in the pot, before any
// ground shows through.
func (c *Palette) ingredient(p *inventory.Paint) (colour.Ingredient, error) {
	s, err := c.spectrum(p)
	return colour.Ingredient{Spectrum: s, Strength: c.Strength(p.ID)}, err
}

// learnedShare is what is left of the expected error of a mix whose paints'
// strengths have been learned. Source: measured against two-constant theory with
// published constants of 18 artists' acrylics, p90 of 13.9 to 9.0.
const learnedShare = 0.65

// mixError is how far most mixes of these paints lie at most from what is
// predicted (CIEDE2000).
func (c *Palette) mixError(of []*inventory.Paint, as []colour.Ingredient) float64 {
	furthest, unlearned := 0.0, 0
	for i := range as {
		if !c.Learned(of[i].ID) {
			unlearned++
		}
		for j := range i {
			furthest = math.Max(furthest, colour.DeltaE(as[i].Spectrum.Lab(), as[j].Spectrum.Lab()))
		}
	}
	e := colour.ExpectedError(furthest)
	// A strength says how much of a paint counts beside another: one of a pair may
	// keep its default.
	if unlearned <= 1 {
		e *= learnedShare
	}
	return e
}
