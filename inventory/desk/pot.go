package desk

import (
	"slices"

	"halfpot/inventory"
	"halfpot/inventory/estimate"
	"halfpot/inventory/shelf"
)

// Pot is a pot with what is left in it.
type Pot struct {
	inventory.Pot
	Level shelf.Level
}

// Pots lists every pot, in the shelf's order.
func (d *Desk) Pots() []Pot {
	out := make([]Pot, len(d.Levels))
	for i, l := range d.Levels {
		out[i] = Pot{d.Shelf.Pots[i], l}
	}
	return out
}

// PotsOf lists the pots of one paint.
func (d *Desk) PotsOf(paint string) []Pot {
	return slices.DeleteFunc(d.Pots(), func(p Pot) bool { return p.Paint != paint })
}

// Level is what is left in a pot of the shelf or a new one, events that were
// noted since the desk was opened included.
func (d *Desk) Level(pot inventory.Pot) shelf.Level {
	return d.book.Level(&pot, present([]inventory.Pot{pot}, d.options.Now()))
}

// Noted is what is left in pots of the shelf once what was noted of them since has
// taught the hand too: what the next desk will say.
func (d *Desk) Noted(pots []inventory.Pot) ([]shelf.Level, error) {
	s := inventory.Shelf{Pots: slices.Clone(d.Shelf.Pots)}
	for _, p := range pots {
		if i := slices.IndexFunc(s.Pots, func(q inventory.Pot) bool { return q.ID == p.ID }); i >= 0 {
			s.Pots[i] = p
		}
	}
	at := present(s.Pots, d.options.Now())
	book, err := d.learn(&s, at)
	if err != nil {
		return nil, err
	}
	out := make([]shelf.Level, len(pots))
	for i := range pots {
		out[i] = book.Level(&pots[i], at)
	}
	return out, nil
}

// Stock is what the shelf has of each paint with a chance of being there.
func (d *Desk) Stock(confidence float64) inventory.Stock {
	return shelf.StockOf(d.Levels, confidence)
}

// Paint is what all pots of a paint together still give, false where that is
// nothing.
func (d *Desk) Paint(id string) (shelf.Level, bool) {
	l, ok := shelf.PaintLevels(d.Levels)[id]
	return l, ok && l.Left() > 0
}

// NewPot is a new pot of a paint in the smallest size sold, false where no
// product holds it.
func (d *Desk) NewPot(paint string) (shelf.Level, bool) {
	var size inventory.Volume
	for _, p := range d.Catalogue.Products {
		for _, k := range p.Contents {
			if k.Paint == paint && (size == 0 || k.Volume < size) {
				size = k.Volume
			}
		}
	}
	return d.book.NewPot(paint, size), size > 0
}

// Drawn is what a job took from one pot.
type Drawn struct {
	Pot   Pot // as it is after the job
	Taken inventory.Volume
}

// Drawn sums up by pot what was drawn, and says what is left after it.
func (d *Desk) Drawn(draws []estimate.Draw) []Drawn {
	var out []Drawn
	at := map[string]int{}
	for _, x := range draws {
		i, seen := at[x.Pot]
		if !seen {
			i = len(out)
			at[x.Pot] = i
			pot, _ := d.Shelf.Pot(x.Pot)
			pot.Events = slices.Clip(pot.Events)
			out = append(out, Drawn{Pot: Pot{Pot: pot}})
		}
		out[i].Pot.Events = append(out[i].Pot.Events, x.Event)
		if x.Event.Volume != nil {
			out[i].Taken += *x.Event.Volume
		}
	}
	for i := range out {
		out[i].Pot.Level = d.Level(out[i].Pot.Pot)
	}
	return out
}

// Log says what a job on a force comes to; it keeps nothing. Of its time only the
// day may be known. Nothing is drawn from a pot that came after it.
func (d *Desk) Log(force inventory.Force, jobs []inventory.Job, dayOnly bool) (*estimate.Logged, error) {
	var there []shelf.Level
	for i, l := range d.Levels {
		if d.Shelf.Pots[i].There(jobs[0].At, dayOnly) {
			there = append(there, l)
		}
	}
	logged, err := d.estimator().LogSitting(&force, jobs, there)
	if err != nil {
		return nil, err
	}
	for i, x := range logged.Draws {
		pot, _ := d.Shelf.Pot(x.Pot)
		x.Event.DayOnly = dayOnly
		logged.Draws[i].Event = pot.Settled(x.Event)
	}
	return logged, nil
}
