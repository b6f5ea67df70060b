package exact

import (
	"math/rand/v2"
	"testing"
)

// TestBillRowsHold goes through all choices of bands: none that can be paid for breaks a row.
func TestBillRowsHold(t *testing.T) {
	rng := rand.New(rand.NewPCG(21, 1))
	rows := 0
	for range 3000 {
		p := &program{l: &linear{}}
		shops := 2 + rng.IntN(4)
		p.bills.room = float64(20 + rng.IntN(100))
		for range shops {
			p.l.bandOff = append(p.l.bandOff, int32(len(p.v)))
			var more []int64
			for range 1 + rng.IntN(3) {
				more = append(more, int64(rng.IntN(90)-1))
				p.v = append(p.v, rng.Float64()/2)
			}
			p.bills.more = append(p.bills.more, more)
		}
		for _, r := range p.billRows(nil) {
			rows++
			walkBands(&p.bills, 0, 0, nil, func(bands []int) {
				sum := int64(0)
				for k, term := range r.terms {
					for h, b := range bands {
						if b >= 0 && p.l.bandOff[h]+int32(b) == term {
							sum += r.coefs[k]
						}
					}
				}
				if sum < r.lower {
					t.Fatalf("room %v, bands %v: %v breaks %v", p.bills.room, p.bills.more, bands, *r)
				}
			})
		}
	}
	if rows < 1000 {
		t.Errorf("%d rows looked at, want 1000", rows)
	}
}

// walkBands calls do with each choice of a band, or none (-1), of all shops that can be paid for.
func walkBands(b *bills, h int, spent int64, bands []int, do func([]int)) {
	switch {
	case float64(spent) > b.room:
	case h == len(b.more):
		do(bands)
	default:
		walkBands(b, h+1, spent, append(bands, -1), do)
		for k, c := range b.more[h] {
			if c >= 0 {
				walkBands(b, h+1, spent+c, append(bands, k), do)
			}
		}
	}
}
