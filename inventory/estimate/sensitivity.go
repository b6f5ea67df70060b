package estimate

import (
	"cmp"
	"math"
	"slices"

	"halfpot/inventory"
	"halfpot/inventory/coverage"
	"halfpot/inventory/shelf"
)

// Influence is one input of an answer with its share in how unsure it is.
type Influence struct {
	Input   string  // "wet film", "the level of pot tan-1"
	Of      string  // what it belongs to: a pot, figure type, method or step id
	Share   float64 // of the variance of the answer, 0 to 1
	SD      float64 // what it alone does to the answer, ml (counted paints: items)
	Advice  string  // what would make it surer; "" where nothing does
	isLevel bool
}

// PaintInfluences is what the answer to "have I enough of this paint?" hangs on.
type PaintInfluences struct {
	Paint      string
	Need       coverage.Estimate // ml, as the recipes say
	Have       coverage.Estimate // ml usable
	Enough     float64           // chance that the shelf is enough
	Influences []Influence       // the weightiest first; their shares sum to 1
}

// Sensitivity works out for each paint that a force needs, in the order in
// which the paints come up, which inputs its answer hangs on most. The answer
// is what the shelf has less what the recipes' own ways take; each input moves
// it by its own deviation times its share of the need (a first-order share of
// variance: Saltelli et al., Global Sensitivity Analysis, 2008, chapter 1, from
// memory). An input that several steps share, as a method's film or the area
// of a figure, counts once for all of them.
func (e *Estimator) Sensitivity(
	f *inventory.Force, levels []shelf.Level, rules NeedRules,
) ([]PaintInfluences, error) {
	needs, err := e.Needs(f, rules)
	if err != nil {
		return nil, err
	}
	at := map[string]int{}
	var out []PaintInfluences
	var parts [][]coverage.Estimate
	var moves []map[inputKey]float64 // ml an input moves the need by, one deviation up
	for _, n := range needs.List {
		u, _ := f.Unit(n.Unit)
		s, _ := e.Index.Recipes[u.Recipe].Step(n.Step)
		own := n.Options[0]
		sum, err := e.Sum(u, &s, own.Mix, own.Thinning, n.Figures)
		if err != nil {
			return nil, err
		}
		inputs := e.inputs(u, &s, sum)
		for _, use := range own.Uses {
			i, ok := at[use.Paint]
			if !ok {
				i = len(out)
				at[use.Paint] = i
				out = append(out, PaintInfluences{Paint: use.Paint})
				parts, moves = append(parts, nil), append(moves, map[inputKey]float64{})
			}
			parts[i] = append(parts[i], use.Amount)
			for k, share := range inputs {
				moves[i][k] += share * use.Amount.Mean()
			}
		}
	}
	stock := shelf.PaintLevels(levels)
	for i := range out {
		p := &out[i]
		p.Need = coverage.Sum(1, parts[i]...)
		have := stock[p.Paint]
		p.Have, p.Enough = have.Estimate(), have.Enough(p.Need)
		p.Influences = influences(p.Paint, moves[i], levels)
	}
	return out, nil
}

// inputKey names an input.
type inputKey struct{ input, of, advice string }

const (
	adviceLog  = "log the work and weigh the pot before and after: the factor is learned"
	adviceArea = "measure the figure's mesh, or give its area"
)

// inputs are the deviations of the log of a step's volume that each input
// brings: its own log-sd times the part of the volume it acts on.
func (e *Estimator) inputs(u inventory.Unit, s *inventory.Step, sum StepSum) map[inputKey]float64 {
	out := map[inputKey]float64{{"one time and the next", u.ID + "/" + s.ID, ""}: inventory.JobSD}
	if l := sum.Learned; l != nil {
		film, waste, _, err := sum.parts()
		painted := 1.0
		if all := film.Mean() + waste.Mean(); err == nil && all > 0 {
			painted = film.Mean() / all
		}
		out[inputKey{"your hand", string(l.Level) + " " + l.Key, adviceLog}] = l.LogSD * painted
		if sum.PerItem > 0 {
			out[inputKey{"figures an item does", sum.Paint, adviceLog}] = sum.Step.AreaCM2.LogSD
			return out
		}
		out[inputKey{"painted area", u.Figure, adviceArea}] = sum.Step.AreaCM2.LogSD * painted
		if painted < 1 {
			out[inputKey{"waste a sitting", string(sum.Method), adviceLog}] = waste.LogSD * (1 - painted)
		}
		return out
	}
	if sum.PerItem > 0 {
		return map[inputKey]float64{{"figures an item does", sum.Paint, adviceLog}: sum.Applied.LogSD}
	}
	st := sum.Step
	waste := st.WasteML.Mean() * float64(coverage.Sittings(st.Figures, st.Batch))
	painted := 1.0 // part of the volume that goes onto figures
	if one, err := st.PerFigure(); err == nil && waste > 0 {
		painted = one.Mean() * float64(st.Figures) / (one.Mean()*float64(st.Figures) + waste)
	}
	typ := ""
	if p := e.Index.Paints[sum.Paint]; p != nil {
		typ = string(p.Type)
	}
	for k, sd := range map[inputKey]float64{
		{"painted area", u.Figure, adviceArea}:                          st.AreaCM2.LogSD,
		{"share of the figure", u.Figure + "/" + s.ID, ""}:              st.Share.LogSD,
		{"part that gets paint", string(sum.Method), adviceLog}:         st.Cover.LogSD,
		{"wet film", typ + " by " + string(sum.Method), adviceLog}:      st.WetUM.LogSD,
		{"part that reaches the figure", string(sum.Method), adviceLog}: st.Efficiency.LogSD,
	} {
		out[k] = sd * painted
	}
	out[inputKey{"waste a sitting", string(sum.Method), adviceLog}] = st.WasteML.LogSD * (1 - painted)
	return out
}

// influences turns what moves a need, and the pots it is served from, into
// shares of variance.
func influences(paint string, moves map[inputKey]float64, levels []shelf.Level) []Influence {
	var out []Influence
	for k, ml := range moves {
		if ml > 0 {
			out = append(out, Influence{Input: k.input, Of: k.of, SD: ml, Advice: k.advice})
		}
	}
	for _, l := range levels {
		if l.Paint != paint || l.Gone != "" {
			continue
		}
		if sd := l.Spread(); sd > 0 {
			advice := "weigh it"
			if l.By == inventory.Weighed || l.Coming {
				advice = ""
			}
			out = append(out, Influence{
				Input:   "level of the pot",
				Of:      l.Pot,
				SD:      sd,
				Advice:  advice,
				isLevel: true,
			})
		}
	}
	// Summed up in one order, so that the same question always has the same answer.
	slices.SortFunc(out, func(a, b Influence) int {
		return cmp.Or(-cmp.Compare(a.SD, b.SD), cmp.Compare(a.Input, b.Input), cmp.Compare(a.Of, b.Of))
	})
	total := 0.0
	for _, i := range out {
		total += i.SD * i.SD
	}
	for i := range out {
		out[i].Share = out[i].SD * out[i].SD / math.Max(total, math.SmallestNonzeroFloat64)
	}
	return out
}

// WeighFirst picks, over all paints, the at most n pots whose weighing would
// settle most: those that make up much of the doubt of an answer that could
// still go either way. Pots of paints that are surely enough, or surely not,
// are left out.
func WeighFirst(all []PaintInfluences, n int) []Influence {
	type ranked struct {
		Influence
		worth float64
	}
	var out []ranked
	for _, p := range all {
		doubt := 4 * p.Enough * (1 - p.Enough)
		for _, i := range p.Influences {
			if i.isLevel && i.Advice != "" && doubt > 0.05 {
				out = append(out, ranked{i, doubt * i.Share})
			}
		}
	}
	slices.SortStableFunc(out, func(a, b ranked) int { return -cmp.Compare(a.worth, b.worth) })
	var first []Influence
	for _, r := range out[:min(n, len(out))] {
		first = append(first, r.Influence)
	}
	return first
}
