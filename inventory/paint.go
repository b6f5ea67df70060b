package inventory

import (
	"slices"
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
	Finish       Finish  // of the dry film; "": not known
	Carrier      Carrier // what it is thinned with; "": not known
	Tone         Tone    // how light it dries; "": as its colour
	VolumeSolids float64 // fraction of the volume left when dry, 0 to 1; 0: not known, the type's default holds
	Density      float64 // g/ml; 0: not known, the type's default holds
}

// Finish is how a dry film shines.
type Finish string

// The finishes.
const (
	Matt  Finish = "matt"
	Satin Finish = "satin"
	Gloss Finish = "gloss"
)

// Carrier is what a paint is carried in.
type Carrier string

// The carriers: water for acrylics, solvent for enamels and oils.
const (
	Water   Carrier = "water"
	Solvent Carrier = "solvent"
)

// Tone is how light a paint dries.
type Tone string

// The tones.
const (
	Light  Tone = "light"
	Middle Tone = "middle"
	Dark   Tone = "dark"
)

// Title is how a painter calls the paint: "maker range name", without the
// parts that are not known.
func (p Paint) Title() string {
	return strings.Join(strings.Fields(p.Maker+" "+p.Range+" "+p.Name), " ")
}

// Solids is the volume solids, the paint's own or its type's default.
func (p Paint) Solids() coverage.Default {
	if p.VolumeSolids > 0 {
		return coverage.Default{
			Value:  p.VolumeSolids,
			Low:    p.VolumeSolids,
			High:   p.VolumeSolids,
			Origin: coverage.Given,
			Source: "the paint's volume solids",
		}
	}
	return p.Type.Defaults().Solids
}

// GramsPerML is the density in g/ml, the paint's own or its type's default.
func (p Paint) GramsPerML() coverage.Default {
	if p.Density > 0 {
		return coverage.Default{
			Value:  p.Density,
			Low:    p.Density,
			High:   p.Density,
			Unit:   "g/ml",
			Origin: coverage.Given,
			Source: "the paint's density",
		}
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

// InRange reports whether a name means the paint's range: "range", "maker
// range" or "maker", in any case, with spaces or hyphens.
func (p Paint) InRange(name string) bool {
	return slices.Contains(p.RangeNames(), Slug(name))
}

// RangeNames are the names that mean the paint's range, as slugs.
func (p Paint) RangeNames() []string {
	var out []string
	for _, n := range []string{Slug(p.Range), Slug(p.Maker + " " + p.Range), Slug(p.Maker)} {
		if n != "" && !slices.Contains(out, n) {
			out = append(out, n)
		}
	}
	return out
}

// UsableShare is the part of the volume on a pot's label that can be put on
// figures: without the propellant of a spray can and what never comes out.
// Pencils and pigments are used up whole.
func (p Paint) UsableShare() coverage.Default {
	if p.Type.Counted() {
		return coverage.Default{
			Value:  1,
			Low:    1,
			High:   1,
			Origin: coverage.Practice,
			Source: "counted by the piece",
		}
	}
	d := coverage.DeadVolume
	out := coverage.Default{
		Value:  1 - d.Value,
		Low:    1 - d.High,
		High:   1 - d.Low,
		Origin: d.Origin,
		Source: d.Source,
	}
	if p.Type.Aerosol() {
		s := coverage.CanPaintShare
		out.Value, out.Low, out.High = out.Value*s.Value, out.Low*s.Low, out.High*s.High
		out.Source = s.Source + "; " + d.Source
	}
	return out
}

// NewPot is what can be used of an unopened pot of a nominal volume, at the
// lower quantile for a confidence, rounded down.
func (p Paint) NewPot(nominal Volume, confidence float64) Volume {
	return FloorUL(float64(nominal) * min(1, p.UsableShare().Estimate().Quantile(1-confidence)))
}
