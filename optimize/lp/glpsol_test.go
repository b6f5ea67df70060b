package lp

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// program is a linear program as a test makes it.
type program struct {
	columns []Column
	rows    []Row
}

func (p *program) solver(t testing.TB) *Solver {
	t.Helper()
	s, err := New(p.columns)
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range p.rows {
		if err := s.AddRow(r); err != nil {
			t.Fatal(err)
		}
	}
	return s
}

// write writes it in CPLEX LP format.
func (p *program) write() string {
	var b strings.Builder
	term := func(a int64, j int) { fmt.Fprintf(&b, " %+d x%d", a, j) }
	b.WriteString("Minimize\n obj:")
	for j, c := range p.columns {
		term(c.Cost, j)
	}
	b.WriteString("\nSubject To\n")
	for _, r := range p.rows {
		line := func(op string, v int64) {
			b.WriteString(" ")
			if len(r.Cols) == 0 {
				b.WriteString("0 x0")
			}
			for k, j := range r.Cols {
				term(r.Coefs[k], int(j))
			}
			fmt.Fprintf(&b, " %s %d\n", op, v)
		}
		switch {
		case r.Lower == r.Upper:
			line("=", r.Lower)
		default:
			if r.Lower != -Inf {
				line(">=", r.Lower)
			}
			if r.Upper != Inf {
				line("<=", r.Upper)
			}
		}
	}
	b.WriteString("Bounds\n")
	for j, c := range p.columns {
		lo, hi := "-inf", "+inf"
		if c.Lower != -Inf {
			lo = strconv.FormatInt(c.Lower, 10)
		}
		if c.Upper != Inf {
			hi = strconv.FormatInt(c.Upper, 10)
		}
		fmt.Fprintf(&b, " %s <= x%d <= %s\n", lo, j, hi)
	}
	b.WriteString("End\n")
	return b.String()
}

var objective = regexp.MustCompile(`Objective:\s+obj = (\S+)`)

// glpsol asks GLPK.
func (p *program) glpsol(t testing.TB, dir string, exact bool) (Status, float64) {
	t.Helper()
	file, out := filepath.Join(dir, "p.lp"), filepath.Join(dir, "p.txt")
	if err := os.WriteFile(file, []byte(p.write()), 0o644); err != nil {
		t.Fatal(err)
	}
	args := []string{"--lp", file, "-o", out}
	if exact {
		args = append(args, "--exact")
	} else {
		args = append(args, "--nopresol")
	}
	log, err := exec.Command("glpsol", args...).CombinedOutput()
	if err != nil {
		t.Fatalf("glpsol: %v\n%s", err, log)
	}
	text, err := os.ReadFile(out)
	if err != nil {
		t.Fatal(err)
	}
	said := string(text) + string(log)
	switch {
	case strings.Contains(said, "UNBOUNDED") && !strings.Contains(said, "INFEASIBLE"),
		strings.Contains(string(log), "HAS NO DUAL FEASIBLE"),
		strings.Contains(string(log), "HAS UNBOUNDED"):
		return Unbounded, 0
	case strings.Contains(said, "NO PRIMAL FEASIBLE"), strings.Contains(said, "NO FEASIBLE"),
		strings.Contains(said, "INFEASIBLE"), strings.Contains(said, "UNDEFINED"):
		return Infeasible, 0
	}
	got := objective.FindStringSubmatch(string(text))
	if got == nil {
		t.Fatalf("glpsol says:\n%s\n%s", log, text)
	}
	v, err := strconv.ParseFloat(got[1], 64)
	if err != nil {
		t.Fatal(err)
	}
	return Optimal, v
}

// random makes a program: some degenerate, some infeasible, some unbounded.
func random(rng *rand.Rand) *program {
	p := &program{}
	n, m := 1+rng.IntN(14), 1+rng.IntN(12)
	if rng.IntN(6) == 0 {
		n, m = n*4, m*4
	}
	kind := rng.IntN(4)
	span := int64(1 + rng.IntN(9))
	if rng.IntN(8) == 0 {
		span = 20000
	}
	for range n {
		c := Column{Cost: rng.Int64N(2*span+1) - span, Lower: 0, Upper: 1 + rng.Int64N(9)}
		switch kind {
		case 0: // boxed
		case 1:
			c.Upper = Inf
			if rng.IntN(4) > 0 {
				c.Cost = max(c.Cost, -c.Cost)
			}
		default:
			switch rng.IntN(5) {
			case 0:
				c.Lower, c.Upper = -Inf, Inf
			case 1:
				c.Lower = -Inf
			case 2:
				c.Upper = Inf
			case 3:
				c.Upper = c.Lower
			}
		}
		p.columns = append(p.columns, c)
	}
	// Most have a point that is within all bounds.
	point := make([]int64, n)
	for j, c := range p.columns {
		lo, hi := max(c.Lower, -5), min(c.Upper, max(c.Lower, -5)+9)
		point[j] = min(lo+rng.Int64N(max(hi-lo, 0)+1), hi)
	}
	wild := rng.IntN(5) == 0
	for range m {
		r := Row{Lower: -Inf, Upper: Inf}
		sum := int64(0)
		for j := range n {
			if rng.IntN(3) == 0 || n < 4 {
				if a := rng.Int64N(2*span+1) - span; a != 0 {
					r.Cols, r.Coefs = append(r.Cols, int32(j)), append(r.Coefs, a)
					sum += a * point[j]
				}
			}
		}
		side := sum
		if wild {
			side = rng.Int64N(4*span+1) - 2*span
		}
		switch rng.IntN(5) {
		case 0:
			r.Lower, r.Upper = side, side
		case 1:
			r.Lower, r.Upper = side-rng.Int64N(3), side+rng.Int64N(5)
		case 2:
			r.Upper = side + max(0, rng.Int64N(2*span+1)-span) // often degenerate
		default:
			r.Lower = side - max(0, rng.Int64N(2*span+1)-span)
		}
		p.rows = append(p.rows, r)
	}
	return p
}

func need(t testing.TB) {
	t.Helper()
	if _, err := exec.LookPath("glpsol"); err != nil {
		if os.Getenv("HALFPOT_LONG") != "" {
			t.Fatal("glpsol is not installed, and HALFPOT_LONG asks for it")
		}
		t.Skip("glpsol is not installed")
	}
}

// TestAgainstGLPK compares random programs with GLPK's simplex method: the
// status, and the optimum to 1e-7 of its size; with its exact arithmetic the safe
// bound too, which must not lie above.
func TestAgainstGLPK(t *testing.T) {
	need(t)
	count := 150
	if os.Getenv("HALFPOT_LONG") == "1" {
		count = 10000
	}
	dir := t.TempDir()
	var seen [Trouble + 1]int
	for seed := range count {
		p := random(rand.New(rand.NewPCG(uint64(seed), 7)))
		s := p.solver(t)
		got := s.Solve(100000)
		want, value := p.glpsol(t, dir, true)
		seen[got]++
		if got != want {
			// GLPK tells infeasible from unbounded by how it got there: a program
			// that is both may be called either.
			if !(got == Infeasible && want == Unbounded && s.CertifyInfeasible(new(Certificate))) {
				t.Errorf("seed %d: %v (%s), GLPK says %v %v", seed, got, s.Trouble(), want, value)
			}
			continue
		}
		switch got {
		case Optimal:
			if math.Abs(s.Objective()-value) > 1e-7*(1+math.Abs(value)) {
				t.Errorf("seed %d: objective %v, GLPK says %v", seed, s.Objective(), value)
			}
			var c Certificate
			s.Certify(&c)
			if b := c.Bound(); b > value+1e-9*(1+math.Abs(value)) {
				t.Errorf("seed %d: the safe bound %v lies above the optimum %v", seed, b, value)
			} else if p.boxed() && b < value-1e-7*(1+math.Abs(value)) {
				t.Errorf("seed %d: the safe bound %v lies below the optimum %v", seed, b, value)
			}
		case Infeasible:
			if p.boxed() && !s.CertifyInfeasible(new(Certificate)) {
				t.Errorf("seed %d: infeasible, but not proven", seed)
			}
		}
	}
	t.Logf("of %d programs: %d optimal, %d infeasible, %d unbounded",
		count, seen[Optimal], seen[Infeasible], seen[Unbounded])
	for _, st := range []Status{Optimal, Infeasible, Unbounded} {
		if seen[st] == 0 {
			t.Errorf("none was %v", st)
		}
	}
}

func (p *program) boxed() bool {
	for _, c := range p.columns {
		if c.Lower == -Inf || c.Upper == Inf {
			return false
		}
	}
	return true
}
