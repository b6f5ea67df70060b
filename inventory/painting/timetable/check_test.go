package timetable

import (
	"context"
	"errors"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
)

// A plan that is put out of order in any one way is caught.
func TestCheckCatches(t *testing.T) {
	p := &Problem{
		[]Batch{
			batchOf("x", 5, st{2, 0, 60}, st{3, 1, 0}),
			batchOf("y", 4, st{2, 0, 0}),
			batchOf("z", 1, st{1, 2, 0}),
		},
		[]Mix{{"A", 5 * minute, 300}, {"B", 5 * minute, 300}, {"C", 0, 0}},
		evenings(3, 120),
	}
	p.Batches[2].After = []int{0}
	good := solve(t, p, Effort{})
	for _, c := range []struct {
		want string
		harm func(*Plan)
	}{
		{"is not done", func(q *Plan) { q.Entries = q.Entries[1:]; q.Entries[0].Opens = true }},
		{"done twice", func(q *Plan) { q.Entries = append(q.Entries, q.Entries[0]) }},
		{"never laid out", func(q *Plan) { q.Entries[0].Opens = false }},
		{"outside its sitting", func(q *Plan) { q.Entries[0].Start -= 3600; q.Entries[0].End -= 3600 }},
		{"takes", func(q *Plan) { q.Entries[0].End++ }},
		{"the plan says", func(q *Plan) { q.Waste++ }},
		{"before x is finished", func(q *Plan) {
			for i, e := range q.Entries {
				if e.Batch == 2 {
					q.Entries[i].Start, q.Entries[i].End = 19*60*minute, 19*60*minute+minute
				}
			}
			for i, e := range q.Entries {
				if e.Batch != 2 {
					q.Entries[i].Start, q.Entries[i].End = e.Start+minute, e.End+minute
				}
			}
		}},
		{"gets", func(q *Plan) {
			for i, e := range q.Entries {
				if e.Batch == 0 && e.Step == 1 {
					q.Entries[i].Start, q.Entries[i].End = e.Start-60, e.End-60
				}
			}
		}},
	} {
		bad := good
		bad.Entries = slices.Clone(good.Entries)
		c.harm(&bad)
		if err := Check(p, bad); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("want %q, got %v", c.want, err)
		}
	}
}

// What can't be laid out is refused by name.
func TestRefuses(t *testing.T) {
	one := batchOf("lancers", 10, st{5, 0, 0}, st{5, 0, 720}, st{5, 0, 0})
	mix := []Mix{{"A", 5 * minute, 300}}
	for _, c := range []struct {
		want string
		p    Problem
	}{
		{"no sitting", Problem{[]Batch{one}, mix, nil}},
		{"sitting 1: ends before", Problem{[]Batch{one}, mix, []Sitting{{7200, 0}}}},
		{"sitting 2: starts before", Problem{[]Batch{one}, mix, []Sitting{{0, 7200}, {3600, 9000}}}},
		{"lancers, step 1 takes 55 min", Problem{[]Batch{one}, mix, evenings(3, 50)}},
		{"lancers has 3 steps left", Problem{[]Batch{one}, mix, evenings(1, 120)}},
		{"0 figures", Problem{[]Batch{batchOf("x", 0, st{1, 0, 0})}, mix, evenings(3, 50)}},
		{"no mix 4", Problem{[]Batch{batchOf("x", 1, st{1, 4, 0})}, mix, evenings(3, 50)}},
		{"too far", Problem{[]Batch{one}, mix, []Sitting{{0, 1 << 40}}}},
		{"comes after batch 7",
			Problem{[]Batch{{ID: "x", Figures: 1, Steps: one.Steps, After: []int{7}}}, mix, evenings(3, 120)}},
		{"batch y and batch x wait for each other",
			Problem{
				[]Batch{
					{ID: "x", Figures: 1, Steps: one.Steps, After: []int{1}},
					{ID: "y", Figures: 1, Steps: one.Steps, After: []int{0}},
				},
				mix,
				evenings(3, 120),
			}},
		{"a wait of", Problem{[]Batch{batchOf("x", 1, st{1, 0, 1 << 40}, st{1, 0, 0})}, mix, evenings(3, 50)}},
	} {
		if _, err := Solve(context.Background(), &c.p, Effort{}); err == nil ||
			!strings.Contains(err.Error(), c.want) {
			t.Errorf("want %q, got %v", c.want, err)
		}
	}
	_, err := Solve(context.Background(), &Problem{[]Batch{one}, mix, evenings(3, 50)}, Effort{})
	var long *LongStepError
	if !errors.As(err, &long) || long.Fits != 9 {
		t.Errorf("nine figures fit into 50 minutes less 5: %v", err)
	}
}

// The same problem gets the same plan; larger ones pass the check.
func TestLargerPlans(t *testing.T) {
	for _, size := range []int{9, 40} {
		p := forceOf(rand.New(rand.NewPCG(9, 9)), size, 3, 12, 300, 120)
		a, b := solve(t, p, Effort{Passes: 4}), solve(t, p, Effort{Passes: 4})
		if !slices.Equal(a.Entries, b.Entries) {
			t.Errorf("%d batches: two plans for one problem", size)
		}
		if a.Bound > a.Last || a.Gap() > 0.25 {
			t.Errorf("%d batches: bound %d, last %d", size, a.Bound, a.Last)
		}
	}
}
