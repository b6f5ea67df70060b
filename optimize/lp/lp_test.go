package lp

import (
	"math"
	"math/rand/v2"
	"os"
	"testing"
)

func long() bool { return os.Getenv("HALFPOT_LONG") == "1" }

// dose is the number of cases of a test: few, or all under HALFPOT_LONG=1.
func dose(few, all int) int {
	if long() {
		return all
	}
	return few
}

func boxed(cost, lower, upper int64) Column { return Column{cost, lower, upper} }

func full(lower, upper int64, coefs ...int64) Row {
	r := Row{Lower: lower, Upper: upper}
	for j, a := range coefs {
		if a != 0 {
			r.Cols, r.Coefs = append(r.Cols, int32(j)), append(r.Coefs, a)
		}
	}
	return r
}

// TestKnownPrograms solves programs with known optima on which simple pivoting
// rules cycle or take all corners (values from memory, checked with glpsol).
func TestKnownPrograms(t *testing.T) {
	free := func(cost int64) Column { return Column{cost, 0, Inf} }
	tests := []struct {
		name string
		p    program
		want float64
	}{
		// E. M. L. Beale, Naval Research Logistics Quarterly 2 (1955), times 100
		// (costs) and 4, 2 (rows): optimum -1/20.
		{"Beale", program{
			[]Column{free(-75), free(15000), free(-2), free(600)},
			[]Row{full(-Inf, 0, 25, -6000, -4, 900), full(-Inf, 0, 50, -9000, -2, 300), full(-Inf, 1, 0, 0, 1, 0)},
		}, -5},
		// H. W. Kuhn's example, as given by Balinski & Tucker, SIAM Review 11 (1969),
		// times 3: optimum -2.
		{"Kuhn", program{
			[]Column{free(-2), free(-3), free(1), free(12)},
			[]Row{full(-Inf, 0, -2, -9, 1, 9), full(-Inf, 0, 1, 3, -1, -6), full(-Inf, 2, 2, 3, -1, -12)},
		}, -2},
		// V. Klee & G. J. Minty (1972) in three dimensions: optimum -10000.
		{"Klee and Minty", program{
			[]Column{free(-100), free(-10), free(-1)},
			[]Row{full(-Inf, 1, 1, 0, 0), full(-Inf, 100, 20, 1, 0), full(-Inf, 10000, 200, 20, 1)},
		}, -10000},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			s := tt.p.solver(t)
			if st := s.Solve(1000); st != Optimal || math.Abs(s.Objective()-tt.want) > 1e-7 {
				t.Errorf("%v %v (%s), want %v", st, s.Objective(), s.Trouble(), tt.want)
			}
		})
	}
}

// TestGoesOn changes bounds and rows between solves, saves and loads bases, tries
// bounds out, and compares each answer with one from nothing.
func TestGoesOn(t *testing.T) {
	for seed := range dose(300, 5000) {
		rng := rand.New(rand.NewPCG(uint64(seed), 11))
		p := random(rng)
		for j := range p.columns {
			c := &p.columns[j]
			c.Lower = max(c.Lower, -6)
			c.Upper = min(c.Upper, c.Lower+9)
		}
		all := p.rows
		p.rows = p.rows[:rng.IntN(len(p.rows)+1)]
		s := p.solver(t)
		var saved *Basis
		savedRows := 0
		for step := range 12 {
			switch rng.IntN(6) {
			case 0, 1:
				j := rng.IntN(len(p.columns))
				c := &p.columns[j]
				c.Lower = rng.Int64N(12) - 6
				c.Upper = c.Lower + rng.Int64N(4)
				s.SetBounds(j, c.Lower, c.Upper)
			case 2:
				if len(p.rows) < len(all) {
					r := all[len(p.rows)]
					p.rows = append(p.rows[:len(p.rows):len(p.rows)], r)
					if err := s.AddRow(r); err != nil {
						t.Fatal(err)
					}
				}
			case 3:
				drop := rng.IntN(len(p.rows) + 1)
				if drop < len(p.rows) {
					all = append(append([]Row(nil), all[:drop]...), all[drop+1:]...)
					p.rows = append(append([]Row(nil), p.rows[:drop]...), p.rows[drop+1:]...)
					s.KeepRows(func(i int) bool { return i != drop })
					saved = nil
				}
			case 4:
				if saved == nil || savedRows > len(p.rows) {
					saved, savedRows = s.Basis(), len(p.rows)
				} else {
					s.Load(saved)
				}
			case 5:
				j := rng.IntN(len(p.columns))
				if s.Mark() {
					got := s.Try(j, p.columns[j].Lower, p.columns[j].Lower, 10000, nil)
					q := program{append([]Column(nil), p.columns...), p.rows}
					q.columns[j].Upper = q.columns[j].Lower
					same(t, seed, step, "try", got, &q)
					if len(p.rows) > 0 {
						i := rng.IntN(len(p.rows))
						r := p.rows[i]
						if r.Upper = r.Lower; r.Lower == -Inf {
							r.Lower, r.Upper = p.rows[i].Upper, p.rows[i].Upper
						}
						if r.Lower == Inf {
							continue
						}
						got := s.TryRow(i, r.Lower, r.Upper, 10000, nil)
						q := program{p.columns, append([]Row(nil), p.rows...)}
						q.rows[i] = r
						same(t, seed, step, "try of a row", got, &q)
					}
				}
			}
			st := s.Solve(10000)
			if st != Optimal && st != Infeasible {
				t.Fatalf("seed %d step %d: %v (%s)", seed, step, st, s.Trouble())
			}
			got := math.Inf(1)
			if st == Optimal {
				got = s.Objective()
			}
			same(t, seed, step, "solve", got, p)
		}
	}
}

func same(t *testing.T, seed, step int, what string, got float64, p *program) {
	t.Helper()
	s := p.solver(t)
	want := math.Inf(1)
	if st := s.Solve(10000); st == Optimal {
		want = s.Objective()
	} else if st != Infeasible {
		t.Fatalf("seed %d step %d: from nothing: %v", seed, step, st)
	}
	if got != want && !(math.Abs(got-want) <= 1e-6*(1+math.Abs(want))) {
		t.Fatalf("seed %d step %d: %s gives %v, from nothing %v", seed, step, what, got, want)
	}
}

// A position of infinite weight would never leave the basis, whatever its value.
func TestWeightsStayFinite(t *testing.T) {
	s, err := New([]Column{boxed(1, 0, 9), boxed(2, 0, 9)})
	if err != nil || s.AddRow(full(3, 9, 1, 1)) != nil || s.AddRow(full(2, 9, 1, -1)) != nil {
		t.Fatal("the program was not taken")
	}
	s.Solve(100)
	s.column(int32(len(s.columns)), s.col)
	for range 2 {
		s.weigh(0, 1e-170)
	}
	for p, w := range s.weight {
		if math.IsNaN(w) || math.IsInf(w, 0) {
			t.Errorf("position %d weighs %g", p, w)
		}
	}
}

// TestStopped: a bound from a solve that was cut short holds as well.
func TestStopped(t *testing.T) {
	for seed := range dose(300, 5000) {
		p := random(rand.New(rand.NewPCG(uint64(seed), 13)))
		whole := p.solver(t)
		if whole.Solve(10000) != Optimal {
			continue
		}
		want := whole.Objective()
		s := p.solver(t)
		for limit := range 6 {
			st := s.Solve(limit)
			var c Certificate
			s.Certify(&c)
			if b := c.Bound(); b > want+1e-7*(1+math.Abs(want)) {
				t.Fatalf("seed %d: after %d iterations (%v) the bound is %v, the optimum %v", seed, limit, st, b, want)
			}
		}
	}
}

// TestRounding holds Rounding against all whole points of small rows.
func TestRounding(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 17))
	for range dose(2000, 50000) {
		a := []int64{rng.Int64N(41) - 20, rng.Int64N(41) - 20, rng.Int64N(41) - 20}
		b, d := rng.Int64N(81)-40, 1+rng.Int64N(25)
		r, ok := NewRounding(b, d)
		if !ok {
			continue
		}
		for x := range int64(6) {
			for y := range int64(6) {
				for z := range int64(6) {
					if a[0]*x+a[1]*y+a[2]*z < b {
						continue
					}
					if got := r.Whole(a[0])*x + r.Whole(a[1])*y + r.Whole(a[2])*z; got < r.Side {
						t.Fatalf("%v >= %d by %d: the row cuts off %d %d %d", a, b, d, x, y, z)
					}
					if got := r.Whole(a[0])*x + r.Whole(a[1])*y + r.Part(a[2])*z; got < r.Side {
						t.Fatalf("%v >= %d by %d: with a part, the row cuts off %d %d %d", a, b, d, x, y, z)
					}
				}
			}
		}
	}
}

// TestBasisRows goes through all whole points of tiny programs: no row cuts one
// off, and the solution at hand is cut off. Rows are put in and rounded again.
func TestBasisRows(t *testing.T) {
	made := 0
	for seed := range dose(800, 20000) {
		rng := rand.New(rand.NewPCG(uint64(seed), 19))
		p := tinyProgram(rng)
		points := wholePoints(p)
		s := p.solver(t)
		for range 4 {
			if s.Solve(1000) != Optimal {
				break
			}
			if len(points) > 0 {
				least := math.Inf(1)
				for _, x := range points {
					least = min(least, p.costOf(x))
				}
				var c Certificate
				if s.Certify(&c); c.Bound() > least {
					t.Fatalf("seed %d: bound %v, best whole point %v", seed, c.Bound(), least)
				}
			}
			rows := s.BasisRows(10)
			for _, r := range rows {
				made++
				for _, x := range points {
					if sumOf(r, x) < r.Lower {
						t.Fatalf("seed %d: %+v cuts off %v", seed, r, x)
					}
				}
				if err := s.AddRow(r); err != nil {
					t.Fatal(err)
				}
			}
			if len(rows) == 0 {
				break
			}
		}
	}
	if made < 100 {
		t.Errorf("only %d rows were made", made)
	}
}

func (p *program) costOf(x []int64) (sum float64) {
	for j, c := range p.columns {
		sum += float64(c.Cost * x[j])
	}
	return sum
}

func sumOf(r Row, x []int64) (sum int64) {
	for k, j := range r.Cols {
		sum += r.Coefs[k] * x[j]
	}
	return sum
}

// wholePoints lists all whole points within the bounds.
func wholePoints(p *program) (out [][]int64) {
	x := make([]int64, len(p.columns))
	var walk func(j int)
	walk = func(j int) {
		if j == len(x) {
			for _, r := range p.rows {
				if v := sumOf(r, x); v < r.Lower || v > r.Upper {
					return
				}
			}
			out = append(out, append([]int64(nil), x...))
			return
		}
		for x[j] = p.columns[j].Lower; x[j] <= p.columns[j].Upper; x[j]++ {
			walk(j + 1)
		}
	}
	walk(0)
	return out
}

// TestWide checks 128-bit sums against floating point and against themselves.
func TestWide(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 23))
	for range 20000 {
		a, b := rng.Int64()>>rng.IntN(60), rng.Int64()>>rng.IntN(60)
		if rng.IntN(2) == 0 {
			a = -a
		}
		if rng.IntN(2) == 0 {
			b = -b
		}
		p := product(a, b)
		want := float64(a) * float64(b)
		for _, shift := range []int{0, 20} {
			got := p.floor(shift)
			w := math.Ldexp(want, -shift)
			if math.Abs(got-w) > 1e-13*math.Abs(w) {
				t.Fatalf("%d * %d = %v, want %v", a, b, got, w)
			}
		}
		q := product(b, 3).plus(p).minus(product(3, b)).minus(p)
		if q.sign() != 0 {
			t.Fatalf("%d %d: %v is not 0", a, b, q)
		}
		if c := rng.Int64N(1 << 20); true {
			r, ok := product(a>>20, b).times(c)
			again := product(a>>20, b*1)
			sum := wide{}
			if ok && c < 50 {
				for range c {
					sum = sum.plus(again)
				}
				if sum != r {
					t.Fatalf("%d * %d * %d is off", a>>20, b, c)
				}
			}
		}
	}
}

// FuzzSolve makes programs of any bytes: a solve must end, and what it proves must
// hold at every whole point.
func FuzzSolve(f *testing.F) {
	f.Add([]byte{3, 2, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12})
	f.Add([]byte{2, 3, 0, 0, 0, 0, 255, 128, 7, 9, 0, 1})
	f.Fuzz(func(t *testing.T, data []byte) {
		at := 0
		next := func() int64 {
			if at >= len(data) {
				return 0
			}
			at++
			return int64(data[at-1])
		}
		p := &program{}
		n, m := 1+int(next()%4), int(next()%5)
		for range n {
			lo := next()%5 - 2
			p.columns = append(p.columns, boxed(next()-128, lo, lo+next()%4))
		}
		for range m {
			coefs := make([]int64, n)
			for j := range coefs {
				coefs[j] = next()%32 - 16
				if next()%16 == 0 {
					coefs[j] *= 4099
				}
			}
			lo := next() - 128
			p.rows = append(p.rows, full(lo, []int64{Inf, lo, lo + 20}[next()%3], coefs...))
		}
		points := wholePoints(p)
		s := p.solver(t)
		for range 3 {
			st := s.Solve(500)
			switch st {
			case Infeasible:
				var proof Certificate
				if s.CertifyInfeasible(&proof) && len(points) > 0 {
					t.Fatalf("proven infeasible, but %v is within all bounds", points[0])
				}
				return
			case Optimal, Stopped, Trouble:
			default:
				t.Fatalf("%v", st)
			}
			var c Certificate
			s.Certify(&c)
			for _, x := range points {
				if c.Bound() > p.costOf(x) {
					t.Fatalf("bound %v, but %v costs %v", c.Bound(), x, p.costOf(x))
				}
			}
			if st != Optimal {
				return
			}
			for _, r := range s.BasisRows(5) {
				for _, x := range points {
					if sumOf(r, x) < r.Lower {
						t.Fatalf("%+v cuts off %v", r, x)
					}
				}
				if err := s.AddRow(r); err != nil {
					t.Fatal(err)
				}
			}
		}
	})
}

// covering is a covering-like program of 400 rows and 1,000 columns.
func covering() *program {
	rng := rand.New(rand.NewPCG(5, 29))
	p := &program{}
	for range 1000 {
		p.columns = append(p.columns, boxed(50+rng.Int64N(400), 0, 3))
	}
	for range 400 {
		r := Row{Lower: 1 + rng.Int64N(3), Upper: Inf}
		at := map[int32]bool{}
		for range 2 + rng.IntN(12) {
			if j := rng.Int32N(1000); !at[j] {
				at[j] = true
				r.Cols, r.Coefs = append(r.Cols, j), append(r.Coefs, 1+rng.Int64N(3))
			}
		}
		p.rows = append(p.rows, r)
	}
	return p
}

func BenchmarkSolve(b *testing.B) {
	p := covering()
	for b.Loop() {
		s := p.solver(b)
		if st := s.Solve(100000); st != Optimal {
			b.Fatal(st)
		}
	}
}

// TestTrialsShareFactors has a trial that factorises anew: those after it start from the
// factors of the marked basis again.
func TestTrialsShareFactors(t *testing.T) {
	s := covering().solver(t)
	if st := s.Solve(100000); st != Optimal || !s.Mark() {
		t.Fatal(st)
	}
	try := func(j int) float64 { return s.Try(j, 2, 3, 20, nil) }
	before := make([]float64, 20)
	for j := range before {
		before[j] = try(j)
	}
	s.stale()
	try(0)
	builds := s.factor.builds
	for j := range before {
		if v := try(j); math.Abs(v-before[j]) > 1e-7*math.Abs(before[j]) {
			t.Errorf("column %d: %v, and %v before", j, v, before[j])
		}
	}
	if s.factor.builds != builds {
		t.Errorf("%d factorisations in %d trials from one basis", s.factor.builds-builds, len(before))
	}
}
