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
	p := &ready{v: v, parts: append(make([]part, 0, pFilm+4), common[:]...)}
	p.ops = slices.Grow(room[:0], len(v.Events)*2+2)
	type span struct {
		op   int
		part float64
	}
	booked := -1 // time before the last logged use
	var open []span
	logged, gone := false, false
	unsealed, last, since := v.Opened, math.Inf(-1), 0.0
	if v.Opened {
		p.ops = append(p.ops, op{kind: opUnknown})
	} else {
		p.ops = append(p.ops, op{kind: opFresh})
	}
	settle := func() {
		for _, s := range open {
			if logged {
				p.ops[s.op].watched, p.ops[s.op].forgets = s.part, s.op != booked
			}
		}
		open, logged, booked = open[:0], false, -1
	}
	pass := func(to float64) {
		if months := to - last; unsealed && !gone && months > 0 && !math.IsInf(last, -1) {
			open = append(open, span{len(p.ops), clip((u.a.WatchedMonths-since)/months, 0, 1)})
			p.ops = append(p.ops, op{kind: opTime, months: months, month: to})
			since += months
		}
		last = math.Max(last, to)
	}
	for i := range v.Events {
		e := &v.Events[i]
		if e.Month > now {
			break
		}
		pass(e.Month)
		o := op{value: e.Value, month: e.Month, event: i}
		switch e.Kind {
		case Fresh, FreshPart:
			o.kind = opFresh
			if e.Kind == FreshPart {
				o.kind = opFreshPart
			}
			settle()
			unsealed, gone, since = e.Kind == FreshPart, false, 0
		case Unseal:
			unsealed = true
			continue
		case Draw, DrawKnown:
			unsealed = true
			o.kind, o.film, o.waste, o.n = opKnown, e.Film, e.Waste, math.Max(1, e.Sittings)
			if e.Kind == Draw {
				o.kind, o.slot = opDraw, p.slot(u, v.Paint, e)
			}
			logged, since = true, 0
			if n := len(open); n > 0 {
				booked = open[n-1].op
			}
		case SpillML, SpillShare:
			unsealed = true
			o.kind = opSpillML
			if e.Kind == SpillShare {
				o.kind = opSpillShare
			}
		case Look, Weigh:
			if e.Kind == Weigh && v.Density <= 0 {
				continue
			}
			if gone {
				p.ops = append(p.ops, op{kind: opUnknown, month: e.Month})
				gone = false
			}
			o.kind = opLook
			if e.Kind == Weigh {
				o.kind = opWeigh
			} else if e.Value < 1-u.a.Eye {
				unsealed = true
			}
			o.read, o.right = p.reads, e.Verdict == Right
			p.reads++
			p.out, p.jump = append(p.out, e.Verdict == Misread), append(p.jump, e.Verdict == Missed)
			p.missed = append(p.missed, e.Verdict != NoVerdict)
			settle()
		case Thin:
			if v.Water <= 0 {
				continue
			}
			unsealed = true
			o.kind = opThin
		case LostForGood:
			o.kind, gone = opGone, true
		default:
			continue
		}
		p.ops = append(p.ops, o)
	}
	if now < late {
		pass(now)
	}
	booked = -1 // nobody has looked since
	settle()
	return p
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
