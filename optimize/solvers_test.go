package optimize

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// thorough asks for the full numbers of cross-checks (minutes instead of
// seconds) and makes a missing general solver a failure.
func thorough() bool { return os.Getenv("HALFPOT_CROSS") == "1" }

// few gives the number of cases to run: all when thorough, else a part.
func few(part, all int) int {
	if thorough() {
		return all
	}
	return part
}

// A generalSolver is a mixed-integer solver of Debian that reads LP files.
type generalSolver struct {
	name string
	// run solves the file and says whether it has a solution, and its value.
	run func(file, out string) (value float64, solved bool, err error)
}

var number = regexp.MustCompile(`[-+]?\d+(\.\d+)?([eE][-+]?\d+)?`)

// generalSolvers are those found here. None: the test is skipped, or fails
// when it was to be thorough.
func generalSolvers(t *testing.T) []generalSolver {
	t.Helper()
	var found []generalSolver
	for _, s := range []generalSolver{{"glpsol", runGLPSOL}, {"cbc", runCBC}} {
		if _, err := exec.LookPath(s.name); err != nil {
			if thorough() {
				t.Fatalf("%s is not installed (Debian: apt-get install glpk-utils coinor-cbc), and HALFPOT_CROSS=1 asks for it", s.name)
			}
			t.Logf("%s is not installed: not compared with it", s.name)
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
	case bytes.Contains(log, []byte("HAS NO PRIMAL FEASIBLE")), bytes.Contains(log, []byte("HAS NO INTEGER FEASIBLE")), bytes.Contains(text, []byte("INTEGER EMPTY")):
		return 0, false, nil
	}
	return 0, false, fmt.Errorf("no answer: %s", log)
}

func runCBC(file, out string) (float64, bool, error) {
	log, err := exec.Command("cbc", file, "ratioGap", "0", "allowableGap", "0", "seconds", "120", "solve", "solution", out).CombinedOutput()
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

// ask puts the LP export of a problem to a general solver.
func (s generalSolver) ask(t *testing.T, p *Problem, opt LPOptions) (int64, bool) {
	t.Helper()
	dir := t.TempDir()
	file := filepath.Join(dir, "problem.lp")
	w, err := os.Create(file)
	if err != nil {
		t.Fatal(err)
	}
	if err := WriteLP(w, p, opt); err != nil {
		t.Fatal(err)
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	v, solved, err := s.run(file, filepath.Join(dir, "answer"))
	if err != nil {
		t.Fatalf("%s: %v", s.name, err)
	}
	if math.Abs(v-math.Round(v)) > 0.01 {
		t.Fatalf("%s: a value of %v where all amounts are whole", s.name, v)
	}
	return int64(math.Round(v)), solved
}
