package testkit

import (
	"bufio"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"testing"

	"halfpot/optimize"
)

// Published instances of nearby problems, stated as purchase problems.

// RandomCovering makes rows of which each is covered by a share of the
// columns, as in the classes of Beasley (1987).
func RandomCovering(seed uint64, rows, cols int, share float64, dearest int64) ([][]int, []int64) {
	r := rand.New(rand.NewPCG(seed, 0))
	cost := make([]int64, cols)
	for j := range cost {
		cost[j] = 1 + r.Int64N(dearest)
	}
	out := make([][]int, rows)
	for i := range out {
		out[i] = r.Perm(cols)[:max(2, int(share*float64(cols)+0.5))]
		slices.Sort(out[i])
	}
	return out, cost
}

// Covering states weighted set covering: rows are needs, columns are pots,
// each far larger than all needs, sold in one shop that delivers for nothing.
func Covering(rows [][]int, cost []int64) *optimize.Problem {
	p := &optimize.Problem{
		Currency: "EUR",
		Shops:    []optimize.Shop{{ID: "shop", Delivery: []optimize.Band{{From: 0, Fee: 0}}}},
	}
	for j, c := range cost {
		paint, pot := fmt.Sprintf("c%d", j), fmt.Sprintf("pot%d", j)
		p.Paints = append(p.Paints, optimize.Paint{ID: paint})
		p.Products = append(p.Products, optimize.Product{
			ID:       pot,
			Contents: []optimize.Content{{Paint: paint, UL: int64(len(rows)), Count: 1}},
		})
		p.Offers = append(p.Offers, optimize.Offer{Product: pot, Shop: "shop", Price: c})
	}
	for i, columns := range rows {
		need := optimize.Need{ID: fmt.Sprintf("r%d", i)}
		for _, j := range columns {
			paint := p.Paints[j].ID
			need.Options = append(need.Options, optimize.Option{
				ID:   paint,
				Uses: []optimize.Use{{Paint: paint, UL: 1}},
			})
		}
		p.Needs = append(p.Needs, need)
	}
	return p
}

// CoveringBySets states the same with rows as paints and columns as sets of
// pots, so that bundles do the covering.
func CoveringBySets(rows [][]int, cost []int64) *optimize.Problem {
	p := &optimize.Problem{
		Currency: "EUR",
		Shops:    []optimize.Shop{{ID: "shop", Delivery: []optimize.Band{{From: 0, Fee: 0}}}},
	}
	for j, c := range cost {
		p.Products = append(p.Products, optimize.Product{ID: fmt.Sprintf("set%d", j)})
		p.Offers = append(p.Offers, optimize.Offer{Product: p.Products[j].ID, Shop: "shop", Price: c})
	}
	for i, columns := range rows {
		paint := fmt.Sprintf("r%d", i)
		p.Paints = append(p.Paints, optimize.Paint{ID: paint})
		p.Needs = append(p.Needs, optimize.Need{
			ID:      paint,
			Options: []optimize.Option{{ID: "paint", Uses: []optimize.Use{{Paint: paint, UL: 1}}}},
		})
		for _, j := range columns {
			p.Products[j].Contents = append(p.Products[j].Contents, optimize.Content{
				Paint: paint,
				UL:    1,
				Count: 1,
			})
		}
	}
	return p
}

func Ones(n int) []int64 { return slices.Repeat([]int64{1}, n) }

// affinePlane is the Steiner triple system A9: the lines of AG(2,3).
func affinePlane() [][]int {
	var lines [][]int
	for a := range 9 {
		for b := a + 1; b < 9; b++ {
			// The third point makes both coordinates sum to 0 mod 3.
			c := (6-a/3-b/3)%3*3 + (6-a%3-b%3)%3
			if c > b {
				lines = append(lines, []int{a, b, c})
			}
		}
	}
	return lines
}

// bose15 is a Steiner triple system on 15 points by the construction of Bose
// (1939) over Z5 x Z3. Of the 80 such systems it is one whose covering number
// is that of A15 (all 2^15 subsets looked at); not all have it: the lines of
// PG(3,2) are covered by 7 points.
func bose15() [][]int {
	point := func(x, k int) int { return x%5 + 5*(k%3) }
	var triples [][]int
	for x := range 5 {
		triples = append(triples, []int{point(x, 0), point(x, 1), point(x, 2)})
		for y := x + 1; y < 5; y++ {
			for k := range 3 {
				triples = append(triples, []int{
					point(x, k),
					point(y, k),
					point((x+y)*3, k+1),
				}) // 3 is a half mod 5
			}
		}
	}
	return triples
}

// tripled makes a system on 3n points of one on n, as Fulkerson, Nemhauser &
// Trotter (1974) do for A27 and A45.
func tripled(n int, triples [][]int) [][]int {
	var out [][]int
	for i := range n {
		out = append(out, []int{i, i + n, i + 2*n})
	}
	for _, t := range triples {
		for a := range 3 {
			for b := range 3 {
				c := (6 - a - b) % 3 // a = b = c, or all different
				out = append(out, []int{t[0] + a*n, t[1] + b*n, t[2] + c*n})
			}
		}
	}
	return out
}

func subsets(v, k int) [][]int {
	var all [][]int
	var grow func(from int, part []int)
	grow = func(from int, part []int) {
		if len(part) == k {
			all = append(all, slices.Clone(part))
			return
		}
		for i := from; i < v; i++ {
			grow(i+1, append(part, i))
		}
	}
	grow(0, nil)
	return all
}

// Design states a covering design C(v,k,t): the fewest k-subsets of v points
// such that every t-subset lies in one.
func Design(v, k, t int) (rows [][]int, cost []int64) {
	blocks := subsets(v, k)
	for _, s := range subsets(v, t) {
		var in []int
		for j, b := range blocks {
			if !slices.ContainsFunc(s, func(i int) bool { return !slices.Contains(b, i) }) {
				in = append(in, j)
			}
		}
		rows = append(rows, in)
	}
	return rows, Ones(len(blocks))
}

// location states single-source facility location: facility i is a shop whose
// delivery charge is the fixed cost, customer j a need with one option a
// facility, each option a paint of its own that only this shop sells. room
// bounds the customers of a facility (nil: no bound): every option also takes
// 1 ul of a paint that nobody sells and of which there is that much.
func location(fixed []int64, cost [][]int64, room []int64) *optimize.Problem {
	p := &optimize.Problem{Currency: "EUR"}
	for i, fee := range fixed {
		p.Shops = append(p.Shops, optimize.Shop{
			ID:       fmt.Sprintf("f%d", i),
			Delivery: []optimize.Band{{From: 0, Fee: fee}},
		})
		if room != nil {
			p.Paints = append(p.Paints, optimize.Paint{ID: fmt.Sprintf("room%d", i), HaveUL: room[i]})
		}
	}
	for j, row := range cost {
		need := optimize.Need{ID: fmt.Sprintf("customer%d", j)}
		for i, c := range row {
			id := fmt.Sprintf("s%d-%d", i, j)
			p.Paints = append(p.Paints, optimize.Paint{ID: id})
			p.Products = append(p.Products, optimize.Product{
				ID:       id,
				Contents: []optimize.Content{{Paint: id, UL: 1, Count: 1}},
			})
			p.Offers = append(p.Offers, optimize.Offer{Product: id, Shop: p.Shops[i].ID, Price: c})
			o := optimize.Option{ID: id, Uses: []optimize.Use{{Paint: id, UL: 1}}}
			if room != nil {
				o.Uses = append(o.Uses, optimize.Use{Paint: fmt.Sprintf("room%d", i), UL: 1})
			}
			need.Options = append(need.Options, o)
		}
		p.Needs = append(p.Needs, need)
	}
	return p
}

// SharedData is the folder of standard instances beside the repository. Without
// it the test is skipped, or fails in a long dose.
func SharedData(t testing.TB, part string) string {
	t.Helper()
	top, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	for above := filepath.Dir(top); above != top; top, above = above, filepath.Dir(above) {
		if _, err := os.Stat(filepath.Join(top, "go.mod")); err == nil {
			break
		}
	}
	dir := filepath.Join(top, "..", "shared", "data", part)
	if _, err := os.Stat(dir); err != nil {
		if Long() {
			t.Fatalf("the standard instances are not here, and HALFPOT_LONG=1 asks for them: %v", err)
		}
		t.Skipf("the standard instances are not here: %v", err)
	}
	return dir
}

func ReadCovering(t testing.TB, file string) *optimize.Problem {
	t.Helper()
	f, err := os.Open(file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	words := bufio.NewScanner(f)
	words.Split(bufio.ScanWords)
	next := func() int {
		if !words.Scan() {
			t.Fatalf("%s ends early", file)
		}
		n, err := strconv.Atoi(words.Text())
		if err != nil {
			t.Fatal(err)
		}
		return n
	}
	rows := make([][]int, next())
	cost := make([]int64, next())
	for j := range cost {
		cost[j] = int64(next())
	}
	for i := range rows {
		rows[i] = make([]int, next())
		for k := range rows[i] {
			rows[i][k] = next() - 1
		}
	}
	return Covering(rows, cost)
}

// SteinerSystem is a triple system of which the covering number is known.
type SteinerSystem struct {
	Name    string
	Points  int
	Triples [][]int
	Want    int64
	Slow    bool
}

// Fulkerson, Nemhauser & Trotter, "Two computationally difficult set covering
// problems that arise in computing the 1-width of incidence matrices of
// Steiner triple systems", Mathematical Programming Study 2 (1974) 72-81:
// A9 = 5, A15 = 9, A27 = 18, A45 = 30.
var Steiner = []SteinerSystem{
	{"A9", 9, affinePlane(), 5, false},
	{"A15", 15, bose15(), 9, false},
	{"A27", 27, tripled(9, affinePlane()), 18, false},
	{"A45", 45, tripled(15, bose15()), 30, true},
}

// Sizes of covering designs as in Gordon, Kuperberg & Patashnik, "New
// constructions for covering designs", J. Combinatorial Designs 3 (1995)
// 269-284, tables for t = 2 and 3 (values written from memory; each re-proved
// here with cbc on the export).
var Designs = []CoveringDesign{
	{5, 3, 2, 4}, {6, 3, 2, 6}, {7, 3, 2, 7}, {6, 4, 2, 3}, {7, 4, 2, 5}, {8, 4, 2, 6}, {9, 5, 2, 5},
	{6, 4, 3, 6}, {7, 5, 3, 5},
}

// Locations are small published cases.
var Locations = []LocationProblem{
	// CSPLib, problem 034 "Warehouse Location Problem" (B. Hnich): optimum 383.
	{"CSPLib 034", location(ones30, warehouses, []int64{1, 4, 2, 1, 3}), 383},
	{"CSPLib 034 without capacities", location(ones30, warehouses, nil), 328},
	// UflLib, page on the data format (Max-Planck-Institut fuer Informatik): only facility 3 is open, 510.
	{"UflLib example",
		location([]int64{300, 400, 150, 200},
			[][]int64{{130, 140, 130, 100}, {120, 100, 90, 120}, {80, 50, 140, 150}}, nil),
		510},
}

// OR-Library, weighted set covering, sets 4 and 5 (J. E. Beasley, J. Opl. Res.
// Soc. 41 (1990) 1069-1072); optima of Beasley, EJOR 31 (1987) 85-93.
var ORLibrary = []CoveringFile{
	{"scp41", 429}, {"scp42", 512}, {"scp43", 516}, {"scp44", 494}, {"scp45", 512}, {"scp46", 560},
	{"scp47", 430}, {"scp48", 492}, {"scp49", 641}, {"scp410", 514},
	{"scp51", 253}, {"scp52", 302}, {"scp53", 226}, {"scp54", 242}, {"scp55", 211}, {"scp56", 213},
	{"scp57", 293}, {"scp58", 288}, {"scp59", 279}, {"scp510", 265},
}

func CheckSteiner(t *testing.T, n int, triples [][]int) {
	t.Helper()
	seen := map[[2]int]bool{}
	for _, x := range triples {
		x = slices.Sorted(slices.Values(x))
		for _, pair := range [][2]int{{x[0], x[1]}, {x[0], x[2]}, {x[1], x[2]}} {
			if seen[pair] || pair[0] == pair[1] {
				t.Fatalf("pair %v is in two triples", pair)
			}
			seen[pair] = true
		}
	}
	if len(seen) != n*(n-1)/2 {
		t.Fatalf("%d pairs of %d points are in triples", len(seen), n)
	}
}

type CoveringDesign struct {
	V, K, T int
	Want    int64
}

type LocationProblem struct {
	Name    string
	Problem *optimize.Problem
	Want    int64
}

type CoveringFile struct {
	Name string
	Want int64
}

var (
	ones30     = slices.Repeat([]int64{30}, 5)
	warehouses = [][]int64{
		{20, 24, 11, 25, 30}, {28, 27, 82, 83, 74}, {74, 97, 71, 96, 70}, {2, 55, 73, 69, 61},
		{46, 96, 59, 83, 4},
		{42, 22, 29, 67, 59}, {1, 5, 73, 59, 56}, {10, 73, 13, 43, 96}, {93, 35, 63, 85, 46},
		{47, 65, 55, 71, 95},
	}
)
