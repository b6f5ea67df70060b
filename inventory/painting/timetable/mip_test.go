package timetable

import (
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// The single machine with chains and minimum time lags, 1 | chains, l_ij | Cmax
// (Wikum, Llewellyn & Nemhauser 1994), as a disjunctive mixed-integer program for
// GLPK, a solver of other authors: the least makespan must be the shortest sitting
// that the timetable fits the same work into.
func TestAgainstGLPK(t *testing.T) {
	if _, err := exec.LookPath("glpsol"); err != nil {
		if os.Getenv("HALFPOT_LONG") != "" {
			t.Fatal("no glpsol on this machine: ", err)
		}
		t.Skip("no glpsol on this machine: ", err)
	}
	tries := 8
	if os.Getenv("HALFPOT_LONG") != "" {
		tries = 60
	}
	rng := rand.New(rand.NewPCG(19, 94))
	for i := range tries {
		p := &Problem{Mixes: []Mix{{ID: "none"}}}
		total := 0
		for b := range 3 {
			batch := Batch{ID: fmt.Sprint(b), Figures: 1 + rng.IntN(3)}
			steps := 2 + rng.IntN(2)
			for s := range steps {
				st := Step{ID: fmt.Sprint(s), Each: 1 + rng.IntN(6), Ready: rng.IntN(8)}
				for range steps - s - 1 {
					st.Waits = append(st.Waits, rng.IntN(25))
				}
				total += st.Each*batch.Figures + 33
				batch.Steps = append(batch.Steps, st)
			}
			if b == 2 && i%3 == 0 {
				batch.After = []int{0}
			}
			p.Batches = append(p.Batches, batch)
		}
		want := glpkMakespan(t, p, total)
		if got := leastEnd(t, p, total); got != want {
			t.Errorf("try %d: %d, GLPK finds %d\n%+v", i, got, want, p)
		}
	}
}

// glpkMakespan writes the problem as a linear program with big-M disjunctions, the
// waits figure by figure.
func glpkMakespan(t *testing.T, p *Problem, big int) int {
	t.Helper()
	var rows, bins []string
	name := func(b, i int) string { return fmt.Sprintf("s_%d_%d", b, i) }
	row := func(format string, a ...any) { rows = append(rows, fmt.Sprintf(format, a...)) }
	work := func(b, i int) int { return p.Batches[b].Figures * p.Batches[b].Steps[i].Each }
	for b, bt := range p.Batches {
		for i, s := range bt.Steps {
			row("%s >= %d", name(b, i), s.Ready)
			row("end - %s >= %d", name(b, i), work(b, i))
			for j := i + 1; j < len(bt.Steps); j++ {
				row("%s - %s >= %d", name(b, j), name(b, i), work(b, i))
				for f := range bt.Figures { // each figure waits by itself
					row("%s - %s >= %d", name(b, j), name(b, i), (f+1)*s.Each+s.Waits[j-i-1]-f*bt.Steps[j].Each)
				}
			}
			for c := b + 1; c < len(p.Batches); c++ {
				for j := range p.Batches[c].Steps {
					y := fmt.Sprintf("y_%d_%d_%d_%d", b, i, c, j)
					bins = append(bins, y)
					row("%s - %s - %d %s >= %d", name(c, j), name(b, i), big, y, work(b, i)-big)
					row("%s - %s + %d %s >= %d", name(b, i), name(c, j), big, y, work(c, j))
				}
			}
		}
		for _, a := range bt.After {
			last := len(p.Batches[a].Steps) - 1
			row("%s - %s >= %d", name(b, 0), name(a, last), work(a, last))
		}
	}
	dir := t.TempDir()
	lp, sol := filepath.Join(dir, "p.lp"), filepath.Join(dir, "p.sol")
	text := "Minimize\n obj: end\nSubject To\n " + strings.Join(rows, "\n ") + "\nBinary\n " +
		strings.Join(bins, "\n ") + "\nEnd\n"
	if err := os.WriteFile(lp, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	if out, err := exec.Command("glpsol", "--lp", lp, "-o", sol).CombinedOutput(); err != nil {
		t.Fatalf("glpsol: %v\n%s", err, out)
	}
	answer, err := os.ReadFile(sol)
	if err != nil {
		t.Fatal(err)
	}
	found := regexp.MustCompile(`(?s)Status:\s+INTEGER OPTIMAL.*Objective:\s+obj = (\d+)`).FindSubmatch(answer)
	if found == nil {
		t.Fatalf("glpsol found no optimum:\n%s", answer)
	}
	n, _ := strconv.Atoi(string(found[1]))
	return n
}
