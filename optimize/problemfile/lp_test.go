package problemfile

import (
	"errors"
	"io"
	"regexp"
	"strings"
	"testing"

	"halfpot/optimize"
	"halfpot/optimize/generate"
	"halfpot/optimize/internal/testkit"
)

func exported(t *testing.T, p *optimize.Problem, opt LPOptions) string {
	t.Helper()
	var b strings.Builder
	if err := WriteLP(&b, p, opt); err != nil {
		t.Fatal(err)
	}
	_, body, ok := strings.Cut(b.String(), "counted from 1, as in the problem.\n")
	if !ok {
		_, body, ok = strings.Cut(b.String(), "Counted from 1, as in the problem.\n")
	}
	if !ok {
		t.Fatalf("no header in\n%s", b.String())
	}
	return body
}

// TestExportOfASmallProblem spells out a whole file: rows for the need, the
// paints, the shop's boxes, band and minimum order, and max_shops.
func TestExportOfASmallProblem(t *testing.T) {
	p, err := Read(strings.NewReader(testkit.Small))
	if err != nil {
		t.Fatal(err)
	}
	p.Rules.Budget = nil
	const want = `Minimize
 obj: + 295 x1 + 700 x2 + 395 z1_1 - 100 z1_2 + 25 y1_2
Subject To
 c1: + y1_1 + y1_2 = 1
 c2: + y1_1 - w1_1 <= 0
 c3: + y1_2 - w1_2 <= 0
 c4: + w1_1 + w1_2 <= 1
 c5: + 9 y1_1 + 3 y1_2 - 170 x1 - 340 x2 <= 5
 c6: + y1_1 - x1 - x2 <= 0
 c7: + 3 y1_2 - 85 x2 <= 0
 c8: + y1_2 - x2 <= 0
 c9: + x1 - 11 u1 <= 0
 c10: + x2 - 3 u1 <= 0
 c11: + u1 - z1_1 - z1_2 = 0
 c12: + 59 x1 + 140 x2 - 100 z1_1 - 600 z1_2 >= 0
 c13: + u1 <= 1
Bounds
 0 <= x1 <= 11
 0 <= x2 <= 3
General
 x1
 x2
Binary
 y1_1
 y1_2
 u1
 z1_1
 z1_2
 w1_1
 w1_2
End
`
	if got := exported(t, p, LPOptions{Strong: true}); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
	plain := exported(t, p, LPOptions{})
	if strings.Contains(plain, "+ y1_1 - x1 - x2 <= 0") ||
		!strings.Contains(plain, "+ 9 y1_1 + 3 y1_2 - 170 x1 - 340 x2 <= 5") {
		t.Errorf("the plain form has strong rows, or lacks others:\n%s", plain)
	}
}

func TestExportUnderABudget(t *testing.T) {
	p, err := Read(strings.NewReader(testkit.Small))
	if err != nil {
		t.Fatal(err)
	}
	first := exported(t, p, LPOptions{})
	for _, line := range []string{
		"Maximize\n obj: + 8 f1\n",
		" + y1_1 + y1_2 - f1 = 0\n",
		" + 59 x1 + 140 x2 + 79 z1_1 - 20 z1_2 <= 400\n",
		"\n f1\n",
	} {
		if !strings.Contains(first, line) {
			t.Errorf("no %q in\n%s", line, first)
		}
	}
	worth := int64(8)
	second := exported(t, p, LPOptions{Worth: &worth})
	for _, line := range []string{"Minimize\n obj: + 295 x1", " + f1 >= 1\n"} {
		if !strings.Contains(second, line) {
			t.Errorf("no %q in\n%s", line, second)
		}
	}
}

// Whatever the ids, names keep to what CPLEX LP readers allow, and lines stay
// well under the 510 characters that the strictest of them take.
func TestExportKeepsToTheFormat(t *testing.T) {
	name := regexp.MustCompile(`^[fuwxyz][0-9_]+$`)
	for _, size := range []string{"tiny", "desk", "club"} {
		shape, _ := generate.Named(size)
		shape.Budget = size == "desk"
		p := generate.Problem(1, shape)
		for n := range p.Needs {
			p.Needs[n].ID = strings.Repeat("é ≤\n", 50) + p.Needs[n].ID
		}
		body := exported(t, p, LPOptions{Strong: true})
		for line := range strings.Lines(body) {
			if len(line) > 255 {
				t.Fatalf("%s: a line of %d characters", size, len(line))
			}
		}
		_, list, _ := strings.Cut(body, "General\n")
		seen := map[string]bool{}
		for _, word := range strings.Fields(list) {
			if word == "Binary" || word == "End" {
				continue
			}
			if !name.MatchString(word) || seen[word] {
				t.Fatalf("%s: the name %q is odd or there twice", size, word)
			}
			seen[word] = true
		}
	}
}

type fullDisk struct{}

func (fullDisk) Write([]byte) (int, error) { return 0, io.ErrShortWrite }

func TestExportTellsOfAFullDisk(t *testing.T) {
	if err := WriteLP(fullDisk{}, testkit.Odd(1), LPOptions{}); !errors.Is(err, io.ErrShortWrite) {
		t.Errorf("error %v", err)
	}
}

// An empty problem and one without anything to pay still make a file with an
// objective that solvers read.
func TestExportOfAlmostNothing(t *testing.T) {
	solvers := testkit.GeneralSolvers(t)
	p := &optimize.Problem{
		Currency: "EUR",
		Paints:   []optimize.Paint{{ID: "p", HaveUL: 5}},
		Needs: []optimize.Need{{
			ID:      "n",
			Options: []optimize.Option{{ID: "o", Uses: []optimize.Use{{Paint: "p", UL: 5}}}},
		}},
	}
	for _, s := range solvers {
		if v, solved := s.Ask(t, func(w io.Writer) error { return WriteLP(w, p, LPOptions{}) }); !solved ||
			v != 0 {
			t.Errorf("%s: %d %v, want 0", s.Name, v, solved)
		}
	}
}
