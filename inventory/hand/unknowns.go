package hand

import (
	"math"
	"slices"
)

// The unknowns that every painter has, at the front of the dense ones.
const (
	uWaste = iota
	uShift
	uTilt
	uWater
	uSilent
	uUnwatched
	uWatched
	uForgotten
	fixedUnknowns
)

// part is one number a pot depends on, as a sum of unknowns: dense ones and at
// most one of the paint's own (-1: none).
type part struct {
	dense []int
	own   int
}

// unknowns numbers what is to be learned: dense for what pots share, own for
// each paint's, so that paints can be eliminated one by one.
type unknowns struct {
	a       *Assumptions
	rec     *Record
	mean    []float64 // prior
	sd      []float64
	tails   []bool
	group   []group         // which unknowns share how far this painter is from the tables
	pinned  map[int]float64 // dense unknown to the spread the painter gave
	ownSD   [][]float64     // by paint
	numbers map[number]int
	resets  []Setting
	pins    map[effect]Setting
	// by paint: film and waste of its usual way, once all are made and where nothing was ever reset
	usual [][2]part
}

// group is a set of unknowns whose prior spread is judged together.
type group uint8

const (
	alone group = iota // nothing to do with the tables
	ofFilm
	ofWaste
	ofForgotten
	groups
)

// number tells unknowns apart; epoch counts the resets before.
type number struct {
	kind         numberKind
	index, epoch int
}

type numberKind uint8

const (
	methodFilm numberKind = iota
	methodWaste
	typeFilm
	paintFilm
	pinnedFilm
)

type effect struct {
	level Level
	index int
}

func newUnknowns(rec *Record, a *Assumptions) *unknowns {
	u := &unknowns{
		a:       a,
		rec:     rec,
		pinned:  map[int]float64{},
		numbers: map[number]int{},
		pins:    map[effect]Setting{},
		ownSD:   make([][]float64, len(rec.Paints)),
	}
	for range fixedUnknowns {
		u.dense(0, 0, false)
	}
	u.sd[uWaste], u.tails[uWaste], u.group[uWaste] = a.Waste, true, ofWaste
	u.sd[uShift], u.tails[uShift] = a.EyeShift, true
	u.sd[uTilt], u.sd[uWater] = a.EyeTilt, a.Water
	u.mean[uSilent], u.sd[uSilent] = ln(a.Silent), a.SilentSD
	u.mean[uUnwatched], u.sd[uUnwatched] = a.Unwatched, a.SplitSD
	u.mean[uWatched], u.sd[uWatched] = a.Watched, a.SplitSD
	u.sd[uForgotten] = 1e-6
	if a.Forgotten > 0 && a.Forgets > 0 {
		u.sd[uForgotten], u.group[uForgotten] = a.Forgotten, ofForgotten
	}
	settings := slices.Clone(rec.Settings)
	slices.SortStableFunc(settings, func(x, y Setting) int { return cmpFloat(x.Month, y.Month) })
	for _, s := range settings {
		if s.Pin {
			u.pins[effect{s.Level, s.Index}] = s
			continue
		}
		u.resets = append(u.resets, s)
		for e := range u.pins {
			if u.covers(s, e) {
				delete(u.pins, e)
			}
		}
	}
	return u
}

// all makes every unknown there can be, so that a pot or a job nobody has read
// of still has its place: of every method, type and paint, at every time between
// resets.
func (u *unknowns) all() {
	months := []float64{late}
	for _, s := range u.resets {
		months = append(months, s.Month)
	}
	for _, at := range months {
		for m := range u.rec.Methods {
			u.film(Way{m, -1}, -1, at)
			u.methodWaste(m)
		}
		for t, m := range u.rec.Types {
			u.film(Way{m, t}, -1, at)
		}
		for c, w := range u.rec.Paints {
			u.film(w, c, at)
			u.film(Way{w.Method, -1}, c, at)
		}
	}
	if len(u.resets) == 0 {
		u.usual = make([][2]part, len(u.rec.Paints))
		for c, w := range u.rec.Paints {
			u.usual[c] = [2]part{u.film(w, c, late), u.waste(w.Method)}
		}
	}
}

// late is a time after everything.
const late = 1e300

// covers reports whether a reset reaches an effect: itself and all below it.
func (u *unknowns) covers(s Setting, e effect) bool {
	if s.Level == e.level {
		return s.Index == e.index
	}
	switch {
	case s.Level == OfMethod && e.level == OfType:
		return u.rec.Types[e.index] == s.Index
	case s.Level == OfMethod && e.level == OfPaint:
		return u.rec.Paints[e.index].Method == s.Index
	case s.Level == OfType && e.level == OfPaint:
		return u.rec.Paints[e.index].Type == s.Index
	}
	return false
}

// epoch counts the resets of an effect before a time. A reset forgets what was
// read at its very moment.
func (u *unknowns) epoch(month float64, test func(Setting) bool) int {
	n := 0
	for _, s := range u.resets {
		if s.Month < month && test(s) {
			n++
		}
	}
	return n
}

func (u *unknowns) dense(mean, sd float64, tails bool) int {
	u.mean, u.sd = append(u.mean, mean), append(u.sd, sd)
	u.tails, u.group = append(u.tails, tails), append(u.group, alone)
	return len(u.mean) - 1
}

func (u *unknowns) named(n number, mean, sd float64, tails bool) int {
	i, ok := u.numbers[n]
	if !ok {
		i = u.dense(mean, sd, tails)
		switch n.kind {
		case methodFilm, typeFilm:
			u.group[i] = ofFilm
		case methodWaste:
			u.group[i] = ofWaste
		}
		u.numbers[n] = i
	}
	return i
}

func (u *unknowns) methodWaste(m int) int {
	sd := u.a.WasteMethod
	if u.apart(m) {
		sd = math.Hypot(u.a.Waste, sd)
	}
	return u.named(number{methodWaste, m, 0}, 0, sd, false)
}

func (u *unknowns) apart(m int) bool { return m < len(u.rec.Apart) && u.rec.Apart[m] }

// waste is the log of the waste of a sitting over the tables'.
func (u *unknowns) waste(m int) part {
	if u.apart(m) {
		return part{[]int{u.methodWaste(m)}, -1}
	}
	return part{[]int{uWaste, u.methodWaste(m)}, -1}
}

// pin gives the pinned effect as an unknown, known almost exactly while
// others learn.
func (u *unknowns) pin(e effect) (int, bool) {
	s, ok := u.pins[e]
	if !ok {
		return 0, false
	}
	i := u.named(number{pinnedFilm, int(e.level)<<24 + e.index, 0}, s.Log, 1e-4, false)
	u.pinned[i] = s.Spread
	return i, true
}

// film is the log of the film over the tables' for a way of putting a paint on
// (paint -1: any) at a time.
func (u *unknowns) film(w Way, paint int, month float64) part {
	usual := w.Type >= 0 // the type and the paint have their say at the usual method only
	if paint >= 0 && usual {
		if i, ok := u.pin(effect{OfPaint, paint}); ok && u.current(OfPaint, paint, month) {
			return part{[]int{i}, -1}
		}
	}
	p := part{own: -1}
	if i, ok := u.pin(effect{OfType, w.Type}); usual && ok && u.current(OfType, w.Type, month) {
		p.dense = []int{i}
	} else {
		if i, ok := u.pin(effect{OfMethod, w.Method}); ok && u.current(OfMethod, w.Method, month) {
			p.dense = []int{i}
		} else {
			n := number{
				kind:  methodFilm,
				index: w.Method,
				epoch: u.epoch(month, func(s Setting) bool {
					return s.Level == OfMethod && s.Index == w.Method
				}),
			}
			p.dense = []int{u.named(n, 0, u.rec.Methods[w.Method]*sqrt(u.a.Parts[0]), true)}
		}
		if usual {
			n := number{
				kind:  typeFilm,
				index: w.Type,
				epoch: u.epoch(month, func(s Setting) bool { return u.covers(s, effect{OfType, w.Type}) }),
			}
			p.dense = append(p.dense, u.named(n, 0, u.rec.Methods[w.Method]*sqrt(u.a.Parts[1]), false))
		}
	}
	if paint >= 0 {
		n := number{
			kind:  paintFilm,
			index: paint,
			epoch: u.epoch(month, func(s Setting) bool { return u.covers(s, effect{OfPaint, paint}) }),
		}
		i, ok := u.numbers[n]
		if !ok {
			i = len(u.ownSD[paint])
			u.ownSD[paint] = append(u.ownSD[paint], u.rec.Methods[u.rec.Paints[paint].Method]*sqrt(u.a.Parts[2]))
			u.numbers[n] = i
		}
		p.own = i
	}
	return p
}

// current reports whether no reset of an effect lies after a time: a pin holds
// for what came since the last one.
func (u *unknowns) current(l Level, index int, month float64) bool {
	test := func(s Setting) bool { return u.covers(s, effect{l, index}) }
	return u.epoch(month, test) == u.epoch(late, test)
}
