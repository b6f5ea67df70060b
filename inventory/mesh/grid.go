package mesh

import "math"

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
