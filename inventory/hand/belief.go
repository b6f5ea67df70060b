package hand

// belief is what is held of the unknowns at one point of the rounds: a normal
// distribution, and how large the errors are as factors of those assumed.
type belief struct {
	mean  []float64
	v     []float64 // covariance, rows one after the other
	own   []ownBelief
	noise noise
	// how far this painter is from the tables, over what painters are: factor on the prior sd
	far [groups]float64
}

// ownBelief is that of the unknowns of one paint: cross is their covariance
// with the dense ones, cov with each other; lean and left say the same given
// the dense ones: own = mean - lean (dense - mean of dense) + normal(left).
type ownBelief struct {
	mean  []float64
	cross [][]float64
	cov   [][]float64
	lean  [][]float64
	left  [][]float64 // Cholesky factor of the covariance given the dense
}

type noise struct{ eye, scale, job float64 }

func (u *unknowns) prior() *belief {
	n := len(u.mean)
	b := &belief{
		mean:  append([]float64(nil), u.mean...),
		v:     make([]float64, n*n),
		own:   make([]ownBelief, len(u.ownSD)),
		noise: noise{1, 1, 1},
		far:   [groups]float64{1, 1, 1, u.a.Forgets},
	}
	for i, sd := range u.sd {
		b.v[i*n+i] = square(sd * b.far[u.group[i]])
	}
	for c, sds := range u.ownSD {
		o := &b.own[c]
		o.mean = make([]float64, len(sds))
		o.cross, o.lean = zeros(len(sds), n), zeros(len(sds), n)
		o.cov, o.left = zeros(len(sds), len(sds)), zeros(len(sds), len(sds))
		for i, sd := range sds {
			o.cov[i][i], o.left[i][i] = sd*sd, sd
		}
	}
	return b
}

func zeros(rows, columns int) [][]float64 {
	all := make([]float64, rows*columns)
	out := make([][]float64, rows)
	for i := range out {
		out[i] = all[i*columns : (i+1)*columns]
	}
	return out
}

// of is the mean of a part of a paint's pot.
func (b *belief) of(p part, paint int) float64 {
	m := 0.0
	for _, i := range p.dense {
		m += b.mean[i]
	}
	if p.own >= 0 {
		m += b.own[paint].mean[p.own]
	}
	return m
}

// cov is the covariance of two parts of one paint's pots.
func (b *belief) cov(p, q part, paint int) float64 {
	n, c := len(b.mean), 0.0
	for _, i := range p.dense {
		for _, j := range q.dense {
			c += b.v[i*n+j]
		}
	}
	if p.own >= 0 {
		for _, j := range q.dense {
			c += b.own[paint].cross[p.own][j]
		}
	}
	if q.own >= 0 {
		for _, i := range p.dense {
			c += b.own[paint].cross[q.own][i]
		}
	}
	if p.own >= 0 && q.own >= 0 {
		c += b.own[paint].cov[p.own][q.own]
	}
	return c
}

// covariance fills c with that of all parts of a pot.
func (b *belief) covariance(parts []part, paint int, c []float64) {
	n := len(parts)
	for i := range n {
		for j := range i + 1 {
			x := b.cov(parts[i], parts[j], paint)
			c[i*n+j], c[j*n+i] = x, x
		}
	}
}
