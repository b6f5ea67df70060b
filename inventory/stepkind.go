package inventory

import "slices"

// StepKind is what is done in a step where it is not putting paint on. Such a
// step may take a paint, a counted supply, or nothing.
type StepKind string

// The kinds of steps that are not painting.
const (
	Prepare  StepKind = "prepare"  // wash, clean mould lines off
	Drill    StepKind = "drill"    // barrels, pins
	Glue     StepKind = "glue"     // put parts together, or onto the base
	Transfer StepKind = "transfer" // decals
	Setting  StepKind = "setting"  // a solution that softens transfers
	Sand     StepKind = "sand"     // sand or grit on the base
	Seal     StepKind = "seal"     // fix sand or pigment
	Tuft     StepKind = "tuft"     // tufts and flock
)

// StepKinds lists them in the order of a figure's making.
func StepKinds() []StepKind {
	return []StepKind{Prepare, Drill, Glue, Transfer, Setting, Sand, Seal, Tuft}
}

// Valid reports whether k is one of the kinds or none.
func (k StepKind) Valid() bool { return k == "" || slices.Contains(StepKinds(), k) }

// OrderRules are the ids of the rules of order, for a step's Allow. What they
// say stands in painting.
var OrderRules = []string{
	"clean-first", "primer-first", "light-below", "white-below", "rub-dry", "wash-dry", "wash-over-light",
	"wash-strays", "hidden", "metal-dulled", "coats-dry", "highlight-last", "dust-smeared", "dust-loose",
	"transfer-gloss", "transfer-sealed", "transfer-set", "varnish-dry", "matt-last", "tuft-last",
	"spray-weather", "solvent-over", "set-already", "wait-missing",
}
