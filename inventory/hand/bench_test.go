package hand

import (
	"fmt"
	"math/rand/v2"
	"testing"
)

// A hundred pots with ten readings each.
func thousand(b *testing.B) *Record {
	rng := rand.New(rand.NewPCG(3, 3))
	sc := &scene{film: 1.3, waste: 1.5, batch: [2]int{5, 15}, read: every(Weigh)}
	rec := &Record{Methods: simHand, Types: simTypes}
	for len(rec.Pots) < 100 {
		s := newSim(sc, rng)
		for j := range 10 {
			s.job(j, 10)
		}
		for c := range simSteps {
			if len(rec.Pots) == 100 {
				break
			}
			v := s.rec.Pots[s.v[c]]
			v.ID, v.Paint = fmt.Sprintf("p%03d", len(rec.Pots)), len(rec.Paints)%40
			if len(rec.Paints) < 40 {
				rec.Paints = append(rec.Paints, s.rec.Paints[c])
			} else {
				v.Paint = len(rec.Pots) % 40
			}
			rec.Pots = append(rec.Pots, v)
		}
	}
	return rec
}

func BenchmarkLearn1000Readings100Pots(b *testing.B) {
	rec := thousand(b)
	h := FromRecord(rec, Assumed(), 12)
	b.ReportMetric(float64(h.Reads), "readings")
	for b.Loop() {
		FromRecord(rec, Assumed(), 12)
	}
}

// The level of a pot of ten events, with its 90 % range.
func BenchmarkLeft(b *testing.B) {
	rec := thousand(b)
	h := FromRecord(rec, Assumed(), 12)
	f := filter{a: h.a}
	i := 0
	for b.Loop() {
		l := h.left(&f, &rec.Pots[i%100], 14)
		l.Quantile(.05)
		l.Quantile(.5)
		l.Quantile(.95)
		i++
	}
}

// 36 figures through 36 steps of 20 paints, half of them with a pot begun.
func BenchmarkJointChance(b *testing.B) {
	rec := thousand(b)
	h := FromRecord(rec, Assumed(), 12)
	for b.Loop() {
		d := h.Draws()
		short := make([][]float64, 20)
		for c := range short {
			short[c] = make([]float64, points)
			for s := range 2 {
				w := Work{Way: rec.Paints[c], Paint: c, Film: 2, Waste: .9, Sittings: 3, FilmSD: .2}
				for k, x := range d.Job(fmt.Sprintf("step %d of %d", s, c), "walker", w) {
					short[c][k] += x
				}
			}
			l := h.Left(&rec.Pots[c], 14)
			for k, x := range d.Pot(rec.Pots[c].ID, &l) {
				short[c][k] -= x
			}
		}
		Cover(short, Spared(short, .9), .9)
		Enough(short)
	}
}
