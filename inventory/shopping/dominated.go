package shopping

import (
	"slices"

	"halfpot/optimize"
)

// dropDominated leaves out options that no plan needs: of those that may be left
// out, such that every plan with one of them has a plan without that costs no more
// and has no more points, boxes or shops. So the best plans of the problem stay
// best. There may be hundreds of options by colour for a need; few are left.
//
// An option goes where
//
//   - one of its paints is neither on the shelf nor on offer, so that no plan has it;
//   - another option of the need has no more points and takes no more of any paint, or
//     takes only paints of which the shelf has as much as all needs together could
//     ask: with it in the first one's place nothing runs short;
//   - it takes a paint b, of which nothing is on the shelf and which only such options
//     take, and some paint a can do all that b does: whichever option takes b, the
//     need has one like it with a for no more points, and wherever a box with b is
//     sold, one that is the same but holds a is sold at the same price without limit.
//     Then every box with b in a plan can be one with a, and every b be a.
//
// Needs that must match take options with the same id; there, another option is one
// with one id for all of them. A need keeps at least one option. droppable says
// which options may go.
func dropDominated(p *optimize.Problem, droppable func(need, option string) bool) {
	d := newDominance(p, droppable)
	for d.impossible() || d.worse() || d.replaceable() {
	}
	for i := range p.Needs {
		p.Needs[i].Options = slices.DeleteFunc(slices.Clone(p.Needs[i].Options),
			func(o optimize.Option) bool { return d.options[i][o.ID] == nil })
	}
}

// bundle is a need, or all needs that must match: they choose an option's id together.
type bundle struct{ needs []int }

type dominance struct {
	p         *optimize.Problem
	droppable func(need, option string) bool
	bundles   []bundle
	options   []map[string]*optimize.Option // that are left, of each need
	have      map[string]int64
	sold      map[string]bool
}

func newDominance(p *optimize.Problem, droppable func(need, option string) bool) *dominance {
	d := &dominance{p: p, droppable: droppable, have: map[string]int64{}, sold: map[string]bool{}}
	at := map[string]int{}
	for i, n := range p.Needs {
		left := map[string]*optimize.Option{}
		for j := range n.Options {
			left[n.Options[j].ID] = &n.Options[j]
		}
		d.options = append(d.options, left)
		if j, known := at[n.Match]; n.Match != "" && known {
			d.bundles[j].needs = append(d.bundles[j].needs, i)
			continue
		}
		at[n.Match] = len(d.bundles)
		d.bundles = append(d.bundles, bundle{[]int{i}})
	}
	for _, x := range p.Paints {
		d.have[x.ID] = x.HaveUL
	}
	offered := map[string]bool{}
	for _, o := range p.Offers {
		offered[o.Product] = true
	}
	for _, x := range p.Products {
		for _, c := range x.Contents {
			d.sold[c.Paint] = d.sold[c.Paint] || offered[x.ID]
		}
	}
	return d
}

// drop leaves an option out of every need of a bundle, unless one of them may not
// lose it or has no other.
func (d *dominance) drop(b bundle, id string) bool {
	for _, i := range b.needs {
		if d.options[i][id] != nil && (len(d.options[i]) == 1 || !d.droppable(d.p.Needs[i].ID, id)) {
			return false
		}
	}
	for _, i := range b.needs {
		delete(d.options[i], id)
	}
	return true
}

// left are the options that a need still has, in their order.
func (d *dominance) left(need int) (out []*optimize.Option) {
	for _, o := range d.p.Needs[need].Options {
		if x := d.options[need][o.ID]; x != nil {
			out = append(out, x)
		}
	}
	return out
}

// ids are the options that a bundle can lose.
func (d *dominance) ids(b bundle) (out []string) {
	for _, o := range d.left(b.needs[0]) {
		if d.droppable(d.p.Needs[b.needs[0]].ID, o.ID) {
			out = append(out, o.ID)
		}
	}
	return out
}

func (d *dominance) impossible() (any bool) {
	for _, b := range d.bundles {
		for _, id := range d.ids(b) {
			for _, u := range d.options[b.needs[0]][id].Uses {
				if u.UL > d.have[u.Paint] && !d.sold[u.Paint] {
					any = d.drop(b, id) || any
					break
				}
			}
		}
	}
	return any
}

// worse drops options that another of the same bundle serves for.
func (d *dominance) worse() (any bool) {
	most := map[string]int64{}
	for _, n := range d.p.Needs {
		for paint, ul := range mostOf(n) {
			most[paint] += ul
		}
	}
	plenty := func(paint string) bool { return d.have[paint] >= most[paint] }
	for _, b := range d.bundles {
		for _, id := range d.ids(b) {
			for _, other := range d.left(b.needs[0]) {
				if other.ID != id && d.serves(b, other.ID, id, plenty) && d.drop(b, id) {
					any = true
					break
				}
			}
		}
	}
	return any
}

// serves says whether one option can take another's place throughout a bundle.
func (d *dominance) serves(b bundle, id, instead string, plenty func(paint string) bool) bool {
	for _, i := range b.needs {
		o, was := d.options[i][id], d.options[i][instead]
		if was == nil {
			return false // no plan has it; left to impossible
		}
		if o == nil || o.Compromise > was.Compromise {
			return false
		}
		for _, u := range o.Uses {
			if !plenty(u.Paint) && u.UL > useOf(was, u.Paint) {
				return false
			}
		}
	}
	return true
}

func useOf(o *optimize.Option, paint string) int64 {
	for _, u := range o.Uses {
		if u.Paint == paint {
			return u.UL
		}
	}
	return 0
}

// replaceable drops the options of paints that another paint can do all for.
func (d *dominance) replaceable() (any bool) {
	if slices.ContainsFunc(d.p.Paints, func(p optimize.Paint) bool { return isMust(p.ID) }) {
		return false // a box may be there for its own sake
	}
	takes := d.takers()
	boxes := d.boxes()
	for _, x := range d.p.Paints {
		b := x.ID
		takes[b] = slices.DeleteFunc(takes[b], func(t taker) bool { return d.gone(t) })
		if d.have[b] > 0 || len(takes[b]) == 0 ||
			slices.ContainsFunc(takes[b], func(t taker) bool { return !t.droppable }) {
			continue
		}
		for _, y := range d.p.Paints {
			if y.ID != b && boxes.instead(y.ID, b) && d.doesAll(y.ID, takes[b]) && d.dropAll(takes[b]) {
				any = true
				break
			}
		}
	}
	return any
}

// taker is an option of a bundle that takes a paint.
type taker struct {
	bundle    int
	id        string
	droppable bool
	paint     string
}

// gone says whether a taker was left out since.
func (d *dominance) gone(t taker) bool {
	return !slices.ContainsFunc(d.bundles[t.bundle].needs, func(i int) bool { return d.options[i][t.id] != nil })
}

func (d *dominance) takers() map[string][]taker {
	out := map[string][]taker{}
	for k, b := range d.bundles {
		seen := map[[2]string]bool{}
		for _, i := range b.needs {
			for _, o := range d.left(i) {
				for _, u := range o.Uses {
					if key := [2]string{u.Paint, o.ID}; !seen[key] {
						seen[key] = true
						may := true
						for _, j := range b.needs {
							may = may && d.options[j][o.ID] != nil && d.droppable(d.p.Needs[j].ID, o.ID)
						}
						out[u.Paint] = append(out[u.Paint], taker{k, o.ID, may, u.Paint})
					}
				}
			}
		}
	}
	return out
}

// doesAll says whether a does for each taker what its own paint does.
func (d *dominance) doesAll(a string, takers []taker) bool {
	for _, t := range takers {
		b := d.bundles[t.bundle]
		if !slices.ContainsFunc(d.left(b.needs[0]), func(o *optimize.Option) bool {
			return useOf(o, t.paint) == 0 && d.like(b, o.ID, t, a)
		}) {
			return false
		}
	}
	return true
}

// like says whether an option is, throughout a bundle, a taker's with a in place of
// its paint, or takes less.
func (d *dominance) like(b bundle, id string, t taker, a string) bool {
	for _, i := range b.needs {
		o, was := d.options[i][id], d.options[i][t.id]
		if o == nil || was == nil || o.Compromise > was.Compromise {
			return false
		}
		for _, u := range o.Uses {
			may := useOf(was, u.Paint)
			switch u.Paint {
			case t.paint:
				may = 0
			case a:
				may += useOf(was, t.paint)
			}
			if u.UL > may {
				return false
			}
		}
	}
	return true
}

func (d *dominance) dropAll(takers []taker) bool {
	for _, t := range takers { // all or none: boxes are changed only together
		for _, i := range d.bundles[t.bundle].needs {
			rest := 0
			for _, o := range d.left(i) {
				if useOf(o, t.paint) == 0 {
					rest++
				}
			}
			if rest == 0 {
				return false
			}
		}
	}
	for _, t := range takers {
		d.drop(d.bundles[t.bundle], t.id)
	}
	return true
}

// boxesOn knows what is sold where.
type boxesOn struct {
	offers   []optimize.Offer
	contents map[string][]optimize.Content
	with     map[string][]int // offers by paint
}

func (d *dominance) boxes() *boxesOn {
	x := &boxesOn{d.p.Offers, map[string][]optimize.Content{}, map[string][]int{}}
	for _, p := range d.p.Products {
		x.contents[p.ID] = p.Contents
	}
	for i, o := range x.offers {
		for _, c := range x.contents[o.Product] {
			if !slices.Contains(x.with[c.Paint], i) {
				x.with[c.Paint] = append(x.with[c.Paint], i)
			}
		}
	}
	return x
}

// instead says whether for every box with b one with a in its place is sold at the
// same shop and price, as many as one likes.
func (x *boxesOn) instead(a, b string) bool {
	for _, i := range x.with[b] {
		o := x.offers[i]
		if !slices.ContainsFunc(x.with[a], func(j int) bool {
			other := x.offers[j]
			return other.Shop == o.Shop && other.Price == o.Price && other.Limit == nil &&
				x.holds(other.Product, o.Product, a, b)
		}) {
			return false
		}
	}
	return len(x.with[b]) > 0
}

// holds says whether a box has all that another has, with a in place of b.
func (x *boxesOn) holds(box, other, a, b string) bool {
	want := map[string]int64{}
	for _, c := range x.contents[other] {
		if c.Paint == b {
			c.Paint = a
		}
		want[c.Paint] += c.UL * c.Containers()
	}
	for _, c := range x.contents[box] {
		want[c.Paint] -= c.UL * c.Containers()
	}
	for _, ul := range want {
		if ul > 0 {
			return false
		}
	}
	return true
}
