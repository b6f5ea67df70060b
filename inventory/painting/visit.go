package painting

import (
	"math"
	"time"
)

// visit is what is done to a batch in one go: one step, or several of which each
// must be begun soon after the one before, see [inventory.Step.NextWithin]. The
// painter stays with it, a handful of figures at a time where all would take too
// long, and waits in between where the recipe says so.
type visit struct {
	from, to int       // the batch's tasks
	handful  int       // figures at a time
	total    float64   // minutes, without laying out
	begin    []float64 // minutes from its start to the start of each task
	end      []float64 // and to its end on the last figure
}

// visits puts tasks that are tied to each other together.
func visits(tasks []Assignment, figures int) []visit {
	var out []visit
	for i := 0; i < len(tasks); {
		j := i + 1
		for j < len(tasks) && tasks[j-1].tiedTo(&tasks[j]) {
			j++
		}
		out = append(out, newVisit(tasks, i, j, figures))
		i = j
	}
	return out
}

// tiedTo is whether c must be begun soon after a.
func (a *Assignment) tiedTo(c *Assignment) bool {
	return a.Step.NextWithin > 0 && a.next == c.Number
}

func newVisit(tasks []Assignment, from, to, figures int) visit {
	v := visit{from: from, to: to, handful: figures}
	list := tasks[from:to]
	for i := 1; i < len(list); i++ {
		within := list[i-1].Step.NextWithin.Minutes()
		for v.handful > 1 {
			x, y := list[i-1].Each, list[i].Each
			longest := lead(&list[i-1], y, v.handful) - x + float64(v.handful-1)*math.Max(0, y-x)
			if longest <= within+1e-9 {
				break
			}
			v.handful--
		}
	}
	v.begin, v.end = make([]float64, len(list)), make([]float64, len(list))
	for left := figures; left > 0; left -= v.handful {
		n := min(left, v.handful)
		for i := range list {
			if i > 0 {
				v.total += lead(&list[i-1], list[i].Each, n) - list[i-1].Each*float64(n)
			}
			if left == figures {
				v.begin[i] = v.total
			}
			v.total += list[i].Minutes(n)
			v.end[i] = v.total
		}
	}
	return v
}

// lead is from the start of a on n figures to the start of the step tied to it,
// which takes each minutes a figure: hands and the recipe's wait allow no sooner.
func lead(a *Assignment, each float64, n int) float64 {
	wait := min(a.Step.WaitAfter, a.Step.NextWithin).Minutes()
	if a.Step.WaitAfter == 0 {
		wait = 0
	}
	return math.Max(a.Minutes(n), a.Each+wait+float64(n-1)*math.Max(0, a.Each-each))
}

// setup is laying out for all of its tasks, minutes.
func (v *visit) setup(tasks []Assignment) float64 {
	sum := 0.0
	for i := v.from; i < v.to; i++ {
		sum += tasks[i].Setup
	}
	return sum
}

// spread is by how much longer a figure may wait than if the figures followed
// each other evenly: a handful is finished together.
func (v *visit) spread(figures int) time.Duration {
	if v.to-v.from < 2 {
		return 0
	}
	each := v.total / float64(figures)
	return time.Duration((v.total*float64(v.handful)/float64(figures) - each) * float64(time.Minute)).Round(time.Second)
}
