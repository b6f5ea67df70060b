package testkit

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"halfpot/optimize"
)

// Long asks for the full numbers of cross-checks (minutes instead of
// seconds) and makes a missing general solver a failure.
func Long() bool { return os.Getenv("HALFPOT_LONG") == "1" }

// Few gives the number of cases to run: all in a long dose, else a part.
func Few(part, all int) int {
	if Long() {
		return all
	}
	return part
}

// A generalSolver is a mixed-integer solver of Debian that reads LP files.
type GeneralSolver struct {
	Name string
	// run solves the file and says whether it has a solution, and its value.
	run func(file, out string) (value float64, solved bool, err error)
}

var number = regexp.MustCompile(`[-+]?\d+(\.\d+)?([eE][-+]?\d+)?`)

// GeneralSolvers are those found here. None: the test is skipped, or fails
// in a long dose.
func GeneralSolvers(t *testing.T) []GeneralSolver {
	t.Helper()
	var found []GeneralSolver
	for _, s := range []GeneralSolver{{"glpsol", runGLPSOL}, {"cbc", runCBC}} {
		if _, err := exec.LookPath(s.Name); err != nil {
			if Long() {
				t.Fatalf("%s is not installed (Debian: apt-get install glpk-utils coinor-cbc), "+
					"and HALFPOT_LONG=1 asks for it", s.Name)
			}
			t.Logf("%s is not installed: not compared with it", s.Name)
			continue
		}
		found = append(found, s)
	}
	if len(found) == 0 {
		t.Skip("neither glpsol nor cbc is installed (Debian: apt-get install glpk-utils coinor-cbc)")
	}
	return found
}

func runGLPSOL(file, out string) (float64, bool, error) {
	log, err := exec.Command("glpsol", "--cuts", "--pcost", "--tmlim", "120", "--lp", file, "-o", out).CombinedOutput()
	if err != nil {
		// GLPK 5.0 aborts when it adds cuts to a file that its
		// preprocessing has emptied of columns.
		log, err = exec.Command("glpsol", "--tmlim", "120", "--lp", file, "-o", out).CombinedOutput()
	}
	if err != nil {
		return 0, false, fmt.Errorf("%w: %s", err, log)
	}
	text, err := os.ReadFile(out)
	if err != nil {
		return 0, false, err
	}
	switch {
	case bytes.Contains(text, []byte("INTEGER OPTIMAL")):
		_, rest, _ := strings.Cut(string(text), "Objective:  obj =")
		v, err := strconv.ParseFloat(number.FindString(rest), 64)
		return v, true, err
	case bytes.Contains(log, []byte("HAS NO PRIMAL FEASIBLE")),
		bytes.Contains(log, []byte("HAS NO INTEGER FEASIBLE")),
		bytes.Contains(text, []byte("INTEGER EMPTY")):
		return 0, false, nil
	}
	return 0, false, fmt.Errorf("no answer: %s", log)
}

func runCBC(file, out string) (float64, bool, error) {
	log, err := exec.Command("cbc", file, "ratioGap", "0", "allowableGap", "0", "seconds", "120", "solve",
		"solution", out).CombinedOutput()
	if err != nil {
		return 0, false, fmt.Errorf("%w: %s", err, log)
	}
	text, err := os.ReadFile(out)
	if err != nil {
		return 0, false, fmt.Errorf("%w: %s", err, log)
	}
	line, _, _ := strings.Cut(string(text), "\n")
	switch {
	case strings.HasPrefix(line, "Optimal"):
		v, err := strconv.ParseFloat(number.FindString(line), 64)
		return v, true, err
	case strings.HasPrefix(line, "Infeasible"), strings.HasPrefix(line, "Integer infeasible"):
		return 0, false, nil
	}
	return 0, false, fmt.Errorf("no answer: %q, %s", line, log)
}

// Export writes a problem in LP format, in the strong form or the plain one;
// under a budget for the greatest worth (nil) or at least so much.
type Export func(w io.Writer, strong bool, worth *int64) error

// Ask puts an LP file to a general solver and says whether it has a solution,
// and its value.
func (s GeneralSolver) Ask(t *testing.T, write func(io.Writer) error) (int64, bool) {
	t.Helper()
	dir := t.TempDir()
	file := filepath.Join(dir, "problem.lp")
	w, err := os.Create(file)
	if err != nil {
		t.Fatal(err)
	}
	if err := write(w); err != nil {
		t.Fatal(err)
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	v, solved, err := s.run(file, filepath.Join(dir, "answer"))
	if err != nil {
		t.Fatalf("%s: %v", s.Name, err)
	}
	if math.Abs(v-math.Round(v)) > 0.01 {
		t.Fatalf("%s: a value of %v where all amounts are whole", s.Name, v)
	}
	return int64(math.Round(v)), solved
}

// AskLevels puts a problem to a general solver as the page asks: level 1, under
// a budget after level 0.
func (s GeneralSolver) AskLevels(
	t *testing.T, p *optimize.Problem, strong bool, export Export,
) (l Levels, solved bool) {
	t.Helper()
	var least *int64
	if p.Rules.Budget != nil {
		worth, solved := s.Ask(t, func(w io.Writer) error { return export(w, strong, nil) })
		if !solved {
			return Levels{}, false
		}
		l.Worth, least = worth, &worth
	}
	l.Money, solved = s.Ask(t, func(w io.Writer) error { return export(w, strong, least) })
	return l, solved
}
