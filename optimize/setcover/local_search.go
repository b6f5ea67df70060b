package setcover

import (
	"slices"

	"halfpot/optimize/internal/flat"
)

// walk looks for cheaper covers of the node by local search: from the best one
// it takes columns out, covers a row left open by another column, and makes
// rows that stay open weigh more (after Gao, Weise & Li 2015).
func (s *search) walk(p *subproblem, steps int) {
	w := walker{scratch: &s.plan, p: p, seed: 1, last: -1}
	w.begin()
	for len(w.open) > 0 {
		w.add(w.best(w.open[0], -1))
	}
	for step := int64(1); step <= int64(steps); step++ {
		if step%256 == 0 && s.done() {
			return
		}
		if !w.leave(s, step) {
			return
		}
		out := int32(-1)
		if at := w.worst(w.last); at >= 0 {
			out = w.picked[at]
			w.stamp[out] = step
			w.remove(at)
		}
		w.mend(out, s.upper-s.grain, step)
	}
}

// walker is one local search over the covers of a node.
type walker struct {
	*scratch
	p    *subproblem
	sum  float64 // what the picked columns cost, with what the node has taken
	seed uint64
	last int32 // the column added last, which stays for now; -1 for none
}

// begin picks nothing: every row is open and weighs one.
func (w *walker) begin() {
	rows, cols := w.p.rows(), w.p.cols()
	w.count, w.only = flat.Resize(w.count, rows), flat.Resize(w.only, rows)
	w.weight = flat.Resize(w.weight, rows)
	w.score, w.stamp = flat.Resize(w.score, cols), flat.Resize(w.stamp, cols)
	clear(w.count)
	clear(w.only)
	clear(w.stamp)
	for j := range cols {
		w.score[j] = int64(w.p.colStart[j+1] - w.p.colStart[j])
	}
	w.open, w.place = w.open[:0], flat.Resize(w.place, rows)
	for i := range rows {
		w.weight[i] = 1
		w.place[i] = int32(i)
		w.open = append(w.open, int32(i))
	}
	w.picked = w.picked[:0]
	w.sum = w.p.base
}

func (w *walker) add(j int32) {
	w.picked = append(w.picked, j)
	w.sum += w.p.cost[j]
	w.score[j] = -w.score[j]
	for _, i := range w.p.rowsOf(j) {
		w.count[i]++
		w.only[i] ^= j
		switch w.count[i] {
		case 1:
			last := w.open[len(w.open)-1]
			w.open[w.place[i]], w.place[last] = last, w.place[i]
			w.open = w.open[:len(w.open)-1]
			for _, k := range w.p.colsOf(i) {
				if k != j {
					w.score[k] -= w.weight[i]
				}
			}
		case 2:
			w.score[w.only[i]^j] += w.weight[i]
		}
	}
}

// remove takes out the column at a place among those picked.
func (w *walker) remove(at int) {
	j := w.picked[at]
	w.picked[at] = w.picked[len(w.picked)-1]
	w.picked = w.picked[:len(w.picked)-1]
	w.sum -= w.p.cost[j]
	w.score[j] = -w.score[j]
	for _, i := range w.p.rowsOf(j) {
		w.count[i]--
		w.only[i] ^= j
		switch w.count[i] {
		case 0:
			w.place[i] = int32(len(w.open))
			w.open = append(w.open, i)
			for _, k := range w.p.colsOf(i) {
				if k != j {
					w.score[k] += w.weight[i]
				}
			}
		case 1:
			w.score[w.only[i]] -= w.weight[i]
		}
	}
}

// better says whether a scores more for its cost than b, or as much and has
// waited longer.
func (w *walker) better(a, b int32) bool {
	x, y := float64(w.score[a])*w.p.cost[b], float64(w.score[b])*w.p.cost[a]
	return x > y || x == y && w.stamp[a] < w.stamp[b]
}

// best is the best column over a row, the barred one aside; -1 for none.
func (w *walker) best(row, barred int32) int32 {
	best := int32(-1)
	for _, j := range w.p.colsOf(row) {
		if j != barred && (best < 0 || w.better(j, best)) {
			best = j
		}
	}
	return best
}

// worst is the place among those picked of the column that is missed least,
// the barred one aside; -1 for none.
func (w *walker) worst(barred int32) int {
	at := -1
	for k, j := range w.picked {
		if j != barred && (at < 0 || w.better(j, w.picked[at])) {
			at = k
		}
	}
	return at
}

// leave offers what covers every row and takes columns out of it until a row
// is open. It says whether to walk on.
func (w *walker) leave(s *search, step int64) bool {
	for len(w.open) == 0 {
		if w.sum < s.upper {
			cols := slices.Clone(w.p.taken)
			for _, j := range w.picked {
				cols = append(cols, w.p.id[j])
			}
			s.offer(cols)
			if s.value > s.cutoff() {
				return false
			}
		}
		at := w.worst(-1)
		if at < 0 {
			return false
		}
		w.stamp[w.picked[at]] = step
		w.remove(at)
	}
	return true
}

// mend covers open rows, drawn by lot, as long as that costs no more than most;
// the column just taken out stays out. The rows still open then weigh more.
func (w *walker) mend(out int32, most float64, step int64) {
	for len(w.open) > 0 {
		w.seed = w.seed*6364136223846793005 + 1442695040888963407
		j := w.best(w.open[(w.seed>>33)%uint64(len(w.open))], out)
		if j < 0 || w.sum+w.p.cost[j] > most {
			return
		}
		w.last = j
		w.add(j)
		w.stamp[j] = step
		for _, i := range w.open {
			w.weight[i]++
			for _, k := range w.p.colsOf(i) {
				w.score[k]++
			}
		}
	}
}
