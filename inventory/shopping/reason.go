package shopping

import (
	"fmt"
	"slices"
	"strings"

	"halfpot/inventory"
	"halfpot/inventory/estimate"
	"halfpot/optimize"
)

// PlanReason says why no plan exists: a smallest set of things that clash.
type PlanReason struct {
	Kind   string   // as in optimize.Reason
	Steps  []string // "unit/step"
	Paints []string // paint ids
	Shops  []string // shop ids
	Text   string   // one sentence in the painter's words
}

// reason tells a clash with the painter's names.
func (q *Question) reason(r optimize.Reason) PlanReason {
	out := PlanReason{Kind: r.Kind, Shops: r.Shops}
	musts := 0
	for _, n := range r.Needs {
		if isMust(n) {
			musts++
		} else {
			out.Steps = append(out.Steps, n)
		}
	}
	for _, p := range r.Paints {
		if !isMust(p) {
			out.Paints = append(out.Paints, p)
		}
	}
	steps, paints := q.stepWords(out.Steps), q.paintWords(out.Paints)
	rationed := slices.Contains(r.Paints, pointsID)
	switch {
	case rationed && len(out.Steps) > 0:
		out.Text = fmt.Sprintf("There is no way to do %s with at most %d points of compromise.",
			steps, *q.Rules.MaxPoints)
	case rationed:
		out.Text = fmt.Sprintf("There is no way with at most %d points of compromise.", *q.Rules.MaxPoints)
	case r.Kind == "need" && musts > 0:
		out.Text = "What must be bought is not on offer in that number under these conditions."
	case r.Kind == "need" && len(out.Steps) > 0:
		out.Text = fmt.Sprintf("There is no way to do %s: with everything on offer bought, "+
			"%s would still run short.", steps, orSomething(paints, "its paints"))
	case r.Kind == "match" && len(out.Steps) > 0:
		out.Text = fmt.Sprintf("%s must look alike, but no paint or mix is acceptable for all of them.",
			capital(steps))
	default:
		out.Text = q.readable(q.openedWith(steps, r.Text))
	}
	return out
}

// openedWith names the steps as a painter does where a reason begins with the
// marks of its needs.
func (q *Question) openedWith(steps, text string) string {
	if steps == "" {
		return text
	}
	if _, rest, ok := strings.Cut(text, " can't be met"); ok {
		return "There is no way to do " + steps + rest
	}
	if _, rest, ok := strings.Cut(text, " can't all be met"); ok {
		return "There is no way to do " + steps + " together" + rest
	}
	return text
}

// readable puts the painter's words in place of the marks a problem uses.
func (q *Question) readable(text string) string {
	for i, m := range q.Rules.Must {
		what := m.Product
		if what == "" {
			what = m.Paint
		}
		text = strings.ReplaceAll(text, fmt.Sprintf("%s%d", mustPrefix, i+1), "buying "+what)
	}
	return text
}

func orSomething(s, other string) string {
	if s == "" {
		return other
	}
	return s
}

func capital(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

func (q *Question) stepWords(needs []string) string {
	var out []string
	for _, n := range needs {
		unit, step, _ := strings.Cut(n, "/")
		out = append(out, step+" of "+unit)
	}
	return andList(out)
}

func (q *Question) paintWords(ids []string) string {
	var out []string
	for _, id := range ids {
		if p := q.Index.Paints[id]; p != nil {
			out = append(out, p.Name)
		} else {
			out = append(out, id)
		}
	}
	return andList(out)
}

// andList joins words as in a sentence.
func andList(s []string) string {
	switch len(s) {
	case 0:
		return ""
	case 1:
		return s[0]
	}
	return strings.Join(s[:len(s)-1], ", ") + " and " + s[len(s)-1]
}

// whyChosen says why a step is not done as its recipe asks. Each sentence
// holds for a proven plan; nothing is guessed about what others would cost.
func (l *ShoppingList) whyChosen(q *Question, s *PlannedStep) string {
	own := q.ownOption(s.Unit, s.Step)
	bought := map[string]bool{}
	for _, b := range l.Balance {
		bought[b.Paint] = b.Bought > 0
	}
	var buys, lacks []string
	for _, t := range s.Takes {
		if bought[t.Paint] {
			buys = append(buys, t.Paint)
		}
	}
	asked := ""
	if own != nil {
		asked = q.paintWords(mixPaints(own.Mix))
		for _, u := range own.Uses {
			if !q.offered(u.Paint) && q.Stock[u.Paint] < q.takes(s.Unit+"/"+s.Step, u) {
				lacks = append(lacks, u.Paint)
			}
		}
	}
	why := ""
	switch {
	case len(lacks) > 0:
		why = fmt.Sprintf("%s %s neither on offer nor on the shelf in that volume",
			q.paintWords(lacks), isAre(lacks))
	case own == nil:
		why = "it was begun this way"
	case len(buys) == 0 && len(q.notOnShelf(s.Unit+"/"+s.Step, own)) > 0:
		missing := q.notOnShelf(s.Unit+"/"+s.Step, own)
		why = fmt.Sprintf("the shelf has it, while %s would have to be bought", q.paintWords(missing))
	case len(buys) == 0:
		why = "the shelf has it, and what it holds of " + asked + " serves other steps"
	case l.boughtAnyway(buys, s) != "":
		why = fmt.Sprintf("%s %s bought anyway for %s", q.paintWords(buys), isAre(buys), l.boughtAnyway(buys, s))
	case l.Proven():
		why = "no plan that uses " + asked + " here costs less"
	default:
		why = "the best plan found so far uses it"
	}
	if s.Match != "" {
		why += "; it must look like every other step matched as " + s.Match
	}
	return why
}

// notOnShelf lists the paints of a way that the shelf has too little of for
// this step alone.
func (q *Question) notOnShelf(need string, o *estimate.Option) []string {
	var out []string
	for _, u := range o.Uses {
		if q.Stock[u.Paint] < q.takes(need, u) {
			out = append(out, u.Paint)
		}
	}
	return out
}

// boughtAnyway names the steps that take each of the paints as their recipe
// asks; "" where one of the paints is for no such step.
func (l *ShoppingList) boughtAnyway(paints []string, not *PlannedStep) string {
	var steps []string
	for _, p := range paints {
		i := slices.IndexFunc(l.Steps, func(s PlannedStep) bool {
			return s.Kind == estimate.OwnOption && (s.Unit != not.Unit || s.Step != not.Step) &&
				slices.ContainsFunc(s.Takes, func(t estimate.PlannedUse) bool {
					return t.Paint == p && t.Volume > 0
				})
		})
		if i < 0 {
			return ""
		}
		if w := l.Steps[i].Step + " of " + l.Steps[i].Unit; !slices.Contains(steps, w) {
			steps = append(steps, w)
		}
	}
	return andList(steps)
}

func isAre(s []string) string {
	if len(s) == 1 {
		return "is"
	}
	return "are"
}

func mixPaints(m inventory.Mix) []string {
	var out []string
	for _, p := range m {
		out = append(out, p.Paint)
	}
	return out
}

// ownOption is the recipe's own way to do a step, nil where it is closed.
func (q *Question) ownOption(unit, step string) *estimate.Option {
	for i := range q.Needs.List {
		n := &q.Needs.List[i]
		if n.Unit == unit && n.Step == step {
			for j := range n.Options {
				if n.Options[j].Kind == estimate.OwnOption {
					return &n.Options[j]
				}
			}
		}
	}
	return nil
}

// offered reports whether a paint can be bought under the rules.
func (q *Question) offered(paint string) bool {
	for _, p := range q.Problem.Products {
		for _, c := range p.Contents {
			if c.Paint == paint {
				return true
			}
		}
	}
	return false
}
