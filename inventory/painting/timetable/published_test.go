package timetable

import (
	"context"
	"fmt"
	"testing"
)

// endsBy lays a problem out in one sitting of a length; false where it does not fit.
func endsBy(t *testing.T, p *Problem, end int) bool {
	t.Helper()
	p.Sittings = []Sitting{{0, end}}
	plan, err := Solve(context.Background(), p, Effort{})
	if err != nil {
		return false
	}
	if err := Check(p, plan); err != nil {
		t.Fatal(err)
	}
	return true
}

// leastEnd is the shortest sitting that a problem fits into.
func leastEnd(t *testing.T, p *Problem, high int) int {
	t.Helper()
	low := 0
	for low < high {
		if mid := (low + high) / 2; endsBy(t, p, mid) {
			high = mid
		} else {
			low = mid + 1
		}
	}
	return low
}

// The prototype project of Hillier & Lieberman, Introduction to Operations
// Research (chapter on project management): building a plant, fourteen activities,
// weeks. Its critical path A B C E F J L N takes 44 weeks. From memory.
// An activity is a batch of two steps that take no time, as long apart as it takes.
func TestTextbookProject(t *testing.T) {
	weeks := map[string]int{
		"A": 2, "B": 4, "C": 10, "D": 6, "E": 4, "F": 5, "G": 7, "H": 9, "I": 7, "J": 8, "K": 4, "L": 5,
		"M": 2, "N": 6,
	}
	after := map[string]string{
		"B": "A", "C": "B", "D": "C", "E": "C", "F": "E", "G": "D", "H": "EG", "I": "C", "J": "FI",
		"K": "J", "L": "J", "M": "H", "N": "KL",
	}
	project := func(w map[string]int) *Problem {
		p := &Problem{Mixes: []Mix{{ID: "none"}}}
		for i := range 14 {
			id := string(rune('A' + i))
			b := Batch{ID: id, Figures: 1, Steps: []Step{{ID: "begins", Waits: []int{w[id]}}, {ID: "ends"}}}
			for _, a := range after[id] {
				b.After = append(b.After, int(a-'A'))
			}
			p.Batches = append(p.Batches, b)
		}
		return p
	}
	p := project(weeks)
	if !endsBy(t, p, 44) || endsBy(t, p, 43) {
		t.Errorf("the project takes %d weeks, not 44", leastEnd(t, p, 100))
	}
	p.Sittings = nil
	for k := range 60 { // the critical path alone is the bound
		p.Sittings = append(p.Sittings, Sitting{k, k + 1})
	}
	if low := newModel(p).lowerBound(); low != 43 {
		t.Errorf("the bound is week %d, not 44", low+1)
	}
	for id := range weeks { // a week more on the path makes it longer, elsewhere it has slack
		longer := map[string]int{}
		for k, v := range weeks {
			longer[k] = v
		}
		longer[id]++
		critical := id == "A" || id == "B" || id == "C" || id == "E" || id == "F" || id == "J" ||
			id == "L" || id == "N"
		if endsBy(t, project(longer), 44) == critical {
			t.Errorf("a week more for %s: critical is %v", id, critical)
		}
	}
}

// The one-machine problems of the 6 x 6 instance of Fisher & Thompson, 1963
// (in Muth & Thompson, Industrial Scheduling): each machine alone, with what every
// job has before and behind it as head and tail. The largest of the six least
// makespans is the bound 52 that McMahon & Florian (Operations Research 23, 1975)
// give for it; the least makespan of the whole is 55. From memory; every order of
// each machine is tried here too.
func TestFisherThompson6x6(t *testing.T) {
	jobs := [6][6][2]int{ // machine, time
		{{2, 1}, {0, 3}, {1, 6}, {3, 7}, {5, 3}, {4, 6}},
		{{1, 8}, {2, 5}, {4, 10}, {5, 10}, {0, 10}, {3, 4}},
		{{2, 5}, {3, 4}, {5, 8}, {0, 9}, {1, 1}, {4, 7}},
		{{1, 5}, {0, 5}, {2, 5}, {3, 3}, {4, 8}, {5, 9}},
		{{2, 9}, {1, 3}, {4, 5}, {5, 4}, {0, 3}, {3, 1}},
		{{1, 3}, {3, 3}, {5, 9}, {0, 10}, {4, 4}, {2, 1}},
	}
	most := 0
	for machine := range 6 {
		p := &Problem{Mixes: []Mix{{ID: "none"}}}
		var heads, work, tails []int
		for j, job := range jobs {
			head, total, mine := 0, 0, 0
			for _, op := range job {
				if op[0] == machine {
					head, mine = total, op[1]
				}
				total += op[1]
			}
			heads, work, tails = append(heads, head), append(work, mine), append(tails, total-head-mine)
			p.Batches = append(p.Batches, Batch{ID: fmt.Sprint(j), Figures: 1, Steps: []Step{
				{ID: "work", Each: mine, Ready: head, Waits: []int{total - head - mine}}, {ID: "end"}}})
		}
		got := leastEnd(t, p, 120)
		if want := everyOrder(heads, work, tails); got != want {
			t.Errorf("machine %d: %d, every order gives %d", machine, got, want)
		}
		most = max(most, got)
	}
	if most != 52 {
		t.Errorf("the one-machine bound is %d, not 52", most)
	}
}

// everyOrder is the least makespan over all orders of jobs on one machine.
func everyOrder(heads, work, tails []int) int {
	best := 1 << 30
	used := make([]bool, len(heads))
	var rec func(n, now, end int)
	rec = func(n, now, end int) {
		if n == len(heads) {
			best = min(best, end)
			return
		}
		for j := range heads {
			if !used[j] {
				used[j] = true
				done := max(now, heads[j]) + work[j]
				rec(n+1, done, max(end, done+tails[j]))
				used[j] = false
			}
		}
	}
	rec(0, 0, 0)
	return best
}
