package lp

import (
	"errors"
	"math"
	"slices"
)

// Solver holds a linear program and the basis it is at.
//
// A row's logical, with index len(columns)+row, stands for the row's sum. All
// floating-point data are scaled: rows by powers of two, costs by another.
type Solver struct {
	columns []Column
	rows    []Row

	colRow   [][]int32 // rows of each column, with scaled coefficients
	colVal   [][]float64
	rowVal   [][]float64
	rowScale []float64
	costUnit float64 // scaled cost = cost * costUnit

	cost   []float64 // scaled, of columns; shifted while a solve runs
	lo, hi []float64 // scaled, of columns and logicals
	status []place   // of columns and logicals
	at     []float64 // values of what is not basic
	d      []float64 // reduced costs
	shift  []float64 // what costs are shifted by, of columns and logicals

	head   []int32   // what is basic at each position
	x      []float64 // values by position
	weight []float64 // devex weights by position
	factor factor
	fresh  bool // x and d fit the basis

	factored bool // factor fits the basis
	trying   bool // a trial, whose answer need not be exact

	iterations int
	trouble    string
	proof      Certificate
	stop       func() bool
	cutoff     float64
	slip       float64   // what reduced costs may slip by for a larger pivot
	ray        []float64 // multipliers that prove infeasibility, scaled

	rho, alpha, tau, col, rhs, y []float64
	touched                      []int32
	isTouched                    []bool
	comers                       []comer
	mark                         mark
	maker                        basisMaker
}

// place says where a column or logical is.
type place uint8

const (
	atLower place = iota
	atUpper
	isFree // without bounds, at 0
	isBasic
)

// ErrRange tells of data that are too large for exact sums.
var ErrRange = errors.New("lp: data out of range")

// New makes a solver of a program without rows. Its basis is empty.
func New(columns []Column) (*Solver, error) {
	s := &Solver{columns: append([]Column(nil), columns...), cutoff: math.Inf(1), slip: harrisTol}
	n := len(columns)
	s.colRow, s.colVal = make([][]int32, n), make([][]float64, n)
	most := 0.0
	for _, c := range columns {
		if err := c.validate(); err != nil {
			return nil, err
		}
		most = max(most, math.Abs(float64(c.Cost)))
	}
	s.costUnit = 1
	if most > 0 {
		s.costUnit = math.Exp2(10 - math.Ceil(math.Log2(most)))
	}
	for _, c := range columns {
		s.cost = append(s.cost, float64(c.Cost)*s.costUnit)
		s.lo, s.hi = append(s.lo, float(c.Lower)), append(s.hi, float(c.Upper))
		s.status, s.at = append(s.status, atLower), append(s.at, 0)
		s.d, s.shift = append(s.d, 0), append(s.shift, 0)
	}
	for j := range columns {
		s.home(int32(j))
	}
	return s, nil
}

// home puts what is not basic at one of its bounds, the one its reduced cost
// asks for where it has both.
func (s *Solver) home(j int32) {
	lo, hi := s.lo[j], s.hi[j]
	none, roof := math.IsInf(lo, -1), math.IsInf(hi, 1)
	switch {
	case none && roof:
		s.status[j], s.at[j] = isFree, 0
	case none || !roof && (s.d[j] < 0 || s.d[j] == 0 && s.status[j] == atUpper):
		s.status[j], s.at[j] = atUpper, hi
	default:
		s.status[j], s.at[j] = atLower, lo
	}
}

// Columns and Rows tell how many there are.
func (s *Solver) Columns() int { return len(s.columns) }
func (s *Solver) Rows() int    { return len(s.rows) }

// Column is a column with its present bounds.
func (s *Solver) Column(j int) Column { return s.columns[j] }

// Iterations counts the iterations of all solves.
func (s *Solver) Iterations() int { return s.iterations }

// Trouble says what went wrong in a solve that ended in trouble.
func (s *Solver) Trouble() string { return s.trouble }

// AddRow puts a row in; its logical becomes basic, so that the basis stays what
// it was but for the row. It returns ErrRange for data that are too large.
func (s *Solver) AddRow(r Row) error {
	if err := r.validate(len(s.columns)); err != nil {
		return errors.Join(ErrRange, err)
	}
	most := 0.0
	for _, a := range r.Coefs {
		most = max(most, math.Abs(float64(a)))
	}
	scale := 1.0
	if most > 0 {
		scale = math.Exp2(-math.Round(math.Log2(most)))
	}
	i := int32(len(s.rows))
	vals := make([]float64, len(r.Coefs))
	for k, j := range r.Cols {
		vals[k] = float64(r.Coefs[k]) * scale
		s.colRow[j], s.colVal[j] = append(s.colRow[j], i), append(s.colVal[j], vals[k])
	}
	s.rows, s.rowVal, s.rowScale = append(s.rows, r), append(s.rowVal, vals), append(s.rowScale, scale)
	s.lo, s.hi = append(s.lo, float(r.Lower)*scale), append(s.hi, float(r.Upper)*scale)
	s.status, s.at = append(s.status, isBasic), append(s.at, 0)
	s.d, s.shift = append(s.d, 0), append(s.shift, 0)
	s.head, s.weight = append(s.head, int32(len(s.columns))+i), append(s.weight, 1)
	s.stale()
	return nil
}

// KeepRows drops all rows for which keep is false. Rows whose logical is not
// basic weigh on the prices: dropping them makes a new basis.
func (s *Solver) KeepRows(keep func(i int) bool) {
	n := int32(len(s.columns))
	to := make([]int32, len(s.rows))
	kept := int32(0)
	for i := range s.rows {
		to[i] = -1
		if keep(i) {
			to[i] = kept
			kept++
		}
	}
	if int(kept) == len(s.rows) {
		return
	}
	// Where a dropped row's logical is not basic, some basic column has to go.
	tight := false
	for i := range s.rows {
		tight = tight || to[i] < 0 && s.status[n+int32(i)] != isBasic
	}
	head, weight := s.head[:0], s.weight[:0]
	for p, j := range s.head {
		if j >= n {
			if to[j-n] < 0 {
				continue
			}
			j = n + to[j-n]
		}
		head, weight = append(head, j), append(weight, s.weight[p])
	}
	for i, k := range to {
		if k < 0 {
			continue
		}
		s.rows[k], s.rowVal[k], s.rowScale[k] = s.rows[i], s.rowVal[i], s.rowScale[i]
		a, b := n+k, n+int32(i)
		s.lo[a], s.hi[a] = s.lo[b], s.hi[b]
		s.status[a], s.at[a] = s.status[b], s.at[b]
		s.d[a], s.shift[a] = s.d[b], s.shift[b]
	}
	s.rows, s.rowVal, s.rowScale = s.rows[:kept], s.rowVal[:kept], s.rowScale[:kept]
	all := n + kept
	s.lo, s.hi = s.lo[:all], s.hi[:all]
	s.status, s.at = s.status[:all], s.at[:all]
	s.d, s.shift = s.d[:all], s.shift[:all]
	s.head, s.weight = head, weight
	for j := range s.colRow {
		rows, vals := s.colRow[j][:0], s.colVal[j][:0]
		for k, i := range s.colRow[j] {
			if to[i] >= 0 {
				rows, vals = append(rows, to[i]), append(vals, s.colVal[j][k])
			}
		}
		s.colRow[j], s.colVal[j] = rows, vals
	}
	if tight {
		s.trim()
	}
	s.stale()
}

// trim makes a basis of a set of basic columns that are too many.
func (s *Solver) trim() {
	n := int32(len(s.columns))
	m := len(s.rows)
	for p := len(s.head) - 1; p >= 0 && len(s.head) > m; p-- {
		if j := s.head[p]; j < n {
			s.leaveBasis(j)
			s.head, s.weight = append(s.head[:p], s.head[p+1:]...), append(s.weight[:p], s.weight[p+1:]...)
		}
	}
}

func (s *Solver) leaveBasis(j int32) {
	s.status[j], s.d[j] = atLower, 0
	s.home(j)
}

// SetBounds changes the bounds of column j.
func (s *Solver) SetBounds(j int, lower, upper int64) {
	c := &s.columns[j]
	if c.Lower == lower && c.Upper == upper {
		return
	}
	c.Lower, c.Upper = lower, upper
	s.rebound(int32(j), float(lower), float(upper))
}

// SetRowBounds changes the bounds of row i.
func (s *Solver) SetRowBounds(i int, lower, upper int64) {
	r := &s.rows[i]
	if r.Lower == lower && r.Upper == upper {
		return
	}
	r.Lower, r.Upper = lower, upper
	s.rebound(int32(len(s.columns)+i), float(lower)*s.rowScale[i], float(upper)*s.rowScale[i])
}

func (s *Solver) rebound(j int32, lo, hi float64) {
	s.lo[j], s.hi[j] = lo, hi
	if s.status[j] == isBasic {
		return
	}
	was := s.at[j]
	s.home(j)
	if s.at[j] != was {
		s.fresh = false
	}
}

// Limit sets when solves stop early: once the objective passes cutoff (+Inf:
// never), or when stop, asked now and then, says so (nil: it is not asked).
func (s *Solver) Limit(cutoff float64, stop func() bool) {
	s.cutoff, s.stop = cutoff*s.costUnit, stop
}

// Basis is a basis to go on from later.
type Basis struct {
	columns, rows []place
	head          []int32
	weight        []float64
}

// Value is the value of column j at the present basis.
func (s *Solver) Value(j int) float64 { return s.at[j] }

// RowBasic tells whether row i's logical is basic: then the row weighs nothing.
func (s *Solver) RowBasic(i int) bool { return s.status[len(s.columns)+i] == isBasic }

// Price is the price of row i: what the objective rises by for each unit more.
func (s *Solver) Price(i int) float64 {
	return s.d[len(s.columns)+i] * s.rowScale[i] / s.costUnit
}

// Objective is the cost of the present basic solution.
func (s *Solver) Objective() float64 {
	sum := 0.0
	for j := range s.columns {
		sum += s.at[j] * float64(s.columns[j].Cost)
	}
	return sum
}

// Basis saves the present basis.
func (s *Solver) Basis() *Basis {
	n := len(s.columns)
	return &Basis{
		slices.Clone(s.status[:n]),
		slices.Clone(s.status[n:]),
		slices.Clone(s.head),
		slices.Clone(s.weight),
	}
}

// Select is the basis for a program with other columns and rows: column j of it is
// column columns[j] of the one the basis was saved from (nil: the same columns), row i
// row rows[i], or a new one where that is -1.
func (b *Basis) Select(columns, rows []int) *Basis {
	out := &Basis{columns: b.columns, rows: make([]place, len(rows))}
	n := int32(len(b.columns))
	to := make([]int32, len(b.columns)+len(b.rows))
	for j := range to {
		to[j] = -1
		if columns == nil && j < len(b.columns) {
			to[j] = int32(j)
		}
	}
	if columns != nil {
		out.columns = make([]place, len(columns))
		for j, from := range columns {
			if from >= 0 {
				out.columns[j], to[from] = b.columns[from], int32(j)
			}
		}
	}
	all := int32(len(out.columns))
	for i, from := range rows {
		out.rows[i] = isBasic
		if from >= 0 {
			out.rows[i], to[n+int32(from)] = b.rows[from], all+int32(i)
		}
	}
	for p, j := range b.head {
		if k := to[j]; k >= 0 {
			out.head, out.weight = append(out.head, k), append(out.weight, b.weight[p])
		}
	}
	for i, from := range rows {
		if from < 0 {
			out.head, out.weight = append(out.head, all+int32(i)), append(out.weight, 1)
		}
	}
	return out
}

// Load goes to a basis saved; rows added since then come with their logicals
// basic. Where the basis does not fit the rows, it is mended.
func (s *Solver) Load(b *Basis) {
	n := len(s.columns)
	copy(s.status, b.columns)
	copy(s.status[n:], b.rows)
	s.head, s.weight = append(s.head[:0], b.head...), append(s.weight[:0], b.weight...)
	for i := len(b.rows); i < len(s.rows); i++ {
		s.status[n+i] = isBasic
		s.head, s.weight = append(s.head, int32(n+i)), append(s.weight, 1)
	}
	s.trim()
	for i := 0; len(s.head) < len(s.rows); i++ {
		if j := n + i; s.status[j] != isBasic {
			s.status[j] = isBasic
			s.head, s.weight = append(s.head, int32(j)), append(s.weight, 1)
		}
	}
	for j, p := range s.status {
		if p != isBasic {
			s.d[j] = 0
			s.home(int32(j))
		}
	}
	s.stale()
}
