package coverage

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// Tables are the defaults of films, losses, waste and covers, changed where the
// painter knows better. The zero value changes nothing.
type Tables struct {
	set map[string]Default
}

// entry is a default that the painter may change, by its name.
type entry struct {
	name string
	Default
	most float64 // the highest value that makes sense
}

// Names of the defaults: a word for what it is, then the method or the kind of
// paint it is of.
const (
	filmOf  = "film "
	reachOf = "reach "
	wasteOf = "waste "
	coverOf = "cover "
)

// entries are all defaults that may be changed, in the order in which they are
// shown.
func entries() []entry {
	var films, reaches, wastes []entry
	for _, k := range Kinds() {
		if d := kinds[k]; d.WetUM.Value > 0 && d.Usual != DryBrush {
			films = append(films, entry{filmOf + string(k), d.WetUM, MaxFilmUM})
		}
	}
	for _, m := range Methods() {
		if m.Counted() {
			continue
		}
		if d, ok := methodFilms[m]; ok {
			films = append(films, entry{filmOf + string(m), *d.wet, MaxFilmUM})
		}
		reaches = append(reaches, entry{reachOf + string(m), methods[m].Efficiency, 1})
		wastes = append(wastes, entry{wasteOf + string(m), methods[m].WasteML, 100})
	}
	reaches = append(reaches, entry{reachOf + string(Varnish), varnishBrush.Efficiency, 1})
	wastes = append(wastes, entry{wasteOf + string(Varnish), varnishBrush.WasteML, 100})
	covers := []entry{
		{coverOf + string(DryBrush), methods[DryBrush].Cover, 1},
		{coverOf + "edges", EdgeCover, 1},
	}
	return slices.Concat(films, reaches, wastes, covers)
}

// TableNames are the names of the defaults that [Tables.With] changes.
func TableNames() []string {
	var out []string
	for _, e := range entries() {
		out = append(out, e.name)
	}
	return out
}

// With is the tables with one default changed. Low and high are its range, the
// central 90 %; both 0 keep how wide the default's own is. A name that is none
// is an UnknownError, a value that can't be a RangeError.
func (t Tables) With(name string, value, low, high float64) (Tables, error) {
	for _, e := range entries() {
		if e.name != name {
			continue
		}
		if err := aboveZero(name, value, e.most, e.Unit); err != nil {
			return t, err
		}
		if low == 0 && high == 0 {
			low, high = short(value*e.Low/e.Value), math.Min(e.most, short(value*e.High/e.Value))
		}
		if err := firstError(aboveZero("the low end of "+name, low, value, e.Unit),
			within("the high end of "+name, high, value, e.most, e.Unit)); err != nil {
			return t, err
		}
		out := Tables{map[string]Default{}}
		for n, d := range t.set {
			out.set[n] = d
		}
		was := fmt.Sprintf("%g (%g to %g), %s", e.Value, e.Low, e.High, e.Origin)
		out.set[name] = Default{value, low, high, e.Unit, Given, "set by you; before: " + was}
		return out, nil
	}
	return t, &UnknownError{"default", name, strings.Join(TableNames(), ", ")}
}

// short is a number in four digits, so that scaling leaves no crumbs.
func short(v float64) float64 {
	unit := math.Pow(10, 3-math.Floor(math.Log10(v)))
	return math.Round(v*unit) / unit
}

// Factors lists all defaults that may be changed, as they are in force.
func (t Tables) Factors() []Quantity {
	var out []Quantity
	for _, e := range entries() {
		out = append(out, t.of(e.name, e.Default).Quantity(e.name))
	}
	return out
}

// Changed reports whether the painter has set a default.
func (t Tables) Changed(name string) bool { _, ok := t.set[name]; return ok }

func (t Tables) of(name string, d Default) Default {
	if mine, ok := t.set[name]; ok {
		return mine
	}
	return d
}

// MethodDefaults is the package's, as the painter has set them.
func (t Tables) MethodDefaults(m Method) (MethodDefault, error) {
	d, err := MethodDefaults(m)
	if err == nil {
		d.Efficiency, d.WasteML = t.of(reachOf+string(m), d.Efficiency), t.of(wasteOf+string(m), d.WasteML)
		d.Cover = t.of(coverOf+string(m), d.Cover)
	}
	return d, err
}

// StepDefaults gives the row of a method for a kind of paint, as the painter has
// set it: that of the method, but for varnish by brush. Unknown words are errors.
func (t Tables) StepDefaults(m Method, k Kind) (MethodDefault, error) {
	if m != Brush || k != Varnish {
		if _, err := KindDefaults(k); err != nil {
			return MethodDefault{}, err
		}
		return t.MethodDefaults(m)
	}
	d := varnishBrush
	d.Efficiency, d.WasteML = t.of(reachOf+string(k), d.Efficiency), t.of(wasteOf+string(k), d.WasteML)
	return d, nil
}

// EdgeCover is the part of a region that an edge or highlight reaches where the
// step does not say.
func (t Tables) EdgeCover() Default { return t.of(coverOf+"edges", EdgeCover) }

// EdgeCover is the default of [Tables.EdgeCover].
var EdgeCover = Default{Value: 0.15, Low: 0.05, High: 0.30, Origin: Assumption,
	Source: "edges and raised folds; base, shade and highlight together sum to 1.3 to 2 times the area"}
