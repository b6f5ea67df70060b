package lp

import "math"

// factor is the LU factorisation of a basis, with product-form updates: one eta
// column for each exchange since. Basic columns are known by their position,
// rows by their index.
type factor struct {
	m          int
	prow, ppos []int32 // row and position of each pivot, in order
	piv        []float64
	at         []int32 // pivot of each position

	// L: pivot row lPiv[k] is subtracted from the rows listed.
	lPiv, lStart, lRow []int32
	lVal               []float64
	// U by columns (rows of earlier pivots) and by rows (positions of later ones).
	ucStart, ucRow []int32
	ucVal          []float64
	urStart, urPos []int32
	urVal          []float64

	ePos         []int32
	ePiv         []float64
	eStart, eIdx []int32
	eVal         []float64

	work   []float64
	active active
	fill   int // entries of L and U
	builds int // times it was built
}

const (
	pivotTiny  = 1e-8 // below that a basis counts as singular
	pivotShare = 0.1  // least size of a pivot beside the largest entry of its row
	searchMost = 4    // rows and columns looked at for a pivot
)

// active is the part of the matrix that has no pivot yet.
type active struct {
	rowPos  [][]int32
	rowVal  [][]float64
	colRow  [][]int32
	rows    countLists
	cols    countLists
	scatter []int32 // place of a position in the row worked on, plus 1
}

// countLists keeps items in lists by their count.
type countLists struct {
	head, next, prev, count []int32
}

func (c *countLists) reset(items, most int) {
	c.head = refill(c.head, most+1, -1)
	c.next, c.prev, c.count = refill(c.next, items, -1), refill(c.prev, items, -1), refill(c.count, items, -1)
}

func (c *countLists) put(i, count int32) {
	c.count[i] = count
	h := c.head[count]
	c.next[i], c.prev[i] = h, -1
	if h >= 0 {
		c.prev[h] = i
	}
	c.head[count] = i
}

func (c *countLists) take(i int32) {
	if p := c.prev[i]; p >= 0 {
		c.next[p] = c.next[i]
	} else {
		c.head[c.count[i]] = c.next[i]
	}
	if n := c.next[i]; n >= 0 {
		c.prev[n] = c.prev[i]
	}
	c.count[i] = -1
}

func (c *countLists) move(i, count int32) {
	if c.count[i] != count {
		c.take(i)
		c.put(i, count)
	}
}

func resize[T any](s []T, n int) []T {
	if cap(s) < n {
		return make([]T, n, n+n/4+16)
	}
	return s[:n]
}

func refill[T any](s []T, n int, v T) []T {
	s = resize(s, n)
	for i := range s {
		s[i] = v
	}
	return s
}

// begin empties the active part.
func (a *active) begin(m int) {
	for len(a.rowPos) < m {
		a.rowPos, a.rowVal, a.colRow = append(a.rowPos, nil), append(a.rowVal, nil), append(a.colRow, nil)
	}
	for i := range m {
		a.rowPos[i], a.rowVal[i], a.colRow[i] = a.rowPos[i][:0], a.rowVal[i][:0], a.colRow[i][:0]
	}
	a.rows.reset(m, m)
	a.cols.reset(m, m)
	a.scatter = refill(a.scatter, m, 0)
}

func (a *active) add(row, pos int32, v float64) {
	a.rowPos[row], a.rowVal[row] = append(a.rowPos[row], pos), append(a.rowVal[row], v)
	a.colRow[pos] = append(a.colRow[pos], row)
}

// build factorises the basis whose columns load puts in by add. Where it is
// singular, it returns positions and rows that found no pivot, which pair up:
// with the rows' logicals at these positions the basis is regular.
func (f *factor) build(m int, load func(a *active)) (pos, rows []int32) {
	f.m = m
	f.builds++
	f.prow, f.ppos, f.piv = f.prow[:0], f.ppos[:0], f.piv[:0]
	f.lPiv, f.lStart, f.lRow, f.lVal = f.lPiv[:0], append(f.lStart[:0], 0), f.lRow[:0], f.lVal[:0]
	f.urStart, f.urPos, f.urVal = append(f.urStart[:0], 0), f.urPos[:0], f.urVal[:0]
	f.ePos, f.ePiv = f.ePos[:0], f.ePiv[:0]
	f.eStart, f.eIdx = append(f.eStart[:0], 0), f.eIdx[:0]
	f.eVal = f.eVal[:0]
	f.work = refill(f.work, m, 0)
	f.at = refill(f.at, m, -1)
	a := &f.active
	a.begin(m)
	load(a)
	for i := int32(0); i < int32(m); i++ {
		a.rows.put(i, int32(len(a.rowPos[i])))
		a.cols.put(i, int32(len(a.colRow[i])))
	}
	for len(f.prow) < m {
		row, k := a.choose()
		if row < 0 {
			break
		}
		f.pivot(row, k)
	}
	if len(f.prow) < m {
		for i := int32(0); i < int32(m); i++ {
			if a.rows.count[i] >= 0 {
				rows = append(rows, i)
			}
			if a.cols.count[i] >= 0 {
				pos = append(pos, i)
			}
		}
		return pos, rows
	}
	f.columns()
	f.fill = len(f.urVal) + len(f.lVal)
	return nil, nil
}

// choose finds the next pivot: its row and its place there; -1 where there is none.
func (a *active) choose() (row int32, at int) {
	for p := a.cols.head[1]; p >= 0; p = a.cols.next[p] {
		r := a.colRow[p][0]
		if k := a.place(r, p); math.Abs(a.rowVal[r][k]) > pivotTiny {
			return r, k
		}
	}
	for r := a.rows.head[1]; r >= 0; r = a.rows.next[r] {
		if math.Abs(a.rowVal[r][0]) > pivotTiny {
			return r, 0
		}
	}
	row, looked := -1, 0
	best := math.Inf(1)
	size := 0.0
	see := func(r int32, k int, colCount int32) bool {
		v := math.Abs(a.rowVal[r][k])
		merit := float64(len(a.rowVal[r])-1) * float64(colCount-1)
		if merit < best || merit == best && v > size {
			row, at, best, size = r, k, merit, v
			return true
		}
		return false
	}
	for count := int32(1); int(count) < len(a.rows.head); count++ {
		if best <= float64(count-1)*float64(count-1) {
			break
		}
		for p := a.cols.head[count]; p >= 0 && looked < searchMost; p = a.cols.next[p] {
			found := false
			for _, r := range a.colRow[p] {
				k := a.place(r, p)
				if v := math.Abs(a.rowVal[r][k]); v > pivotTiny && v >= pivotShare*a.largest(r) {
					see(r, k, count)
					found = true
				}
			}
			if found {
				looked++
			}
		}
		for r := a.rows.head[count]; r >= 0 && looked < searchMost; r = a.rows.next[r] {
			limit := max(pivotShare*a.largest(r), pivotTiny)
			found := false
			for k, p := range a.rowPos[r] {
				if math.Abs(a.rowVal[r][k]) >= limit {
					see(r, k, a.cols.count[p])
					found = true
				}
			}
			if found {
				looked++
			}
		}
		if looked >= searchMost {
			break
		}
	}
	return row, at
}

func (a *active) place(r, p int32) int {
	for k, q := range a.rowPos[r] {
		if q == p {
			return k
		}
	}
	return -1
}

func (a *active) largest(r int32) float64 {
	most := 0.0
	for _, v := range a.rowVal[r] {
		most = max(most, math.Abs(v))
	}
	return most
}

// pivot takes entry k of a row as the next pivot and eliminates its column.
func (f *factor) pivot(row int32, k int) {
	a := &f.active
	pos, val := a.rowPos[row], a.rowVal[row]
	col, piv := pos[k], val[k]
	last := len(pos) - 1
	pos[k], val[k] = pos[last], val[last]
	pos, val = pos[:last], val[:last]
	a.rowPos[row], a.rowVal[row] = pos, val
	f.at[col] = int32(len(f.prow))
	f.prow, f.ppos, f.piv = append(f.prow, row), append(f.ppos, col), append(f.piv, piv)
	f.urPos, f.urVal = append(f.urPos, pos...), append(f.urVal, val...)
	f.urStart = append(f.urStart, int32(len(f.urPos)))
	a.rows.take(row)
	a.cols.take(col)
	for _, p := range pos {
		a.drop(p, row)
	}
	if len(a.colRow[col]) > 1 {
		for i, p := range pos {
			a.scatter[p] = int32(i) + 1
		}
		for _, r := range a.colRow[col] {
			if r != row {
				f.eliminate(r, row, col, piv)
			}
		}
		for _, p := range pos {
			a.scatter[p] = 0
		}
		f.lPiv = append(f.lPiv, row)
		f.lStart = append(f.lStart, int32(len(f.lRow)))
	}
	for _, p := range pos {
		a.cols.move(p, int32(len(a.colRow[p])))
	}
}

// drop takes a row out of a column's list.
func (a *active) drop(p, row int32) {
	list := a.colRow[p]
	for i, r := range list {
		if r == row {
			list[i] = list[len(list)-1]
			a.colRow[p] = list[:len(list)-1]
			return
		}
	}
}

// eliminate subtracts a multiple of the pivot row from row r.
func (f *factor) eliminate(r, row, col int32, piv float64) {
	a := &f.active
	k := a.place(r, col)
	pos, val := a.rowPos[r], a.rowVal[r]
	mult := val[k] / piv
	last := len(pos) - 1
	pos[k], val[k] = pos[last], val[last]
	pos, val = pos[:last], val[:last]
	from, fromVal := a.rowPos[row], a.rowVal[row]
	if len(from) > 0 {
		seen := 0
		for i := 0; i < len(pos); i++ {
			if s := a.scatter[pos[i]]; s > 0 {
				val[i] -= mult * fromVal[s-1]
				a.scatter[pos[i]] = -s // done
				seen++
				if math.Abs(val[i]) < 1e-14 {
					a.scatter[pos[i]] = -s
					a.drop(pos[i], r)
					end := len(pos) - 1
					pos[i], val[i] = pos[end], val[end]
					pos, val = pos[:end], val[:end]
					i--
				}
			}
		}
		for i, p := range from {
			if s := a.scatter[p]; s < 0 {
				a.scatter[p] = -s
			} else if v := -mult * fromVal[i]; math.Abs(v) >= 1e-14 {
				pos, val = append(pos, p), append(val, v)
				a.colRow[p] = append(a.colRow[p], r)
			}
		}
	}
	a.rowPos[r], a.rowVal[r] = pos, val
	a.rows.move(r, int32(len(pos)))
	f.lRow, f.lVal = append(f.lRow, r), append(f.lVal, mult)
}

// columns lists U by columns.
func (f *factor) columns() {
	f.ucStart = refill(f.ucStart, f.m+1, 0)
	for _, p := range f.urPos {
		f.ucStart[f.at[p]+1]++
	}
	for k := range f.m {
		f.ucStart[k+1] += f.ucStart[k]
	}
	f.ucRow, f.ucVal = resize(f.ucRow, len(f.urPos)), resize(f.ucVal, len(f.urPos))
	for k := range f.m {
		for e := f.urStart[k]; e < f.urStart[k+1]; e++ {
			c := f.at[f.urPos[e]]
			f.ucRow[f.ucStart[c]], f.ucVal[f.ucStart[c]] = f.prow[k], f.urVal[e]
			f.ucStart[c]++
		}
	}
	copy(f.ucStart[1:], f.ucStart[:f.m])
	f.ucStart[0] = 0
}

// forward solves B x = v: v by rows is used up (left zero), x comes by positions.
func (f *factor) forward(v, x []float64) {
	for k, row := range f.lPiv {
		if t := v[row]; t != 0 {
			for e := f.lStart[k]; e < f.lStart[k+1]; e++ {
				v[f.lRow[e]] -= f.lVal[e] * t
			}
		}
	}
	prow, ppos := f.prow, f.ppos
	for k := len(prow) - 1; k >= 0; k-- {
		t := v[prow[k]]
		if t == 0 {
			x[ppos[k]] = 0
			continue
		}
		v[prow[k]] = 0
		if t < 1e-14 && t > -1e-14 {
			x[ppos[k]] = 0
			continue
		}
		t /= f.piv[k]
		x[ppos[k]] = t
		start, end := f.ucStart[k], f.ucStart[k+1]
		rows, vals := f.ucRow[start:end], f.ucVal[start:end]
		for i, r := range rows {
			v[r] -= vals[i] * t
		}
	}
	for e, p := range f.ePos {
		t := x[p]
		if t == 0 {
			continue
		}
		t /= f.ePiv[e]
		start, end := f.eStart[e], f.eStart[e+1]
		idx, vals := f.eIdx[start:end], f.eVal[start:end]
		for i, q := range idx {
			x[q] -= vals[i] * t
		}
		x[p] = t
	}
}

// backward solves yB = v: v by positions is used up (left zero), y comes by rows.
func (f *factor) backward(v, y []float64) {
	for e := len(f.ePos) - 1; e >= 0; e-- {
		p := f.ePos[e]
		t := v[p]
		start, end := f.eStart[e], f.eStart[e+1]
		idx, vals := f.eIdx[start:end], f.eVal[start:end]
		for i, q := range idx {
			t -= vals[i] * v[q]
		}
		v[p] = t / f.ePiv[e]
	}
	prow, ppos := f.prow, f.ppos
	for k := range prow {
		t := v[ppos[k]]
		if t == 0 {
			y[prow[k]] = 0
			continue
		}
		v[ppos[k]] = 0
		if t < 1e-14 && t > -1e-14 {
			y[prow[k]] = 0
			continue
		}
		t /= f.piv[k]
		y[prow[k]] = t
		start, end := f.urStart[k], f.urStart[k+1]
		pos, vals := f.urPos[start:end], f.urVal[start:end]
		for i, p := range pos {
			v[p] -= vals[i] * t
		}
	}
	for k := len(f.lPiv) - 1; k >= 0; k-- {
		t := y[f.lPiv[k]]
		for e := f.lStart[k]; e < f.lStart[k+1]; e++ {
			t -= f.lVal[e] * y[f.lRow[e]]
		}
		y[f.lPiv[k]] = t
	}
}

// update exchanges the column at position p for one whose forward solution is x.
func (f *factor) update(p int32, x []float64) {
	f.ePos, f.ePiv = append(f.ePos, p), append(f.ePiv, x[p])
	for q, v := range x {
		if v != 0 && int32(q) != p {
			f.eIdx, f.eVal = append(f.eIdx, int32(q)), append(f.eVal, v)
		}
	}
	f.eStart = append(f.eStart, int32(len(f.eIdx)))
}

// updates is how many exchanges there were since build.
func (f *factor) updates() int { return len(f.ePos) }

// undo takes exchanges back until only so many are left.
func (f *factor) undo(updates int) {
	f.ePos, f.ePiv, f.eStart = f.ePos[:updates], f.ePiv[:updates], f.eStart[:updates+1]
	f.eIdx, f.eVal = f.eIdx[:f.eStart[updates]], f.eVal[:f.eStart[updates]]
}
