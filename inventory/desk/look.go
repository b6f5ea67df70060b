package desk

import (
	"cmp"
	"errors"
	"slices"

	"halfpot/inventory"
	"halfpot/inventory/estimate"
)

// Look is a pot that is worth a look.
type Look struct {
	Pot
	Share float64 // of the doubt about the force, 0 to 1; 0: the force doesn't hang on it
}

const (
	lookRange  = 0.9 // the range that doubt is measured by
	leastDoubt = 0.1 // of a full pot: less is not worth a look
)

// WorthALook gives at most n pots to judge or weigh, first those that the answer
// for the force hangs on most, then the others by how unsure they are. Pots that
// are empty for good or known well enough are left out. force may be nil.
func (d *Desk) WorthALook(force *inventory.Force, n int) ([]Look, error) {
	var first []estimate.Influence
	if force != nil {
		hangs, err := d.estimator().Sensitivity(force, d.Levels, estimate.NeedRules{})
		if err != nil && !errors.Is(err, estimate.ErrNothingLeft) {
			return nil, err
		}
		first = estimate.WeighFirst(hangs, len(d.Levels))
	}
	var looks []Look
	doubt, rank := map[string]float64{}, map[string]int{}
	for _, p := range d.Pots() {
		low, high := p.Level.Range(lookRange)
		full := p.Level.Full()
		if p.Level.Gone != "" || full <= 0 || (high-low).ML() < leastDoubt*full {
			continue
		}
		l := Look{Pot: p}
		if i := slices.IndexFunc(first, func(f estimate.Influence) bool { return f.Of == p.Pot.ID }); i >= 0 {
			l.Share, rank[p.Pot.ID] = first[i].Share, i
		} else {
			rank[p.Pot.ID] = len(first)
		}
		doubt[p.Pot.ID] = (high - low).ML() / full
		looks = append(looks, l)
	}
	slices.SortStableFunc(looks, func(x, y Look) int {
		return cmp.Or(cmp.Compare(rank[x.Pot.Pot.ID], rank[y.Pot.Pot.ID]),
			cmp.Compare(doubt[y.Pot.Pot.ID], doubt[x.Pot.Pot.ID]))
	})
	return looks[:min(n, len(looks))], nil
}
