package exact

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"testing"

	"halfpot/optimize"
	"halfpot/optimize/generate"
	"halfpot/optimize/internal/testkit"
)

// Metamorphic properties: how the answer may change when the problem changes.

// metamorphicCases gives problems of several sizes with a name.
func metamorphicCases(n int, each func(name string, rng *rand.Rand, p *optimize.Problem)) {
	for seed := range uint64(n) {
		rng := rand.New(rand.NewPCG(seed, 0x6d657461))
		each(fmt.Sprintf("odd %d", seed), rng, testkit.Odd(seed))
		if seed%4 == 0 {
			each(fmt.Sprintf("cross %d", seed), rng, generate.Problem(seed, testkit.CrossShape(seed)))
		}
		if seed%20 == 0 {
			shape, _ := generate.Named("desk")
			shape.MaxShops = seed%40 == 0
			each(fmt.Sprintf("desk %d", seed), rng, generate.Problem(seed, shape))
		}
	}
}

func deepCopy(p *optimize.Problem) *optimize.Problem {
	text, err := json.Marshal(p)
	if err != nil {
		panic(err)
	}
	q := new(optimize.Problem)
	if err := json.Unmarshal(text, q); err != nil {
		panic(err)
	}
	return q
}

// noWorse fails when the eased problem has a worse answer in the levels where
// easing can only help: worth, and at equal worth cost.
func noWorse(t *testing.T, name string, before, after *optimize.Result) {
	t.Helper()
	if before.Status == optimize.Infeasible {
		return
	}
	if after.Status == optimize.Infeasible {
		t.Fatalf("%s: easing it took away every plan", name)
	}
	b, a := testkit.LevelsOf(before), testkit.LevelsOf(after)
	if a.Compare(b) > 0 {
		t.Fatalf("%s: easing it made the answer worse: %+v before, %+v after", name, b, a)
	}
}

func TestEasingNeverHurts(t *testing.T) {
	metamorphicCases(testkit.Few(60, 400), func(name string, rng *rand.Rand, p *optimize.Problem) {
		before := solveChecked(t, name, p)
		for what, ease := range map[string]func(q *optimize.Problem) bool{
			"another offer": func(q *optimize.Problem) bool {
				id := q.Products[rng.IntN(len(q.Products))].ID
				h := q.Shops[rng.IntN(len(q.Shops))].ID
				for _, o := range q.Offers {
					if o.Product == id && o.Shop == h {
						return false
					}
				}
				q.Offers = append(q.Offers, optimize.Offer{Product: id, Shop: h, Price: rng.Int64N(400)})
				return true
			},
			"more stock": func(q *optimize.Problem) bool {
				q.Paints[rng.IntN(len(q.Paints))].HaveUL += 1 + rng.Int64N(2000)
				return true
			},
			"a cheaper offer": func(q *optimize.Problem) bool {
				if len(q.Offers) == 0 {
					return false
				}
				o := &q.Offers[rng.IntN(len(q.Offers))]
				// Goods count towards thresholds, so only without them is cheaper never worse.
				for _, s := range q.Shops {
					if s.ID == o.Shop && (s.MinOrder > 0 || len(s.Delivery) > 1) {
						return false
					}
				}
				o.Price /= 2
				return true
			},
			"no limit": func(q *optimize.Problem) bool {
				for k := range q.Offers {
					q.Offers[k].Limit = nil
				}
				return true
			},
			"no minimum order": func(q *optimize.Problem) bool {
				for h := range q.Shops {
					q.Shops[h].MinOrder = 0
				}
				return true
			},
			"any number of shops": func(q *optimize.Problem) bool {
				q.Rules.MaxShops = nil
				return true
			},
			"another option": func(q *optimize.Problem) bool {
				need := &q.Needs[rng.IntN(len(q.Needs))]
				if need.Match != "" {
					return false // the others would have to have it too
				}
				need.Options = append(need.Options, optimize.Option{
					ID:         "added",
					Compromise: 1,
					Uses: []optimize.Use{{
						Paint: q.Paints[rng.IntN(len(q.Paints))].ID,
						UL:    1 + rng.Int64N(500),
					}},
				})
				return true
			},
		} {
			if q := deepCopy(p); ease(q) {
				noWorse(t, name+", "+what, before, solveChecked(t, name+", "+what, q))
			}
		}
	})
}

func TestNamesAndOrderDoNotMatter(t *testing.T) {
	metamorphicCases(testkit.Few(100, 600), func(name string, rng *rand.Rand, p *optimize.Problem) {
		q := deepCopy(p)
		shuffle(rng, q)
		before, after := solveChecked(t, name, p), solveChecked(t, name+", shuffled", q)
		if before.Status != after.Status ||
			before.Status == optimize.Optimal && testkit.LevelsOf(before) != testkit.LevelsOf(after) {
			t.Fatalf("%s: %s %+v, shuffled and renamed %s %+v",
				name, before.Status, before.Totals, after.Status, after.Totals)
		}
	})
}

// shuffle reorders every list whose order has no meaning and renames every id.
func shuffle(rng *rand.Rand, q *optimize.Problem) {
	names := map[string]string{}
	name := func(kind string, id *string) {
		if *id == "" {
			return
		}
		key := kind + *id
		if names[key] == "" {
			names[key] = fmt.Sprintf("%x-%d", rng.Uint32(), len(names))
		}
		*id = names[key]
	}
	for i := range q.Paints {
		name("paint", &q.Paints[i].ID)
	}
	for i := range q.Groups {
		name("group", &q.Groups[i].ID)
	}
	for n := range q.Needs {
		need := &q.Needs[n]
		name("need", &need.ID)
		name("group", &need.Group)
		name("match", &need.Match)
		for o := range need.Options {
			name("option", &need.Options[o].ID)
			uses := need.Options[o].Uses
			for u := range uses {
				name("paint", &uses[u].Paint)
			}
			rng.Shuffle(len(uses), func(i, j int) { uses[i], uses[j] = uses[j], uses[i] })
		}
		rng.Shuffle(len(need.Options), func(i, j int) {
			need.Options[i], need.Options[j] = need.Options[j], need.Options[i]
		})
	}
	for k := range q.Products {
		name("product", &q.Products[k].ID)
		for c := range q.Products[k].Contents {
			name("paint", &q.Products[k].Contents[c].Paint)
		}
	}
	for h := range q.Shops {
		name("shop", &q.Shops[h].ID)
	}
	for k := range q.Offers {
		name("product", &q.Offers[k].Product)
		name("shop", &q.Offers[k].Shop)
	}
	rng.Shuffle(len(q.Paints), func(i, j int) { q.Paints[i], q.Paints[j] = q.Paints[j], q.Paints[i] })
	rng.Shuffle(len(q.Groups), func(i, j int) { q.Groups[i], q.Groups[j] = q.Groups[j], q.Groups[i] })
	rng.Shuffle(len(q.Needs), func(i, j int) { q.Needs[i], q.Needs[j] = q.Needs[j], q.Needs[i] })
	rng.Shuffle(len(q.Products), func(i, j int) { q.Products[i], q.Products[j] = q.Products[j], q.Products[i] })
	rng.Shuffle(len(q.Shops), func(i, j int) { q.Shops[i], q.Shops[j] = q.Shops[j], q.Shops[i] })
	rng.Shuffle(len(q.Offers), func(i, j int) { q.Offers[i], q.Offers[j] = q.Offers[j], q.Offers[i] })
}

func TestTwiceTheMoneyIsTwiceTheCost(t *testing.T) {
	metamorphicCases(testkit.Few(100, 600), func(name string, rng *rand.Rand, p *optimize.Problem) {
		q := deepCopy(p)
		for k := range q.Offers {
			q.Offers[k].Price *= 2
		}
		for h := range q.Shops {
			q.Shops[h].MinOrder *= 2
			for b := range q.Shops[h].Delivery {
				q.Shops[h].Delivery[b].From *= 2
				q.Shops[h].Delivery[b].Fee *= 2
			}
		}
		q.Rules.CompromisePrice *= 2
		if q.Rules.Budget != nil {
			*q.Rules.Budget *= 2
		}
		before, after := solveChecked(t, name, p), solveChecked(t, name+", doubled", q)
		if before.Status != after.Status {
			t.Fatalf("%s: %s, doubled %s", name, before.Status, after.Status)
		}
		if before.Status != optimize.Optimal {
			return
		}
		want := testkit.LevelsOf(before)
		want.Money *= 2
		if got := testkit.LevelsOf(after); got != want {
			t.Fatalf("%s: doubled %+v, want %+v", name, got, want)
		}
	})
}

func TestThreadsDoNotChangeTheAnswer(t *testing.T) {
	metamorphicCases(testkit.Few(40, 200), func(name string, _ *rand.Rand, p *optimize.Problem) {
		var first string
		for _, threads := range []int{1, 2, 5} {
			r, err := Solve(t.Context(), p, Options{Threads: threads})
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			text, err := json.Marshal(r)
			if err != nil {
				t.Fatal(err)
			}
			if first == "" {
				first = string(text)
			}
			if string(text) != first {
				t.Fatalf("%s: with %d threads\n%s\nwith one\n%s", name, threads, text, first)
			}
		}
	})
}
