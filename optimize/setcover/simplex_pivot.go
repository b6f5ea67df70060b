package setcover

// solve pivots until the answer is a best one, the value passes cut, limit
// pivots are done or it is to stop, and says whether it is a best one.
func (l *relaxation) solve(cut float64, limit int) bool {
	for n := range limit {
		if l.value > cut || n%64 == 63 && l.stop() {
			return false
		}
		place, row, off := l.leaving()
		if place < 0 && row < 0 {
			return true
		}
		sign := 1.0
		if off < 0 {
			sign = -1
		}
		l.depend(place, row)
		col, tight := l.entering(sign)
		if col < 0 && tight < 0 {
			return false
		}
		l.pivot(place, row, col, tight, off)
	}
	return false
}

// leaving chooses what leaves the basis by the devex rule: the column at a
// place, or the surplus of a row; off is by how much it is to grow.
func (l *relaxation) leaving() (place, row int32, off float64) {
	place, row = -1, -1
	most := 0.0
	for p, j := range l.cols {
		miss := -l.x[p]
		switch l.held[j] {
		case colTaken:
			miss++
		case colOpen:
			miss = max(miss, 0)
		}
		if miss > lpClose || miss < -lpClose {
			if v := miss * miss; v > most*l.wCol[p] {
				most, off, place = v/l.wCol[p], miss, int32(p)
			}
		}
	}
	for i, v := range l.over {
		if v < -lpClose && l.rowPos[i] < 0 {
			if w := v * v; w > most*l.wRow[i] {
				most, off, place, row = w/l.wRow[i], -v, -1, int32(i)
			}
		}
	}
	return place, row, off
}

// depend works out how what leaves depends on what is not in the basis: y on
// the surpluses of the rows, alpha on the columns.
func (l *relaxation) depend(place, row int32) {
	y := l.y[:len(l.cols)]
	clear(l.alpha)
	if place >= 0 {
		copy(y, l.line(int(place)))
	} else {
		clear(y)
		for _, j := range l.colsOf(row) {
			l.alpha[j] = 1
			if p := l.colPos[j]; p >= 0 {
				axpy(y, l.line(int(p)), 1)
			}
		}
	}
	for q, v := range y {
		if v > -lpTiny && v < lpTiny {
			y[q] = 0
			continue
		}
		for _, j := range l.colsOf(l.rows[q]) {
			l.alpha[j] -= v
		}
	}
}

// entrant is what may come into the basis: a column, or the surplus of the
// basis's row at a place.
type entrant struct {
	col, tight  int32
	price, size float64
}

// entering chooses what comes into the basis so that no price and no reduced
// cost falls below 0, but for a slip that lets a larger pivot be taken (Harris
// 1973): a column, or the surplus of the basis's row at a place.
func (l *relaxation) entering(sign float64) (col, tight int32) {
	most := far
	comers := l.comers[:0]
	for q, v := range l.y[:len(l.rows)] {
		if a := sign * v; a > lpClose {
			u := max(l.u[q], 0)
			most = min(most, (u+l.slip)/a)
			comers = append(comers, entrant{-1, int32(q), u, a})
		}
	}
	for j, v := range l.alpha {
		if a := sign * v; a > lpClose && l.held[j] == colOpen && l.colPos[j] < 0 {
			r := max(l.rc[j], 0)
			most = min(most, (r+l.slip)/a)
			comers = append(comers, entrant{int32(j), -1, r, a})
		}
	}
	l.comers = comers
	col, tight = -1, -1
	size := 0.0
	for _, c := range comers {
		if c.size > size && c.price <= most*c.size {
			col, tight, size = c.col, c.tight, c.size
		}
	}
	return col, tight
}

// pivot exchanges what leaves, a column of the basis or the surplus of a row,
// for what comes in, a column or the surplus of a row of the basis.
func (l *relaxation) pivot(place, row, col, tight int32, off float64) {
	k := len(l.cols)
	y, d := l.y[:k], l.d[:k]
	var at, price, w float64
	if col >= 0 {
		at, price = l.alpha[col], l.rc[col]
	} else {
		at, price = y[tight], l.u[tight]
	}
	if row >= 0 {
		w = l.wRow[row]
	} else {
		w = l.wCol[place]
	}
	theta, step := price/at, off/at
	l.value += theta * off
	for j, a := range l.alpha {
		if a != 0 {
			l.rc[j] -= theta * a
		}
	}
	axpy(l.u[:k], y, -theta)

	l.direction(d, col, tight)
	w /= at * at
	for p, v := range d {
		if v > -lpTiny && v < lpTiny {
			d[p] = 0
			continue
		}
		l.x[p] += v * step
		l.wCol[p] = max(l.wCol[p], v*v*w)
		for _, i := range l.rowsOf(l.cols[p]) {
			l.delta[i] += v
		}
	}
	for i, v := range l.delta {
		if v != 0 {
			l.over[i] += v * step
			l.wRow[i] = max(l.wRow[i], v*v*w)
		}
	}
	w = max(w, 1)
	switch {
	case row >= 0 && col >= 0:
		l.extend(row, col, at, theta, step, w)
	case row >= 0:
		l.swapRow(row, tight, at, theta, step, w)
	case col >= 0:
		l.swapColumn(place, col, at, theta, step, w)
	default:
		l.shorten(place, tight, at, theta, step, w)
	}
}

// direction fills in how the basis moves with the column that comes in, or else
// with the row that gets slack.
func (l *relaxation) direction(d []float64, col, tight int32) {
	clear(l.delta)
	if col < 0 {
		for p := range d {
			d[p] = l.inv[p*l.stride+int(tight)]
		}
		return
	}
	clear(d)
	for _, i := range l.rowsOf(col) {
		l.delta[i] = 1
		if q := l.rowPos[i]; q >= 0 {
			for p := range d {
				d[p] -= l.inv[p*l.stride+int(q)]
			}
		}
	}
}

// extend takes in a row and a column.
func (l *relaxation) extend(row, col int32, at, theta, step, w float64) {
	k := len(l.cols)
	if k == l.stride {
		l.widen()
	}
	at = 1 / at
	for p, v := range l.d[:k] {
		line := l.inv[p*l.stride:][:k+1]
		line[k] = v * at
		if v != 0 {
			axpy(line, l.y[:k], -v*at)
		}
	}
	line := l.inv[k*l.stride:][:k+1]
	clear(line)
	axpy(line, l.y[:k], -at)
	line[k] = at
	l.cols, l.rows = append(l.cols, col), append(l.rows, row)
	l.colPos[col], l.rowPos[row] = int32(k), int32(k)
	l.x[k], l.u[k], l.wCol[k] = step, theta, w
	l.rc[col], l.over[row] = 0, 0
}

// swapRow takes in a row for the one at place t.
func (l *relaxation) swapRow(row, t int32, at, theta, step, w float64) {
	for p, v := range l.d[:len(l.cols)] {
		if v != 0 {
			line := l.line(p)
			v /= at
			axpy(line, l.y, -v)
			line[t] = v
		}
	}
	old := l.rows[t]
	l.rowPos[old], l.rowPos[row] = -1, t
	l.over[old], l.wRow[old], l.over[row] = step, w, 0
	l.rows[t], l.u[t] = row, theta
}

// swapColumn takes in a column for the one at place out.
func (l *relaxation) swapColumn(out, col int32, at, theta, step, w float64) {
	own := l.line(int(out))
	for q := range own {
		own[q] /= -at
	}
	for p, v := range l.d[:len(l.cols)] {
		if v != 0 && p != int(out) {
			axpy(l.line(p), own, v)
		}
	}
	old := l.cols[out]
	l.colPos[old], l.colPos[col] = -1, out
	l.rc[old], l.rc[col] = theta, 0
	l.cols[out], l.x[out], l.wCol[out] = col, step, w
}

// shorten drops the column at place out and the row at place t.
func (l *relaxation) shorten(out, t int32, at, theta, step, w float64) {
	own := l.line(int(out))
	for p, v := range l.d[:len(l.cols)] {
		if v != 0 && p != int(out) {
			axpy(l.line(p), own, -v/at)
		}
	}
	old, freed := l.cols[out], l.rows[t]
	l.colPos[old], l.rowPos[freed] = -1, -1
	l.rc[old], l.over[freed], l.wRow[freed] = theta, step, w
	last := int32(len(l.cols) - 1)
	if out != last {
		copy(own, l.line(int(last)))
		l.cols[out], l.x[out], l.wCol[out] = l.cols[last], l.x[last], l.wCol[last]
		l.colPos[l.cols[out]] = out
	}
	if t != last {
		for p := range int(last) {
			line := l.line(p)
			line[t] = line[last]
		}
		l.rows[t], l.u[t] = l.rows[last], l.u[last]
		l.rowPos[l.rows[t]] = t
	}
	l.cols, l.rows = l.cols[:last], l.rows[:last]
}

// widen makes the inverse's lines longer.
func (l *relaxation) widen() {
	n := (l.stride + l.stride/2 + 32) | 31
	inv := make([]float64, n*n)
	for p := range l.cols {
		copy(inv[p*n:], l.line(p))
	}
	l.inv, l.stride = inv, n
}

// axpy adds a times src to the first of dst.
func axpy(dst, src []float64, a float64) {
	n := min(len(src), len(dst))
	src, dst = src[:n], dst[:n]
	for len(src) >= 4 && len(dst) >= 4 {
		dst[0] += a * src[0]
		dst[1] += a * src[1]
		dst[2] += a * src[2]
		dst[3] += a * src[3]
		src, dst = src[4:], dst[4:]
	}
	for q, v := range src {
		if q < len(dst) {
			dst[q] += a * v
		}
	}
}
