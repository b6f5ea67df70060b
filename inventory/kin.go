package inventory

// Kin is a group of paint types that behave alike on a figure, so that one may
// stand in for another. Common practice, no source.
type Kin string

// The kin.
const (
	Undercoats  Kin = "undercoats"
	Opaques     Kin = "opaque paints"
	Translucent Kin = "one-coat paints"
	Washes      Kin = "washes"
	Glazes      Kin = "glazes and inks"
	DryBrushed  Kin = "dry-brush paints"
	Metallics   Kin = "metallics"
	Varnishes   Kin = "varnishes"
	Mediums     Kin = "thinners and mediums"
	Textures    Kin = "texture pastes"
	Pigments    Kin = "dry pigments"
	Pencils     Kin = "pencils"
	Supplies    Kin = "supplies"
)

var kinOf = map[PaintType]Kin{
	PrimerSpray: Undercoats, PrimerBrush: Undercoats,
	Base: Opaques, Layer: Opaques, Highlight: Opaques,
	OneCoat: Translucent, Wash: Washes, Glaze: Glazes, Ink: Glazes, DryBrush: DryBrushed,
	Metallic: Metallics, Varnish: Varnishes, VarnishSpray: Varnishes, Medium: Mediums, Texture: Textures,
	PigmentType: Pigments, Pencil: Pencils, Supply: Supplies,
}

// Kin is the group of the type, "" for an unknown type.
func (t PaintType) Kin() Kin { return kinOf[t] }
