package timetable

import (
	"context"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
)

const minute = 60

// st is a step of a test: minutes a figure, mix, and a wait that binds all later steps.
type st struct{ each, mix, wait int }

func batchOf(id string, n int, steps ...st) Batch {
	b := Batch{ID: id, Figures: n}
	for i, s := range steps {
		waits := make([]int, len(steps)-i-1)
		for j := range waits {
			waits[j] = s.wait * minute
		}
		b.Steps = append(b.Steps, Step{ID: fmt.Sprint(i + 1), Each: s.each * minute, Mix: s.mix, Waits: waits})
	}
	return b
}

// evenings are daily, from 19:00.
func evenings(n, minutes int) []Sitting {
	var out []Sitting
	for i := range n {
		at := (i*24 + 19) * 60 * minute
		out = append(out, Sitting{at, at + minutes*minute})
	}
	return out
}

func solve(t testing.TB, p *Problem, e Effort) Plan {
	t.Helper()
	plan, err := Solve(context.Background(), p, e)
	if err != nil {
		t.Fatal(err)
	}
	if err := Check(p, plan); err != nil {
		t.Fatalf("%v\n%+v", err, plan)
	}
	return plan
}

// Worked by hand; see the minutes in each.
func TestWorkedExamples(t *testing.T) {
	e1 := []Mix{{"P", 10 * minute, 2000}, {"B", 5 * minute, 300}, {"W", 5 * minute, 300}, {"V", 5 * minute, 400}}
	e1b := batchOf("e1", 5, st{1, 0, 60}, st{4, 1, 30}, st{2, 2, 720}, st{1, 3, 0})
	three := func(w ...int) []Mix {
		var out []Mix
		for i, x := range w {
			out = append(out, Mix{string(rune('A' + i)), 5 * minute, x})
		}
		return out
	}
	for _, c := range []struct {
		name                 string
		p                    Problem
		last, sittings, used int
	}{
		// Primed by 19:15, each figure an hour later at 20:11, washed 20:53 to 21:03.
		{"long evening", Problem{[]Batch{e1b}, e1, evenings(6, 125)}, 2, 2, 3000},
		{"two minutes short", Problem{[]Batch{e1b}, e1, evenings(6, 120)}, 3, 3, 3000},
		// Once would end on the third evening.
		{"a palette twice", Problem{
			[]Batch{
				batchOf("x", 4, st{5, 0, 0}),
				batchOf("y", 4, st{5, 0, 0}),
				batchOf("z", 4, st{5, 1, 720}, st{4, 2, 0}),
			},
			three(300, 300, 300),
			evenings(6, 50),
		}, 2, 2, 1200},
		{"an evening off", Problem{
			[]Batch{batchOf("x", 5, st{2, 0, 36 * 60}, st{1, 1, 0}), batchOf("y", 5, st{3, 0, 60}, st{2, 2, 0})},
			three(300, 200, 300),
			evenings(6, 60),
		}, 3, 2, 800},
	} {
		plan := solve(t, &c.p, Effort{})
		if plan.Last+1 != c.last || plan.Sittings != c.sittings || plan.Waste != c.used || !plan.AllSure {
			t.Errorf("%s: evening %d, %d sittings, %d ul, proven %v; want %d, %d, %d",
				c.name, plan.Last+1, plan.Sittings, plan.Waste, plan.AllSure, c.last, c.sittings, c.used)
		}
	}
}

// Carlier, "The one-machine sequencing problem", European Journal of Operational
// Research 11 (1982): seven jobs with heads, work and tails; the least makespan
// is 50, Schrage's rule gives 53. From memory; every order of the seven was tried.
// A tail becomes a wait before a step that takes no time.
func TestCarlier1982(t *testing.T) {
	heads, work, tails := []int{10, 13, 11, 20, 30, 0, 30}, []int{5, 6, 7, 4, 3, 6, 2}, []int{
		7, 26, 24, 21, 8, 17, 0,
	}
	within := func(end int) *Problem {
		p := &Problem{Mixes: []Mix{{ID: "none"}}, Sittings: []Sitting{{0, end}}}
		for i := range heads {
			p.Batches = append(p.Batches, Batch{ID: fmt.Sprint(i + 1), Figures: 1, Steps: []Step{
				{ID: "work", Each: work[i], Ready: heads[i], Waits: []int{tails[i]}}, {ID: "end"}}})
		}
		return p
	}
	plan := solve(t, within(50), Effort{})
	if plan.Last != 0 {
		t.Errorf("50 is not found")
	}
	if _, err := Solve(context.Background(), within(49), Effort{}); err == nil {
		t.Errorf("49 is found; 50 is the least")
	}
}

// N batches of one figure, two steps of a unit each and a wait of l between:
// the last ends at max(2N, N+l+1), since after N first steps the first second
// step is ready at l+1.
func TestEqualBatches(t *testing.T) {
	for n := 1; n <= 6; n++ {
		for l := 0; l <= 8; l++ {
			want := max(2*n, n+l+1)
			p := &Problem{Mixes: []Mix{{ID: "none"}}}
			for i := range n {
				p.Batches = append(p.Batches, Batch{
					ID:      fmt.Sprint(i),
					Figures: 1,
					Steps:   []Step{{Each: 1, Waits: []int{l}}, {Each: 1}},
				})
			}
			p.Sittings = []Sitting{{0, want}}
			solve(t, p, Effort{})
			p.Sittings = []Sitting{{0, want - 1}}
			if _, err := Solve(context.Background(), p, Effort{}); err == nil {
				t.Errorf("%d batches, wait %d: ends before %d", n, l, want)
			}
		}
	}
}

// brute tries every order and every sitting.
func brute(p *Problem) (last, sittings, waste int, ok bool) {
	m := newModel(p)
	count := make([]int, len(m.b))
	rel := m.release()
	last, sittings, waste = len(m.sit), 0, 0
	var rec func(k, now, used, spent, left int, open map[int]bool, inUse bool)
	rec = func(k, now, used, spent, left int, open map[int]bool, inUse bool) {
		if left == 0 {
			u := used
			at := k
			if !inUse {
				return // this end was counted in the sitting before
			}
			if at < last || at == last && (u < sittings || u == sittings && spent < waste) || !ok {
				last, sittings, waste, ok = at, u, spent, true
			}
			return
		}
		if ok && k > last {
			return
		}
		for b := range m.b {
			i := count[b]
			if i == len(m.b[b].steps) ||
				slices.ContainsFunc(p.Batches[b].After, func(a int) bool {
					return count[a] < len(p.Batches[a].Steps)
				}) {
				continue
			}
			s := m.b[b].steps[i]
			need, cost := 0, 0
			if !open[s.mix] {
				need, cost = p.Mixes[s.mix].Setup, p.Mixes[s.mix].Waste
			}
			start := max(now+need, int(rel[m.off[b]+i]))
			end := start + s.work
			if end > m.sit[k].End {
				continue
			}
			saved := append([]int32(nil), rel...)
			for j := i + 1; j < len(m.b[b].steps); j++ {
				rel[m.off[b]+j] = max(rel[m.off[b]+j], int32(end+m.b[b].lag[i][j]))
			}
			count[b]++
			was := open[s.mix]
			open[s.mix] = true
			u := used
			if !inUse {
				u++
			}
			rec(k, end, u, spent+cost, left-1, open, true)
			open[s.mix] = was
			count[b]--
			copy(rel, saved)
		}
		if k+1 < len(m.sit) {
			rec(k+1, m.sit[k+1].Start, used, spent, left, map[int]bool{}, false)
		}
	}
	rec(0, m.sit[0].Start, 0, 0, m.steps, map[int]bool{}, false)
	return last, sittings, waste, ok
}

// made is a made-up problem: waits of minutes, hours and nights, shared mixes.
func made(rng *rand.Rand, batches, steps, mixes, length, days int) *Problem {
	p := &Problem{Sittings: evenings(days, length)}
	for i := range p.Sittings {
		p.Sittings[i].End += rng.IntN(4) * 15 * minute
	}
	for i := range mixes {
		p.Mixes = append(p.Mixes, Mix{fmt.Sprint("m", i), rng.IntN(11) * minute, rng.IntN(5) * 100})
	}
	waits := []int{0, 10, 30, 60, 180, 720, 1440}
	for b := range batches {
		var list []st
		for range 1 + rng.IntN(steps) {
			list = append(list, st{1 + rng.IntN(5), rng.IntN(mixes), waits[rng.IntN(len(waits))]})
		}
		p.Batches = append(p.Batches, batchOf(fmt.Sprint("b", b), 1+rng.IntN(6), list...))
		if b > 0 && rng.IntN(4) == 0 {
			p.Batches[b] = p.Batches[b-1]
			p.Batches[b].ID = fmt.Sprint("b", b)
		}
		if b > 0 && rng.IntN(3) == 0 {
			p.Batches[b].After = []int{rng.IntN(b)}
		}
		if rng.IntN(4) == 0 {
			p.Batches[b].Steps = slices.Clone(p.Batches[b].Steps)
			p.Batches[b].Steps[0].Ready = p.Sittings[0].Start + rng.IntN(90)*minute
		}
	}
	return p
}

// Every order of small made-up problems is tried: the plan must be the best, the
// bounds never above it.
func TestAgainstEveryOrder(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 11))
	tries := 150
	if testing.Short() {
		tries = 60
	}
	for i := range tries {
		p := made(rng, 2+rng.IntN(2), 3, 1+rng.IntN(4), 45+rng.IntN(4)*15, 5)
		if p.Validate() != nil {
			continue
		}
		last, sittings, waste, ok := brute(p)
		plan, err := Solve(context.Background(), p, Effort{})
		if !ok {
			if err == nil {
				t.Fatalf("try %d: a plan where there is none", i)
			}
			continue
		}
		if err != nil {
			t.Fatalf("try %d: %v", i, err)
		}
		if err := Check(p, plan); err != nil {
			t.Fatalf("try %d: %v", i, err)
		}
		if plan.Last != last || plan.Sittings != sittings || plan.Waste != waste || !plan.AllSure {
			t.Fatalf("try %d: %d, %d, %d (proven %v); every order: %d, %d, %d\n%+v",
				i, plan.Last, plan.Sittings, plan.Waste, plan.AllSure, last, sittings, waste, p)
		}
		if low := newModel(p).lowerBound(); low > last {
			t.Fatalf("try %d: bound %d above %d", i, low, last)
		}
	}
}
