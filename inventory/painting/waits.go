package painting

import (
	"time"

	"halfpot/inventory"
	"halfpot/inventory/coverage"
)

// Waits that a rule asks for whatever the recipe says.
const (
	Overnight = inventory.Overnight
	DryDay    = 24 * time.Hour
)

// family is how the rules sort a step.
type family int

const (
	other      family = iota
	primer            // under everything
	sheer             // one-coat, glaze, wash, ink: what is below shows through
	solid             // base, layer, highlight, metallic: covers
	rubbed            // dry brush, pencil, pigment: rubs at what is below
	varnished         // varnish
	groundwork        // texture paste
)

func familyOf(t inventory.PaintType, m inventory.Method) family {
	switch {
	case t == inventory.Pencil || t == inventory.PigmentType || m == coverage.DryBrush ||
		t == inventory.DryBrush:
		return rubbed
	}
	switch t {
	case inventory.PrimerSpray, inventory.PrimerBrush:
		return primer
	case inventory.OneCoat, inventory.Glaze, inventory.Wash, inventory.Ink:
		return sheer
	case inventory.Base, inventory.Layer, inventory.Highlight, inventory.Metallic:
		return solid
	case inventory.Varnish, inventory.VarnishSpray:
		return varnished
	case inventory.Texture:
		return groundwork
	}
	return other
}

// DefaultWait is how long is usually waited after a step before anything else
// goes on the same regions, where the recipe does not say. All assumptions.
func DefaultWait(k inventory.StepKind, t inventory.PaintType, m inventory.Method) time.Duration {
	switch k {
	case inventory.Prepare, inventory.Sand, inventory.Setting:
		return Overnight
	case inventory.Transfer, inventory.Glue:
		return time.Hour
	case inventory.Seal:
		return 2 * time.Hour
	case inventory.Drill, inventory.Tuft:
		return 0
	}
	switch {
	case t == inventory.Pencil || t == inventory.PigmentType || t == inventory.Supply:
		return 0
	case m == coverage.SprayCan:
		return time.Hour
	case m == coverage.DryBrush || t == inventory.DryBrush:
		return 10 * time.Minute
	case t == inventory.PrimerBrush || t == inventory.Varnish:
		return 2 * time.Hour
	case t == inventory.Wash || t == inventory.Ink:
		return 3 * time.Hour
	case t == inventory.OneCoat:
		return time.Hour
	case t == inventory.Texture:
		return Overnight
	}
	return 30 * time.Minute
}
