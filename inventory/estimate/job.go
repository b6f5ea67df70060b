package estimate

import (
	"slices"
	"strings"

	"halfpot/inventory"
	"halfpot/inventory/shelf"
)

// Logged is what a job comes to: the work done and what it drew from which pot.
type Logged struct {
	Work    []inventory.Work
	Draws   []Draw
	Missing []PlannedUse // estimated use that no pot on the shelf accounts for
}

// Draw is an event to be recorded on a pot.
type Draw struct {
	Pot   string
	Event inventory.PotEvent
}

// LogWork works out what a job used, by the estimate, and from which pots:
// opened ones before sealed ones, the emptiest first. A step whose mix is not
// told is taken to be done as it was begun; else as the recipe asks, if the
// shelf has every paint of that; else the first way the shelf can serve. Where
// the pots hold less than the estimate, the last one is drawn down to nothing
// and the rest is Missing. Slips in the job give [inventory.Faults].
func (e *Estimator) LogWork(f *inventory.Force, job inventory.Job, levels []shelf.Level) (*Logged, error) {
	return e.LogSitting(f, []inventory.Job{job}, levels)
}

// LogSitting is LogWork for several units in one sitting: what one draws the next
// does not find any more.
func (e *Estimator) LogSitting(f *inventory.Force, jobs []inventory.Job, levels []shelf.Level) (*Logged, error) {
	pots := drawOrder(levels)
	labels := newMatcher(f, e.Index)
	out := &Logged{}
	var faults inventory.Faults
	for _, job := range jobs {
		more, err := e.logUnit(f, job, labels, pots, out)
		if err != nil {
			return nil, err
		}
		faults = append(faults, more...)
	}
	return out, faults.Err()
}

func (e *Estimator) logUnit(
	f *inventory.Force, job inventory.Job, labels *matcher, pots map[string][]*potLeft, out *Logged,
) (faults inventory.Faults, err error) {
	u, steps, err := job.Find(f, e.Index)
	if err != nil {
		return nil, err
	}
	for _, s := range steps {
		figures := job.Figures
		if figures == 0 {
			figures = u.Figures - f.DoneOn(u, s.ID)
		}
		if len(s.Mix) == 0 { // nothing that a pot holds
			out.Work = append(out.Work, inventory.Work{
				Unit:    u.ID,
				Step:    s.ID,
				Figures: figures,
				At:      job.At,
				Job:     job.ID,
			})
			continue
		}
		options, err := e.options(u, s, figures, nil)
		if err != nil {
			return nil, err
		}
		told, begun := job.Mixes[s.ID], labels.mix(unitStep{u.ID, s.ID})
		for _, key := range []string{told, begun} {
			own, err := e.ownWay(u, s, key, figures)
			if err != nil {
				return nil, err
			}
			if own != nil &&
				!slices.ContainsFunc(options, func(o Option) bool { return o.ID == key || o.Mix.Key() == key }) {
				options = append(options, *own)
			}
		}
		if told != "" {
			if options, err = e.withTold(u, s, options, told, figures); err != nil {
				return nil, err
			}
		}
		o, fault := pickOption(s, options, told, begun, pots)
		if fault != nil {
			faults = append(faults, *fault)
			continue
		}
		out.Work = append(out.Work, inventory.Work{
			Unit:    u.ID,
			Step:    s.ID,
			Figures: figures,
			Mix:     o.Mix.Key(),
			At:      job.At,
			Job:     job.ID,
		})
		if s.CoatsOn(u.Undercoat) == 0 {
			continue // nothing to paint over this undercoat
		}
		for _, use := range o.Uses {
			out.draw(use.Paint, inventory.VolumeOfML(use.Amount.Median), pots, job, s.ID)
		}
	}
	return faults, nil
}

// withTold adds to the ways of a step what the painter really did it with, of whatever
// kind that is, where nothing there is it already.
func (e *Estimator) withTold(
	u inventory.Unit, s *inventory.Step, options []Option, told string, figures int,
) ([]Option, error) {
	mix, own := inventory.MixOfKey(told), e.MainPaint(s.Mix)
	if len(mix) == 0 ||
		slices.ContainsFunc(options, func(o Option) bool { return o.ID == told || o.Mix.Key() == told }) {
		return options, nil
	}
	for _, p := range mix {
		paint := e.Index.Paints[p.Paint]
		if paint == nil || own != nil && paint.Type.Counted() != own.Type.Counted() {
			return options, nil // pickOption says so
		}
	}
	sum, err := e.Sum(u, s, mix, s.Thinning, figures)
	if err != nil {
		return nil, err
	}
	return append(slices.Clip(options), Option{
		ID:       mix.Key(),
		Kind:     PaintersOwn,
		Mix:      mix,
		Thinning: s.Thinning,
		Uses:     sum.Uses(mix, s.Thinning),
	}), nil
}

// potLeft is a pot while a job draws from it.
type potLeft struct {
	id   string
	left inventory.Volume
}

// drawOrder sorts what is left by paint: opened pots first, the emptiest first.
func drawOrder(levels []shelf.Level) map[string][]*potLeft {
	levels = slices.Clone(levels)
	slices.SortStableFunc(levels, func(a, b shelf.Level) int {
		if a.Opened != b.Opened {
			if a.Opened {
				return -1
			}
			return 1
		}
		return int(max(-1, min(1, a.Left()-b.Left())))
	})
	out := map[string][]*potLeft{}
	for _, l := range levels {
		if l.Gone == "" {
			out[l.Paint] = append(out[l.Paint], &potLeft{l.Pot, l.Left()})
		}
	}
	return out
}

// pickOption finds the way a step was most likely done.
func pickOption(
	s *inventory.Step, options []Option, told, begun string, pots map[string][]*potLeft,
) (*Option, *inventory.Fault) {
	if told != "" {
		var ids []string
		for i := range options {
			if options[i].ID == told || options[i].Mix.Key() == told {
				return &options[i], nil
			}
			ids = append(ids, options[i].ID)
		}
		return nil, &inventory.Fault{
			Path:     "steps." + s.ID,
			Found:    told,
			Expected: "one of its ways: " + strings.Join(ids, ", ") + "; or other paints of their kind",
			Nearest:  inventory.Near(told, ids),
		}
	}
	for i := range options {
		if begun != "" && options[i].Mix.Key() == begun {
			return &options[i], nil
		}
	}
	for i := range options {
		there := true
		for _, u := range options[i].Uses {
			there = there && len(pots[u.Paint]) > 0
		}
		if there {
			return &options[i], nil
		}
	}
	return &options[0], nil
}

// draw takes a volume of paint out of its pots in their order.
func (l *Logged) draw(
	paint string, v inventory.Volume, pots map[string][]*potLeft, job inventory.Job, step string,
) {
	for _, p := range pots[paint] {
		take := min(v, p.left)
		if take <= 0 {
			continue
		}
		p.left -= take
		v -= take
		note := job.Note
		if note == "" {
			note = step + " of " + job.Unit
		}
		used := take
		l.Draws = append(l.Draws, Draw{
			p.id,
			inventory.PotEvent{
				Kind:      inventory.Used,
				At:        job.At,
				Volume:    &used,
				Estimated: true,
				Job:       job.ID,
				Note:      note,
			},
		})
	}
	if v > 0 {
		l.Missing = append(l.Missing, PlannedUse{paint, v})
	}
}

// PlannedUse is the volume of a paint a step takes at the plan's confidence.
type PlannedUse struct {
	Paint  string
	Volume inventory.Volume
}

// ByPaint adds volumes up by paint, in the order in which the paints come up.
func ByPaint(uses []PlannedUse) []PlannedUse {
	var out []PlannedUse
	at := map[string]int{}
	for _, u := range uses {
		i, seen := at[u.Paint]
		if !seen {
			at[u.Paint] = len(out)
			out = append(out, u)
			continue
		}
		out[i].Volume += u.Volume
	}
	return out
}
