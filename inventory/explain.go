package inventory

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"halfpot/inventory/coverage"
)

// Explanation is an estimate as a sum with the painter's numbers put in.
type Explanation struct {
	Lines   []ExplainLine // the numbers, in the order of the sum
	Formula string        // the sum in words
	Sum     string        // the same with the numbers put in
	Exact   float64       // what the sum comes to
	// Result is the estimate. Its middle may lie a little above Exact, because
	// use is lopsided: more can be too much than too little.
	Result coverage.Estimate
	Unit   string // ml, items, cm2
}

// ExplainLine is one number of a sum: how it is called, its middle and central
// 90 %, and where it comes from.
type ExplainLine struct {
	Name             string
	Value, Low, High float64
	Unit             string
	Origin           Origin // given, learned, measured, published, practice, assumption
	Source           string // for a learned number: from how many jobs, and of what
}

func lineOf(f coverage.Factor) ExplainLine {
	low, high := f.Range()
	return ExplainLine{f.Name, f.Median, low, high, f.Unit, f.Origin, f.Source}
}

// Explain tells how the paint for a step comes about.
func (s StepSum) Explain() Explanation {
	var x Explanation
	for _, f := range s.Factors {
		x.Lines = append(x.Lines, lineOf(f))
	}
	figures := float64(s.Step.Figures)
	x.Lines = append(x.Lines, ExplainLine{"figures", figures, figures, figures, "", coverage.Given, "still to be done"})
	x.Unit = "ml"
	if s.PerItem > 0 {
		x.Unit = "items"
		x.Formula = "figures x coats / figures an item does"
		x.Sum = fmt.Sprintf("%d x %s / %s", s.Step.Figures, number(s.Step.Coats), number(s.PerItem))
		x.Exact = figures * s.Step.Coats / s.PerItem
	} else {
		x.explainVolume(s)
	}
	if s.Learned != nil {
		x.Lines = append(x.Lines, lineOf(s.Learned.shown()))
		x.Formula = "(" + x.Formula + ") x your hand"
		x.Sum = "(" + x.Sum + ") x " + number(math.Exp(s.Learned.LogMean))
		x.Exact *= math.Exp(s.Learned.LogMean)
	} else if s.PerItem == 0 {
		low, high := oneJob.Range()
		x.Lines = append(x.Lines, ExplainLine{"one time and the next", 1, low, high, "", coverage.Assumption, "a job's scatter about your average; nothing learned yet"})
	}
	x.Sum += " = " + number(x.Exact) + " " + x.Unit
	x.Result = s.Applied
	return x
}

func (x *Explanation) explainVolume(s StepSum) {
	st := s.Step
	sittings := coverage.Sittings(st.Figures, st.Batch)
	words := []string{"area"}
	terms := []string{number(st.AreaCM2.Median) + " cm2"}
	one := st.AreaCM2.Median * st.WetUM.Median * 1e-4
	for _, n := range []struct {
		word string
		v    float64
	}{{"share of the figure", st.Share.Median}, {"part that gets paint", st.Cover.Median}} {
		if n.v != 1 {
			words, terms = append(words, n.word), append(terms, number(n.v))
			one *= n.v
		}
	}
	words, terms = append(words, "wet film"), append(terms, number(st.WetUM.Median)+" um x 0.0001")
	if st.Coats != 1 {
		words, terms = append(words, "coats"), append(terms, number(st.Coats))
		one *= st.Coats
	}
	one /= st.Efficiency.Median
	x.Formula = strings.Join(words, " x ") + " / part that reaches the figure x figures + waste a sitting x sittings"
	x.Sum = fmt.Sprintf("%s / %s x %d + %s ml x %d", strings.Join(terms, " x "), number(st.Efficiency.Median), st.Figures, number(st.WasteML.Median), sittings)
	x.Exact = one*float64(st.Figures) + st.WasteML.Median*float64(sittings)
	x.Lines = append(x.Lines, ExplainLine{"sittings", float64(sittings), float64(sittings), float64(sittings), "", coverage.Given, batchWords(st.Figures, st.Batch)})
	if s.Thinner > 0 {
		x.Lines = append(x.Lines, ExplainLine{"medium to one part of paint", s.Thinner, s.Thinner, s.Thinner, "parts", coverage.Given, "the recipe's thinning; the volume is paint and medium together"})
	}
}

func batchWords(figures, batch int) string {
	if batch <= 0 || batch >= figures {
		return "all figures at one sitting"
	}
	return fmt.Sprintf("%d figures at a sitting", batch)
}

// shown is a learned factor as a number of a sum.
func (f Factor) shown() coverage.Factor {
	out := coverage.Factor{Name: "your hand", Estimate: f.Estimate(), Origin: coverage.Learned}
	jobs := "jobs"
	if f.Observations == 1 {
		jobs = "job"
	}
	out.Source = fmt.Sprintf("learned from %d %s (%s %s)", f.Observations, jobs, f.Level, f.Key)
	if f.Pinned {
		out.Origin, out.Source = coverage.Given, fmt.Sprintf("pinned by you (%s %s)", f.Level, f.Key)
	}
	return out
}

// number writes a number to four digits, without needless zeros.
func number(v float64) string {
	s := strconv.FormatFloat(v, 'g', 4, 64)
	if strings.ContainsRune(s, 'e') {
		return strconv.FormatFloat(v, 'f', 0, 64)
	}
	return s
}

// Explain tells how the area of a figure comes about.
func (f FigureType) Explain() (Explanation, error) {
	area, factors, err := f.Area()
	if err != nil {
		return Explanation{}, err
	}
	x := Explanation{Result: area, Unit: "cm2", Exact: 1}
	var words, terms []string
	for _, k := range factors {
		x.Lines = append(x.Lines, lineOf(k))
		words, terms = append(words, k.Name), append(terms, number(k.Median))
		x.Exact *= k.Median
	}
	x.Formula, x.Sum = strings.Join(words, " x "), strings.Join(terms, " x ")+" = "+number(x.Exact)+" cm2"
	return x, nil
}

// LevelStep is what a pot was known to hold after one of its events.
type LevelStep struct {
	Event PotEvent
	Level Level
	Note  string // what the event did to the sum, in words
}

// ExplainLevel follows a pot's standing events to now: how the level that is
// shown came about.
func (b *LevelBook) ExplainLevel(p *Pot, now time.Time) []LevelStep {
	m, ok := b.models[p.Paint]
	if !ok {
		m = b.other
	}
	events := orderedEvents(p)
	f := newFilter(b, p, m, events)
	var out []LevelStep
	for i := range events {
		if events[i].At.After(now) {
			break
		}
		f.advance(events[i].At)
		before := f.level()
		f.event(&events[i])
		after := f.level()
		out = append(out, LevelStep{events[i], after, levelNote(&events[i], before, after, f.tareOf(&events[i]))})
	}
	return out
}

// levelNote says in words what an event did.
func levelNote(e *PotEvent, before, after Level, tare Tare) string {
	low, high := after.Range(0.9)
	left := fmt.Sprintf("%s ml left (%s to %s)", number(after.Left().ML()), number(low.ML()), number(high.ML()))
	switch {
	case after.Gone != "":
		return "nothing left to use"
	case e.Kind == Weighed && tare.Grams == 0:
		return left + "; the weight of the empty pot is not known, so only what went since the last weighing counts"
	case after.overruled > before.overruled:
		return left + "; the reading is believed over the record, which said " + number(before.Left().ML()) + " ml"
	case e.Kind == Judged || e.Kind == Weighed:
		if before.SD() > 0 && before.overruled == after.overruled && !before.Measured.IsZero() {
			return fmt.Sprintf("%s; reading and record weighed by how sure they are", left)
		}
		return left
	case e.Kind == Used && e.Estimated:
		return left + "; drawn by the estimate"
	case after.Overdrawn:
		return left + "; more was used than it held"
	}
	return left
}
