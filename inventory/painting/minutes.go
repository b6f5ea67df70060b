package painting

import (
	"math"

	"halfpot/inventory"
	"halfpot/inventory/coverage"
)

// Task is what minutes are known of: a type of paint by its method, or a kind
// of step that is not painting.
type Task string

// minutesOf is what laying out and one figure take, in minutes at the bench.
type minutesOf struct {
	setup           float64 // half to double
	each, low, high float64 // on half a figure of 28 mm
}

// taskMinutes are assumptions, with the ranges painters would recognise.
var taskMinutes = map[Task]minutesOf{
	"prepare":      {5, 6, 2, 15},
	"drill":        {5, 2, 1, 4},
	"glue":         {3, 2, 1, 4},
	"spray":        {10, 0.5, 0.2, 1},
	"airbrush":     {15, 1.5, 0.7, 3},
	"brush primer": {5, 3, 1.5, 6},
	"dry brush":    {4, 2, 1, 4},
	"one-coat":     {4, 3, 1.5, 6},
	"base":         {5, 4, 2, 8},
	"wash":         {3, 2, 1, 4},
	"metallic":     {4, 2, 1, 5},
	"highlight":    {4, 4, 2, 10},
	"transfer":     {8, 5, 2, 12},
	"setting":      {2, 1, 0.5, 2},
	"varnish":      {4, 2, 1, 4},
	"pencil":       {2, 1.5, 0.5, 4},
	"ground":       {5, 2, 1, 4},
}

// halfFigure is the surface the minutes are for: half of a 28 mm figure, cm2.
const halfFigure = 4.5

// TaskOf sorts a step for its minutes.
func TaskOf(s *inventory.Step, idx *inventory.Index) Task {
	switch s.Kind {
	case inventory.Prepare, inventory.Drill, inventory.Glue, inventory.Transfer, inventory.Setting:
		return Task(s.Kind)
	case inventory.Sand, inventory.Tuft:
		return "ground"
	case inventory.Seal:
		return "varnish"
	}
	p := mainPaint(idx, s.Mix)
	if p == nil {
		return "base"
	}
	m := s.Method
	if m == "" {
		m = p.Type.UsualMethod()
	}
	switch m {
	case coverage.SprayCan:
		return "spray"
	case coverage.Airbrush:
		return "airbrush"
	case coverage.DryBrush:
		return "dry brush"
	case coverage.Stick, coverage.Piece:
		return "pencil"
	}
	switch p.Type {
	case inventory.PrimerBrush, inventory.PrimerSpray:
		return "brush primer"
	case inventory.OneCoat:
		return "one-coat"
	case inventory.Wash, inventory.Ink:
		return "wash"
	case inventory.Metallic:
		return "metallic"
	case inventory.Highlight, inventory.Glaze:
		return "highlight"
	case inventory.Varnish, inventory.VarnishSpray:
		return "varnish"
	case inventory.Texture:
		return "ground"
	}
	return "base"
}

// StepMinutes is what a step takes by the tables: to lay out, and a figure.
// Larger regions take longer, but less than in proportion: (area / half a
// figure) to the power 0.7, an assumption. All coats together.
func StepMinutes(
	s *inventory.Step, fig *inventory.FigureType, undercoat string, idx *inventory.Index,
) (setup, each float64) {
	t := taskMinutes[TaskOf(s, idx)]
	each = t.each
	if fig != nil {
		if area, ok := stepArea(s, fig); ok {
			each *= math.Pow(area/halfFigure, 0.7)
		}
	}
	return t.setup, each * float64(max(1, s.CoatsOn(undercoat)))
}

// stepArea is the surface of a step's regions on one figure, cm2. The part of it
// that an edge or a highlight reaches is left out: edges are slow.
func stepArea(s *inventory.Step, fig *inventory.FigureType) (float64, bool) {
	whole, _, err := fig.Area()
	if err != nil {
		return 0, false
	}
	part, own, err := fig.Cover(s.Regions)
	if err != nil {
		return 0, false
	}
	return part*whole.Median + own, true
}

// Pace is how the painter's minutes compare with the tables: one factor for all
// work and one more for each task, as logarithms.
type Pace struct {
	at       map[Task]int
	mean     []float64 // of the factor for all, then of each task's
	cov      [][]float64
	Sittings int // it has learned from
}

// Spreads of the model, in logarithms: of painters, of tasks, of sittings. All
// assumptions. A sitting's minutes hold a call, a clog and a search for the brush
// too, so one alone says little, and one far off less still: sittings have
// Student's t tails.
const (
	paceSD       = 0.40
	taskSD       = 0.30
	sittingSD    = 0.35
	sittingTails = 4 // degrees of freedom
)

// TaskTime is minutes spent on a task, by the tables.
type TaskTime struct {
	Task    Task
	Minutes float64
}

// TimedSitting is a sitting that was timed.
type TimedSitting struct {
	Minutes float64 // hands on, waiting taken off
	Tables  []TaskTime
}

// LearnPace goes through timed sittings in order. One that makes no sense (no
// minutes, no work) teaches nothing. It is a Kalman filter with the sum over the
// tasks linearised at what is expected (extended Kalman filter, any textbook).
func LearnPace(sittings []TimedSitting) *Pace {
	p := &Pace{at: map[Task]int{}}
	p.grow("")
	for _, s := range sittings {
		if s.Minutes > 0 && len(s.Tables) > 0 {
			p.learn(s)
		}
	}
	return p
}

// grow adds an unknown with its prior; the first is the factor for all.
func (p *Pace) grow(t Task) int {
	if i, ok := p.at[t]; ok {
		return i
	}
	n := len(p.mean)
	p.at[t] = n
	p.mean = append(p.mean, 0)
	sd := taskSD
	if n == 0 {
		sd = paceSD
	}
	for i := range p.cov {
		p.cov[i] = append(p.cov[i], 0)
	}
	p.cov = append(p.cov, make([]float64, n+1))
	p.cov[n][n] = sd * sd
	return n
}

func (p *Pace) learn(s TimedSitting) {
	sum := 0.0
	part := map[int]float64{}
	for _, t := range s.Tables {
		i := p.grow(t.Task)
		v := t.Minutes * math.Exp(p.mean[0]+p.mean[i])
		part[i] += v
		sum += v
	}
	if !(sum > 0) {
		return
	}
	n := len(p.mean)
	h := make([]float64, n)
	h[0] = 1
	for i, v := range part {
		h[i] = v / sum
	}
	gain := make([]float64, n)
	known := 0.0 // variance of what was expected
	for i := range n {
		for j := range n {
			gain[i] += p.cov[i][j] * h[j]
		}
	}
	for i := range n {
		known += h[i] * gain[i]
	}
	miss := math.Log(s.Minutes) - math.Log(sum)
	s2 := known + sittingSD*sittingSD
	for range 5 { // weights of the t distribution (Lange, Little and Taylor 1989, from memory)
		s2 = known + sittingSD*sittingSD*max(1, (sittingTails+miss*miss/s2)/(sittingTails+1))
	}
	for i := range n {
		p.mean[i] += gain[i] / s2 * miss
		for j := range n {
			p.cov[i][j] -= gain[i] * gain[j] / s2
		}
	}
	p.Sittings++
}

// Factor is what the tables' minutes of a task are to be taken times, the median
// and the standard deviation of its logarithm.
func (p *Pace) Factor(t Task) (median, logSD float64) {
	if p == nil {
		return 1, math.Hypot(paceSD, taskSD)
	}
	i, ok := p.at[t]
	if !ok || i == 0 {
		return math.Exp(p.mean[0]), math.Sqrt(p.cov[0][0] + taskSD*taskSD)
	}
	return math.Exp(p.mean[0] + p.mean[i]), math.Sqrt(p.cov[0][0] + p.cov[i][i] + 2*p.cov[0][i])
}

// Overall is the factor for a mix of tasks, and its spread.
func (p *Pace) Overall(tables []TaskTime) (median, logSD float64) {
	sum, known := 0.0, 0.0
	for _, t := range tables {
		f, _ := p.Factor(t.Task)
		sum += t.Minutes * f
		known += t.Minutes
	}
	if known == 0 {
		return 1, paceSD
	}
	var v float64
	for i, a := range tables {
		fa, sa := p.Factor(a.Task)
		for j, b := range tables {
			fb, _ := p.Factor(b.Task)
			c := 0.0
			if i == j || a.Task == b.Task {
				c = sa * sa
			} else {
				c = p.covOf(a.Task, b.Task)
			}
			v += a.Minutes * fa * b.Minutes * fb * c / (sum * sum)
		}
	}
	return sum / known, math.Sqrt(max(0, v))
}

func (p *Pace) covOf(a, b Task) float64 {
	if p == nil {
		return paceSD * paceSD
	}
	c := p.cov[0][0]
	i, okA := p.at[a]
	j, okB := p.at[b]
	if okA {
		c += p.cov[0][i]
	}
	if okB {
		c += p.cov[0][j]
	}
	if okA && okB {
		c += p.cov[i][j]
	}
	return c
}
