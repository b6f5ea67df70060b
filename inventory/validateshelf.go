package inventory

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/google/uuid"
)

// ClockSkew is how far the clock that dated an event may be ahead of this one:
// another computer's, or this one's before it was put right. What lies further in
// the future is refused.
const ClockSkew = 5 * time.Minute

// Validate returns everything that is wrong with the shelf, given the
// catalogue's index and the time now. Events with a key have been kept before:
// when they happened is then no longer held against them, since the clock may
// have run fast.
func (s *Shelf) Validate(idx *Index, now time.Time) Faults {
	k := &checker{cat: &Catalogue{}, idx: idx}
	paths := k.ids("pots", len(s.Pots), func(i int) string { return s.Pots[i].ID })
	for i := range s.Pots {
		p := &s.Pots[i]
		paint, _ := ref(k, paths[i]+".paint", "paint", p.Paint, idx.Paints)
		if p.Product != "" {
			ref(k, paths[i]+".product", "product", p.Product, idx.Products)
		}
		k.pot(paths[i]+".size", p.Nominal, paint)
		if !(p.TareGrams >= 0 && p.TareGrams < 1e5) {
			k.add(paths[i]+".tare", fmt.Sprintf("%g g", p.TareGrams), "0 (not known) or more grams")
		}
		if p.Cost != nil {
			if _, err := p.Cost.Minor(); err != nil || p.Cost.Amount.IsNegative() {
				k.add(paths[i]+".cost", p.Cost.String(), "a price of 0 or more, like 3.20 EUR")
			}
		}
		k.text(paths[i]+".place", p.Place)
		if p.Opened != nil && !p.kept() {
			k.when(paths[i]+".opened", *p.Opened, p.OpenedDay, now)
		}
		for j := range p.Events {
			k.event(fmt.Sprintf("%s.events.%d", paths[i], j+1), p, j, paint, now)
		}
	}
	return k.faults
}

// Record gives the pot with one more event, settled, or the faults that forbid
// it. The pot itself stays as it was.
func (p Pot) Record(e PotEvent, idx *Index, now time.Time) (Pot, error) {
	e = p.Settled(e)
	p.Events = append(slices.Clip(p.Events), e)
	k := &checker{cat: &Catalogue{}, idx: idx}
	paint, _ := ref(k, "pots."+p.ID+".paint", "paint", p.Paint, idx.Paints)
	k.event("pots."+p.ID+"."+string(e.Kind), &p, len(p.Events)-1, paint, now)
	return p, k.faults.Err()
}

// when reports a time in which nothing can have happened.
func (k *checker) when(at string, t time.Time, dayOnly bool, now time.Time) {
	switch {
	case ahead(t, dayOnly, now):
		k.add(at, whenWords(t, dayOnly), "a time that is not in the future ("+now.Format("2006-01-02 15:04")+")")
	case t.Year() < MinYear:
		k.add(at, whenWords(t, dayOnly), fmt.Sprintf("a day since %d", MinYear))
	}
}

// CheckWhen gives the fault of a time in which nothing can have happened.
func CheckWhen(t time.Time, dayOnly bool, now time.Time) error {
	k := &checker{}
	k.when("at", t, dayOnly, now)
	return k.faults.Err()
}

func whenWords(t time.Time, dayOnly bool) string {
	if dayOnly {
		return t.Format(time.DateOnly)
	}
	return t.Format("2006-01-02 15:04")
}

func (k *checker) event(at string, p *Pot, j int, paint *Paint, now time.Time) {
	e := p.Events[j]
	if !slices.Contains(EventKinds(), e.Kind) {
		k.add(at+".kind", Quoted(string(e.Kind)), "one of "+eventKindWords())
		return
	}
	if e.At.IsZero() {
		k.add(at+".at", "nothing", "when it happened")
	} else if e.Key == uuid.Nil {
		k.when(at+".at", e.At, e.DayOnly, now)
		if came, ok := p.Came(); ok && !p.counts(&e, &came) {
			k.add(at+".at", whenWords(e.At, e.DayOnly),
				"a day on which the pot was there: it came on "+came.At.Format(time.DateOnly))
		}
	}
	k.text(at+".note", e.Note)
	if e.Kind == Corrected {
		k.correction(at, p, j)
	} else if e.Undoes != 0 {
		k.add(at+".undoes", strconv.FormatInt(e.Undoes, 10), "nothing: only a correction undoes an event")
	}
	k.measure(at, p, e, paint)
}

// measure reports an event that lacks the measure its kind needs, or has one
// too many.
func (k *checker) measure(at string, p *Pot, e PotEvent, paint *Paint) {
	measures := 0
	if e.Volume != nil {
		measures++
		if *e.Volume < 0 || *e.Volume > MaxPot {
			k.add(at+".volume", e.Volume.String(), fmt.Sprintf("0 to %s", MaxPot))
		} else if e.Kind != Used && *e.Volume > p.Nominal*3/2 {
			k.add(at+".volume", e.Volume.String(), fmt.Sprintf("no more than fits a pot of %s", p.Nominal))
		}
	}
	if e.Fraction != nil {
		measures++
		k.between(at+".fraction", *e.Fraction, 0, 1, "")
	}
	if e.GrossGrams != 0 {
		measures++
		tare := e.TareGrams
		if tare == 0 {
			tare = p.emptyGrams()
		}
		if !(e.GrossGrams > 0 && e.GrossGrams < 1e5) {
			k.add(at+".gross", fmt.Sprintf("%g g", e.GrossGrams), "the mass of the pot in grams")
		} else if e.GrossGrams < tare {
			k.add(at+".gross", fmt.Sprintf("%g g", e.GrossGrams),
				fmt.Sprintf("at least the empty pot's %g g", tare))
		}
	}
	if !(e.TareGrams >= 0 && e.TareGrams < 1e5) {
		k.add(at+".tare", fmt.Sprintf("%g g", e.TareGrams), "0 (not known) or more grams")
	}
	switch e.Kind {
	case Judged, Spilled:
		if measures != 1 || e.GrossGrams != 0 {
			k.add(at, fmt.Sprintf("%d measures", measures), "one: a volume, or a fraction of the pot")
		}
	case Used:
		if measures != 1 || e.Volume == nil {
			k.add(at, fmt.Sprintf("%d measures", measures), "one: the volume used")
		}
	case Weighed:
		if measures != 1 || e.GrossGrams == 0 {
			k.add(at, fmt.Sprintf("%d measures", measures), "one: the grams of the whole pot")
		}
		k.liquid(at, "weighing of ", paint)
	case Thinned:
		if measures > 1 || (measures == 1 && e.Volume == nil) {
			k.add(at, fmt.Sprintf("%d measures", measures),
				"none (back to its strength), or the volume of water")
		}
		k.liquid(at, "thinning of ", paint)
	case Bought:
		if measures > 1 || e.GrossGrams != 0 {
			k.add(at, fmt.Sprintf("%d measures", measures), "none (a full pot), a volume or a fraction")
		}
	default:
		if measures != 0 {
			k.add(at, fmt.Sprintf("%d measures", measures), "none")
		}
	}
}

// liquid reports what can't be done to pencils, pigments and spray cans.
func (k *checker) liquid(at, what string, paint *Paint) {
	if paint != nil && (paint.Type.Counted() || paint.Type.Aerosol()) {
		k.add(at, "a "+what+paint.Type.Words(), "a pot of liquid paint")
	}
}

func eventKindWords() string {
	var words []string
	for _, k := range EventKinds() {
		words = append(words, string(k))
	}
	return strings.Join(words, ", ")
}

// emptyGrams is what the empty pot weighs, as given with it or with a weighing
// that stands; 0: nobody said.
func (p *Pot) emptyGrams() float64 {
	if p.TareGrams > 0 {
		return p.TareGrams
	}
	for _, e := range slices.Backward(p.Standing()) {
		if e.Kind == Weighed && e.TareGrams > 0 {
			return e.TareGrams
		}
	}
	return 0
}

// correction reports one that points at nothing, at itself or later, or at
// what is undone already.
func (k *checker) correction(at string, p *Pot, j int) {
	e := p.Events[j]
	i := slices.IndexFunc(p.Events[:j], func(o PotEvent) bool { return o.ID == e.Undoes && e.Undoes != 0 })
	if i < 0 {
		k.add(at+".undoes", strconv.FormatInt(e.Undoes, 10), "the number of an earlier event of this pot")
		return
	}
	standing := map[int64]bool{}
	before := Pot{Events: p.Events[:j]}
	for _, s := range before.Standing() {
		standing[s.ID] = true
	}
	if o := p.Events[i]; o.Kind != Corrected && !standing[o.ID] {
		k.add(at+".undoes", strconv.FormatInt(e.Undoes, 10), "an event that has not been undone already")
	}
}
