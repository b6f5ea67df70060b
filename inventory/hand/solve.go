package hand

import "math"

// system gathers what all readings say: information and gradient of the dense
// unknowns, and of each paint's own with their coupling.
type system struct {
	u     *unknowns
	info  []float64 // n x n
	push  []float64
	own   []ownSystem
	prior []float64 // precisions of the last solution
}

type ownSystem struct {
	info, couple [][]float64
	push         []float64
	touched      bool
	prior        []float64 // precisions of the last solution
}

func newSystem(u *unknowns) *system {
	n := len(u.mean)
	s := &system{
		u:    u,
		info: make([]float64, n*n),
		push: make([]float64, n),
		own:  make([]ownSystem, len(u.ownSD)),
	}
	for c, sds := range u.ownSD {
		s.own[c] = ownSystem{
			info:   zeros(len(sds), len(sds)),
			couple: zeros(len(sds), n),
			push:   make([]float64, len(sds)),
		}
	}
	return s
}

func (s *system) clear() {
	clear(s.info)
	clear(s.push)
	for c := range s.own {
		o := &s.own[c]
		if !o.touched {
			continue
		}
		o.touched = false
		clear(o.push)
		for i := range o.info {
			clear(o.info[i])
			clear(o.couple[i])
		}
	}
}

// add takes in the message of a pot: k x k information and gradient by parts.
func (s *system) add(p *ready, info, push []float64) {
	n, k := len(s.push), len(p.parts)
	o := &s.own[p.v.Paint]
	for i, a := range p.parts {
		for _, d := range a.dense {
			s.push[d] += push[i]
		}
		if a.own >= 0 {
			o.push[a.own] += push[i]
			o.touched = true
		}
		for j, b := range p.parts {
			w := info[i*k+j]
			if w == 0 {
				continue
			}
			for _, d := range a.dense {
				for _, e := range b.dense {
					s.info[d*n+e] += w
				}
			}
			if a.own >= 0 {
				for _, e := range b.dense {
					o.couple[a.own][e] += w
				}
				if b.own >= 0 {
					o.info[a.own][b.own] += w
				}
			}
		}
	}
}

// weights are the precisions of the prior about the present belief. What a
// whole hand does has Student's t tails, by weights (Lange, Little and Taylor
// 1989, from memory), so that a far-off hand is believed sooner.
func (s *system) weights(b *belief, tails bool) []float64 {
	u, n := s.u, len(s.push)
	w := make([]float64, n)
	for i, sd := range u.sd {
		if s.info[i*n+i] > 0 ||
			// how far the painter is says nothing of what is not read of, or was reset
			u.group[i] == ofForgotten {
			sd *= b.far[u.group[i]]
		}
		w[i] = 1 / (sd * sd)
		if t := u.a.Tails; tails && u.tails[i] {
			w[i] *= (t + 1) / (t + (square(b.mean[i]-u.mean[i])+b.v[i*n+i])/(sd*sd))
		}
	}
	return w
}

// weights are the precisions of the prior of a paint's own unknowns: as far as
// the painter is where they were read of.
func (o *ownSystem) weights(sds []float64, far float64) []float64 {
	w := make([]float64, len(sds))
	for i, sd := range sds {
		if o.info[i][i] > 0 {
			sd *= far
		}
		w[i] = 1 / (sd * sd)
	}
	return w
}

// solve eliminates the paints' own unknowns (Schur complement), solves for the
// rest and moves the belief there, no unknown further than most; 0 only works
// out the covariance, about where the belief stands: the step that is not taken
// is doubt too. It spoils what was added.
func (s *system) solve(b *belief, tails bool, most float64) {
	u, n := s.u, len(s.push)
	w := s.weights(b, tails)
	s.prior = w
	for i := range n {
		s.info[i*n+i] += w[i]
		s.push[i] -= (b.mean[i] - u.mean[i]) * w[i]
	}
	type eliminated struct {
		inverse [][]float64
	}
	gone := make([]eliminated, len(s.own))
	for c := range s.own {
		o := &s.own[c]
		if !o.touched {
			continue
		}
		o.prior = o.weights(u.ownSD[c], b.far[ofFilm])
		for i, w := range o.prior {
			o.info[i][i] += w
			o.push[i] -= b.own[c].mean[i] * w
		}
		inv := invertSmall(o.info)
		gone[c].inverse = inv
		for i := range o.push {
			for j := range o.push {
				q := inv[i][j]
				if q == 0 {
					continue
				}
				for d, x := range o.couple[i] {
					if x == 0 {
						continue
					}
					s.push[d] -= x * q * o.push[j]
					row := s.info[d*n : d*n+n]
					for e, y := range o.couple[j] {
						row[e] -= x * q * y
					}
				}
			}
		}
	}
	b.v = invert(s.info, n, b.v)
	step := make([]float64, n)
	for i := range n {
		for j := range n {
			step[i] += b.v[i*n+j] * s.push[j]
		}
		b.mean[i] += clip(step[i], -most, most)
	}
	if most == 0 && len(u.a.Far) > 0 {
		for i := range n {
			for j := range n {
				b.v[i*n+j] += clip(step[i], -longestStep, longestStep) * clip(step[j], -longestStep, longestStep)
			}
		}
	}
	for c := range s.own {
		s.solveOwn(b, c, gone[c].inverse, step, most)
	}
}

// solveOwn is the back substitution for one paint.
func (s *system) solveOwn(b *belief, c int, inv [][]float64, step []float64, most float64) {
	o, own, n := &s.own[c], &b.own[c], len(s.push)
	if inv == nil { // nothing was said of it: its prior stands
		for i, sd := range s.u.ownSD[c] {
			own.mean[i] = 0
			clear(own.cross[i])
			clear(own.lean[i])
			for j := range own.cov[i] {
				own.cov[i][j], own.left[i][j] = 0, 0
			}
			own.cov[i][i], own.left[i][i] = sd*sd, sd
		}
		return
	}
	rhs := make([]float64, len(o.push))
	for i := range rhs {
		rhs[i] = o.push[i]
		for d, x := range o.couple[i] {
			rhs[i] -= x * step[d]
		}
	}
	for i := range rhs {
		move := 0.0
		for j := range rhs {
			move += inv[i][j] * rhs[j]
		}
		own.mean[i] += clip(move, -most, most)
		for d := range n {
			x := 0.0
			for j := range rhs {
				x += inv[i][j] * o.couple[j][d]
			}
			own.lean[i][d] = x
		}
		for d := range n {
			x := 0.0
			for e, l := range own.lean[i] {
				if l != 0 {
					x -= l * b.v[e*n+d]
				}
			}
			own.cross[i][d] = x
		}
	}
	for i := range rhs {
		for j := range rhs {
			x := inv[i][j]
			for d, l := range own.lean[j] {
				x -= own.cross[i][d] * l
			}
			own.cov[i][j] = x
		}
	}
	own.left = choleskySmall(inv)
}

// invert gives the inverse of a symmetric positive definite matrix by its
// Cholesky factor (Golub and Van Loan, Matrix Computations, section 4.2, from
// memory), into out where that is large enough. It spoils a.
func invert(a []float64, n int, out []float64) []float64 {
	out = resized(out, n*n)
	cholesky(a, n)
	// Columns of the inverse of the factor, then of its square.
	for c := range n {
		for i := c; i < n; i++ {
			x := 0.0
			if i == c {
				x = 1
			}
			for k := c; k < i; k++ {
				x -= a[i*n+k] * out[k*n+c]
			}
			out[i*n+c] = x / a[i*n+i]
		}
	}
	for i := range n {
		for j := range i + 1 {
			x := 0.0
			for k := i; k < n; k++ {
				x += out[k*n+i] * out[k*n+j]
			}
			a[i*n+j] = x
		}
	}
	for i := range n {
		for j := range i + 1 {
			out[i*n+j], out[j*n+i] = a[i*n+j], a[i*n+j]
		}
	}
	return out
}

// cholesky replaces the lower half of a by its factor. Where rounding leaves
// no pivot, a tiny one stands in.
func cholesky(a []float64, n int) {
	for i := range n {
		for j := range i + 1 {
			x := a[i*n+j]
			for k := range j {
				x -= a[i*n+k] * a[j*n+k]
			}
			if i == j {
				a[i*n+i] = sqrt(math.Max(x, 1e-12))
			} else {
				a[i*n+j] = x / a[j*n+j]
			}
		}
	}
}

func flat(a [][]float64) []float64 {
	n := len(a)
	out := make([]float64, n*n)
	for i := range a {
		copy(out[i*n:], a[i])
	}
	return out
}

func square2(a []float64, n int) [][]float64 {
	out := make([][]float64, n)
	for i := range out {
		out[i] = a[i*n : (i+1)*n]
	}
	return out
}

func invertSmall(a [][]float64) [][]float64 {
	if len(a) == 1 {
		return [][]float64{{1 / a[0][0]}}
	}
	return square2(invert(flat(a), len(a), nil), len(a))
}

func choleskySmall(a [][]float64) [][]float64 {
	n := len(a)
	l := flat(a)
	cholesky(l, n)
	for i := range n {
		clear(l[i*n+i+1 : (i+1)*n])
	}
	return square2(l, n)
}
