package exact

import (
	"cmp"
	"math"

	"halfpot/optimize"
)

// model is a Problem in the form the search works on: whole-number indices,
// flat slices, needs of one match label merged into one, and everything left
// out that cannot matter. It never changes during a search.
//
// Merging is exact: needs that must take options of one id are met by one
// merged option that uses the sum of their volumes.
type model struct {
	prob *optimize.Problem

	// Needs and their options. Options of need n are optStart[n]:optStart[n+1].
	members  [][]int32 // indices into prob.Needs of each merged need
	optStart []int32
	optNeed  []int32
	optPts   []int64
	optPick  [][]int32 // for each option, the option index of each member
	// Uses of option o are useStart[o]:useStart[o+1].
	useStart []int32
	usePaint []int32
	useUL    []int64

	// Paints that can run short.
	paintOrig []int32
	have      []int64
	most      []int64 // the greatest volume any choice of options can take
	byPaint   [][]paintUse
	sources   [][]source // offers that hold the paint

	// Offers, those of one shop side by side: shopStart[h]:shopStart[h+1].
	offOrig   []int32
	offShop   []int32
	price     []int64
	limit     []int32 // most boxes that can be of any use
	conStart  []int32
	conPaint  []int32
	conUL     []int64
	conUnits  []int32 // the content in units; see setUnits
	shopStart []int32
	bands     [][]optimize.Band // with the minimum order worked in
	filler    []bool            // whether goods beyond the needs can lower the charge
	fillers   [][]filler
	reach     []reachable
	topUps    *topUps

	maxShops int
	cp       int64 // compromise price
	cap      int64 // most that goods and delivery may cost; noCap if none
}

type paintUse struct {
	opt int32
	use int32
}

type source struct {
	off   int32
	ul    int64
	units int32
}

// filler is an offer that serves only to raise the value of an order.
type filler struct {
	orig  int32
	price int64
	limit int64
}

const noCap = math.MaxInt64

// solution is an answer in the model's indices.
type solution struct {
	m      *model
	x      []int32 // boxes of each offer of the model
	fill   []fill  // boxes bought only to raise an order's value
	choice []int32 // option of each need
	cost   vector
}

type fill struct {
	orig  int32
	count int32
}

// vector holds what the objective's levels look at, in their order.
type vector struct {
	money  int64 // goods + delivery + compromise price x points
	points int64
	boxes  int64
	shops  int64

	spare int64 // what goods and delivery leave of the cap; no level of the objective
}

func (v vector) less(w vector) bool {
	return cmp.Or(cmp.Compare(v.money, w.money), cmp.Compare(v.points, w.points),
		cmp.Compare(v.boxes, w.boxes), cmp.Compare(v.shops, w.shops)) < 0
}

// impossible is returned by compile when a need has no option left at all.
type impossible struct{ need int }

func (impossible) Error() string { return "a need cannot be met" }

// compile builds the model of the needs for which keep is true (all, if keep
// is nil). It returns an impossible error where it finds out that no plan exists.
func compile(p *optimize.Problem, keep []bool) (*model, error) {
	m := &model{prob: p, topUps: &topUps{}, cp: p.Rules.CompromisePrice, cap: noCap, maxShops: len(p.Shops)}
	if p.Rules.MaxShops != nil {
		m.maxShops = int(min(*p.Rules.MaxShops, int64(len(p.Shops))))
	}
	if p.Rules.Budget != nil {
		m.cap = *p.Rules.Budget
	}
	paintOf := make(map[string]int32, len(p.Paints))
	for i, pt := range p.Paints {
		paintOf[pt.ID] = int32(i)
	}
	needs, err := mergeMatches(p, keep, paintOf)
	if err != nil {
		return nil, err
	}
	supply := totalSupply(p, paintOf)
	if err := reduceNeeds(p, needs, supply); err != nil {
		return nil, err
	}
	m.addNeeds(p, needs)
	m.addOffers(p, paintOf)
	m.addReach()
	return m, nil
}

// addNeeds lays the needs out flat and numbers the paints that matter.
func (m *model) addNeeds(p *optimize.Problem, needs []mergedNeed) {
	index := make([]int32, len(p.Paints))
	for i := range index {
		index[i] = -1
	}
	m.optStart = append(m.optStart, 0)
	m.useStart = append(m.useStart, 0)
	for n := range needs {
		m.members = append(m.members, needs[n].members)
		for _, o := range needs[n].options {
			for _, u := range o.uses {
				if index[u.paint] < 0 {
					index[u.paint] = int32(len(m.paintOrig))
					m.paintOrig = append(m.paintOrig, u.paint)
					m.have = append(m.have, p.Paints[u.paint].HaveUL)
				}
				m.usePaint = append(m.usePaint, index[u.paint])
				m.useUL = append(m.useUL, u.ul)
			}
			m.optNeed = append(m.optNeed, int32(n))
			m.optPts = append(m.optPts, o.points)
			m.optPick = append(m.optPick, o.pick)
			m.useStart = append(m.useStart, int32(len(m.usePaint)))
		}
		m.optStart = append(m.optStart, int32(len(m.optNeed)))
	}
	m.sumMost()
}

// sumMost works out which options use each paint, and how much of it they can
// take together at most.
func (m *model) sumMost() {
	m.most = make([]int64, len(m.have))
	m.byPaint = make([][]paintUse, len(m.have))
	need := make([]int64, len(m.have))
	for n := range m.members {
		for o := m.optStart[n]; o < m.optStart[n+1]; o++ {
			for u := m.useStart[o]; u < m.useStart[o+1]; u++ {
				q := m.usePaint[u]
				m.byPaint[q] = append(m.byPaint[q], paintUse{o, u})
				need[q] = max(need[q], m.useUL[u])
			}
		}
		for o := m.optStart[n]; o < m.optStart[n+1]; o++ {
			for u := m.useStart[o]; u < m.useStart[o+1]; u++ {
				q := m.usePaint[u]
				m.most[q] += need[q]
				need[q] = 0
			}
		}
	}
}
