package mesh

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math"
	"strings"
)

type triangle [3]Vec

// fan cuts the convex polygon p into triangles.
func fan(p ...Vec) []triangle {
	var ts []triangle
	for i := 2; i < len(p); i++ {
		ts = append(ts, triangle{p[0], p[i-1], p[i]})
	}
	return ts
}

func cube() []triangle {
	v := func(i int) Vec { return Vec{float64(i & 1), float64(i >> 1 & 1), float64(i >> 2)} }
	var ts []triangle
	for _, q := range [6][4]int{
		{0, 2, 3, 1}, {4, 5, 7, 6}, {0, 1, 5, 4}, {2, 6, 7, 3}, {0, 4, 6, 2}, {1, 3, 7, 5},
	} {
		ts = append(ts, fan(v(q[0]), v(q[1]), v(q[2]), v(q[3]))...)
	}
	return ts
}

func tetrahedron() []triangle {
	h := math.Sqrt(2) / 4 // edge 1
	a, b, c, d := Vec{h, h, h}, Vec{h, -h, -h}, Vec{-h, h, -h}, Vec{-h, -h, h}
	return []triangle{{a, b, c}, {a, c, d}, {a, d, b}, {b, d, c}}
}

func octahedron() []triangle {
	var ts []triangle
	for i := range 8 {
		s := func(bit int) float64 { return float64(1 - 2*(i>>bit&1)) }
		t := triangle{{s(0), 0, 0}, {0, s(1), 0}, {0, 0, s(2)}}
		if s(0)*s(1)*s(2) < 0 {
			t[1], t[2] = t[2], t[1]
		}
		ts = append(ts, t)
	}
	return ts
}

// icosphere is the icosahedron in the unit sphere, each triangle cut into four
// depth times with the new points pushed out to the sphere.
func icosphere(depth int) []triangle {
	g := math.Phi
	p := []Vec{
		{-1, g, 0}, {1, g, 0}, {-1, -g, 0}, {1, -g, 0}, {0, -1, g}, {0, 1, g}, {0, -1, -g}, {0, 1, -g},
		{g, 0, -1}, {g, 0, 1}, {-g, 0, -1}, {-g, 0, 1},
	}
	for i := range p {
		p[i] = unit(p[i])
	}
	var ts []triangle
	for _, f := range [20][3]int{
		{0, 11, 5}, {0, 5, 1}, {0, 1, 7}, {0, 7, 10}, {0, 10, 11}, {1, 5, 9}, {5, 11, 4}, {11, 10, 2},
		{10, 7, 6}, {7, 1, 8}, {3, 9, 4}, {3, 4, 2}, {3, 2, 6}, {3, 6, 8}, {3, 8, 9}, {4, 9, 5}, {2, 4, 11},
		{6, 2, 10}, {8, 6, 7}, {9, 8, 1},
	} {
		ts = append(ts, triangle{p[f[0]], p[f[1]], p[f[2]]})
	}
	for range depth {
		next := make([]triangle, 0, 4*len(ts))
		for _, t := range ts {
			ab, bc, ca := middle(t[0], t[1]), middle(t[1], t[2]), middle(t[2], t[0])
			next = append(next, triangle{t[0], ab, ca}, triangle{t[1], bc, ab}, triangle{t[2], ca, bc},
				triangle{ab, bc, ca})
		}
		ts = next
	}
	return ts
}

func unit(v Vec) Vec {
	l := math.Sqrt(v[0]*v[0] + v[1]*v[1] + v[2]*v[2])
	return Vec{v[0] / l, v[1] / l, v[2] / l}
}

func middle(a, b Vec) Vec { return unit(Vec{a[0] + b[0], a[1] + b[1], a[2] + b[2]}) }

// turned turns a profile of (radius, height) points round the z axis in n steps.
func turned(n int, closed bool, profile ...[2]float64) []triangle {
	at := func(p [2]float64, i int) Vec {
		a := 2 * math.Pi * float64(i%n) / float64(n)
		if p[0] == 0 {
			return Vec{0, 0, p[1]}
		}
		return Vec{p[0] * math.Cos(a), p[0] * math.Sin(a), p[1]}
	}
	last := len(profile) - 1
	if closed {
		last++
	}
	var ts []triangle
	for j := range last {
		p, q := profile[j], profile[(j+1)%len(profile)]
		for i := range n {
			if p[0] > 0 {
				ts = append(ts, triangle{at(p, i), at(p, i+1), at(q, i)})
			}
			if q[0] > 0 {
				ts = append(ts, triangle{at(p, i+1), at(q, i+1), at(q, i)})
			}
		}
	}
	return ts
}

func torus(n int) []triangle {
	var profile [][2]float64
	for i := range n {
		a := 2 * math.Pi * float64(i) / float64(n)
		profile = append(profile, [2]float64{2 + 0.5*math.Cos(a), 0.5 * math.Sin(a)})
	}
	return turned(n, true, profile...)
}

func binaryFile(header string, ts []triangle) []byte {
	b := make([]byte, stlHead, stlHead+stlRecord*len(ts))
	copy(b, header)
	binary.LittleEndian.PutUint32(b[80:], uint32(len(ts)))
	for _, t := range ts {
		b = append(b, make([]byte, 12)...)
		for _, p := range t {
			for _, x := range p {
				b = binary.LittleEndian.AppendUint32(b, math.Float32bits(float32(x)))
			}
		}
		b = append(b, 0, 0)
	}
	return b
}

func asciiFile(ts []triangle) []byte {
	var b bytes.Buffer
	b.WriteString("solid a made-up shape\n")
	for _, t := range ts {
		b.WriteString("  facet normal 0 0 0\n    outer loop\n")
		for _, p := range t {
			fmt.Fprintf(&b, "      vertex %.9g %.9g %.9g\n", p[0], p[1], p[2])
		}
		b.WriteString("    endloop\n  endfacet\n")
	}
	b.WriteString("endsolid a made-up shape\n")
	return b.Bytes()
}

// objFile writes each triangle's points once, by value.
func objFile(ts []triangle) []byte {
	var vs, fs strings.Builder
	index := map[Vec]int{}
	for _, t := range ts {
		fs.WriteString("f")
		for _, p := range t {
			if index[p] == 0 {
				index[p] = len(index) + 1
				fmt.Fprintf(&vs, "v %.17g %.17g %.17g\n", p[0], p[1], p[2])
			}
			fmt.Fprintf(&fs, " %d", index[p])
		}
		fs.WriteString("\n")
	}
	return []byte("# a made-up shape\n" + vs.String() + fs.String())
}
