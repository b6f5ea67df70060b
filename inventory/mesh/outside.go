package mesh

import "math"

// kept are the triangles of a mesh in memory, nine coordinates each: 36 bytes.
type kept struct {
	t    [][9]float32
	full bool // more than maxKept
}

const maxKept = 8_000_000

func (k *kept) add(a, b, c *Vec) {
	if k.full || len(k.t) >= maxKept {
		k.full = true
		k.t = nil
		return
	}
	var t [9]float32
	for i, p := range [3]*Vec{a, b, c} {
		for j := range 3 {
			t[3*i+j] = float32(p[j] + 0) // no -0
		}
	}
	k.t = append(k.t, t)
}

type point [3]float32

func corner3(t *[9]float32, i int) point { return point{t[3*i], t[3*i+1], t[3*i+2]} }

// shells numbers the connected parts of the mesh: triangles that share a point.
func (k *kept) shells() (of []int32, count int) {
	ids := make(map[point]int32, len(k.t)/2+3)
	parent := []int32{}
	root := func(i int32) int32 {
		for parent[i] != i {
			parent[i] = parent[parent[i]]
			i = parent[i]
		}
		return i
	}
	of = make([]int32, len(k.t))
	for i := range k.t {
		first := int32(-1)
		for c := range 3 {
			p := corner3(&k.t[i], c)
			id, ok := ids[p]
			if !ok {
				id = int32(len(parent))
				ids[p] = id
				parent = append(parent, id)
			}
			if r := root(id); first < 0 {
				first = r
			} else if r != first {
				parent[r] = first
			}
		}
		of[i] = first
	}
	number := map[int32]int32{}
	for i := range of {
		r := root(of[i])
		n, ok := number[r]
		if !ok {
			n = int32(len(number))
			number[r] = n
		}
		of[i] = n
	}
	return of, len(number)
}

// mostCompared is how many shells are compared pair by pair; of more, each is
// taken to meet another.
const mostCompared = 3000

// shell is a connected part of a mesh.
type shell struct {
	min, max point
	volume   float64 // below 0 where the faces point inward
	meets    bool    // its box meets that of another
	hollow   bool    // the wall of a hollow in another
	judged   bool    // whether it is a hollow's wall has been found out
}

// hidden measures what of a closed mesh no brush can ever see: parts of a
// shell inside another, and hollows. Every face of a shell that meets another
// is sampled just outside itself; a place with a winding number other than 0
// lies inside something. A shell whose faces point inward and that lies inside
// another is the wall of a hollow.
func (k *kept) hidden(r *Report) {
	r.HiddenChecked = true
	of, count := k.shells()
	r.Shells = count
	if count == 1 {
		return
	}
	shells := k.measured(of, count)
	g := newGrid(k.t, r.Min, r.Max)
	size := r.Size()
	eps := 1e-5 * math.Max(size[0], math.Max(size[1], size[2]))
	for i := range k.t {
		s, t := &shells[of[i]], &k.t[i]
		n, area := normal(t)
		if !s.meets || area == 0 {
			continue
		}
		if s.volume < 0 && !s.judged {
			p := shifted(between(t, 1./3, 1./3), n, -eps) // just inside the wall of the hollow
			s.judged, s.hollow = true, g.winding(&p) >= 1
		}
		if s.hollow {
			r.HiddenAreaMM2 += area
			continue
		}
		// A large face is looked at in many places, a small one in one.
		rows := int(math.Min(24, math.Ceil(math.Sqrt(area/r.AreaMM2*40_000))))
		r.HiddenAreaMM2 += area * g.hiddenShare(t, n, rows, eps)
	}
}

// measured gives the box and the volume of each shell, and which of them meet.
func (k *kept) measured(of []int32, count int) []shell {
	shells := make([]shell, count)
	seen := make([]bool, count)
	for i := range k.t {
		s, t := &shells[of[i]], &k.t[i]
		if !seen[of[i]] {
			s.min, s.max, seen[of[i]] = corner3(t, 0), corner3(t, 0), true
		}
		for c := range 3 {
			p := corner3(t, c)
			for j := range 3 {
				s.min[j], s.max[j] = min(s.min[j], p[j]), max(s.max[j], p[j])
			}
		}
		s.volume += signedVolume(t)
	}
	for i := range shells {
		if count > mostCompared {
			shells[i].meets = true
			continue
		}
		for j := range i {
			if shells[i].touches(&shells[j]) {
				shells[i].meets, shells[j].meets = true, true
			}
		}
	}
	return shells
}

// touches tells whether the boxes of two shells have a point in common.
func (s *shell) touches(o *shell) bool {
	for d := range 3 {
		if s.min[d] > o.max[d] || o.min[d] > s.max[d] {
			return false
		}
	}
	return true
}

// signedVolume is what lies between a triangle and the origin, below 0 where the
// triangle faces it.
func signedVolume(t *[9]float32) float64 {
	a, b, c := corner3(t, 0), corner3(t, 1), corner3(t, 2)
	return (float64(a[0])*(float64(b[1])*float64(c[2])-float64(b[2])*float64(c[1])) +
		float64(a[1])*(float64(b[2])*float64(c[0])-float64(b[0])*float64(c[2])) +
		float64(a[2])*(float64(b[0])*float64(c[1])-float64(b[1])*float64(c[0]))) / 6
}

// hiddenShare is the share of a triangle, cut into rows of small ones, whose
// places lie inside something.
func (g *grid) hiddenShare(t *[9]float32, n Vec, rows int, eps float64) float64 {
	in, all := 0, 0
	look := func(u, v float64) {
		p := shifted(between(t, u, v), n, eps)
		all++
		if g.winding(&p) != 0 {
			in++
		}
	}
	m := float64(rows)
	for a := range rows {
		for b := range rows - a {
			look((float64(a)+1./3)/m, (float64(b)+1./3)/m)
			if a+b < rows-1 { // the one that stands on its head
				look((float64(a)+2./3)/m, (float64(b)+2./3)/m)
			}
		}
	}
	return float64(in) / float64(all)
}

// shifted is a point moved along a normal.
func shifted(p, n Vec, by float64) Vec {
	for j := range 3 {
		p[j] += by * n[j]
	}
	return p
}

func between(t *[9]float32, u, v float64) (p Vec) {
	for j := range 3 {
		a := float64(t[j])
		p[j] = a + u*(float64(t[3+j])-a) + v*(float64(t[6+j])-a)
	}
	return p
}

func normal(t *[9]float32) (n Vec, area float64) {
	var u, v Vec
	for j := range 3 {
		u[j], v[j] = float64(t[3+j])-float64(t[j]), float64(t[6+j])-float64(t[j])
	}
	n = Vec{u[1]*v[2] - u[2]*v[1], u[2]*v[0] - u[0]*v[2], u[0]*v[1] - u[1]*v[0]}
	l := math.Sqrt(n[0]*n[0] + n[1]*n[1] + n[2]*n[2])
	if l == 0 {
		return n, 0
	}
	for j := range 3 {
		n[j] /= l
	}
	return n, l / 2
}

// below is the area of the faces under a height along an axis, cut where they
// cross it.
func (k *kept) below(axis Axis, height float64) float64 {
	sum := 0.0
	for i := range k.t {
		t := &k.t[i]
		_, area := normal(t)
		z := [3]float64{float64(t[axis]), float64(t[3+axis]), float64(t[6+axis])}
		if z[0] > z[1] {
			z[0], z[1] = z[1], z[0]
		}
		if z[1] > z[2] {
			z[1], z[2] = z[2], z[1]
		}
		if z[0] > z[1] {
			z[0], z[1] = z[1], z[0]
		}
		switch {
		case z[2] <= height:
			sum += area
		case z[0] >= height:
		case height <= z[1]: // a small triangle lies below
			sum += area * (height - z[0]) * (height - z[0]) / ((z[1] - z[0]) * (z[2] - z[0]))
		default: // a small triangle lies above
			sum += area * (1 - (z[2]-height)*(z[2]-height)/((z[2]-z[0])*(z[2]-z[1])))
		}
	}
	return sum
}
