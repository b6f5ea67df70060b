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

// grid finds the triangles above a point: cells of the x-y plane.
type grid struct {
	t      [][9]float32
	min    [2]float64
	size   float64
	nx, ny int
	start  []int32 // of each cell in list
	list   []int32
}

func newGrid(t [][9]float32, min, max Vec) *grid {
	g := &grid{t: t, min: [2]float64{min[0], min[1]}}
	w, h := math.Max(max[0]-min[0], 1e-9), math.Max(max[1]-min[1], 1e-9)
	cells := math.Min(float64(len(t))/2+1, 1<<20)
	g.size = math.Sqrt(w * h / cells)
	g.size = math.Max(g.size, math.Max(w, h)/2000)
	g.nx, g.ny = int(w/g.size)+1, int(h/g.size)+1
	g.start = make([]int32, g.nx*g.ny+1)
	for pass := range 2 {
		for i := range t {
			x0, x1, y0, y1 := g.cells(&t[i])
			for y := y0; y <= y1; y++ {
				for x := x0; x <= x1; x++ {
					c := y*g.nx + x
					if pass == 0 {
						g.start[c+1]++
					} else {
						g.list[g.start[c]] = int32(i)
						g.start[c]++
					}
				}
			}
		}
		if pass == 0 {
			for c := 1; c < len(g.start); c++ {
				g.start[c] += g.start[c-1]
			}
			g.list = make([]int32, g.start[len(g.start)-1])
		}
	}
	copy(g.start[1:], g.start[:len(g.start)-1])
	g.start[0] = 0
	return g
}

func (g *grid) cell(v, min float64, n int) int {
	return int(math.Min(math.Max((v-min)/g.size, 0), float64(n-1)))
}

func (g *grid) cells(t *[9]float32) (x0, x1, y0, y1 int) {
	x0 = g.cell(float64(min(t[0], t[3], t[6])), g.min[0], g.nx)
	x1 = g.cell(float64(max(t[0], t[3], t[6])), g.min[0], g.nx)
	y0 = g.cell(float64(min(t[1], t[4], t[7])), g.min[1], g.ny)
	y1 = g.cell(float64(max(t[1], t[4], t[7])), g.min[1], g.ny)
	return
}

// winding is the winding number of the mesh about a point: surfaces crossed
// on the way up, those seen from inside less those seen from outside. 0 is
// outside, 1 inside one shell. Shared edges are decided alike for both their
// triangles, so that nothing slips through.
func (g *grid) winding(p *Vec) int {
	c := g.cell(p[1], g.min[1], g.ny)*g.nx + g.cell(p[0], g.min[0], g.nx)
	w := 0
	for _, i := range g.list[g.start[c]:g.start[c+1]] {
		t := &g.t[i]
		inside := false
		for e := range 3 {
			f := (e + 1) % 3
			ax, ay, bx, by := float64(t[3*e]), float64(t[3*e+1]), float64(t[3*f]), float64(t[3*f+1])
			if (ay <= p[1]) == (by <= p[1]) {
				continue
			}
			if ay > by {
				ax, ay, bx, by = bx, by, ax, ay
			}
			if p[0] < ax+(bx-ax)*((p[1]-ay)/(by-ay)) {
				inside = !inside
			}
		}
		if !inside {
			continue
		}
		ux, uy, uz := float64(t[3])-float64(t[0]), float64(t[4])-float64(t[1]), float64(t[5])-float64(t[2])
		vx, vy, vz := float64(t[6])-float64(t[0]), float64(t[7])-float64(t[1]), float64(t[8])-float64(t[2])
		nx, ny, nz := uy*vz-uz*vy, uz*vx-ux*vz, ux*vy-uy*vx
		if nz == 0 {
			continue
		}
		z := float64(t[2]) - (nx*(p[0]-float64(t[0]))+ny*(p[1]-float64(t[1])))/nz
		if z <= p[2] {
			continue
		}
		if nz > 0 {
			w++
		} else {
			w--
		}
	}
	return w
}

// hidden measures what of a closed mesh no brush can ever see: parts of a
// shell inside another, and hollows. Every face of a shell that meets another
// is sampled just outside itself; a place with a winding number other than 0
// lies inside something. A shell whose faces point inward and that lies inside
// another is the wall of a hollow.
func (k *kept) hidden(r *Report) {
	of, count := k.shells()
	r.Shells = count
	if count == 1 {
		r.HiddenChecked = true
		return
	}
	type box struct{ min, max point }
	boxes := make([]box, count)
	volume := make([]float64, count)
	seen := make([]bool, count)
	for i := range k.t {
		b, t := &boxes[of[i]], &k.t[i]
		for c := range 3 {
			p := corner3(t, c)
			for j := range 3 {
				if !seen[of[i]] {
					b.min, b.max, seen[of[i]] = p, p, true
				}
				b.min[j], b.max[j] = min(b.min[j], p[j]), max(b.max[j], p[j])
			}
		}
		a, bb, c := corner3(t, 0), corner3(t, 1), corner3(t, 2)
		volume[of[i]] += (float64(a[0])*(float64(bb[1])*float64(c[2])-float64(bb[2])*float64(c[1])) +
			float64(a[1])*(float64(bb[2])*float64(c[0])-float64(bb[0])*float64(c[2])) +
			float64(a[2])*(float64(bb[0])*float64(c[1])-float64(bb[1])*float64(c[0]))) / 6
	}
	meets := make([]bool, count)
	if count > 3000 { // then all are looked at
		for i := range meets {
			meets[i] = true
		}
	} else {
		for i := range boxes {
			for j := range i {
				apart := false
				for d := range 3 {
					apart = apart || boxes[i].min[d] > boxes[j].max[d] || boxes[j].min[d] > boxes[i].max[d]
				}
				if !apart {
					meets[i], meets[j] = true, true
				}
			}
		}
	}
	g := newGrid(k.t, r.Min, r.Max)
	size := r.Size()
	eps := 1e-5 * math.Max(size[0], math.Max(size[1], size[2]))
	total := r.AreaMM2
	hollow := make([]int8, count) // 0: not looked yet, 1: wall of a hollow, 2: not
	for i := range k.t {
		s := of[i]
		if !meets[s] {
			continue
		}
		t := &k.t[i]
		n, area := normal(t)
		if area == 0 {
			continue
		}
		if volume[s] < 0 && hollow[s] == 0 {
			hollow[s] = 2
			p := between(t, 1./3, 1./3)
			for j := range 3 { // just inside the wall of the hollow
				p[j] -= eps * n[j]
			}
			if g.winding(&p) >= 1 {
				hollow[s] = 1
			}
		}
		if hollow[s] == 1 {
			r.HiddenAreaMM2 += area
			continue
		}
		// A large face is looked at in many places, a small one in one.
		m := int(math.Min(24, math.Ceil(math.Sqrt(area/total*40_000))))
		in, all := 0, 0
		for a := range m {
			for b := range m - a {
				for up := range 2 {
					if up == 1 && a+b == m-1 {
						break
					}
					o := (1 + float64(up)) / 3
					p := between(t, (float64(a)+o)/float64(m), (float64(b)+o)/float64(m))
					for j := range 3 {
						p[j] += eps * n[j]
					}
					all++
					if g.winding(&p) != 0 {
						in++
					}
				}
			}
		}
		r.HiddenAreaMM2 += area * float64(in) / float64(all)
	}
	r.HiddenChecked = true
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
