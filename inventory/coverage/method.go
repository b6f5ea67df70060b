package coverage

import "sort"

// Method is how paint gets onto the figure.
type Method string

const (
	Brush    Method = "brush"     // a loaded brush, all of the region
	DryBrush Method = "dry-brush" // most wiped off, raised edges only
	Wash     Method = "wash"      // flooded on, pools in recesses
	Airbrush Method = "airbrush"  // cup, air, overspray
	SprayCan Method = "spray"     // aerosol can
	Stick    Method = "pencil"    // pencil, dry pigment: no volume, counted by the piece
	Piece    Method = "piece"     // transfer, tuft: no volume, so many of each sheet or packet
)

// Kind is the kind of paint as the trade names it.
type Kind string

const (
	Primer    Kind = "primer"
	DryPaint  Kind = "dry-brush" // stiff paint made for dry-brushing
	OneCoat   Kind = "one-coat"  // translucent over a light undercoat
	Base      Kind = "base"      // opaque
	Layer     Kind = "layer"     // thinner, over a base
	Shade     Kind = "wash"      // wash or shade
	Glaze     Kind = "glaze"     // thin, tinted
	Ink       Kind = "ink"
	Highlight Kind = "highlight" // or edge
	Metallic  Kind = "metallic"
	Pigment   Kind = "pigment" // dry pigment or pencil: no volume
	Varnish   Kind = "varnish"
	Medium    Kind = "medium"  // thinner or medium
	BaseSand  Kind = "texture" // paste for bases
)

// MethodDefault is what a method brings to the sum, apart from the film.
type MethodDefault struct {
	Method Method
	// Cover is the part of the named region that gets paint.
	Cover Default
	// Efficiency is 1 - loss: paint on the figure over paint used. The loss of a
	// brush counts what stays in the brush and goes into the rinse.
	Efficiency Default
	// WasteML is what is left over, dries up or is washed out each sitting, in
	// ml of the paint as applied.
	WasteML Default
}

// The films, losses and wastes below are a founder's assumptions of what
// figures take. What follows from them stands beside what painters report
// (common practice, from memory, no source): 18 ml of a one-coat paint as the
// main colour are said to do some 50 to 150 figures of 28 mm, a can of 400 ml of
// primer some 60 to 150. By the tables, for a figure of 9 cm2, half of it, ten at
// a time, the pot does about 170 (91 to 310), all of it by can 180 (76 to 440):
// the ranges reach into the reports, and a painter's own pots decide.
var methods = map[Method]MethodDefault{
	Brush: {Brush, whole,
		bracket{0.60, 0.40, 0.80}.assumed("",
			"small brushes: what stays in the brush and goes into the rinse; "+
				"house painters lose 10 to 15 % (industrial coating handbook)"),
		bracket{0.30, 0.10, 0.90}.assumed("ml", "about six drops left on the palette or dried in it")},
	DryBrush: {DryBrush,
		bracket{0.20, 0.10, 0.30}.assumed("", "dry-brushing catches 10 to 30 % of a surface"),
		bracket{0.12, 0.05, 0.20}.assumed("", "80 to 95 % of the load is wiped off the brush"),
		bracket{0.15, 0.05, 0.45}.assumed("ml", "what dries on the palette")},
	Wash: {Wash, whole,
		bracket{0.70, 0.50, 0.85}.assumed("", "wash or glaze on a figure"),
		bracket{0.30, 0.10, 0.90}.assumed("ml", "about six drops left on the palette or dried in it")},
	Airbrush: {Airbrush, whole,
		bracket{0.25, 0.10, 0.40}.assumed("", "air-atomised 0.25 (40 CFR 60 subparts EE, TTT), "+
			"HVLP 0.65 (Utah R307-343); small parts lie low"),
		bracket{0.60, 0.20, 1.50}.assumed("ml", "cup, needle and flushing")},
	SprayCan: {SprayCan, whole,
		bracket{0.10, 0.05, 0.25}.assumed("", "a can's cone is far wider than a figure; "+
			"many close together catch more"),
		bracket{2.00, 0.80, 5.00}.assumed("ml", "first puff, passing over, and clearing the nozzle")},
	Stick: {Stick, whole, counted, noWaste},
	Piece: {Piece, whole, counted, noWaste},
}

// Varnish by brush flows further, and more of it is poured out.
var varnishBrush = MethodDefault{Brush, whole,
	bracket{0.65, 0.45, 0.80}.assumed("", "varnish flows off a brush more readily than paint"),
	bracket{0.40, 0.10, 1.20}.assumed("ml", "what is poured out for a sitting is seldom poured back")}

var (
	whole   = exactly(1, "", Given, "the whole region")
	counted = exactly(1, "", Practice, "no volume")
	noWaste = exactly(0, "ml", Practice, "no volume")
)

// Methods lists the methods in alphabetical order.
func Methods() []Method {
	ms := make([]Method, 0, len(methods))
	for m := range methods {
		ms = append(ms, m)
	}
	sort.Slice(ms, func(i, j int) bool { return ms[i] < ms[j] })
	return ms
}

// Counted reports whether what a method puts on is counted and has no volume.
func (m Method) Counted() bool { return m == Stick || m == Piece }

// MethodDefaults gives the row of a method; an unknown one is an error.
func MethodDefaults(m Method) (MethodDefault, error) {
	d, ok := methods[m]
	if !ok {
		return MethodDefault{}, &UnknownError{"method", string(m),
			"airbrush, brush, dry-brush, pencil, piece, spray or wash"}
	}
	return d, nil
}

// KindDefault is what is assumed of a kind of paint where the pot's maker says
// nothing. All are assumptions bracketed by published data sheets of
// waterborne acrylics (volume solids 23 to 33 %, density 1.0 to 1.28).
type KindDefault struct {
	Kind    Kind
	WetUM   Default // wet film of one brushed coat, in um, as applied
	Solids  Default // volume solids, fraction
	Density Default // g/ml
	Usual   Method
}

var kinds = map[Kind]KindDefault{
	Primer: kind(Primer, Brush, bracket{55, 30, 95}, bracket{0.35, 0.30, 0.40}, bracket{1.30, 1.20, 1.40}),
	DryPaint: kind(DryPaint, DryBrush,
		bracket{17, 10, 27}, bracket{0.30, 0.25, 0.35}, bracket{1.25, 1.15, 1.35}),
	OneCoat:   kind(OneCoat, Brush, bracket{90, 50, 160}, bracket{0.12, 0.08, 0.20}, bracket{1.06, 1.00, 1.15}),
	Base:      kind(Base, Brush, bracket{45, 25, 80}, bracket{0.35, 0.25, 0.40}, bracket{1.20, 1.10, 1.30}),
	Layer:     kind(Layer, Brush, bracket{41, 23, 73}, bracket{0.30, 0.25, 0.35}, bracket{1.20, 1.10, 1.30}),
	Shade:     kind(Shade, Wash, bracket{80, 45, 140}, bracket{0.08, 0.05, 0.12}, bracket{1.02, 1.00, 1.05}),
	Glaze:     kind(Glaze, Wash, bracket{46, 25, 85}, bracket{0.08, 0.05, 0.12}, bracket{1.02, 1.00, 1.05}),
	Ink:       kind(Ink, Wash, bracket{57, 32, 100}, bracket{0.12, 0.08, 0.15}, bracket{1.02, 1.00, 1.05}),
	Highlight: kind(Highlight, Brush, bracket{45, 25, 80}, bracket{0.30, 0.25, 0.35}, bracket{1.20, 1.10, 1.30}),
	Metallic:  kind(Metallic, Brush, bracket{49, 27, 87}, bracket{0.30, 0.20, 0.35}, bracket{1.30, 1.20, 1.50}),
	Pigment:   {Kind: Pigment, Usual: Stick},
	Varnish:   kind(Varnish, Brush, bracket{50, 25, 90}, bracket{0.25, 0.20, 0.30}, bracket{1.03, 1.02, 1.04}),
	Medium:    kind(Medium, Brush, bracket{40, 20, 80}, bracket{0.20, 0.01, 0.30}, bracket{1.02, 1.00, 1.05}),
	BaseSand: kind(BaseSand, Brush,
		bracket{500, 300, 900}, bracket{0.60, 0.45, 0.70}, bracket{1.60, 1.30, 1.80}),
}

// bracket is a value and what it lies between.
type bracket struct{ value, low, high float64 }

func (b bracket) assumed(unit, note string) Default {
	return Default{Value: b.value, Low: b.low, High: b.high, Unit: unit, Origin: Assumption, Source: note}
}

// exactly is a value without a range.
func exactly(v float64, unit string, origin Origin, source string) Default {
	return Default{Value: v, Low: v, High: v, Unit: unit, Origin: origin, Source: source}
}

// kind is a row of the table: film in um as applied, solids as a fraction, density
// in g/ml.
func kind(k Kind, usual Method, film, solids, density bracket) KindDefault {
	note := "hobby acrylics, bracketed by data sheets of waterborne acrylics"
	if k == BaseSand {
		note = "paste with sand or grit in an acrylic binder; no data sheet was found"
	}
	return KindDefault{
		Kind:    k,
		Usual:   usual,
		WetUM:   film.assumed("um", "one coat on a figure, thinned as it is applied"),
		Solids:  solids.assumed("", note),
		Density: density.assumed("g/ml", note),
	}
}

// Kinds lists the kinds of paint in alphabetical order.
func Kinds() []Kind {
	ks := make([]Kind, 0, len(kinds))
	for k := range kinds {
		ks = append(ks, k)
	}
	sort.Slice(ks, func(i, j int) bool { return ks[i] < ks[j] })
	return ks
}

// KindDefaults gives the row of a kind of paint; an unknown one is an error.
func KindDefaults(k Kind) (KindDefault, error) {
	d, ok := kinds[k]
	if !ok {
		return KindDefault{}, &UnknownError{"kind of paint", string(k),
			"primer, dry-brush, one-coat, base, layer, wash, glaze, ink, highlight, " +
				"metallic, pigment, varnish, medium or texture"}
	}
	return d, nil
}

// Wet films of the methods by which nobody sees one, in um of paint as it comes
// at the volume solids beside each. Of a paint with fewer solids the same dry
// film takes more (WFT = DFT / VS).
var (
	airbrushWet = bracket{30, 15, 60}.assumed("um", "one coat of an airbrush, 10 um dry")
	canWet      = bracket{125, 70, 220}.assumed("um", "one coat of an aerosol primer, 15 um dry")
	dryBrushWet = bracket{17, 10, 27}.assumed("um", "where a dry brush touched, 5 um dry")
	canSolids   = bracket{0.12, 0.08, 0.20}.assumed("", "volume solids of an aerosol's paint")
)

// methodFilm is the wet film of a method by which nobody sees one, and the
// volume solids it is of; usual solids of 0 are the kind's.
type methodFilm struct {
	wet       *Default
	at, usual float64
}

var methodFilms = map[Method]methodFilm{
	SprayCan: {&canWet, 0.12, canSolids.Value},
	Airbrush: {&airbrushWet, 0.35, 0},
	DryBrush: {&dryBrushWet, 0.30, 0},
}

// Film is the wet film of one coat in um, for a kind of paint put on by a
// method. Brush and wash have a wet film by kind, of the paint as it is applied.
// Those of airbrush, spray can and dry brush are of paint as it comes: at other
// volume solids the dry film stays (WFT = DFT / VS); thinned, the wet one is 1 + t
// times as thick. Solids (0 to 1) of 0 takes the kind's, or an
// aerosol's for a can. What is counted has no film. Unknown words are
// errors.
func (t Tables) Film(m Method, k Kind, solids float64) (Quantity, error) {
	kd, err := KindDefaults(k)
	if err != nil {
		return Quantity{}, err
	}
	if _, err := MethodDefaults(m); err != nil {
		return Quantity{}, err
	}
	if err := within("volume solids", solids, 0, 1, ""); err != nil {
		return Quantity{}, err
	}
	if m.Counted() || k == Pigment {
		return Quantity{Name: "film", Unit: "um", Origin: Practice, Source: "no volume"}, nil
	}
	d, ok := methodFilms[m]
	if !ok {
		return t.of(filmOf+string(k), kd.WetUM).Quantity("wet film"), nil
	}
	wet, usual := t.of(filmOf+string(m), *d.wet), d.usual
	if usual == 0 {
		usual = kd.Solids.Value
	}
	if solids > 0 {
		usual = solids
	}
	if f := d.at / usual; f != 1 {
		wet.Value, wet.Low, wet.High = wet.Value*f, wet.Low*f, wet.High*f
		wet.Source += ", at the paint's volume solids"
	}
	return wet.Quantity("wet film"), nil
}
