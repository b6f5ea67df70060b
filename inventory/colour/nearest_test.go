package colour

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"testing"
	"time"
)

// madeUp is a shelf of n paints of random colours and, where asked, strengths.
func madeUp(t testing.TB, r *rand.Rand, n int, strengths bool) []Ingredient {
	t.Helper()
	out := make([]Ingredient, n)
	for i := range out {
		s, err := Smooth(SRGB{uint8(r.IntN(256)), uint8(r.IntN(256)), uint8(r.IntN(256))}.XYZ())
		if err != nil {
			t.Fatal(err)
		}
		out[i] = Ingredient{s, 1}
		if strengths {
			out[i].Strength = math.Exp(r.NormFloat64() * .35)
		}
	}
	return out
}

// everyMix tries all mixes of k different paints with coprime parts, at most 6.
func everyMix(target Lab, paints []Ingredient, k int, see func(of, parts []int, d float64)) {
	var of, parts []int
	var choose func(used int)
	choose = func(used int) {
		if len(of) == k {
			g := 0
			var in []Ingredient
			var p []float64
			for i := range of {
				g = gcd(parts[i], g)
				in, p = append(in, paints[of[i]]), append(p, float64(parts[i]))
			}
			if g == 1 {
				s, _ := Mix(in, p)
				see(of, parts, DeltaE(s.Lab(), target))
			}
			return
		}
		first := 0
		if len(of) > 0 {
			first = of[len(of)-1] + 1
		}
		for i := first; i < len(paints); i++ {
			for p := 1; used+p <= 6; p++ {
				of, parts = append(of, i), append(parts, p)
				choose(used + p)
				of, parts = of[:len(of)-1], parts[:len(parts)-1]
			}
		}
	}
	choose(0)
}

// Random shelves: of few and more paints, with strengths and without, with twins on
// them, for targets of all kinds, and also where the search has to go by circles.
func TestNearestEqualsEveryMix(t *testing.T) {
	rounds := 30
	if os.Getenv("HALFPOT_LONG") != "" {
		rounds = 1500
	}
	r := rand.New(rand.NewPCG(5, 6))
	const gain = 1e-6 // twins mix to themselves but for rounding
	tried, want3 := [4]int{}, [4]int{}
	for round := range rounds {
		n := 8 + round%3*6
		paints := madeUp(t, r, n, round%2 == 1)
		if round%5 == 0 {
			paints[n-1], paints[1].Spectrum = paints[0], paints[2].Spectrum
		}
		target := SRGB{uint8(r.IntN(256)), uint8(r.IntN(256)), uint8(r.IntN(256))}.Lab()
		switch round % 7 {
		case 5: // dark
			target.L /= 4
		case 6: // more vivid than any paint
			target.A, target.B = 1.6*target.A, 1.6*target.B
		}
		for k, c := range [4]int{0, n, n * (n - 1) / 2 * 11, n * (n - 1) * (n - 2) / 6 * 19} {
			want3[k] += c // 1, 11 a pair and 19 a triple
		}
		var least [4]float64
		for k := 1; k <= 3; k++ {
			least[k] = math.Inf(1)
			everyMix(target, paints, k, func(_, _ []int, d float64) {
				least[k] = math.Min(least[k], d)
				tried[k]++
			})
		}
		for _, patience := range []int{0, 50} {
			found := MixSearch{
				MaxPaints: 3,
				MaxParts:  6,
				Within:    100,
				Gain:      gain,
				patience:  patience,
			}.Nearest(target, paints)
			want := math.Inf(1)
			next := 0
			for k := 1; k <= 3; k++ {
				if least[k] > want-gain { // a mix of more paints counts only where it is nearer
					continue
				}
				if next >= len(found.Best) {
					t.Fatalf("round %d: no mix of %d paints found, there is one %.6f away", round, k, least[k])
				}
				got := found.Best[next]
				next++
				if len(got.Of) != k || math.Abs(got.Difference-least[k]) > 1e-9 ||
					math.Abs(DeltaE(got.Spectrum.Lab(), target)-least[k]) > 1e-9 {
					t.Fatalf("round %d: best of %d paints is %.6f with %d, want %.6f",
						round, k, got.Difference, len(got.Of), least[k])
				}
				if !slices.IsSortedFunc(got.Parts, func(a, b int) int { return b - a }) {
					t.Fatalf("round %d: parts %v, want the most first", round, got.Parts)
				}
				if d := found.Proven[k-1]; math.Abs(d-least[k]) > 1e-9 {
					t.Fatalf("round %d: proven to %.6f for %d paints, want %.6f", round, d, k, least[k])
				}
				want = least[k]
			}
			if next != len(found.Best) || found.Stopped {
				t.Fatalf("round %d: %d mixes found, want %d", round, len(found.Best), next)
			}
		}
	}
	if tried != want3 {
		t.Errorf("tried %v mixes, want %v", tried[1:], want3[1:])
	}
}

// Colours near a target, in all directions and of all targets, lie in the box.
func TestAroundHoldsAllNear(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	tight := 0
	for range 200_000 {
		p := Lab{r.Float64() * 100, r.Float64()*200 - 100, r.Float64()*200 - 100}
		step := math.Exp(r.Float64()*6 - 3)
		q := Lab{p.L + r.NormFloat64()*step, p.A + r.NormFloat64()*step, p.B + r.NormFloat64()*step}
		if q.L < 0 || q.L > 100 {
			continue
		}
		d := DeltaE(p, q)
		b := around(p, d*(1+1e-12))
		if !b.holds(q) {
			t.Fatalf("%v lies %.6f from %v but not in %v", q, d, p, b)
		}
		near, x := regionOf(p, d*(1+1e-12)), q.XYZ()
		y := x.Y / white.Y
		if v := [3]float64{y, x.X/white.X - y, y - x.Z/white.Z}; near.miss(&v) {
			t.Fatalf("%v lies %.6f from %v but its light not in %v", q, d, p, near.light)
		}
		if small := around(p, d/2); !small.holds(q) {
			tight++
		}
	}
	if tight < 10_000 {
		t.Errorf("the box of half the difference still held all but %d", tight)
	}
}

func TestLightHoldsAllBetween(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 10))
	for range 20_000 {
		var lo, hi, s Spectrum
		width := r.Float64()
		for i := range s {
			a, b := r.Float64(), r.Float64()
			lo[i] = math.Min(a, b) * math.Round(r.Float64()*2) / 2
			hi[i] = lo[i] + width*math.Abs(a-b)
			s[i] = lo[i] + (hi[i]-lo[i])*math.Round(r.Float64()*2)/2
		}
		if v := [3]float64{r.NormFloat64(), r.NormFloat64(), r.NormFloat64()}; r.IntN(2) == 0 { // a corner
			for i, w := range weights {
				s[i] = lo[i]
				if v[0]*w[0]+v[1]*w[1]+v[2]*w[2] > 0 {
					s[i] = hi[i]
				}
			}
		}
		l := between(&lo, &hi)
		b := l.lab()
		for i := range b.lo {
			b.lo[i] -= 1e-9
			b.hi[i] += 1e-9
		}
		if got := s.Lab(); !b.holds(got) {
			t.Fatalf("%v not in %v", got, b)
		}
	}
}

func TestNearestStopsAndSaysHowFar(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 12))
	paints := madeUp(t, r, 40, false)
	calls := 0
	got := MixSearch{
		MaxPaints: 3,
		MaxParts:  6,
		Within:    50,
		Stop:      func() bool { calls++; return calls > 3 },
	}.Nearest(Lab{50, 80, -100}, paints)
	if !got.Stopped {
		t.Error("a stopped search says that it is done")
	}
	all := MixSearch{MaxPaints: 3, MaxParts: 6, Within: 50}.Nearest(Lab{50, 80, -100}, paints)
	for k, p := range got.Proven {
		if p > all.Proven[k] {
			t.Errorf("%d paints: proven as far as %.3f, but there is one at %.3f", k+1, p, all.Proven[k])
		}
	}
}

// A paint more never makes the best mix worse, and fewer than one are refused a mix.
func TestMorePaintsNeverWorse(t *testing.T) {
	r := rand.New(rand.NewPCG(13, 14))
	search := MixSearch{MaxPaints: 3, MaxParts: 6, Within: 200}
	for range 20 {
		paints := madeUp(t, r, 12, true)
		target := SRGB{uint8(r.IntN(256)), uint8(r.IntN(256)), uint8(r.IntN(256))}.Lab()
		last := math.Inf(1)
		for n := 1; n <= len(paints); n++ {
			found := search.Nearest(target, paints[:n])
			d := found.Best[len(found.Best)-1].Difference
			if d > last+1e-9 {
				t.Fatalf("with %d paints %.6f, with one fewer %.6f", n, d, last)
			}
			last = d
		}
	}
	if got := search.Nearest(Lab{50, 0, 0}, nil); len(got.Best) != 0 {
		t.Error("a mix of no paint")
	}
}

// BenchmarkNearest is over targets of all kinds; what a target takes at the median
// and at worst is told beside the mean.
func BenchmarkNearest(b *testing.B) {
	for _, n := range []int{60, 300} {
		b.Run(fmt.Sprintf("%d_paints", n), func(b *testing.B) {
			r := rand.New(rand.NewPCG(15, 16))
			paints := madeUp(b, r, n, false)
			var took []time.Duration
			for b.Loop() {
				target := SRGB{uint8(r.IntN(256)), uint8(r.IntN(256)), uint8(r.IntN(256))}.Lab()
				from := time.Now()
				MixSearch{MaxPaints: 3, MaxParts: 6, Within: 5, Gain: .5, Enough: 1}.Nearest(target, paints)
				took = append(took, time.Since(from))
			}
			slices.Sort(took)
			b.ReportMetric(took[len(took)/2].Seconds(), "median-s")
			b.ReportMetric(took[len(took)-1].Seconds(), "worst-s")
		})
	}
}

// holds says whether a colour lies in the box.
func (b *box) holds(l Lab) bool {
	return l.L >= b.lo[0] && l.L <= b.hi[0] && l.A >= b.lo[1] && l.A <= b.hi[1] && l.B >= b.lo[2] &&
		l.B <= b.hi[2]
}
