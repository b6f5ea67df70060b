package painting

import (
	"math"
	"time"

	"halfpot/inventory"
	"halfpot/inventory/coverage"
	"halfpot/inventory/estimate"
)

// DropUL is what a dropper bottle gives a drop where the painter has not said:
// 20 drops a millilitre, as in any pharmacopoeia's table for water (from memory);
// paint and bottle change it, so it is an assumption.
const DropUL = 50

// Pour is how much of one paint to put out.
type Pour struct {
	Paint  string // paint id; "": water
	Parts  float64
	Amount inventory.Volume
	Drops  int // 0: not by the drop (a can, a pencil)
}

// Card is the sheet of one batch: what to do in which order. It goes onto a page.
type Card struct {
	Batch    *Batch
	Force    string
	Lines    []CardLine
	Findings []Finding
	Spray    bool
	Solvent  bool
	Dust     bool
	Minutes  float64 // hands on, laying out included
}

// Follow is a later step and how long it waits.
type Follow struct {
	Next  *Assignment
	Wait  time.Duration
	Ready time.Time // zero: not laid out over evenings
}

// CardLine is a step on a card.
type CardLine struct {
	Work    *Assignment
	Pours   []Pour
	Minutes float64   // hands on
	Then    []Follow  // what waits for it: the next step on the same regions, and any that waits longer
	Start   time.Time // where it is laid out over evenings; zero: not
	Opens   bool
	Method  inventory.Method
	Soon    *Assignment // the step that must be begun within Step.NextWithin; nil: none
	Handful int         // figures at a time for that; 0: all
}

// Card makes the sheet of a batch. Drop is the size of a drop, ul.
func (b *Bench) Card(e *estimate.Estimator, bt *Batch, drop float64) (Card, error) {
	c := Card{Batch: bt, Force: b.Force.ID}
	for i := range bt.Tasks {
		l, err := b.line(e, bt, i, drop)
		if err != nil {
			return c, err
		}
		c.Minutes += l.Minutes + bt.Tasks[i].Setup
		c.Lines = append(c.Lines, l)
		c.warn(b.Index, &bt.Tasks[i])
	}
	c.Findings = b.findings(bt, nil)
	return c, nil
}

// findings are the recipe's, of the steps of a card that are in only (nil: all).
func (b *Bench) findings(bt *Batch, only map[string]bool) []Finding {
	var out []Finding
	left := map[string]bool{}
	for i := range bt.Tasks {
		left[bt.Tasks[i].Step.ID] = true
	}
	for _, f := range Check(b.recipes[bt.Unit.ID], b.Index.Figures[bt.Unit.Figure], b.Index) {
		if f.Severity != Mention && !f.Without && left[f.Step] &&
			(only == nil || only[f.Step] || only[f.After]) {
			out = append(out, f)
		}
	}
	return out
}

// EveningCards are the sheets of one evening, batch by batch in the order they
// are first taken up.
func (s *Schedule) EveningCards(e *estimate.Estimator, ev Evening, drop float64) ([]Card, error) {
	var out []Card
	at := map[*Batch]int{}
	for _, l := range ev.Lines {
		i, known := at[l.Batch]
		if !known {
			i = len(out)
			at[l.Batch] = i
			out = append(out, Card{Batch: l.Batch, Force: s.Bench.Force.ID})
		}
		for j := range l.Batch.Tasks {
			if &l.Batch.Tasks[j] != l.Work {
				continue
			}
			line, err := s.Bench.line(e, l.Batch, j, drop)
			if err != nil {
				return nil, err
			}
			line.Start, line.Opens = l.Start, l.Opens
			for k := range line.Then {
				line.Then[k].Ready = l.End.Add(line.Then[k].Wait)
			}
			out[i].Lines = append(out[i].Lines, line)
			out[i].Minutes += line.Minutes
			if l.Opens {
				out[i].Minutes += l.Work.Setup
			}
			out[i].warn(s.Bench.Index, l.Work)
		}
	}
	for i := range out {
		only := map[string]bool{}
		for _, l := range out[i].Lines {
			only[l.Work.Step.ID] = true
		}
		out[i].Findings = s.Bench.findings(out[i].Batch, only)
	}
	return out, nil
}

func (c *Card) warn(idx *inventory.Index, a *Assignment) {
	c.Spray = c.Spray || a.pass.method == coverage.SprayCan || a.pass.method == coverage.Airbrush
	c.Dust = c.Dust || a.pass.typ == inventory.PigmentType
	for _, p := range a.Mix {
		if paint := idx.Paints[p.Paint]; paint != nil {
			c.Solvent = c.Solvent || paint.Carrier == inventory.Solvent
		}
	}
}

func (b *Bench) line(e *estimate.Estimator, bt *Batch, i int, drop float64) (CardLine, error) {
	a := &bt.Tasks[i]
	l := CardLine{Work: a, Minutes: a.Minutes(bt.Figures), Method: a.pass.method}
	for _, v := range visits(bt.Tasks, bt.Figures) {
		if i < v.from || i >= v.to || v.to-v.from < 2 {
			continue
		}
		if v.handful < bt.Figures {
			l.Handful = v.handful
		}
		if i+1 < v.to {
			l.Soon = &bt.Tasks[i+1]
		}
	}
	var most time.Duration
	for j := i + 1; j < len(bt.Tasks); j++ {
		c := &bt.Tasks[j]
		if !binds(&a.pass, &c.pass) || c == l.Soon {
			continue
		}
		if w := wet(&a.pass, &c.pass, passesBetween(bt.Tasks, a.Number, c.Number)); w > most {
			l.Then = append(l.Then, Follow{Next: c, Wait: w})
			most = w
		}
	}
	var err error
	l.Pours, err = b.pours(e, bt, a, drop)
	return l, err
}

// pours is what to put out, at the estimate's median. Drops keep the parts of a
// mix: as many whole rounds of the parts as it takes.
func (b *Bench) pours(e *estimate.Estimator, bt *Batch, a *Assignment, drop float64) ([]Pour, error) {
	if len(a.Mix) == 0 {
		return nil, nil
	}
	sum, err := e.Sum(bt.Unit, a.Step, a.Mix, a.Thinning, bt.Figures)
	if err != nil {
		return nil, err
	}
	var out []Pour
	for _, p := range a.Mix {
		out = append(out, Pour{Paint: p.Paint, Parts: p.Parts})
	}
	total := a.Mix.Total()
	if t := a.Thinning; t != nil {
		out = append(out, Pour{Paint: t.Medium, Parts: total * t.MediumParts / t.PaintParts})
		total += total * t.MediumParts / t.PaintParts
	}
	total *= wholeParts(out)
	least := math.Inf(1)
	for i := range out {
		out[i].Amount = inventory.VolumeOfML(sum.Applied.Median * out[i].Parts / total)
		least = min(least, out[i].Parts)
	}
	if drop <= 0 || a.pass.typ.Counted() || a.pass.typ == inventory.Texture ||
		a.pass.method == coverage.SprayCan {
		return out, nil
	}
	rounds := sum.Applied.Median * 1000 / drop / total
	if scaled := rounds * least; scaled < 1 { // at least a drop of the smallest part
		rounds = 1 / least
	} else if len(out) > 1 {
		rounds = math.Ceil(scaled-0.25) / least
	}
	for i := range out {
		out[i].Drops = max(1, int(math.Ceil(rounds*out[i].Parts-1e-9)))
	}
	return out, nil
}

// wholeParts turns parts such as 1 to 0.5 into whole ones where a factor up to
// twelve does it, and gives the factor.
func wholeParts(pours []Pour) float64 {
	for k := 1.0; k <= 12; k++ {
		whole := true
		for _, p := range pours {
			whole = whole && math.Abs(p.Parts*k-math.Round(p.Parts*k)) < 1e-6
		}
		if !whole {
			continue
		}
		for i := range pours {
			pours[i].Parts = math.Round(pours[i].Parts * k)
		}
		return k
	}
	return 1
}
