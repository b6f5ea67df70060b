package exact

import (
	"cmp"
	"math"
	"slices"

	"halfpot/optimize/lp"
)

// A paint's row holds whether or not the paint is used: that many pots, less those of
// the needs that do without it, or none at all.
//
//	pots >= side * some - sum of c_r * (some - y_r)

// paintUser is an option that takes of a paint that may run short.
type paintUser struct {
	opt  int32
	ul   int64
	lack float64 // by how much less it is taken than the paint is used
}

// paintRows lists broken rows of single paints at the values v.
func (s *setSeparator) paintRows(v []float64, out []*linearRow) []*linearRow {
	l := s.l
	s.v = v
	var users []paintUser
	for q := range int32(len(l.m.have)) {
		if some := l.someAt + q; l.col[some] < 0 || v[some] < 1e-5 {
			continue
		}
		users = s.paintUsers(q, users[:0])
		if len(users) < 2 {
			continue
		}
		if best, prefix := s.worstRow(q, users); prefix > 0 {
			out = append(out, s.paintRow(q, best, users[:prefix]))
		}
	}
	return out
}

// paintUsers lists an option of each need that takes of paint q, those that are taken
// as much as the paint is used first.
func (s *setSeparator) paintUsers(q int32, users []paintUser) []paintUser {
	l, m, v := s.l, s.l.m, s.v
	s.stamp++
	for _, pu := range m.byPaint[q] {
		n := m.optNeed[pu.opt]
		if l.col[pu.opt] < 0 || !l.short[pu.use] || v[pu.opt] < 1e-5 || s.mark[n] == s.stamp {
			continue
		}
		s.mark[n] = s.stamp
		users = append(users, paintUser{pu.opt, m.useUL[pu.use], v[l.someAt+q] - v[pu.opt]})
	}
	slices.SortFunc(users, func(a, b paintUser) int {
		return cmp.Or(cmp.Compare(a.lack, b.lack), cmp.Compare(a.opt, b.opt))
	})
	return users
}

// worstRow finds for how many of the users, the first ones, and by which pot's size
// the row is broken most; 0 where it is never broken by enough.
func (s *setSeparator) worstRow(q int32, users []paintUser) (best lp.Rounding, prefix int) {
	l, v := s.l, s.v
	top := setLeast
	side := -l.m.have[q]
	for k := range users {
		side += users[k].ul
		if side <= 0 {
			continue
		}
		for c := l.potStart[q]; c < l.potStart[q+1]; c++ {
			r, ok := lp.NewRounding(side, l.potUL[c])
			if !ok || !l.topOf(c) {
				continue
			}
			left, norm := float64(r.Side)*v[l.someAt+q], 0.0
			for b := l.potStart[q]; b < l.potStart[q+1]; b++ {
				w := float64(r.Whole(l.potUL[b]))
				left -= w * v[l.pot(b)]
				norm += w * w
			}
			on := float64(r.Side)
			for _, u := range users[:k+1] {
				w := float64(r.Whole(u.ul))
				left -= w * u.lack
				norm += w * w
				on -= w
			}
			if score := left / math.Sqrt(norm+on*on); score > top {
				top, prefix, best = score, k+1, r
			}
		}
	}
	return best, prefix
}

// paintRow writes the row of paint q and the users out.
func (s *setSeparator) paintRow(q int32, r lp.Rounding, users []paintUser) *linearRow {
	l := s.l
	row := &linearRow{upper: lp.Inf, kind: cutRow}
	on := -r.Side
	for c := l.potStart[q]; c < l.potStart[q+1]; c++ {
		row.add(l.pot(c), r.Whole(l.potUL[c]))
	}
	for _, u := range users {
		w := r.Whole(u.ul)
		on += w
		row.add(u.opt, -w)
	}
	row.add(l.someAt+q, on)
	row.reduce()
	return row
}
