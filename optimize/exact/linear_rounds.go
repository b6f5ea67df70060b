package exact

import "math"

const (
	rootRounds  = 40    // of new rows at the root
	innerRounds = 10    // at that of a search near a plan
	nodeRounds  = 3     // and at other nodes
	slackPurges = 2     // purges that a row must be slack in to go
	nodeGain    = 0.02  // share of the gap that a node's round must close to be worth another
	clusterGain = 0.005 // share of the gap that a round of rows of clusters must close to be worth another
)

// rowRounds is what rounds of new rows have brought a node. Rows of the form come in
// until none is broken or they bring little, rounded ones for as long as they pay, then those of clusters.
type rowRounds struct {
	root         bool
	gain         float64   // at the root: see linearCare.rootGain
	patience     int       // and rootPatience
	most         int       // rounds of rounded rows
	cuts         int       // such rounds so far
	gains        []float64 // bounds after each of them
	over         bool      // they no longer pay
	clustersMost int       // rounds of rows of clusters
	clusters     int       // such rounds so far
	linkGain     float64   // see linearCare.linkGain
	linked       bool      // the last round was one of rows of the form alone,
	linkBound    float64   // and this the bound before
	last         float64   // bound before the last of these
}

// next puts the next rows in; false where there are none or they do not pay.
func (r *rowRounds) next(p *program, cutoff float64) bool {
	if r.cuts > 0 {
		p.purge(slackPurges)
	}
	few := !r.over && r.linked && p.bound-r.linkBound < r.linkGain*(min(cutoff, 2*math.Abs(p.bound))-p.bound)
	if !few && p.separate(false) > 0 {
		r.linked, r.linkBound = true, p.bound
		return true
	}
	r.linked = false
	if !r.over && r.pay(p.bound, cutoff) {
		r.cuts++
		if p.separate(true) > 0 {
			return true
		}
	}
	r.over = true
	if few && p.separate(false) > 0 {
		return true
	}
	if r.clusters >= r.clustersMost {
		return false
	}
	if r.clusters > 0 && p.bound-r.last < clusterGain*(cutoff-p.bound) {
		return false
	}
	r.clusters++
	r.last = p.bound
	n := p.put(p.choose(p.clusterRows(cutoff - p.bound)))
	return n+p.separate(true) > 0
}

// pay says whether another round of rounded rows is worth its time.
func (r *rowRounds) pay(bound, cutoff float64) bool {
	r.gains = append(r.gains, bound)
	if r.cuts >= r.most {
		return false
	}
	if !r.root {
		return r.cuts == 0 || bound-r.gains[r.cuts-1] >= nodeGain*(cutoff-bound)
	}
	least := bound - r.gains[0]
	if !math.IsInf(cutoff, 1) {
		least = max(least, cutoff-bound)
	}
	return r.cuts < r.patience || bound-r.gains[r.cuts-r.patience] >= r.gain*least
}
