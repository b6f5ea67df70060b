package inventory

import (
	"strings"

	"halfpot/inventory/coverage"
)

// Paint is one paint as its maker sells it, whatever the size of the pot.
type Paint struct {
	ID           string
	Maker        string
	Range        string
	Name         string
	Code         string // the maker's own code; may be empty
	Type         PaintType
	Colour       *Colour // nil: not known
	VolumeSolids float64 // fraction of the volume left when dry, 0 to 1; 0: not known, the type's default holds
	Density      float64 // g/ml; 0: not known, the type's default holds
}

// Title is how a painter calls the paint: "maker range name", without the
// parts that are not known.
func (p Paint) Title() string {
	return strings.Join(strings.Fields(p.Maker+" "+p.Range+" "+p.Name), " ")
}

// Solids is the volume solids, the paint's own or its type's default.
func (p Paint) Solids() coverage.Default {
	if p.VolumeSolids > 0 {
		return coverage.Default{Value: p.VolumeSolids, Low: p.VolumeSolids, High: p.VolumeSolids, Origin: coverage.Given, Source: "the paint's volume solids"}
	}
	return p.Type.Defaults().Solids
}

// GramsPerML is the density in g/ml, the paint's own or its type's default.
func (p Paint) GramsPerML() coverage.Default {
	if p.Density > 0 {
		return coverage.Default{Value: p.Density, Low: p.Density, High: p.Density, Unit: "g/ml", Origin: coverage.Given, Source: "the paint's density"}
	}
	return p.Type.Defaults().Density
}

// FormatAmount writes a volume of this paint: "12.5 ml", or "1 item" where it
// is counted by the piece.
func (p Paint) FormatAmount(v Volume) string {
	if !p.Type.Counted() {
		return v.String()
	}
	n := strings.TrimSuffix(v.String(), " ml")
	if n == "1" {
		return "1 item"
	}
	return n + " items"
}
