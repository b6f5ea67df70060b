package shopping

import "halfpot/optimize"

// pointsID is the paint that stands for points of compromise where they are
// rationed: what every option takes as many of as it has.
const pointsID = mustPrefix + "points"

// rationPoints holds the points of all needs together to the rules' most.
func (q *Question) rationPoints() {
	if q.Rules.MaxPoints == nil {
		return
	}
	p := q.Problem
	p.Paints = append(p.Paints, optimize.Paint{ID: pointsID, HaveUL: int64(*q.Rules.MaxPoints)})
	for i := range p.Needs {
		for j := range p.Needs[i].Options {
			if o := &p.Needs[i].Options[j]; o.Compromise > 0 {
				o.Uses = append(o.Uses, optimize.Use{Paint: pointsID, UL: o.Compromise})
			}
		}
	}
}
