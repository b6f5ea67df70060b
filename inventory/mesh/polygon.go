package mesh

import "math"

// mostCorners is how many a polygon may have to be cut by its ears, which takes the
// cube of it.
const mostCorners = 3000

// ears cuts a polygon of an OBJ file into triangles by clipping ears (Meisters,
// "Polygons have ears", American Mathematical Monthly 82, 1975, from memory), so
// that a concave face keeps its own area whatever corner it begins with. The
// face is looked at along its Newell normal. A polygon that crosses itself is
// cut as far as it goes, and what is left as a fan; so is one of more than
// mostCorners.
func ears(corners []*Vec, give func(a, b, c *Vec)) {
	if len(corners) < 4 {
		give(corners[0], corners[1], corners[2])
		return
	}
	p := newPolygon(corners)
	for len(p.left) > 3 && len(corners) <= mostCorners {
		i, found := p.next()
		if !found {
			break
		}
		a, b, c := p.around(i)
		give(corners[a], corners[b], corners[c])
		p.left = append(p.left[:i], p.left[i+1:]...)
	}
	for i := 2; i < len(p.left); i++ {
		give(corners[p.left[0]], corners[p.left[i-1]], corners[p.left[i]])
	}
}

// polygon is a face seen along its normal, and what is left of it.
type polygon struct {
	flat  [][2]float64
	left  []int   // corners not yet cut off, in order
	sense float64 // 1: counter-clockwise, -1: clockwise
}

func newPolygon(corners []*Vec) *polygon {
	n := len(corners)
	u, v := plane(corners)
	p := &polygon{flat: make([][2]float64, n), left: make([]int, n), sense: 1}
	for i, c := range corners {
		p.flat[i] = [2]float64{c[u], c[v]}
		p.left[i] = i
	}
	area := 0.0
	for i, a := range p.flat {
		b := p.flat[(i+1)%n]
		area += a[0]*b[1] - b[0]*a[1]
	}
	if area < 0 {
		p.sense = -1
	}
	return p
}

// around gives a corner that is left between its neighbours.
func (p *polygon) around(i int) (a, b, c int) {
	m := len(p.left)
	return p.left[(i+m-1)%m], p.left[i], p.left[(i+1)%m]
}

// turn is above 0 where the way from a over b to c turns as the polygon does, and
// 0 where they stand in a line.
func (p *polygon) turn(a, b, c int) float64 {
	f := p.flat
	return p.sense * ((f[b][0]-f[a][0])*(f[c][1]-f[a][1]) - (f[b][1]-f[a][1])*(f[c][0]-f[a][0]))
}

// next is the corner to be cut off: the first ear, or where there is none, which is
// so of corners in a line, the first that stands in one.
func (p *polygon) next() (i int, found bool) {
	for i := range p.left {
		if p.ear(i) {
			return i, true
		}
	}
	for i := range p.left {
		if p.turn(p.around(i)) == 0 {
			return i, true
		}
	}
	return 0, false
}

// ear tells whether a corner stands out and no other lies in its triangle.
func (p *polygon) ear(i int) bool {
	a, b, c := p.around(i)
	if p.turn(a, b, c) <= 0 {
		return false
	}
	for _, o := range p.left {
		f := p.flat[o]
		if f == p.flat[a] || f == p.flat[b] || f == p.flat[c] {
			continue
		}
		if p.turn(a, b, o) >= 0 && p.turn(b, c, o) >= 0 && p.turn(c, a, o) >= 0 {
			return false
		}
	}
	return true
}

// plane names the two axes a polygon is seen best along: all but the one in
// which its normal is longest.
func plane(corners []*Vec) (u, v int) {
	var n Vec
	for i, a := range corners {
		b := corners[(i+1)%len(corners)]
		for k := range 3 {
			p, q := (k+1)%3, (k+2)%3
			n[k] += (a[p] - b[p]) * (a[q] + b[q])
		}
	}
	most := 0
	for k := 1; k < 3; k++ {
		if math.Abs(n[k]) > math.Abs(n[most]) {
			most = k
		}
	}
	return (most + 1) % 3, (most + 2) % 3
}
