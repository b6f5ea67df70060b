package inventory

import "halfpot/inventory/coverage"

// PaintType is the kind of paint as the trade sorts it. It decides the usual
// method, the film, how much of a pot is paint, and whether it is counted by
// volume or by the piece.
type PaintType string

// The types of paint.
const (
	PrimerSpray  PaintType = "primer-spray" // in an aerosol can
	PrimerBrush  PaintType = "primer-brush"
	DryBrush     PaintType = "dry-brush" // stiff paint made for it
	OneCoat      PaintType = "one-coat"  // translucent over a light undercoat
	Base         PaintType = "base"      // opaque
	Layer        PaintType = "layer"
	Wash         PaintType = "wash" // or shade
	Glaze        PaintType = "glaze"
	Ink          PaintType = "ink"
	Highlight    PaintType = "highlight" // or edge
	Metallic     PaintType = "metallic"
	Texture      PaintType = "texture" // paste for bases
	Varnish      PaintType = "varnish"
	VarnishSpray PaintType = "varnish-spray" // in an aerosol can
	Medium       PaintType = "medium"        // thinner or medium
	PigmentType  PaintType = "pigment"       // dry, by the piece
	Pencil       PaintType = "pencil"        // by the piece
	Supply       PaintType = "supply"        // transfers, tufts, glue: by the piece
)

// paintTypes holds what each type means in the sum; the numbers themselves,
// with their sources, live in coverage.
var paintTypes = []struct {
	typ    PaintType
	kind   coverage.Kind
	method coverage.Method
	words  string
}{
	{PrimerSpray, coverage.Primer, coverage.SprayCan, "primer in a spray can"},
	{PrimerBrush, coverage.Primer, coverage.Brush, "brushed primer"},
	{DryBrush, coverage.DryPaint, coverage.DryBrush, "dry-brush paint"},
	{OneCoat, coverage.OneCoat, coverage.Brush, "one-coat paint"},
	{Base, coverage.Base, coverage.Brush, "opaque base paint"},
	{Layer, coverage.Layer, coverage.Brush, "layer paint"},
	{Wash, coverage.Shade, coverage.Wash, "wash or shade"},
	{Glaze, coverage.Glaze, coverage.Wash, "glaze"},
	{Ink, coverage.Ink, coverage.Wash, "ink"},
	{Highlight, coverage.Highlight, coverage.Brush, "highlight or edge paint"},
	{Metallic, coverage.Metallic, coverage.Brush, "metallic paint"},
	{Texture, coverage.BaseSand, coverage.Brush, "texture paste"},
	{Varnish, coverage.Varnish, coverage.Brush, "brushed varnish"},
	{VarnishSpray, coverage.Varnish, coverage.SprayCan, "varnish in a spray can"},
	{Medium, coverage.Medium, coverage.Brush, "thinner or medium"},
	{PigmentType, coverage.Pigment, coverage.Stick, "dry pigment"},
	{Pencil, coverage.Pigment, coverage.Stick, "pencil"},
	{Supply, coverage.Pigment, coverage.Piece, "supply"},
}

// PaintTypes lists the types in the order of a paint job.
func PaintTypes() []PaintType {
	out := make([]PaintType, len(paintTypes))
	for i, r := range paintTypes {
		out[i] = r.typ
	}
	return out
}

// Valid reports whether t is one of the types.
func (t PaintType) Valid() bool { _, ok := t.row(); return ok }

func (t PaintType) row() (int, bool) {
	for i, r := range paintTypes {
		if r.typ == t {
			return i, true
		}
	}
	return 0, false
}

// Words names the type in plain words, "wash or shade".
func (t PaintType) Words() string {
	if i, ok := t.row(); ok {
		return paintTypes[i].words
	}
	return string(t)
}

// Kind is the row of coverage's tables the type belongs to; "" for an unknown type.
func (t PaintType) Kind() coverage.Kind {
	if i, ok := t.row(); ok {
		return paintTypes[i].kind
	}
	return ""
}

// UsualMethod is how this type of paint is put on where a step does not say.
func (t PaintType) UsualMethod() Method {
	if i, ok := t.row(); ok {
		return paintTypes[i].method
	}
	return ""
}

// Counted reports whether the type is counted by the piece; see [Item].
func (t PaintType) Counted() bool { return t == Pencil || t == PigmentType || t == Supply }

// Aerosol reports whether part of the volume on the label is propellant.
func (t PaintType) Aerosol() bool { return t == PrimerSpray || t == VarnishSpray }

// Defaults are the type's film, volume solids and density with their range
// and source: the assumptions that hold until the painter says or halfpot
// learns better. Counted types have none (zero values).
func (t PaintType) Defaults() coverage.KindDefault {
	d, err := coverage.KindDefaults(t.Kind())
	if err != nil {
		return coverage.KindDefault{}
	}
	return d
}

// FiguresPerItem is how many figures one pencil, or one jar of dry pigment,
// does for one step.
var FiguresPerItem = coverage.Default{
	Value:  150,
	Low:    50,
	High:   450,
	Unit:   "figures",
	Origin: coverage.Assumption,
	Source: "soft pencil on edges, pigment dusted on; nobody has published a number",
}

// FiguresPerSheet is how many figures one sheet of transfers or packet of tufts
// does where the recipe does not say.
var FiguresPerSheet = coverage.Default{Value: 20, Low: 5, High: 80, Unit: "figures", Origin: coverage.Assumption,
	Source: "sheets and packets differ; the step's per-item says"}

// Method is how paint gets onto the figure; the words and numbers are those of
// coverage: brush, dry-brush, wash, airbrush, spray, pencil, piece.
type Method = coverage.Method

// Origin says where a number comes from; see coverage.
type Origin = coverage.Origin

// ValidMethod reports whether m is a method of coverage's table.
func ValidMethod(m Method) bool {
	_, err := coverage.MethodDefaults(m)
	return err == nil
}
