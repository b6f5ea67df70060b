package setcover

import (
	"math"
	"slices"

	"halfpot/optimize/internal/flat"
)

// subproblem is what is left of a covering problem where some columns are taken
// or ruled out: the rows not covered yet and the columns still open, laid out
// flat so that a bound of it touches little memory.
type subproblem struct {
	cost     []float64
	id       []int32 // the column in the whole problem
	colStart []int32
	colRow   []int32
	rowStart []int32
	rowCol   []int32
	u        []float64 // multiplier of each row
	most     []float64 // the most that each multiplier can usefully be
	fraction []float64 // how much of each column the relaxed answers took lately

	base  float64 // cost of the columns taken
	taken []int32
	bound float64

	rc    []float64 // reduced costs at u, as of the last steps
	state []int8    // of each column: open, or to be taken or left out when next built
	drop  []bool    // rows that another one covers as well
	heir  []int32   // and that one
	row   []int32   // in the linear relaxation, of each row
	at    []int32   // row of the node that each row of the linear relaxation went to, or -1
}

const (
	colOpen int8 = iota
	colTaken
	colOut
)

func (p *subproblem) rows() int { return len(p.u) }
func (p *subproblem) cols() int { return len(p.cost) }

func (p *subproblem) rowsOf(j int32) []int32 { return p.colRow[p.colStart[j]:p.colStart[j+1]] }
func (p *subproblem) colsOf(i int32) []int32 { return p.rowCol[p.rowStart[i]:p.rowStart[i+1]] }

// build makes p of what from's marks leave, and clears p's marks. It returns
// false where a row has no column left.
func (p *subproblem) build(from *subproblem, s *search) bool {
	p.base, p.taken, p.bound = from.base, append(p.taken[:0], from.taken...), from.bound
	p.buildRows(from, s)
	p.buildColumns(from, s.rowAt)
	ok := p.transpose(s)
	rows := p.rows()
	p.rc, p.state = flat.Resize(p.rc, p.cols()), flat.Resize(p.state, p.cols())
	clear(p.state)
	p.drop, p.heir = flat.Resize(p.drop, rows), flat.Resize(p.heir, rows)
	clear(p.drop)
	return ok
}

// buildRows takes the columns that from has taken, and keeps the rows that are
// neither covered by them nor dropped; s.rowAt says where each of from's stands.
func (p *subproblem) buildRows(from *subproblem, s *search) {
	rowAt := flat.Resize(s.rowAt, from.rows())
	s.rowAt = rowAt
	for i := range rowAt {
		rowAt[i] = 0
		if from.drop[i] {
			rowAt[i] = -1
		}
	}
	for j, st := range from.state {
		if st == colTaken {
			p.base += from.cost[j]
			p.taken = append(p.taken, from.id[j])
			for _, i := range from.rowsOf(int32(j)) {
				rowAt[i] = -1
			}
		}
	}
	p.u, p.row = p.u[:0], p.row[:0]
	for i, at := range rowAt {
		if at == 0 {
			rowAt[i] = int32(len(p.u))
			p.u = append(p.u, from.u[i])
			if from.at != nil {
				p.row = append(p.row, from.row[i])
			}
		}
	}
	p.at = flat.Resize(p.at, len(from.at))
	for r, i := range from.at {
		for i >= 0 && from.drop[i] {
			i = from.heir[i]
		}
		if i >= 0 {
			i = rowAt[i]
		}
		p.at[r] = i
	}
}

// buildColumns keeps the open columns that cover a row that is left, and counts
// in rowStart[i+1] how many cover row i.
func (p *subproblem) buildColumns(from *subproblem, rowAt []int32) {
	p.cost, p.id, p.colRow, p.fraction = p.cost[:0], p.id[:0], p.colRow[:0], p.fraction[:0]
	p.colStart = append(p.colStart[:0], 0)
	p.rowStart = flat.Resize(p.rowStart, p.rows()+1)
	clear(p.rowStart)
	for j, st := range from.state {
		if st != colOpen {
			continue
		}
		at := len(p.colRow)
		for _, i := range from.rowsOf(int32(j)) {
			if k := rowAt[i]; k >= 0 {
				p.colRow = append(p.colRow, k)
				p.rowStart[k+1]++
			}
		}
		if len(p.colRow) == at {
			continue
		}
		p.cost, p.id = append(p.cost, from.cost[j]), append(p.id, from.id[j])
		p.fraction = append(p.fraction, from.fraction[j])
		p.colStart = append(p.colStart, int32(len(p.colRow)))
	}
}

// transpose lays out the columns over each row, and the cost of the cheapest.
// It says whether every row has one.
func (p *subproblem) transpose(s *search) bool {
	rows, ok := p.rows(), true
	for i := range rows {
		ok = ok && p.rowStart[i+1] > 0
		p.rowStart[i+1] += p.rowStart[i]
	}
	p.rowCol = flat.Resize(p.rowCol, len(p.colRow))
	p.most = flat.Resize(p.most, rows)
	for i := range p.most {
		p.most[i] = math.Inf(1)
	}
	fill := flat.Resize(s.fill, rows)
	s.fill = fill
	copy(fill, p.rowStart)
	for j, c := range p.cost {
		for _, i := range p.rowsOf(int32(j)) {
			p.rowCol[fill[i]] = int32(j)
			p.most[i] = min(p.most[i], c)
			fill[i]++
		}
	}
	return ok
}

// essential marks the columns that alone cover a row.
func (p *subproblem) essential() bool {
	any := false
	for i := range p.rows() {
		if c := p.colsOf(int32(i)); len(c) == 1 && p.state[c[0]] != colTaken {
			p.state[c[0]] = colTaken
			any = true
		}
	}
	return any
}

// dominated marks columns that a column no dearer covers with, and rows that
// are covered wherever another one is.
func (p *subproblem) dominated(s *search) bool {
	any := false
	s.colSets.build(p.colStart, p.colRow, p.rows())
	for j := range p.cost {
		rows := p.rowsOf(int32(j))
		for _, k := range p.colsOf(shortest(rows, p.rowStart)) {
			if int(k) == j || p.state[k] == colOut || p.cost[k] > p.cost[j] {
				continue
			}
			if n := p.colStart[k+1] - p.colStart[k]; int(n) < len(rows) ||
				int(n) == len(rows) && p.cost[k] == p.cost[j] && int(k) > j {
				continue
			}
			if s.colSets.within(j, int(k)) {
				p.state[j] = colOut
				any = true
				break
			}
		}
	}
	if any {
		return true // rows are compared once these columns are gone
	}
	s.rowSets.build(p.rowStart, p.rowCol, p.cols())
	for k := range p.rows() {
		if p.drop[k] {
			continue
		}
		cols := p.colsOf(int32(k))
		for _, i := range p.rowsOf(shortest(cols, p.colStart)) {
			if int(i) == k || p.drop[i] || int(p.rowStart[i+1]-p.rowStart[i]) < len(cols) {
				continue
			}
			if s.rowSets.within(k, int(i)) {
				p.drop[i], p.heir[i] = true, int32(k)
				any = true
			}
		}
	}
	return any
}

// shortest is the one of which the list, laid out by start, is shortest.
func shortest(of, start []int32) int32 {
	best := of[0]
	for _, k := range of {
		if start[k+1]-start[k] < start[best+1]-start[best] {
			best = k
		}
	}
	return best
}

// bitSets holds lists of numbers as sets of bits.
type bitSets struct {
	words int
	bits  []uint64
}

func (b *bitSets) build(start, list []int32, n int) {
	b.words = (n + 63) / 64
	b.bits = flat.Resize(b.bits, b.words*(len(start)-1))
	clear(b.bits)
	for k := range len(start) - 1 {
		set := b.bits[k*b.words : (k+1)*b.words]
		for _, i := range list[start[k]:start[k+1]] {
			set[i>>6] |= 1 << (i & 63)
		}
	}
}

// within says whether set a is part of set b.
func (b *bitSets) within(a, c int) bool {
	x, y := b.bits[a*b.words:(a+1)*b.words], b.bits[c*b.words:(c+1)*b.words]
	for w := range x {
		if x[w]&^y[w] != 0 {
			return false
		}
	}
	return true
}

func (p *subproblem) clone() *subproblem {
	return &subproblem{
		cost: slices.Clone(p.cost), colStart: slices.Clone(p.colStart), colRow: slices.Clone(p.colRow),
		rowStart: slices.Clone(p.rowStart), rowCol: slices.Clone(p.rowCol), u: slices.Clone(p.u),
	}
}
