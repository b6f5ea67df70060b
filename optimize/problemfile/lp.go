package problemfile

import (
	"bufio"
	"fmt"
	"io"
	"strconv"

	"halfpot/optimize"
	"halfpot/optimize/internal/whole"
)

// LPOptions tune WriteLP; the zero value writes the plain form.
type LPOptions struct {
	// Strong adds y <= boxes that hold p for every option that needs more of
	// paint p than is on the shelf. These rows change no whole-number answer,
	// but bring the linear relaxation much nearer to it.
	Strong bool
	// Worth matters only under a budget, where level 1 means something only
	// once level 0 is settled. Nil: the file asks for the greatest worth
	// (level 0). Otherwise: the file demands at least this worth and asks for
	// the least cost, so with the proven worth of a Result its optimum is level 1.
	Worth *int64
}

// WriteLP writes the problem in CPLEX LP format for any general
// mixed-integer solver. The optimum of the file is the least
// goods + delivery + compromise price x points (level 1) in minor units of
// the currency; under a budget see LPOptions.Worth. The problem must be one
// that Validate accepts. Errors are those of w.
//
// Names count from 1 in the order of the problem: y3_2 is option 2 of need 3,
// x7 the boxes of offer 7, u2 shop 2 used, z2_1 its delivery band 1, f4 group
// 4 finished and w1_2 the second common option id of match label 1.
func WriteLP(w io.Writer, p *optimize.Problem, opt LPOptions) error {
	l := &lpWriter{out: bufio.NewWriterSize(w, 1<<16), p: p, opt: opt, lpIndex: indexForLP(p)}
	l.header()
	l.objective()
	l.text("Subject To\n")
	l.needRows()
	l.matchRows()
	l.paintRows()
	l.shopRows()
	l.ruleRows()
	l.text("Bounds\n")
	for k := range p.Offers {
		l.text(fmt.Sprintf(" 0 <= x%d <= %d\n", k+1, l.most[k]))
	}
	for _, name := range l.never {
		l.text(" 0 <= " + name + " <= 0\n")
	}
	l.integers()
	l.text("End\n")
	return l.out.Flush()
}

// An lpWriter writes one file. bufio keeps the first error, so only Flush is
// looked at.
type lpWriter struct {
	out   *bufio.Writer
	p     *optimize.Problem
	opt   LPOptions
	never []string // binaries that match rules out
	rows  int
	lpIndex
}

func (l *lpWriter) text(s string) { l.out.WriteString(s) }

// An lpRow is a linear expression under construction, each variable once.
type lpRow struct {
	names []string
	coefs []int64
}

func (r *lpRow) add(c int64, name string) {
	if c != 0 {
		r.names = append(r.names, name)
		r.coefs = append(r.coefs, c)
	}
}

// sum writes the expression, a few terms a line, as some readers bound the
// length of a line.
func (l *lpWriter) sum(r *lpRow) {
	for i, c := range r.coefs {
		if i%8 == 0 && i > 0 {
			l.text("\n  ")
		}
		switch {
		case c == 1:
			l.text(" + ")
		case c == -1:
			l.text(" - ")
		case c < 0:
			l.text(" - " + strconv.FormatUint(-uint64(c), 10) + " ")
		default:
			l.text(" + " + strconv.FormatInt(c, 10) + " ")
		}
		l.text(r.names[i])
	}
}

// row writes one constraint; op is <=, >= or =. One without variables is left
// out: the callers make sure that such a row holds.
func (l *lpWriter) row(r *lpRow, op string, rhs int64) {
	if len(r.names) == 0 {
		return
	}
	g := rhs
	for _, c := range r.coefs {
		g = whole.GCD(g, c)
	}
	for i := range r.coefs {
		r.coefs[i] /= g
	}
	l.rows++
	l.text(" c" + strconv.Itoa(l.rows) + ":")
	l.sum(r)
	l.text(" " + op + " " + strconv.FormatInt(rhs/g, 10) + "\n")
}

func yName(n, o int) string { return "y" + strconv.Itoa(n+1) + "_" + strconv.Itoa(o+1) }
func xName(k int) string    { return "x" + strconv.Itoa(k+1) }
func uName(h int) string    { return "u" + strconv.Itoa(h+1) }
func zName(h, b int) string { return "z" + strconv.Itoa(h+1) + "_" + strconv.Itoa(b+1) }
func fName(g int) string    { return "f" + strconv.Itoa(g+1) }
func wName(m, i int) string { return "w" + strconv.Itoa(m+1) + "_" + strconv.Itoa(i+1) }

func (l *lpWriter) header() {
	l.text("\\ Purchase problem: the least cost of meeting every need (amounts in minor units of the " +
		"currency).\n")
	if l.budget() && l.opt.Worth == nil {
		l.text("\\ Under a budget this file asks for the greatest worth of finished groups.\n")
	} else if l.budget() {
		l.text("\\ Under a budget: at the worth demanded in the last rows.\n")
	}
	l.text("\\ y3_2: option 2 of need 3; x7: boxes of offer 7; u2: shop 2 used; z2_1: its delivery band 1;\n")
	l.text("\\ f4: group 4 finished; w1_2: common option 2 of match label 1. " +
		"Counted from 1, as in the problem.\n")
}

func (l *lpWriter) budget() bool { return l.p.Rules.Budget != nil }

func (l *lpWriter) objective() {
	var r lpRow
	if l.budget() && l.opt.Worth == nil {
		l.text("Maximize\n")
		r = l.worth()
	} else {
		l.text("Minimize\n")
		r = l.money()
		for n, need := range l.p.Needs {
			for o := range need.Options {
				r.add(l.p.Rules.CompromisePrice*need.Options[o].Compromise, yName(n, o))
			}
		}
	}
	l.text(" obj:")
	if len(r.names) == 0 { // a reader wants at least one term
		l.text(" 0 nothing")
	}
	l.sum(&r)
	l.text("\n")
}

// money is goods plus delivery.
func (l *lpWriter) money() lpRow {
	var r lpRow
	for k, o := range l.p.Offers {
		r.add(o.Price, xName(k))
	}
	for h, s := range l.p.Shops {
		if len(l.sells[h]) == 0 {
			continue
		}
		for b := range s.Delivery {
			r.add(s.Delivery[b].Fee, zName(h, b))
		}
	}
	return r
}

func (l *lpWriter) worth() lpRow {
	var r lpRow
	for g, group := range l.groups {
		r.add(group.Worth, fName(g))
	}
	return r
}

// needRows: one option for every need; under a budget only if its group is
// finished. A need of no group belongs to no finished one.
func (l *lpWriter) needRows() {
	for n, need := range l.p.Needs {
		var r lpRow
		for o := range need.Options {
			r.add(1, yName(n, o))
		}
		switch g := l.groupOf[n]; {
		case !l.budget():
			l.row(&r, "=", 1)
		case g < 0:
			l.row(&r, "=", 0)
		default:
			r.add(-1, fName(g))
			l.row(&r, "=", 0)
		}
	}
}

// matchRows: needs of one label take options of one id, found in all of them.
func (l *lpWriter) matchRows() {
	for m, label := range l.labels {
		common := l.common[label]
		for _, n := range l.matched[label] {
			for o, option := range l.p.Needs[n].Options {
				i, ok := common[option.ID]
				if !ok {
					l.never = append(l.never, yName(n, o))
					continue
				}
				var r lpRow
				r.add(1, yName(n, o))
				r.add(-1, wName(m, i))
				l.row(&r, "<=", 0)
			}
		}
		var one lpRow
		for i := range len(common) {
			one.add(1, wName(m, i))
		}
		l.row(&one, "<=", 1)
	}
}

// paintRows: what chosen options use is on the shelf or in boxes bought.
func (l *lpWriter) paintRows() {
	for i, paint := range l.p.Paints {
		if l.demand[i] <= paint.HaveUL {
			continue
		}
		var r lpRow
		for _, u := range l.uses[i] {
			r.add(u.ul, yName(u.need, u.option))
		}
		for _, k := range l.boxes[i] {
			r.add(-l.holds[k][i], xName(k))
		}
		l.row(&r, "<=", paint.HaveUL)
		if !l.opt.Strong {
			continue
		}
		for _, u := range l.uses[i] {
			if u.ul > paint.HaveUL {
				var strong lpRow
				strong.add(1, yName(u.need, u.option))
				for _, k := range l.boxes[i] {
					strong.add(-1, xName(k))
				}
				l.row(&strong, "<=", 0)
			}
		}
	}
}

// shopRows: boxes only from used shops; a used shop is in one band and its
// goods reach that band and the minimum order. As fees never rise, the least
// cost is always in the last band reached.
func (l *lpWriter) shopRows() {
	for h, shop := range l.p.Shops {
		if len(l.sells[h]) == 0 {
			continue
		}
		for _, k := range l.sells[h] {
			var r lpRow
			r.add(1, xName(k))
			r.add(-l.most[k], uName(h))
			l.row(&r, "<=", 0)
		}
		var used, goods, some lpRow
		used.add(1, uName(h))
		for _, k := range l.sells[h] {
			goods.add(l.p.Offers[k].Price, xName(k))
			some.add(1, xName(k))
		}
		for b, band := range shop.Delivery {
			used.add(-1, zName(h, b))
			goods.add(-max(band.From, shop.MinOrder), zName(h, b))
		}
		l.row(&used, "=", 0)
		if len(shop.Delivery) > 1 || shop.MinOrder > 0 {
			l.row(&goods, ">=", 0)
		}
		if shop.Delivery[0].Fee < 0 { // money off is for those who buy something
			some.add(-1, uName(h))
			l.row(&some, ">=", 0)
		}
	}
}

func (l *lpWriter) ruleRows() {
	if l.p.Rules.MaxShops != nil {
		var r lpRow
		for h := range l.p.Shops {
			if len(l.sells[h]) > 0 {
				r.add(1, uName(h))
			}
		}
		l.row(&r, "<=", *l.p.Rules.MaxShops)
	}
	if !l.budget() {
		return
	}
	r := l.money()
	l.row(&r, "<=", *l.p.Rules.Budget)
	if l.opt.Worth != nil {
		r := l.worth()
		l.row(&r, ">=", *l.opt.Worth)
	}
}

func (l *lpWriter) integers() {
	l.text("General\n")
	for k := range l.p.Offers {
		l.text(" " + xName(k) + "\n")
	}
	l.text("Binary\n")
	for n, need := range l.p.Needs {
		for o := range need.Options {
			l.text(" " + yName(n, o) + "\n")
		}
	}
	for h, shop := range l.p.Shops {
		if len(l.sells[h]) == 0 {
			continue
		}
		l.text(" " + uName(h) + "\n")
		for b := range shop.Delivery {
			l.text(" " + zName(h, b) + "\n")
		}
	}
	if l.budget() {
		raised := map[int]bool{}
		for _, g := range l.groupOf {
			raised[g] = true
		}
		for g, group := range l.groups {
			if raised[g] || group.Worth > 0 { // the others are in no row
				l.text(" " + fName(g) + "\n")
			}
		}
	}
	for m, label := range l.labels {
		for i := range len(l.common[label]) {
			l.text(" " + wName(m, i) + "\n")
		}
	}
}
