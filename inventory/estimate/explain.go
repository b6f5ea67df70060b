package estimate

import (
	"fmt"
	"math"
	"strings"

	"halfpot/inventory"
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
	Origin           inventory.Origin // given, learned, measured, published, practice, assumption
	Source           string           // for a learned number: from how many jobs, and of what
}

func lineOf(f coverage.Quantity) ExplainLine {
	low, high := f.Shown()
	return ExplainLine{f.Name, f.Median, low, high, f.Unit, f.Origin, f.Source}
}

// Explain tells how the paint for a step comes about.
func (s StepSum) Explain() Explanation {
	var x Explanation
	for _, f := range s.Factors {
		x.Lines = append(x.Lines, lineOf(f))
	}
	figures := float64(s.Step.Figures)
	x.Lines = append(x.Lines, ExplainLine{
		"figures", figures, figures, figures, "", coverage.Given, "still to be done",
	})
	x.Unit = "ml"
	if s.PerItem > 0 {
		x.Unit = "items"
		x.Formula = "figures x coats / figures an item does"
		x.Sum = fmt.Sprintf("%d x %s / %s",
			s.Step.Figures, inventory.FourDigits(s.Step.Coats), inventory.FourDigits(s.PerItem))
		x.Exact = figures * s.Step.Coats / s.PerItem
	} else {
		x.explainVolume(s)
	}
	switch {
	case s.Learned != nil && s.PerItem > 0:
		x.Lines = append(x.Lines, lineOf(handFactor(*s.Learned)))
		x.Formula = "(" + x.Formula + ") x your hand"
		x.Sum = "(" + x.Sum + ") x " + inventory.FourDigits(math.Exp(s.Learned.LogMean))
		x.Exact *= math.Exp(s.Learned.LogMean)
	case s.Learned != nil:
		x.Lines = append(x.Lines, lineOf(handFactor(*s.Learned)))
		if s.Learned.WasteSD > 0 {
			x.Lines = append(x.Lines, lineOf(wasteFactor(*s.Learned)))
		}
	case s.PerItem == 0:
		low, high := nothingLearned.Film().Range()
		x.Lines = append(x.Lines, ExplainLine{
			"one time and the next",
			1,
			low,
			high,
			"",
			coverage.Assumption,
			"a job's scatter about your average; nothing learned yet",
		})
	}
	x.Sum += " = " + inventory.FourDigits(x.Exact) + " " + x.Unit
	x.Result = s.Applied
	return x
}

func (x *Explanation) explainVolume(s StepSum) {
	st := s.Step
	sittings := coverage.Sittings(st.Figures, st.Batch)
	words := []string{"area"}
	terms := []string{inventory.FourDigits(st.AreaCM2.Median) + " cm2"}
	one := st.AreaCM2.Median * st.WetUM.Median * 1e-4
	for _, n := range []struct {
		word string
		v    float64
	}{{"share of the figure", st.Share.Median}, {"part that gets paint", st.Cover.Median}} {
		if n.v != 1 {
			words, terms = append(words, n.word), append(terms, inventory.FourDigits(n.v))
			one *= n.v
		}
	}
	words, terms = append(words, "wet film"), append(terms, inventory.FourDigits(st.WetUM.Median)+" um x 0.0001")
	if st.Coats != 1 {
		words, terms = append(words, "coats"), append(terms, inventory.FourDigits(st.Coats))
		one *= st.Coats
	}
	one /= st.Efficiency.Median
	hand, waste := 1.0, 1.0
	handWord, handTerm, wasteWord, wasteTerm := "", "", "", ""
	if l := s.Learned; l != nil {
		hand, handWord = math.Exp(l.LogMean), " x your hand"
		handTerm = " x " + inventory.FourDigits(hand)
		if l.WasteSD > 0 {
			waste, wasteWord = math.Exp(l.WasteMean), " x your waste"
			wasteTerm = " x " + inventory.FourDigits(waste)
		}
	}
	x.Formula = strings.Join(words, " x ") + " / part that reaches the figure x figures" + handWord +
		" + waste a sitting x sittings" + wasteWord
	x.Sum = fmt.Sprintf("%s / %s x %d%s + %s ml x %d%s", strings.Join(terms, " x "),
		inventory.FourDigits(st.Efficiency.Median), st.Figures, handTerm,
		inventory.FourDigits(st.WasteML.Median), sittings, wasteTerm)
	x.Exact = one*float64(st.Figures)*hand + st.WasteML.Median*float64(sittings)*waste
	x.Lines = append(x.Lines, ExplainLine{
		"sittings", float64(sittings), float64(sittings), float64(sittings), "", coverage.Given,
		batchWords(st.Figures, st.Batch),
	})
	if s.Thinner > 0 {
		x.Lines = append(x.Lines, ExplainLine{
			"medium to one part of paint",
			s.Thinner,
			s.Thinner,
			s.Thinner,
			"parts",
			coverage.Given,
			"the recipe's thinning; the volume is paint and medium together",
		})
	}
}

func batchWords(figures, batch int) string {
	if batch <= 0 || batch >= figures {
		return "all figures at one sitting"
	}
	return fmt.Sprintf("%d figures at a sitting", batch)
}

// handFactor is a learned factor as a number of a sum.
func handFactor(f inventory.Factor) coverage.Quantity {
	out := coverage.Quantity{Name: "your hand", Estimate: f.Film(), Origin: coverage.Learned}
	readings := "readings"
	if f.Observations == 1 {
		readings = "reading"
	}
	out.Source = fmt.Sprintf("learned from %d %s (%s %s)", f.Observations, readings, f.Level, f.Key)
	switch {
	case f.Pinned:
		out.Origin, out.Source = coverage.Given, fmt.Sprintf("pinned by you (%s %s)", f.Level, f.Key)
	case f.Observations == 0:
		out.Origin, out.Source = coverage.Assumption, "the tables': no pot of it has been read yet"
	}
	return out
}

// wasteFactor is the waste of a sitting likewise.
func wasteFactor(f inventory.Factor) coverage.Quantity {
	out := coverage.Quantity{
		Name:     "your waste",
		Estimate: f.Waste(1),
		Origin:   coverage.Learned,
		Source:   "learned from the same pots, all methods together",
	}
	if f.Observations == 0 {
		out.Source = "learned from pots of other methods"
	}
	return out
}
