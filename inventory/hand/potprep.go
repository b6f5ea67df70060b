package hand

import (
	"cmp"
	"math"
	"slices"
)

func ln(x float64) float64           { return math.Log(x) }
func sqrt(x float64) float64         { return math.Sqrt(x) }
func cmpFloat(a, b float64) int      { return cmp.Compare(a, b) }
func square(x float64) float64       { return x * x }
func exp(x float64) float64          { return math.Exp(x) }
func expm1(x float64) float64        { return math.Expm1(x) }
func clip(x, lo, hi float64) float64 { return math.Min(math.Max(x, lo), hi) }

// The parts of a pot, in the order of its derivatives; a film and a waste for
// each way follow.
const (
	pShift = iota
	pTilt
	pWater
	pUnwatched
	pWatched
	pForgotten
	pFilm
)

// common are the parts that every pot has.
var common = [pFilm]part{
	pShift:     {[]int{uShift}, -1},
	pTilt:      {[]int{uTilt}, -1},
	pWater:     {[]int{uWater}, -1},
	pUnwatched: {[]int{uSilent, uUnwatched}, -1},
	pWatched:   {[]int{uSilent, uWatched}, -1},
	pForgotten: {[]int{uForgotten}, -1},
}

// op is an event made ready: what one pass over a pot does.
type op struct {
	kind    opKind
	value   float64
	months  float64 // opTime: how long
	watched float64 // opTime: the part of it that is watched
	forgets bool    // opTime: a sitting in it may have been forgotten
	month   float64
	film    float64
	waste   float64
	n       float64
	slot    int // opDraw: of the film; the waste is the next
	read    int // readings: number within the pot
	event   int // index among the pot's events
	right   bool
}

type opKind uint8

const (
	opFresh opKind = iota
	opUnknown
	opFreshPart
	opTime
	opDraw
	opKnown
	opSpillML
	opSpillShare
	opLook
	opWeigh
	opThin
	opGone
)

// ready is a pot made ready: its operations and the parts they rest on.
type ready struct {
	v      *Vessel
	ops    []op
	parts  []part
	reads  int
	out    []bool // readings left out
	jump   []bool // readings before which paint went unseen
	missed []bool // the painter's own word for either
	ways   []Way  // of each film among the parts, where nothing was ever reset
}

// prepare turns the events of a pot, until now, into operations. Watched time
// is a stretch between readings with a logged use in it, and for no longer
// than WatchedMonths after the last. A sitting may be forgotten in it, but not in
// the time before the last use that was logged: who reads a pot after each
// sitting has the books together.
func (u *unknowns) prepare(v *Vessel, now float64) *ready { return u.prepareIn(nil, v, now) }

// prepareIn is prepare in the room of operations that are not needed any more.
func (u *unknowns) prepareIn(room []op, v *Vessel, now float64) *ready {
	p := preparer{u: u, v: v, unsealed: v.Opened, last: math.Inf(-1), booked: -1}
	p.ready = &ready{v: v, parts: append(make([]part, 0, pFilm+4), common[:]...)}
	p.ops = slices.Grow(room[:0], len(v.Events)*2+2)
	if v.Opened {
		p.ops = append(p.ops, op{kind: opUnknown})
	} else {
		p.ops = append(p.ops, op{kind: opFresh})
	}
	for i := range v.Events {
		e := &v.Events[i]
		if e.Month > now {
			break
		}
		p.pass(e.Month)
		o := op{value: e.Value, month: e.Month, event: i}
		if p.happens(e, &o) {
			p.ops = append(p.ops, o)
		}
	}
	if now < late {
		p.pass(now)
	}
	p.booked = -1 // nobody has looked since
	p.settle()
	return p.ready
}

// preparer makes a pot ready, event by event.
type preparer struct {
	*ready
	u        *unknowns
	v        *Vessel
	open     []span  // of time, since the last reading
	booked   int     // the operation that is the time before the last logged use; -1: none
	logged   bool    // a use was, since the last reading
	gone     bool    // for good
	unsealed bool    // so that paint can leave it
	last     float64 // month of the last event
	since    float64 // months since the last logged use
}

// span is an operation that lets time go by, and the part of it that is watched if
// a use was logged in its stretch.
type span struct {
	op   int
	part float64
}

// settle ends a stretch between readings.
func (p *preparer) settle() {
	for _, s := range p.open {
		if p.logged {
			p.ops[s.op].watched, p.ops[s.op].forgets = s.part, s.op != p.booked
		}
	}
	p.open, p.logged, p.booked = p.open[:0], false, -1
}

// pass lets time go by until a month.
func (p *preparer) pass(to float64) {
	if months := to - p.last; p.unsealed && !p.gone && months > 0 && !math.IsInf(p.last, -1) {
		p.open = append(p.open, span{len(p.ops), clip((p.u.a.WatchedMonths-p.since)/months, 0, 1)})
		p.ops = append(p.ops, op{kind: opTime, months: months, month: to})
		p.since += months
	}
	p.last = math.Max(p.last, to)
}

// happens completes the operation of an event, false where it needs none.
func (p *preparer) happens(e *Event, o *op) bool {
	switch e.Kind {
	case Fresh, FreshPart:
		o.kind = opFresh
		if e.Kind == FreshPart {
			o.kind = opFreshPart
		}
		p.settle()
		p.unsealed, p.gone, p.since = e.Kind == FreshPart, false, 0
	case Unseal:
		p.unsealed = true
		return false
	case Draw, DrawKnown:
		p.unsealed = true
		o.kind, o.film, o.waste, o.n = opKnown, e.Film, e.Waste, math.Max(1, e.Sittings)
		if e.Kind == Draw {
			o.kind, o.slot = opDraw, p.slot(p.u, p.v.Paint, e)
		}
		p.logged, p.since = true, 0
		if n := len(p.open); n > 0 {
			p.booked = p.open[n-1].op
		}
	case SpillML, SpillShare:
		p.unsealed = true
		o.kind = opSpillML
		if e.Kind == SpillShare {
			o.kind = opSpillShare
		}
	case Look, Weigh:
		return p.reading(e, o)
	case Thin:
		if p.v.Water <= 0 {
			return false
		}
		p.unsealed = true
		o.kind = opThin
	case LostForGood:
		o.kind, p.gone = opGone, true
	default:
		return false
	}
	return true
}

// reading completes the operation of a look or a weighing.
func (p *preparer) reading(e *Event, o *op) bool {
	if e.Kind == Weigh && p.v.Density <= 0 {
		return false
	}
	if p.gone {
		p.ops = append(p.ops, op{kind: opUnknown, month: e.Month})
		p.gone = false
	}
	o.kind = opLook
	if e.Kind == Weigh {
		o.kind = opWeigh
	} else if e.Value < 1-p.u.a.Eye {
		p.unsealed = true
	}
	o.read, o.right = p.reads, e.Verdict == Right
	p.reads++
	p.out, p.jump = append(p.out, e.Verdict == Misread), append(p.jump, e.Verdict == Missed)
	p.missed = append(p.missed, e.Verdict != NoVerdict)
	p.settle()
	return true
}

// slot finds or makes the film and the waste of a way, as of a time.
func (p *ready) slot(u *unknowns, paint int, e *Event) int {
	for i, w := range p.ways {
		if w == e.Way {
			return pFilm + 2*i
		}
	}
	if paint < len(u.usual) && len(p.parts) == pFilm && e.Way == u.rec.Paints[paint] {
		p.parts = append(p.parts, u.usual[paint][:]...)
		p.ways = append(p.ways, e.Way)
		return pFilm
	}
	film := u.film(e.Way, paint, e.Month)
	for s := pFilm; s < len(p.parts); s += 2 {
		if slices.Equal(p.parts[s].dense, film.dense) && p.parts[s].own == film.own &&
			slices.Equal(p.parts[s+1].dense, u.waste(e.Way.Method).dense) {
			return s
		}
	}
	p.parts = append(p.parts, film, u.waste(e.Way.Method))
	if len(u.resets) == 0 {
		p.ways = append(p.ways, e.Way)
	}
	return len(p.parts) - 2
}
