package likeness

import (
	"cmp"
	"math"
	"slices"

	"halfpot/inventory"
	"halfpot/inventory/colour"
)

// Ask is which paints and mixes come near a paint.
type Ask struct {
	Paint      *inventory.Paint
	Candidates []*inventory.Paint // to choose from; the paint itself is left out
	Over       *inventory.Colour  // undercoat below translucent paints, nil: not told
	Within     float64            // the largest difference shown, above 0; judged stand-ins are always shown
	MixOf      int                // the most paints in a mix, 1 (no mixes) to 3
	Stop       func() bool        // ends the search for mixes early; nil: never
}

// Near is the answer.
type Near struct {
	Paint    *inventory.Paint
	Colour   colour.SRGB // as it is compared
	Twins    []Twin      // nearest first
	Made     []Mix       // trial mixes that came near, as seen, nearest first
	Mixes    []Mix       // fewest paints first, each nearer than the one before and than any single paint
	MixesOff float64     // where the search for mixes was stopped: no unseen mix lies nearer than this
	Stopped  bool
	Untold   []Untold // candidates of the same kin that can't be compared
}

// Twin is a paint that may stand in.
type Twin struct {
	Paint      *inventory.Paint
	Difference float64 // CIEDE2000; NaN where only judged
	Points     int     // the painter's own where judged, else from the difference
	Judged     bool
	Note       string // the painter's
}

// Mix is a mix by parts that may stand in.
type Mix struct {
	Of         []*inventory.Paint
	Parts      []int
	Colour     colour.SRGB
	Difference float64 // predicted CIEDE2000
	Error      float64 // most such mixes lie nearer to the prediction than this
	Learned    bool    // the strength of one of its paints at least comes from trial mixes
	Made       bool    // the painter made it: the colour is what was seen
}

// key is the mix by its paints and parts, see [inventory.Mix.Key].
func (m *Mix) key() string {
	return Substitute{Of: m.Of, Parts: m.Parts}.Mix().Lowest().Key()
}

// maxParts is how many parts a mix has at most: more can't be counted out in drops
// of a small palette. Common practice, no source.
const maxParts = 6

// Find answers an ask. The error is an *Untold where the paint itself can't be compared.
func (c *Palette) Find(a Ask) (*Near, error) {
	judged := judgedFor(a.Paint.ID, c.standIns)
	want, err := c.shadeOf(a.Paint, a.Over)
	if err != nil && len(judged) == 0 {
		return nil, err
	}
	told := err == nil
	n := &Near{Paint: a.Paint, Colour: want.lab.XYZ().SRGB()}
	var pool []shade
	for _, p := range a.Candidates {
		if p.ID == a.Paint.ID {
			continue
		}
		j, isJudged := judged[p.ID]
		t := Twin{Paint: p, Difference: math.NaN(), Judged: isJudged, Points: j.Compromise, Note: j.Note}
		if told && p.Type.Kin() == want.kin {
			s, err := c.shadeOf(p, a.Over)
			if err != nil {
				if !isJudged {
					n.Untold = append(n.Untold, *err.(*Untold))
					continue
				}
			} else {
				pool = append(pool, s)
				t.Difference = colour.DeltaE(s.lab, want.lab)
				if !isJudged {
					t.Points = Points(t.Difference)
				}
			}
		}
		if isJudged || t.Difference <= a.Within {
			n.Twins = append(n.Twins, t)
		}
	}
	slices.SortStableFunc(n.Twins, func(x, y Twin) int {
		if c := cmp.Compare(x.Points, y.Points); c != 0 {
			return c
		}
		return cmp.Or(cmp.Compare(x.Difference, y.Difference), cmp.Compare(x.Paint.ID, y.Paint.ID))
	})
	if told && a.MixOf > 1 && mixable(want.kin) {
		n.Made = c.tried(c.masstone(a.Paint), pool, a.Within)
		c.mix(n, a, want, pool)
	}
	return n, nil
}

// judgedFor are the stand-ins that the painter has named for a paint.
func judgedFor(paint string, standIns []inventory.StandIn) map[string]inventory.Substitute {
	out := map[string]inventory.Substitute{}
	for _, j := range inventory.StandInsFor(paint, standIns) {
		if j.By != "" {
			j.Note = "by way of " + j.By
		}
		out[j.Use] = j
	}
	return out
}

func (c *Palette) mix(n *Near, a Ask, want shade, pool []shade) {
	ingredients := make([]colour.Ingredient, len(pool))
	for i := range pool {
		var err error
		if ingredients[i], err = c.ingredient(pool[i].paint); err != nil {
			n.Untold = append(n.Untold, Untold{pool[i].paint.ID, err.Error()})
			return
		}
	}
	search := colour.MixSearch{
		MaxPaints: a.MixOf,
		MaxParts:  maxParts,
		Within:    a.Within,
		Gain:      0.5,
		Enough:    1,
		Stop:      a.Stop,
	}
	found := search.Nearest(c.masstone(a.Paint), ingredients)
	n.Stopped = found.Stopped
	for k := range found.Best {
		b := &found.Best[k]
		if len(b.Of) == 1 {
			continue // a twin
		}
		m := Mix{Parts: b.Parts, Difference: b.Difference, Colour: b.Spectrum.XYZ().SRGB()}
		var as []colour.Ingredient
		for _, of := range b.Of {
			m.Of, as = append(m.Of, pool[of].paint), append(as, ingredients[of])
		}
		m.Error = c.mixError(m.Of, as)
		for _, p := range m.Of {
			m.Learned = m.Learned || c.Learned(p.ID)
		}
		if !slices.ContainsFunc(n.Made, func(o Mix) bool { return o.key() == m.key() }) {
			n.Mixes = append(n.Mixes, m)
		}
	}
	if found.Stopped {
		n.MixesOff = math.Inf(1)
		for _, p := range found.Proven[1:a.MixOf] {
			n.MixesOff = math.Min(n.MixesOff, p)
		}
	}
}
