package lp

import (
	"math/rand/v2"
	"testing"
)

// tinyProgram is a random program of few whole points, or none.
func tinyProgram(rng *rand.Rand) *program {
	p := &program{}
	n, big := 2+rng.IntN(4), rng.IntN(3) == 0
	for range n {
		lo := rng.Int64N(4) - 2
		p.columns = append(p.columns, boxed(rng.Int64N(41)-20, lo, lo+rng.Int64N(4)))
	}
	for range 1 + rng.IntN(4) {
		coefs := make([]int64, n)
		for j := range coefs {
			coefs[j] = rng.Int64N(41) - 20
			if big && rng.IntN(2) == 0 {
				coefs[j] *= 1000
			}
		}
		side := rng.Int64N(61) - 30
		if big {
			side *= 700
		}
		p.rows = append(p.rows, full(side, []int64{Inf, side + 40}[rng.IntN(2)], coefs...))
	}
	return p
}

// splitLeaves splits a program at random until it is in so many leaves, each solved, and
// drops those that hold nothing. A row without bounds is split on too.
func splitLeaves(t *testing.T, rng *rand.Rand, s *Solver, count int) []Leaf {
	sum := Row{Lower: -100, Upper: 100}
	for j := range s.Columns() {
		sum.Cols, sum.Coefs = append(sum.Cols, int32(j)), append(sum.Coefs, 1)
	}
	if err := s.AddRow(sum); err != nil {
		t.Fatal(err)
	}
	last := int32(s.Rows() - 1)
	leaves := []Leaf{{Rows: []LeafBound{{last, -100, 100}}}}
	for j := range s.Columns() {
		c := s.Column(j)
		leaves[0].Columns = append(leaves[0].Columns, LeafBound{int32(j), c.Lower, c.Upper})
	}
	for len(leaves) < count {
		k := rng.IntN(len(leaves))
		old := leaves[k]
		low := Leaf{Columns: append([]LeafBound(nil), old.Columns...), Rows: append([]LeafBound(nil), old.Rows...)}
		high := Leaf{Columns: append([]LeafBound(nil), old.Columns...), Rows: append([]LeafBound(nil), old.Rows...)}
		if rng.IntN(3) == 0 {
			at := rng.Int64N(13) - 6
			low.Rows[0].Upper, high.Rows[0].Lower = min(low.Rows[0].Upper, at), max(high.Rows[0].Lower, at+1)
		} else {
			j := rng.IntN(s.Columns())
			b := old.Columns[j]
			if b.Lower == b.Upper {
				count--
				continue
			}
			at := b.Lower + rng.Int64N(b.Upper-b.Lower)
			low.Columns[j].Upper, high.Columns[j].Lower = at, at+1
		}
		leaves[k] = low
		leaves = append(leaves, high)
	}
	return leaves
}

// solveLeaf works out the leaf's cost and prices; false where it holds nothing for certain.
func solveLeaf(s *Solver, l *Leaf, limit int) (cost float64, ok bool) {
	for _, b := range append(append([]LeafBound(nil), l.Columns...), l.Rows...) {
		if b.Lower > b.Upper {
			return 0, false
		}
	}
	for _, b := range l.Columns {
		c := s.Column(int(b.Index))
		s.SetBounds(int(b.Index), b.Lower, b.Upper)
		defer s.SetBounds(int(b.Index), c.Lower, c.Upper)
	}
	r := l.Rows[0]
	s.SetRowBounds(int(r.Index), r.Lower, r.Upper)
	defer s.SetRowBounds(int(r.Index), -100, 100)
	if s.Solve(limit) == Infeasible && s.CertifyInfeasible(&Certificate{}) {
		return 0, false
	}
	for i := range s.Rows() {
		l.Prices = append(l.Prices, s.Price(i))
	}
	for j := range s.Columns() {
		l.Reduced = append(l.Reduced, s.Reduced(j))
	}
	return s.Objective(), true
}

// TestDisjunctive goes through all whole points of tiny programs split at random: no row
// cuts one off, be the prices those of an optimum, of a solve cut short, or nonsense; and
// with those of the optima it lifts the bound to that of the least leaf.
func TestDisjunctive(t *testing.T) {
	made, lifted := 0, 0
	for seed := range dose(1500, 30000) {
		rng := rand.New(rand.NewPCG(uint64(seed), 43))
		p := tinyProgram(rng)
		points := wholePoints(p)
		s := p.solver(t)
		var leaves []Leaf
		limit := []int{1000, rng.IntN(4)}[rng.IntN(4)/3]
		least := 0.0
		for _, l := range splitLeaves(t, rng, s, 2+rng.IntN(6)) {
			cost, ok := solveLeaf(s, &l, limit)
			if !ok {
				continue
			}
			if len(leaves) == 0 || cost < least {
				least = cost
			}
			if rng.IntN(12) == 0 {
				l.Prices[rng.IntN(len(l.Prices))] += rng.Float64()*20 - 10
				limit = 0
			}
			leaves = append(leaves, l)
		}
		if len(leaves) == 0 {
			if len(points) > 0 {
				t.Fatalf("seed %d: no leaf is left, but %v", seed, points[0])
			}
			continue
		}
		r, ok := s.Disjunctive(leaves)
		if !ok {
			continue
		}
		made++
		for _, x := range points {
			if sumOf(r, x) < r.Lower {
				t.Fatalf("seed %d: %+v cuts off %v", seed, r, x)
			}
		}
		if limit < 1000 || s.Solve(1000) != Optimal {
			continue
		}
		before := s.Objective()
		if err := s.AddRow(r); err != nil {
			t.Fatal(err)
		}
		if s.Solve(1000) == Optimal && s.Objective() < least-0.01 {
			t.Fatalf("seed %d: %+v lifts %v to %v, least leaf %v", seed, r, before, s.Objective(), least)
		}
		if least > before+0.01 {
			lifted++
		}
	}
	t.Logf("%d rows, %d of them lifted a bound", made, lifted)
	if made < 300 || lifted < 30 {
		t.Error("too few rows were made")
	}
}
