package testkit

import (
	"halfpot/optimize/generate"
)

// CrossShape gives small shapes in which, over the seeds, every feature is
// there alone, absent alone, and mixed.
func CrossShape(seed uint64) generate.Shape {
	s := generate.Shape{
		Needs:  5 + int(seed%10),
		Paints: 20 + int(seed%7)*4,
		Shops:  2 + int(seed%3),
		Ranges: 2 + int(seed%3),
	}
	features := []*bool{
		&s.Bands, &s.MoneyOff, &s.Limits, &s.MinOrders, &s.Match, &s.Mixes, &s.CompromisePrice, &s.MaxShops,
		&s.Budget, &s.Thirsty, &s.Scarce,
	}
	const sets = 11 // the feature that is a number, not a switch
	one := int(seed/3) % (len(features) + 1)
	for i, f := range features {
		switch seed % 3 {
		case 0:
			*f = i == one
		case 1:
			*f = i != one
		default:
			*f = (seed*2654435761>>(3+i))&1 == 1
		}
	}
	if s.MoneyOff {
		s.Bands = true
	}
	if seed%3 == 0 && one == sets || seed%3 == 1 && one != sets || seed%3 == 2 && seed%2 == 0 {
		s.Sets = 3
	}
	return s
}
