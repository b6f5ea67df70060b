package setcover

import (
	"slices"

	"halfpot/optimize/internal/flat"
)

// relaxation solves linear relaxations of the nodes of a cover by the dual simplex
// method: minimise cost over x ≥ 0 that cover every row at least once. Its
// prices are rounded before they count (see relaxed), so no proof rests on its
// floating-point sums.
//
// A basis is a set of columns and as many rows, those that are covered exactly
// once; only the inverse of that square is kept. What is not in the node any
// more but still in the basis a solve starts from comes after the node's own
// columns and rows, and leaves in time.
type relaxation struct {
	whole *subproblem // all columns and rows there can be
	stop  func() bool // asked now and then
	costs []float64   // of whole's columns, shifted a little so that ties are rare

	colID, rowID       []int32 // in whole
	colAt, rowAt       []int32 // from whole, or -1
	colStart, colRow   []int32
	rowStart, rowCol   []int32
	cost               []float64
	held               []int8    // of each column: colOpen, colTaken (at 1) or colOut (at 0)
	need               []float64 // 1 less the columns taken, for each row
	base               float64   // cost of the columns taken that are not here
	colPos, rowPos     []int32   // place in the basis, or -1
	x                  []float64 // values of the basis's columns
	over               []float64 // by how much each row is covered more than needed
	value              float64   // of the prices: a bound but for rounding
	y, d, alpha, delta []float64
	comers             []entrant
	fill               []int32
	slip               float64 // what a reduced cost may fall below 0
	basis
	mark basis
}

// basis is what a solve starts from.
type basis struct {
	cols, rows []int32
	stride     int
	inv        []float64 // a line for each column, of stride numbers
	u          []float64 // price of each of the rows
	rc         []float64 // reduced costs of all columns
	wCol, wRow []float64 // weights of the basis's columns and of all rows in the choice of what leaves
}

const (
	lpTiny  = 1e-9
	lpClose = 1e-7 // for coefficients and values
	lpShift = 1e-4 // units that a cost is shifted by at most
)

func newRelaxation(p *subproblem, grain float64) *relaxation {
	l := &relaxation{whole: p, costs: slices.Clone(p.cost), slip: grain * lpShift * 1e-4}
	l.colAt, l.rowAt = make([]int32, p.cols()), make([]int32, p.rows())
	seed := uint64(1)
	for j := range l.costs {
		seed = seed*6364136223846793005 + 1442695040888963407
		l.costs[j] += grain * lpShift * float64(seed>>40) / (1 << 24)
	}
	return l
}

// fellow has the same columns and rows.
func (l *relaxation) fellow() *relaxation {
	return &relaxation{
		whole: l.whole, costs: l.costs, slip: l.slip,
		colAt: make([]int32, len(l.colAt)), rowAt: make([]int32, len(l.rowAt)),
	}
}

func (b *basis) clone() basis {
	return basis{
		cols: slices.Clone(b.cols), rows: slices.Clone(b.rows), stride: b.stride, inv: slices.Clone(b.inv),
		wCol: slices.Clone(b.wCol), wRow: slices.Clone(b.wRow),
	}
}

// reset goes back to the empty basis.
func (l *relaxation) reset() {
	l.cols, l.rows = l.cols[:0], l.rows[:0]
	for i := range l.wRow {
		l.wRow[i] = 1
	}
}

// enter makes l the relaxation of the node, to start from a basis saved. cols
// and rows say where the node's are in whole.
func (l *relaxation) enter(p *subproblem, cols, taken []int32, from *basis) {
	l.number(p, cols)
	l.seat(from)
	l.state(p, len(cols), taken)
	l.matrix()
	n, m := len(l.colID), len(l.rowID)
	size := min(n, m)
	l.x, l.y = flat.Resize(l.x, size), flat.Resize(l.y, size)
	l.d, l.u = flat.Resize(l.d, size), flat.Resize(l.u, size)
	l.wCol = flat.Resize(l.wCol, size)
	l.alpha, l.rc, l.colPos = flat.Resize(l.alpha, n), flat.Resize(l.rc, n), flat.Resize(l.colPos, n)
	l.delta, l.over = flat.Resize(l.delta, m), flat.Resize(l.over, m)
	l.rowPos, l.wRow = flat.Resize(l.rowPos, m), flat.Resize(l.wRow, m)
	l.copyInverse(from)
	copy(l.wCol, from.wCol)
	for i, id := range l.rowID {
		l.wRow[i] = 1
		if from.wRow != nil {
			l.wRow[i] = from.wRow[id]
		}
	}
	l.price()
	l.start()
}

// number gives the node's columns and rows the numbers they have here.
func (l *relaxation) number(p *subproblem, cols []int32) {
	for i := range l.colAt {
		l.colAt[i] = -1
	}
	for i := range l.rowAt {
		l.rowAt[i] = -1
	}
	l.colID, l.rowID = append(l.colID[:0], cols...), append(l.rowID[:0], p.row...)
	for j, id := range l.colID {
		l.colAt[id] = int32(j)
	}
	for i, id := range l.rowID {
		l.rowAt[id] = int32(i)
	}
}

// seat takes over the columns and rows of a basis; those the node has no more
// are numbered after its own.
func (l *relaxation) seat(from *basis) {
	l.cols, l.rows = l.cols[:0], l.rows[:0]
	for _, id := range from.cols {
		if l.colAt[id] < 0 {
			l.colAt[id] = int32(len(l.colID))
			l.colID = append(l.colID, id)
		}
		l.cols = append(l.cols, l.colAt[id])
	}
	for _, id := range from.rows {
		if l.rowAt[id] < 0 {
			l.rowAt[id] = int32(len(l.rowID))
			l.rowID = append(l.rowID, id)
		}
		l.rows = append(l.rows, l.rowAt[id])
	}
}

// state says which columns are open (the first ones), taken or out, and what
// the rows need beside those taken.
func (l *relaxation) state(p *subproblem, open int, taken []int32) {
	w := l.whole
	l.held = flat.Resize(l.held, len(l.colID))
	for j := range l.held {
		l.held[j] = colOut
		if j < open {
			l.held[j] = colOpen
		}
	}
	l.need = flat.Resize(l.need, len(l.rowID))
	for i := range l.need {
		l.need[i] = 1
	}
	l.base = p.base
	for _, id := range taken {
		if j := l.colAt[id]; j >= 0 {
			l.held[j] = colTaken
			l.base -= w.cost[id]
			continue
		}
		for _, i := range w.rowsOf(id) {
			if r := l.rowAt[i]; r >= 0 {
				l.need[r]--
			}
		}
	}
}

// matrix lays out which rows each column covers, and the other way round.
func (l *relaxation) matrix() {
	m := len(l.rowID)
	l.rowStart = flat.Resize(l.rowStart, m+1)
	clear(l.rowStart)
	l.cost, l.colRow, l.colStart = l.cost[:0], l.colRow[:0], append(l.colStart[:0], 0)
	for _, id := range l.colID {
		l.cost = append(l.cost, l.costs[id])
		for _, i := range l.whole.rowsOf(id) {
			if r := l.rowAt[i]; r >= 0 {
				l.colRow = append(l.colRow, r)
				l.rowStart[r+1]++
			}
		}
		l.colStart = append(l.colStart, int32(len(l.colRow)))
	}
	for i := range m {
		l.rowStart[i+1] += l.rowStart[i]
	}
	l.fill = append(l.fill[:0], l.rowStart...)
	l.rowCol = flat.Resize(l.rowCol, len(l.colRow))
	for j := range l.colID {
		for _, i := range l.rowsOf(int32(j)) {
			l.rowCol[l.fill[i]] = int32(j)
			l.fill[i]++
		}
	}
}

func (l *relaxation) rowsOf(j int32) []int32 { return l.colRow[l.colStart[j]:l.colStart[j+1]] }
func (l *relaxation) colsOf(i int32) []int32 { return l.rowCol[l.rowStart[i]:l.rowStart[i+1]] }

// line p of the inverse.
func (b *basis) line(p int) []float64 { return b.inv[p*b.stride:][:len(b.rows)] }

// copyInverse takes over the inverse of a basis of as many columns.
func (l *relaxation) copyInverse(from *basis) {
	if k := len(l.cols); k > l.stride {
		l.stride = k | 31
		l.inv = make([]float64, l.stride*l.stride)
	}
	for p := range l.cols {
		copy(l.line(p), from.line(p))
	}
}

// save copies the basis in terms of whole.
func (l *relaxation) save(to *basis) {
	to.cols, to.rows = to.cols[:0], to.rows[:0]
	for p, j := range l.cols {
		to.cols = append(to.cols, l.colID[j])
		to.rows = append(to.rows, l.rowID[l.rows[p]])
	}
	l.saveInverse(to)
	to.wRow = flat.Resize(to.wRow, len(l.rowAt))
	for i, r := range l.rowAt {
		to.wRow[i] = 1
		if r >= 0 {
			to.wRow[i] = l.wRow[r]
		}
	}
}

func (l *relaxation) saveInverse(to *basis) {
	k := len(l.cols)
	to.stride = k
	to.inv = flat.Resize(to.inv, k*k)
	for p := range k {
		copy(to.line(p), l.line(p))
	}
	to.wCol = append(to.wCol[:0], l.wCol[:k]...)
}

// note keeps the basis for back.
func (l *relaxation) note() {
	b := &l.mark
	b.cols, b.rows = append(b.cols[:0], l.cols...), append(b.rows[:0], l.rows...)
	l.saveInverse(b)
	b.u, b.rc = append(b.u[:0], l.u[:len(l.cols)]...), append(b.rc[:0], l.rc...)
	b.wRow = append(b.wRow[:0], l.wRow...)
}

// back goes back to the basis noted.
func (l *relaxation) back() {
	b := &l.mark
	l.cols, l.rows = append(l.cols[:0], b.cols...), append(l.rows[:0], b.rows...)
	l.copyInverse(b)
	copy(l.u, b.u)
	copy(l.rc, b.rc)
	copy(l.wCol, b.wCol)
	copy(l.wRow, b.wRow)
}

// price works the prices out from the inverse.
func (l *relaxation) price() {
	u := l.u[:len(l.cols)]
	clear(u)
	for p, j := range l.cols {
		axpy(u, l.line(p), l.cost[j])
	}
	copy(l.rc, l.cost)
	for q, i := range l.rows {
		v := u[q]
		for _, j := range l.colsOf(i) {
			l.rc[j] -= v
		}
	}
	for _, j := range l.cols {
		l.rc[j] = 0
	}
}

// start works out the values at the basis, with the columns held as they are.
func (l *relaxation) start() {
	for j := range l.colPos {
		l.colPos[j] = -1
	}
	for i, n := range l.need {
		l.rowPos[i] = -1
		l.over[i] = -n
	}
	l.value = l.base
	for p, j := range l.cols {
		l.colPos[j] = int32(p)
	}
	for p, i := range l.rows {
		l.rowPos[i] = int32(p)
		l.value += l.u[p] * l.need[i]
	}
	for j, h := range l.held {
		if h == colTaken && l.colPos[j] < 0 {
			l.value += l.rc[j]
			for _, i := range l.rowsOf(int32(j)) {
				l.over[i]++
			}
		}
	}
	for p := range l.cols {
		sum := 0.0
		for q, v := range l.line(p) {
			sum -= v * l.over[l.rows[q]]
		}
		l.x[p] = sum
	}
	for p, j := range l.cols {
		v := l.x[p]
		for _, i := range l.rowsOf(j) {
			l.over[i] += v
		}
	}
}
