package exact

import (
	"cmp"
	"math"
	"slices"

	"halfpot/optimize/lp"
)

// program is a linear program being solved over one part of the search.
type program struct {
	l    *linear
	lp   *lp.Solver
	sets *setSeparator

	core  int          // rows that are always in
	rows  []*linearRow // the others, in the solver's order
	idle  []int8       // purges each was slack in
	v     []float64    // value of every term
	cert  lp.Certificate
	bound float64 // proven
	stop  func() bool

	bills  bills // of the node
	tries  int   // see worker.basisTries
	found  []*linearRow
	leaves []float64 // values of terms in the best leaves of clusters; nil: none searched yet
}

// newProgram makes a solver of a form; nil where its numbers are too large.
func newProgram(l *linear) *program {
	s, err := lp.New(l.cols)
	if err != nil {
		return nil
	}
	p := &program{l: l, lp: s, sets: newSetSeparator(l), v: make([]float64, l.terms), bound: math.Inf(-1)}
	for i := range l.core {
		if r, ok := l.row(&l.core[i], p.column); ok {
			if p.lp.AddRow(r) != nil {
				return nil
			}
		}
	}
	p.core = p.lp.Rows()
	return p
}

func (p *program) column(c int32) lp.Column { return p.lp.Column(int(c)) }

// put puts rows in and tells how many.
func (p *program) put(rows []*linearRow) (n int) {
	for _, r := range rows {
		if row, ok := p.l.row(r, p.column); ok && p.lp.AddRow(row) == nil {
			p.rows, p.idle = append(p.rows, r), append(p.idle, 0)
			n++
		}
	}
	return n
}

// purge drops rows that were slack at several purges.
func (p *program) purge(most int8) {
	keep := make([]bool, len(p.rows))
	any := false
	for i := range p.rows {
		if p.lp.RowBasic(p.core + i) {
			p.idle[i]++
		} else {
			p.idle[i] = 0
		}
		keep[i] = p.idle[i] < most || p.rows[i].kind == sumRow
		any = any || !keep[i]
	}
	if !any {
		return
	}
	p.lp.KeepRows(func(i int) bool { return i < p.core || keep[i-p.core] })
	at := 0
	for i, k := range keep {
		if k {
			p.rows[at], p.idle[at] = p.rows[i], p.idle[i]
			at++
		}
	}
	p.rows, p.idle = p.rows[:at], p.idle[:at]
}

// solve solves it as it is and notes values and the proven bound.
func (p *program) solve(limit int) lp.Status {
	st := p.lp.Solve(limit)
	if linearFault != nil {
		st = linearFault(st)
	}
	if st == lp.Trouble {
		return st
	}
	p.lp.Certify(&p.cert)
	p.bound = max(p.bound, p.cert.Bound()+float64(p.l.base))
	for t := range p.v {
		if c := p.l.col[t]; c >= 0 {
			p.v[t] = p.lp.Value(int(c))
		} else {
			p.v[t] = float64(p.l.value[t])
		}
	}
	return st
}

// separate puts broken rows in and tells how many.
func (p *program) separate(cuts bool) int {
	p.found = p.l.links(p.v, p.found[:0])
	links := len(p.found)
	if cuts {
		for _, r := range p.lp.BasisRows(p.tries) {
			p.found = append(p.found, p.l.fromColumns(r))
		}
		p.found = p.sets.paintRows(p.v, p.found)
		p.found = p.sets.rows(p.v, p.found)
		p.found = p.billRows(p.found)
		p.found = append(p.found[:links], p.choose(p.found[links:])...)
	}
	return p.put(slices.DeleteFunc(p.found, func(r *linearRow) bool { return slices.ContainsFunc(p.rows, r.follows) }))
}

// follows says whether a row without an upper side follows from another one that is the
// same but for rounding. Both in one program make the simplex method change one for the
// other for ever.
func (r *linearRow) follows(from *linearRow) bool {
	const near = 1e-6
	if len(r.terms) == 0 || r.upper != lp.Inf || !slices.Equal(r.terms, from.terms) || r.coefs[0] == 0 {
		return false
	}
	scale := float64(r.coefs[0]) / float64(from.coefs[0])
	for k, a := range r.coefs {
		if b := scale * float64(from.coefs[k]); math.Abs(float64(a)-b) > near*math.Abs(b) {
			return false
		}
	}
	side := scale * float64(from.lower)
	return scale > 0 && float64(r.lower) <= side+near*math.Abs(side)
}

// fromColumns is a row of the program in terms.
func (l *linear) fromColumns(r lp.Row) *linearRow {
	out := &linearRow{terms: make([]int32, 0, len(r.Cols)), coefs: r.Coefs, lower: r.Lower, upper: r.Upper, kind: cutRow}
	for _, c := range r.Cols {
		out.terms = append(out.terms, l.term[c])
	}
	return out
}

// effort measures the work spent: rows gone over in iterations.
func (p *program) effort() int64 { return int64(p.lp.Iterations()) * int64(p.core+300) }

// termRows is how many new rows of a round a term may stand in.
const termRows = 12

// choose takes the rows broken most for their size, few for any one term.
func (p *program) choose(rows []*linearRow) []*linearRow {
	type rated struct {
		row   *linearRow
		score float64
	}
	var all []rated
	for _, r := range rows {
		left, norm := float64(r.lower), 0.0
		for k, t := range r.terms {
			a := float64(r.coefs[k])
			left -= a * p.v[t]
			if p.l.col[t] >= 0 {
				norm += a * a
			}
		}
		if left > 0 && norm > 0 {
			all = append(all, rated{r, left / math.Sqrt(norm)})
		}
	}
	slices.SortStableFunc(all, func(a, b rated) int { return cmp.Compare(b.score, a.score) })
	count := map[int32]int{}
	var out []*linearRow
	for _, a := range all {
		full := false
		for _, t := range a.row.terms {
			full = full || count[t] >= termRows
		}
		if full || a.score < setLeast {
			continue
		}
		for _, t := range a.row.terms {
			count[t]++
		}
		out = append(out, a.row)
	}
	return out
}
