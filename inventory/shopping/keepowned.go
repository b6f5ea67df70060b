package shopping

import "halfpot/optimize"

// keepOwned drops the options that take a paint not on the shelf from every
// need that the shelf can serve.
func (q *Question) keepOwned() {
	s := newShelfServes(q.Problem)
	for i := range q.Problem.Needs {
		n := &q.Problem.Needs[i]
		var kept []optimize.Option
		for _, o := range n.Options {
			if s.serves(o) && s.together(n.Match, o.ID) {
				kept = append(kept, o)
			}
		}
		if len(kept) > 0 {
			n.Options = kept
		}
	}
}

// shelfServes knows which options the shelf alone can serve.
type shelfServes struct {
	have    map[string]int64          // ul on the shelf, by paint
	most    map[string]int64          // ul that all needs together could ask for
	offered map[string]bool           // paints that some product holds
	needs   map[string]int            // by match label
	served  map[string]map[string]int // of them by option id: those the shelf serves
}

func newShelfServes(p *optimize.Problem) *shelfServes {
	s := &shelfServes{
		have:    map[string]int64{},
		most:    map[string]int64{},
		offered: map[string]bool{},
		needs:   map[string]int{},
		served:  map[string]map[string]int{},
	}
	for _, p := range p.Paints {
		s.have[p.ID] = p.HaveUL
	}
	for _, p := range p.Products {
		for _, c := range p.Contents {
			s.offered[c.Paint] = true
		}
	}
	for _, n := range p.Needs {
		for paint, ul := range mostOf(n) {
			s.most[paint] += ul
		}
	}
	for _, n := range p.Needs {
		if n.Match == "" {
			continue
		}
		s.needs[n.Match]++
		if s.served[n.Match] == nil {
			s.served[n.Match] = map[string]int{}
		}
		for _, o := range n.Options {
			if s.serves(o) {
				s.served[n.Match][o.ID]++
			}
		}
	}
	return s
}

// mostOf is the most that any option of a need takes, by paint.
func mostOf(n optimize.Need) map[string]int64 {
	most := map[string]int64{}
	for _, o := range n.Options {
		for _, u := range o.Uses {
			most[u.Paint] = max(most[u.Paint], u.UL)
		}
	}
	return most
}

// serves reports whether the shelf reaches for an option. An owned paint that
// might not reach for all the needs it could be asked for, and that no shop
// offers, promises nothing.
func (s *shelfServes) serves(o optimize.Option) bool {
	for _, u := range o.Uses {
		if s.have[u.Paint] < u.UL || !s.offered[u.Paint] && s.have[u.Paint] < s.most[u.Paint] {
			return false
		}
	}
	return true
}

// together reports whether the shelf serves all needs of a match label in one
// way: units that must match can only keep to the shelf together.
func (s *shelfServes) together(match, option string) bool {
	return match == "" || s.served[match][option] == s.needs[match]
}
