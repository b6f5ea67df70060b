package mesh

import (
	"fmt"
	"math"
	"strings"
	"testing"
)

// Concave faces have their own area whatever corner they begin with: an L of
// three squares, a plus of five, a five-pointed star, a comb; areas from
// geometry. Turned into space, the same.
func TestConcaveFaces(t *testing.T) {
	star := make([][2]float64, 10)
	for i := range star {
		r := 1.0
		if i%2 == 1 {
			r = (3 - math.Sqrt(5)) / 2 // where the lines of a pentagram cross
		}
		star[i] = [2]float64{r * math.Sin(float64(i)*math.Pi/5), r * math.Cos(float64(i)*math.Pi/5)}
	}
	starArea := 5 * (3 - math.Sqrt(5)) / 2 * math.Sin(math.Pi/5)
	comb := [][2]float64{
		{0, 0}, {9, 0}, {9, 3}, {8, 3}, {8, 1}, {7, 1}, {7, 3}, {6, 3}, {6, 1}, {5, 1}, {5, 3}, {4, 3},
		{4, 1}, {3, 1}, {3, 3}, {0, 3},
	}
	for _, c := range []struct {
		name string
		p    [][2]float64
		area float64
	}{
		{"L", [][2]float64{{0, 0}, {2, 0}, {2, 1}, {1, 1}, {1, 2}, {0, 2}}, 3},
		{"plus",
			[][2]float64{
				{1, 0}, {2, 0}, {2, 1}, {3, 1}, {3, 2}, {2, 2}, {2, 3}, {1, 3}, {1, 2}, {0, 2}, {0, 1},
				{1, 1},
			},
			5},
		{"star", star, starArea},
		{"comb", comb, 9 + 3*2 + 2*3},
		{"square with corners in its sides",
			[][2]float64{{0, 0}, {1, 0}, {2, 0}, {2, 1}, {2, 2}, {1, 2}, {0, 2}, {0, 1}}, 4},
	} {
		for first := range c.p {
			for _, back := range []bool{false, true} {
				var b strings.Builder
				for _, q := range c.p { // a rotation about an odd axis
					x, y, z := q[0]*.48-q[1]*.6, q[0]*.36+q[1]*.8, q[0]*.8
					x, z = x*.28-z*.96, x*.96+z*.28
					fmt.Fprintf(&b, "v %.15g %.15g %.15g\n", x+3, y-1, z)
				}
				b.WriteString("f")
				for i := range c.p {
					k := (first + i) % len(c.p)
					if back {
						k = len(c.p) - 1 - k
					}
					fmt.Fprintf(&b, " %d", k+1)
				}
				r, err := obj([]byte(b.String() + "\n"))
				if err != nil {
					t.Fatal(err)
				}
				near(t, fmt.Sprintf("%s from corner %d", c.name, first), r.AreaMM2, c.area, 1e-9)
			}
		}
	}
}

func moved(ts []triangle, by Vec, scale float64, inside bool) []triangle {
	var out []triangle
	for _, tr := range ts {
		for i := range tr {
			for j := range 3 {
				tr[i][j] = tr[i][j]*scale + by[j]
			}
		}
		if inside {
			tr[1], tr[2] = tr[2], tr[1]
		}
		out = append(out, tr)
	}
	return out
}

// What lies inside is not counted: a cube in a cube, a hollow, two that
// overlap by a quarter of their sides, three in a row; one that is only near
// is counted whole. Areas from geometry.
func TestInnerParts(t *testing.T) {
	big := moved(cube(), Vec{}, 4, false)
	for _, c := range []struct {
		name   string
		ts     []triangle
		shells int
		hidden float64
		tol    float64
	}{
		{"one cube", big, 1, 0, 0},
		{"a cube inside another", append(moved(cube(), Vec{1.5, 1.5, 1.5}, 1, false), big...), 2, 6, 1e-9},
		{"a hollow", append(moved(cube(), Vec{1, 1, 1}, 2, true), big...), 2, 24, 1e-9},
		{"two that overlap", append(moved(cube(), Vec{3, 1, 1}, 2, false), big...), 2, 4 + 4*2 + 4, .25},
		{"two apart", append(moved(cube(), Vec{9, 0, 0}, 2, false), big...), 2, 0, 0},
		{"two whose boxes meet", append(moved(octahedron(), Vec{-.6, -.6, -.6}, 1, false), big...), 2, 0, 1e-9},
		{"a ball half sunk", append(moved(icosphere(4), Vec{2, 2, 4}, 1, false), big...), 2,
			2*math.Pi + math.Pi, .12},
	} {
		r, err := stl(binaryFile("", c.ts))
		if err != nil {
			t.Fatal(err)
		}
		if c.name == "two whose boxes meet" {
			// The corner of the cube pokes into the octahedron or not: geometry says
			// |x|+|y|+|z| = 1.8 at the corner, outside the octahedron.
			c.hidden = 0
		}
		if !r.HiddenChecked || r.Shells != c.shells {
			t.Errorf("%s: %d shells, want %d; %+v", c.name, r.Shells, c.shells, r)
		}
		near(t, c.name, r.HiddenAreaMM2, c.hidden, c.tol)
	}
	r, err := stl(binaryFile("", moved(cube(), Vec{}, 1, true)))
	if err != nil || !r.InsideOut || r.MixedFaces {
		t.Errorf("a cube turned inside out: %+v, %v", r, err)
	}
	mixed := cube()
	mixed[3][1], mixed[3][2] = mixed[3][2], mixed[3][1]
	if r, err = stl(binaryFile("", mixed)); err != nil || !r.MixedFaces || r.HiddenChecked {
		t.Errorf("a cube with one face turned: %+v, %v", r, err)
	}
}

func BenchmarkTwoShells(b *testing.B) {
	ts := append(moved(icosphere(6), Vec{.3, 0, 0}, 1, false), icosphere(6)...)
	benchmarkSTL(b, binaryFile("", ts), Options{})
}
