package likeness

import (
	"math"

	"halfpot/inventory"
	"halfpot/inventory/colour"
)

// byColour are the kin that are compared by colour: where a colour says how the
// paint looks on a figure.
var byColour = map[inventory.Kin]bool{
	inventory.Undercoats:  true,
	inventory.Opaques:     true,
	inventory.Translucent: true,
	inventory.Washes:      true,
	inventory.Glazes:      true,
	inventory.DryBrushed:  true,
	inventory.Pencils:     true,
	inventory.Pigments:    true,
}

// mixable says whether paints of the kin are mixed wet.
func mixable(k inventory.Kin) bool {
	switch k {
	case inventory.Opaques, inventory.Translucent, inventory.Washes, inventory.Glazes, inventory.DryBrushed:
		return true
	}
	return false
}

// SeesThrough says whether the ground shows through one coat of the kin.
func SeesThrough(k inventory.Kin) bool {
	return k == inventory.Translucent || k == inventory.Washes || k == inventory.Glazes
}

func hidingOf(k inventory.Kin) colour.Hiding {
	switch k {
	case inventory.Washes, inventory.Glazes:
		return colour.HidingOfWash
	case inventory.Translucent:
		return colour.HidingOfOneCoat
	}
	return colour.HidingOfOpaque
}

// OfferedWithin is the difference up to which a stand-in is offered unasked
// (CIEDE2000): above it lies another colour. Assumption, see [colour.BandOf].
const OfferedWithin = 5.0

// Points are the compromise points of a difference (CIEDE2000, 0 or more): none
// up to 1, which nobody sees, then one for each further unit begun. Assumption.
func Points(difference float64) int {
	return int(math.Max(0, math.Ceil(difference-1-1e-9)))
}
