package mesh

import (
	"bytes"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if math.IsNaN(got) || math.Abs(got-want) > tolerance {
		t.Errorf("%s: got %.9g, want %.9g within %g", what, got, want, tolerance)
	}
}

func stl(b []byte) (Report, error) { return MeasureSTL(bytes.NewReader(b), int64(len(b)), Options{}) }
func obj(b []byte) (Report, error) { return MeasureOBJ(bytes.NewReader(b), Options{}) }

// Areas of solids known from geometry; the subdivided icosahedra are computed
// and approach the sphere's 12.5663706 (0.030 % short at depth 5).
func TestKnownSolids(t *testing.T) {
	const n = 1000
	for _, c := range []struct {
		name      string
		ts        []triangle
		area, tol float64
		volume    float64
	}{
		{"unit cube", cube(), 6, 1e-6, 1},
		{"regular tetrahedron", tetrahedron(), 1.7320508, 1e-6, 0.11785113},
		{"octahedron", octahedron(), 6.9282032, 1e-6, 1.33333333},
		{"icosahedron", icosphere(0), 9.5745414, 1e-6, 2.53615071},
		{"icosahedron cut once", icosphere(1), 11.665931, 1e-6, math.NaN()},
		{"twice", icosphere(2), 12.329849, 1e-6, math.NaN()},
		{"three times", icosphere(3), 12.506493, 1e-6, 4.152741}, // both values also of a public unit_sphere file
		{"four times", icosphere(4), 12.551354, 1e-6, math.NaN()},
		{"five times", icosphere(5), 12.562613, 1e-6, math.NaN()},
		{"24-gon prism",
			turned(24, false, [2]float64{0, 0}, [2]float64{1, 0}, [2]float64{1, 2}, [2]float64{0, 2}),
			18.7421715, 1e-6, math.NaN()},
		{"cylinder",
			turned(n, false, [2]float64{0, 0}, [2]float64{1, 0}, [2]float64{1, 2}, [2]float64{0, 2}),
			18.8495559, 1e-3, 2 * math.Pi},
		{"cone", turned(n, false, [2]float64{0, 0}, [2]float64{1, 0}, [2]float64{0, 1}), 7.5844756,
			1e-3, math.Pi / 3},
		{"torus", torus(160), 39.4784176, 2e-2, math.Pi * math.Pi},
	} {
		for format, measure := range map[string]func() (Report, error){
			"binary STL": func() (Report, error) { return stl(binaryFile(c.name, c.ts)) },
			"ASCII STL":  func() (Report, error) { return stl(asciiFile(c.ts)) },
			"OBJ":        func() (Report, error) { return obj(objFile(c.ts)) },
		} {
			r, err := measure()
			if err != nil {
				t.Fatalf("%s as %s: %v", c.name, format, err)
			}
			near(t, c.name+" area, "+format, r.AreaMM2, c.area, c.tol)
			if !math.IsNaN(c.volume) {
				near(t, c.name+" volume, "+format, r.VolumeMM3, c.volume, c.volume*1e-3)
			}
			if r.Format != format || r.Triangles != len(c.ts) || !r.Closed() || r.Duplicates != 0 ||
				r.Degenerate != 0 {
				t.Errorf("%s as %s: %+v, want %d triangles, closed, nothing amiss", c.name, format, r, len(c.ts))
			}
		}
	}
}

func TestFaultsOfTheSurface(t *testing.T) {
	open := cube()[1:]
	r, err := stl(binaryFile("", open))
	if err != nil || r.OpenEdges != 3 || r.Closed() {
		t.Errorf("a cube less one triangle: %+v %v, want three open edges", r, err)
	}
	again := append(cube(), triangle{cube()[4][1], cube()[4][2], cube()[4][0]})
	r, err = stl(binaryFile("", again))
	if err != nil || r.Duplicates != 1 || r.OpenEdges != 0 {
		t.Errorf("a face twice: %+v %v, want one duplicate and no open edge", r, err)
	}
	near(t, "area with the duplicate", r.AreaMM2, 6.5, 1e-6)
	near(t, "painted area", r.OutsideCM2(), 0.06, 1e-9)
	flat := append(cube(), triangle{{0, 0, 0}, {0, 0, 0}, {1, 0, 0}}, triangle{{0, 0, 0}, {1, 1, 1}, {2, 2, 2}})
	r, err = stl(binaryFile("", flat))
	if err != nil || r.Degenerate != 2 || r.OpenEdges != 3 {
		t.Errorf("two triangles without area: %+v %v, want two degenerate and the three edges of "+
			"the long one", r, err)
	}
	turnedOut := cube()
	for i := range turnedOut {
		turnedOut[i][0], turnedOut[i][1] = turnedOut[i][1], turnedOut[i][0]
	}
	r, err = stl(binaryFile("", turnedOut))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "volume of a cube inside out", r.VolumeMM3, -1, 1e-6)
	r, err = obj([]byte("v 0 0 0\nv 1 0 0\nv 0 1 0\nv -0 -0 0\nv 0 0 1\nf 1 3 2\nf 4 2 5\nf 1 5 3\nf 2 3 5\n"))
	if err != nil || r.OpenEdges != 0 || r.Triangles != 4 {
		t.Errorf("minus zero is not the same place: %+v %v", r, err)
	}
	quick, err := MeasureSTL(bytes.NewReader(binaryFile("", again)), int64(stlHead+13*stlRecord),
		Options{SkipTopology: true})
	if err != nil || quick.TopologyChecked || quick.Closed() || quick.AreaMM2 != 6.5 {
		t.Errorf("without topology: %+v %v", quick, err)
	}
}

func TestStanding(t *testing.T) {
	measure := func(o Options) (Report, error) {
		b := binaryFile("a cube", cube())
		return MeasureSTL(bytes.NewReader(b), int64(len(b)), o)
	}
	r, err := measure(Options{HeightMM: 28, Up: Z})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "factor", r.Factor, 28, 1e-9)
	near(t, "area", r.AreaMM2, 6*28*28, 1e-6)
	near(t, "volume", r.VolumeMM3, 28*28*28, 1e-4)
	// Five on a base of one: of the four sides a sixth goes, and the bottom.
	if r, err = measure(Options{HeightMM: 5, BaseMM: 1, Up: Z}); err != nil {
		t.Fatal(err)
	}
	near(t, "with a base", r.Factor, 6, 1e-9)
	near(t, "base", r.BaseAreaMM2, 36+4*6*1, 1e-3)
	near(t, "outside", r.OutsideCM2(), (36+4*6*5)/100., 1e-4)
	for _, o := range []Options{{HeightMM: -1}, {HeightMM: 2, BaseMM: 2000}, {BaseMM: 1}} {
		if err := o.check(); err == nil {
			if _, err := measure(o); err == nil {
				t.Errorf("%+v is taken", o)
			}
		}
	}
	for s, want := range map[string]Axis{"x": X, "Y": Y, "z": Z} {
		if a, err := ParseAxis(s); err != nil || a != want {
			t.Errorf("axis %q: %v %v", s, a, err)
		}
	}
	for _, s := range []string{"", "xy", "w"} {
		if _, err := ParseAxis(s); err == nil {
			t.Errorf("axis %q was taken", s)
		}
	}
	flat := binaryFile("flat", []triangle{{{0, 0, 0}, {1, 0, 0}, {0, 1, 0}}})
	if _, err := MeasureSTL(bytes.NewReader(flat), int64(len(flat)), Options{HeightMM: 28, Up: Z}); err == nil {
		t.Error("a flat mesh is scaled to a height")
	}
}

func TestOBJForms(t *testing.T) {
	const square = "v 0 0 0\nv 1 0 0\nv 1 1 0\nv 0 1 0\nvt 0 0\nvn 0 0 1\n"
	for name, faces := range map[string]string{
		"quad":          "f 1 2 3 4",
		"relative":      "f -4 -3 -2 -1",
		"texture":       "f 1/1 2/1 3/1 4/1",
		"normal":        "f 1//1 2//1 3//1 4//1",
		"all":           "f 1/1/1 2/1/1 3/1/1 4/1/1",
		"continued":     "f 1 2 \\\n 3 4",
		"tabs and CRLF": "f\t1 2\t3  4 \r",
		"groups":        "g a\no b\ns off\nusemtl c\nf 1 2 3\nf 1 3 4",
	} {
		r, err := obj([]byte(square + faces + "\n"))
		if err != nil || r.Triangles != 2 || r.AreaMM2 != 1 || r.OpenEdges != 4 {
			t.Errorf("%s: %+v %v", name, r, err)
		}
	}
}

func TestRefusals(t *testing.T) {
	whole := binaryFile("solid but binary", cube())
	if r, err := stl(whole); err != nil || r.Format != "binary STL" {
		t.Errorf("a binary file that begins with solid: %+v %v", r, err)
	}
	lying := binaryFile("", cube())
	lying[80] = 200
	more := append(binaryFile("", cube()), 1, 2, 3)
	nan := binaryFile("", cube())
	copy(nan[stlHead+2*stlRecord+12+16:], []byte{0, 0, 0xc0, 0x7f})
	ascii := string(asciiFile(cube()))
	for name, c := range map[string]struct {
		file string
		obj  bool
		want string
	}{
		"empty": {"", false, "byte 0: the file is empty: expected an STL mesh"},
		"short header": {"abc", false, "byte 3: the file ends within the header: " +
			"expected 84 bytes of a binary STL, or text that begins with solid"},
		"cut": {string(whole[:len(whole)-60]), false,
			"byte 624: the file ends after 10 whole triangles of the 12 in its header: " +
				"expected 684 bytes, found 624"},
		"count too large": {string(lying), false, "byte 684: the file ends after 12 whole triangles " +
			"of the 200 in its header: expected 10084 bytes, found 684"},
		"bytes to spare": {string(more), false, "byte 80: the header counts 12 triangles, " +
			"but the file has room for 12.06: expected 684 bytes, found 687"},
		"NaN": {string(nan), false,
			"byte 212: triangle 3, point 2, y is NaN: expected a finite number"},
		"ASCII cut": {ascii[:len(ascii)/2], false, "the file ends here: expected "},
		"ASCII without end": {strings.TrimSuffix(ascii, "endsolid a made-up shape\n"), false,
			"line 86: the file ends here: expected facet or endsolid"},
		"ASCII number": {strings.Replace(ascii, "vertex 1 1 0", "vertex 1 one 0", 1), false,
			"line 6: \"one\": expected a finite coordinate"},
		"ASCII NaN": {strings.Replace(ascii, "vertex 1 1 0", "vertex 1 NaN 0", 1), false,
			"line 6: \"NaN\": expected a finite coordinate"},
		"ASCII overflow": {strings.Replace(ascii, "vertex 1 1 0", "vertex 1 1e999 0", 1), false,
			"line 6: \"1e999\": expected a finite coordinate"},
		"ASCII word": {strings.Replace(ascii, "endloop", "loopend", 1), false,
			"line 7: found \"loopend\": expected endloop"},
		"OBJ index": {"v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 4\n", true,
			"line 4: a face names vertex 4: expected one of the 3 before it"},
		"OBJ far back": {"v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 -4\n", true,
			"line 4: a face names vertex -4: expected one of the 3 before it"},
		"OBJ zero": {"v 0 0 0\nf 0 1 1\n", true,
			"line 2: corner \"0\": expected the number of a vertex, like 7, 7/1 or -1"},
		"OBJ huge index": {"v 0 0 0\nf 99999999999999999999 1 1\n", true,
			"line 2: corner \"99999999999999999999\": expected"},
		"OBJ two corners": {"v 0 0 0\nf 1 1\n", true,
			"line 2: a face with 2 corners: expected three or more"},
		"OBJ two coordinates": {"v 0 0\n", true, "line 1: a vertex with 2 coordinates: expected three"},
		"OBJ NaN":             {"v 0 nan 0\n", true, "line 1: \"nan\": expected a finite coordinate"},
		"OBJ without vertex":  {"# nothing\n", true, "no vertex in the file"},
		"OBJ not text":        {"v 0 0 0\x00\n", true, "line 1: a zero byte"},
		"OBJ long line": {"#" + strings.Repeat("x", maxLine+1), true,
			"line 1: a line of more than 1048576 bytes"},
	} {
		measure := stl
		if c.obj {
			measure = obj
		}
		r, err := measure([]byte(c.file))
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: got %+v, %v; want %q", name, r, err, c.want)
		}
	}
}

func TestMeasureFile(t *testing.T) {
	dir := t.TempDir()
	for name, b := range map[string][]byte{
		"a.STL": binaryFile("", cube()),
		"b.obj": objFile(cube()),
		"c.txt": []byte("x"),
		"d.stl": []byte("x"),
	} {
		if err := os.WriteFile(filepath.Join(dir, name), b, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	for _, name := range []string{"a.STL", "b.obj"} {
		if r, err := MeasureFile(filepath.Join(dir, name), Options{}); err != nil || r.AreaMM2 != 6 {
			t.Errorf("%s: %+v %v", name, r, err)
		}
	}
	for name, want := range map[string]string{
		"c.txt": "expected .stl or .obj",
		"d.stl": "d.stl: byte 1: ",
		"e.stl": "no such file",
	} {
		if _, err := MeasureFile(filepath.Join(dir, name), Options{}); err == nil ||
			!strings.Contains(err.Error(), want) {
			t.Errorf("%s: got %v, want %q", name, err, want)
		}
	}
}

// The set of edges against a map, with a table small enough to wrap and grow.
func TestSetAgainstMap(t *testing.T) {
	s, want := newSet(0), map[uint64]bool{}
	k := uint64(1)
	for i := range 200_000 {
		k = mix(k + uint64(i%7))
		key := k % 3000 // low keys crowd the front of the table
		if i%2 == 0 {
			key = mix(key)
		}
		s.toggle(key)
		if key == 0 {
			key = 1
		}
		if want[key] {
			delete(want, key)
		} else {
			want[key] = true
		}
	}
	if s.n != len(want) {
		t.Fatalf("%d keys, want %d", s.n, len(want))
	}
	for key := range want {
		if _, found := s.find(&key); !found {
			t.Fatalf("key %d was lost", key)
		}
	}
}

func FuzzSTL(f *testing.F) {
	f.Add(binaryFile("solid", cube()))
	f.Add(asciiFile(tetrahedron()))
	f.Add(binaryFile("", octahedron())[:200])
	f.Fuzz(func(t *testing.T, b []byte) {
		r, err := stl(b)
		if err == nil &&
			(math.IsNaN(r.AreaMM2) || r.AreaMM2 < 0 || r.Degenerate > r.Triangles ||
				r.Duplicates > r.Triangles) {
			t.Errorf("%+v", r)
		}
	})
}

func FuzzOBJ(f *testing.F) {
	f.Add(objFile(cube()))
	f.Add([]byte("v 0 0 0\nv 1 0 0\nv 1 1 0\nf -1/2/3 -2//1 1\\\n\n"))
	f.Fuzz(func(t *testing.T, b []byte) {
		r, err := obj(b)
		if err == nil && (math.IsNaN(r.AreaMM2) || r.AreaMM2 < 0 || r.Degenerate > r.Triangles) {
			t.Errorf("%+v", r)
		}
	})
}

func benchmarkSTL(b *testing.B, file []byte, o Options) {
	b.SetBytes(int64(len(file)))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := MeasureSTL(bytes.NewReader(file), int64(len(file)), o); err != nil {
			b.Fatal(err)
		}
	}
}

// About 100 MB: 1.3 million triangles are 65 MB, two copies of the sphere apart.
func big() []triangle {
	ts := icosphere(8)
	for i, n := 0, len(ts); i < n/2; i++ {
		t := ts[i]
		for j := range t {
			t[j][0] += 3
		}
		ts = append(ts, t)
	}
	return ts
}

func BenchmarkBinarySTL(b *testing.B) {
	file := binaryFile("", big())
	b.Run("all", func(b *testing.B) { benchmarkSTL(b, file, Options{}) })
	b.Run("area only", func(b *testing.B) { benchmarkSTL(b, file, Options{SkipTopology: true}) })
}

// The worst case for the tables: no two triangles share an edge.
func BenchmarkLooseTriangles(b *testing.B) {
	ts := make([]triangle, 2_000_000)
	for i := range ts {
		x := float64(i)
		ts[i] = triangle{{x, 0, 0}, {x + 0.5, 0, 0}, {x, 1, 0}}
	}
	benchmarkSTL(b, binaryFile("", ts), Options{})
}

func BenchmarkASCIISTL(b *testing.B) { benchmarkSTL(b, asciiFile(icosphere(6)), Options{}) }

func BenchmarkOBJ(b *testing.B) {
	file := objFile(icosphere(6))
	b.SetBytes(int64(len(file)))
	for b.Loop() {
		if _, err := obj(file); err != nil {
			b.Fatal(err)
		}
	}
}
