package lp

import (
	"math"
	"math/rand/v2"
	"testing"
)

// spoil makes the floating-point side of a program another one than the whole numbers say:
// some coefficients a little or far off, some no numbers at all.
func spoil(rng *rand.Rand, s *Solver) {
	off := []float64{1 + 1e-6, 1.01, 0, -1, 1e9, 1e-9, math.Inf(1), math.NaN()}
	for j := range s.colVal {
		for k := range s.colVal[j] {
			if rng.IntN(4) == 0 {
				s.colVal[j][k] *= off[rng.IntN(len(off))]
			}
		}
	}
	for i := range s.rowVal {
		for k := range s.rowVal[i] {
			if rng.IntN(6) == 0 {
				s.rowVal[i][k] *= off[rng.IntN(len(off))]
			}
		}
	}
}

// TestFalseArithmetic: whatever the floating point does, a solve ends, no bound lies above
// the best whole point, no row cuts one off, and nothing is proven to hold none that holds one.
func TestFalseArithmetic(t *testing.T) {
	var seen [Trouble + 1]int
	rows, proven := 0, 0
	for seed := range dose(1500, 30000) {
		rng := rand.New(rand.NewPCG(uint64(seed), 59))
		p := tinyProgram(rng)
		points := wholePoints(p)
		least := math.Inf(1)
		for _, x := range points {
			least = min(least, p.costOf(x))
		}
		s := p.solver(t)
		if rng.IntN(2) == 0 {
			s.Solve(1000) // a good basis at first
		}
		spoil(rng, s)
		for range 3 {
			st := s.Solve(1000)
			seen[st]++
			var c Certificate
			if st == Infeasible && s.CertifyInfeasible(&c) && len(points) > 0 {
				t.Fatalf("seed %d: proven infeasible, but %v is within all bounds", seed, points[0])
			}
			if s.Certify(&c); c.Bound() > least {
				t.Fatalf("seed %d: %v: bound %v, best whole point %v", seed, st, c.Bound(), least)
			}
			if st == Trouble && s.Trouble() == "" {
				t.Fatalf("seed %d: trouble without a word", seed)
			}
			for _, r := range s.BasisRows(5) {
				rows++
				for _, x := range points {
					if sumOf(r, x) < r.Lower {
						t.Fatalf("seed %d: %+v cuts off %v", seed, r, x)
					}
				}
			}
			j := rng.IntN(s.Columns())
			if v := p.columns[j].Lower; s.Mark() {
				var proof Certificate
				s.Limit(float64(rng.IntN(200)-100), nil) // beyond which trying is to prove something
				s.Try(j, v, v, 20, &proof)
				s.Limit(math.Inf(1), nil)
				if proof.Bound() > math.Inf(-1) {
					proven++
				}
				for _, x := range points {
					if x[j] == v && proof.Bound() > p.costOf(x) {
						t.Fatalf("seed %d: bound %v with column %d at %d, but %v costs %v", seed, proof.Bound(), j, v, x, p.costOf(x))
					}
				}
			}
		}
	}
	t.Logf("of the solves %d optimal, %d infeasible, %d stopped, %d in trouble; %d rows, %d trials with a proof",
		seen[Optimal], seen[Infeasible], seen[Stopped], seen[Trouble], rows, proven)
	if seen[Trouble] == 0 || seen[Optimal] == 0 || rows == 0 || proven == 0 {
		t.Error("nothing was tested")
	}
}

// TestStandsStill: a run whose objective does not rise in many iterations is given up, and
// says so.
func TestStandsStill(t *testing.T) {
	p := &program{columns: []Column{boxed(1, 0, 9), boxed(2, 0, 9)}, rows: []Row{full(3, 9, 1, 1)}}
	s := p.solver(t)
	if st := s.Solve(100); st != Optimal {
		t.Fatal(st)
	}
	run := dualRun{s: s, limit: 1 << 20, barred: map[int32]bool{}, stallAt: s.scaledObjective(), tol: primalTol}
	status := Unknown
	for looks := 0; status == Unknown; looks++ {
		if status = run.look(); looks > stallMost {
			t.Fatal("it goes on for ever")
		}
	}
	if status != Trouble || s.Trouble() == "" || run.tol != looseTol {
		t.Errorf("%v (%s), values may miss by %g", status, s.Trouble(), run.tol)
	}
}
