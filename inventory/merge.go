package inventory

import (
	"fmt"
	"slices"
	"time"
)

// Merged says which paints were entered twice: the id that is no more, and the
// paint it really was.
type Merged map[string]string

// Of follows an id to the paint it stands for now.
func (m Merged) Of(paint string) string {
	for range len(m) { // a merge into what was merged later; never round in a circle
		into, gone := m[paint]
		if !gone {
			break
		}
		paint = into
	}
	return paint
}

// Key is a mix's key, see [Mix.Key], with the paints that these stand for now.
func (m Merged) Key(key string) string {
	if len(m) == 0 || key == "" {
		return key
	}
	return m.mix(MixOfKey(key)).Key()
}

func (m Merged) mix(mix Mix) Mix {
	var out Mix
	for _, p := range mix {
		p.Paint = m.Of(p.Paint)
		if i := slices.IndexFunc(out, func(q Part) bool { return q.Paint == p.Paint }); i >= 0 {
			out[i].Parts += p.Parts
			continue
		}
		out = append(out, p)
	}
	return out
}

// Catalogue is c without the paints that are no more, and with what they stand for
// wherever they were named. What comes to be said twice is said once, as it is said
// of the paint that stays. c stays as it was.
func (m Merged) Catalogue(c Catalogue) Catalogue {
	if len(m) == 0 {
		return c
	}
	c.Paints = slices.DeleteFunc(slices.Clone(c.Paints), func(p Paint) bool { return m.Of(p.ID) != p.ID })
	c.StandIns = m.standIns(c.StandIns)
	c.Spectra, c.TrialMixes = m.spectra(c.Spectra), m.trialMixes(c.TrialMixes)
	c.Products = slices.Clone(c.Products)
	for i := range c.Products {
		c.Products[i].Contents = m.contents(c.Products[i].Contents)
	}
	c.Recipes = slices.Clone(c.Recipes)
	for i := range c.Recipes {
		c.Recipes[i].Steps = slices.Clone(c.Recipes[i].Steps)
		for j := range c.Recipes[i].Steps {
			m.step(&c.Recipes[i].Steps[j])
		}
	}
	c.Forces = slices.Clone(c.Forces)
	for i := range c.Forces {
		f := &c.Forces[i]
		f.Units, f.Done = slices.Clone(f.Units), slices.Clone(f.Done)
		for j := range f.Units {
			f.Units[j].Undercoat = m.Of(f.Units[j].Undercoat)
		}
		for j := range f.Done {
			f.Done[j].Mix = m.Key(f.Done[j].Mix)
		}
	}
	return c
}

func (m Merged) standIns(all []StandIn) []StandIn {
	var out []StandIn
	touched := func(s StandIn) bool { return m.Of(s.For) != s.For || m.Of(s.Use) != s.Use }
	add := func(s StandIn) {
		s.For, s.Use = m.Of(s.For), m.Of(s.Use)
		if s.For != s.Use && !slices.ContainsFunc(out, func(o StandIn) bool {
			return o.For == s.For && o.Use == s.Use ||
				(o.EitherWay || s.EitherWay) && o.For == s.Use && o.Use == s.For
		}) {
			out = append(out, s)
		}
	}
	for _, s := range all { // first those that stay: theirs is the word
		if !touched(s) {
			add(s)
		}
	}
	for _, s := range all {
		if touched(s) {
			add(s)
		}
	}
	return out
}

func (m Merged) contents(all []Content) []Content {
	var out []Content
	touched := slices.ContainsFunc(all, func(k Content) bool { return m.Of(k.Paint) != k.Paint })
	for _, k := range all {
		k.Paint = m.Of(k.Paint)
		if i := slices.IndexFunc(out, func(o Content) bool {
			return o.Paint == k.Paint && o.Volume == k.Volume
		}); touched && i >= 0 {
			out[i].Count += k.Count
			continue
		}
		out = append(out, k)
	}
	return out
}

func (m Merged) step(s *Step) {
	thinned := func(t *Thinning) *Thinning {
		if t == nil || t.Medium == "" {
			return t
		}
		u := *t
		u.Medium = m.Of(t.Medium)
		return &u
	}
	s.Mix, s.Thinning = m.mix(s.Mix), thinned(s.Thinning)
	known := []string{s.Mix.Key()}
	var ways []Alternative
	for _, a := range s.Alternatives {
		a.Mix, a.Thinning = m.mix(a.Mix), thinned(a.Thinning)
		if key := a.Mix.Key(); a.Thinning != nil || !slices.Contains(known, key) {
			known = append(known, key)
			ways = append(ways, a)
		}
	}
	s.Alternatives = ways
	var over []CoatsOver
	for _, o := range s.CoatsOver {
		stays := m.Of(o.Undercoat) == o.Undercoat
		o.Undercoat = m.Of(o.Undercoat)
		switch i := slices.IndexFunc(over, func(p CoatsOver) bool { return p.Undercoat == o.Undercoat }); {
		case i < 0:
			over = append(over, o)
		case stays:
			over[i] = o
		}
	}
	s.CoatsOver = over
}

// CheckMerge tells why a paint can't be what was entered a second time as another;
// the error is [Faults].
func (p *Paint) CheckMerge(gone *Paint) error {
	switch {
	case p.ID == gone.ID:
		return Faults{{Path: "paints." + p.ID, Found: "the same id twice", Expected: "two entries of one paint"}}
	case p.Type != gone.Type:
		return Faults{{
			Path:     "paints." + gone.ID,
			Found:    gone.Type.Words(),
			Expected: p.Type.Words() + ", as " + p.ID + ": two entries of one paint are of one type",
		}}
	}
	return nil
}

// MergePots says what it brings about that one pot was entered twice: all that
// was noted of the entry that goes is noted of the one that stays, but how it came,
// and taken back there, so that it never came. The pot given back is the one that
// stays, with what only the other said of it. Other paints or sizes, or a pot that
// came with an order as well as another, are [Faults].
func MergePots(gone, stays Pot, at time.Time, note string) (Pot, []PotChange, error) {
	var faults Faults
	add := func(found, expected string) {
		faults = append(faults, Fault{Path: "pots." + gone.ID, Found: found, Expected: expected})
	}
	if gone.ID == stays.ID {
		add("the same id twice", "two entries of one pot")
	}
	if gone.Paint != stays.Paint {
		add("a pot of "+gone.Paint, fmt.Sprintf("one of %s, as %s: where the paint was entered twice, "+
			"merge that first", stays.Paint, stays.ID))
	}
	if gone.Nominal != stays.Nominal {
		add(fmt.Sprintf("a pot of %s", gone.Nominal), fmt.Sprintf("one of %s, as %s", stays.Nominal, stays.ID))
	}
	if gone.NeverCame() {
		add("an entry taken back already", "a pot on the shelf")
	}
	if stays.NeverCame() {
		add("to be merged into "+stays.ID+", which was taken back", "a pot on the shelf")
	}
	if len(faults) > 0 {
		return stays, nil, faults
	}
	opened := slices.ContainsFunc(stays.Standing(), func(e PotEvent) bool { return e.Kind == Opened })
	var changes []PotChange
	for _, e := range gone.Standing() {
		if e.Kind != Bought && !(e.Kind == Opened && opened) {
			moved := e
			moved.ID, moved.Key = 0, [16]byte{}
			changes = append(changes, PotChange{stays.ID, moved})
		}
	}
	for _, e := range gone.Standing() {
		changes = append(changes, PotChange{
			gone.ID,
			PotEvent{Kind: Corrected, At: at, Undoes: e.ID, Note: note},
		})
	}
	if stays.Place == "" {
		stays.Place = gone.Place
	}
	if stays.Product == "" {
		stays.Product = gone.Product
	}
	if stays.Cost == nil {
		stays.Cost = gone.Cost
	}
	if stays.TareGrams == 0 {
		stays.TareGrams = gone.TareGrams
	}
	if stays.Opened == nil {
		stays.Opened, stays.OpenedDay = gone.Opened, gone.OpenedDay
	}
	return stays, changes, nil
}
