package inventory

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"sort"
	"strings"
)

// StandIn says that one paint may be used in place of another, in every
// recipe unless a step forbids it. Chains are followed and their compromises
// add up.
type StandIn struct {
	For        string // paint id the recipe asks for
	Use        string // paint id used instead
	Compromise int    // points, 0 or more
	EitherWay  bool   // near twins: For may stand for Use just as well
	OtherKind  bool   // the painter means it though the two are different kinds of paint
	Note       string
}

func (k *checker) standIns() {
	seen := map[[2]string]bool{}
	oneWay := map[string][]string{}
	for i, s := range k.cat.StandIns {
		at := fmt.Sprintf("stand-ins.%d", i+1)
		if s.For != "" && s.Use != "" {
			at = "stand-ins." + s.For + "@" + s.Use
		}
		asked, ok1 := ref(k, at+".for", "paint", s.For, k.idx.Paints)
		used, ok2 := ref(k, at+".use", "paint", s.Use, k.idx.Paints)
		k.text(at+".note", s.Note)
		k.between(at+".compromise", float64(s.Compromise), 0, MaxPoints, "points")
		if ok1 && ok2 {
			both := fmt.Sprintf("%s (%s) for %s (%s)", s.Use, used.Type.Words(), s.For, asked.Type.Words())
			switch {
			case asked.Type.Counted() != used.Type.Counted():
				k.add(at, both, "both by volume or both by the piece")
			case asked.Type.Kin() != used.Type.Kin() && !s.OtherKind:
				k.add(at, both+", which behave differently on a figure",
					"paints of one kind, or other-kind yes where you mean it")
			}
		}
		key := [2]string{s.For, s.Use}
		switch {
		case s.For == s.Use:
			k.add(at, s.Use+" for itself", "two different paints")
			continue
		case seen[key] || s.EitherWay && seen[[2]string{s.Use, s.For}]:
			k.add(at, s.Use+" for "+s.For+" a second time", "each pair once")
		}
		seen[key] = true
		if s.EitherWay {
			seen[[2]string{s.Use, s.For}] = true
		} else {
			oneWay[s.For] = append(oneWay[s.For], s.Use)
		}
	}
	for _, c := range cycles(oneWay) {
		at := "stand-ins"
		for _, s := range k.cat.StandIns { // the last link entered closes it
			for i := range c[1:] {
				if c[i] == s.For && c[i+1] == s.Use && !s.EitherWay {
					at = "stand-ins." + s.For + "@" + s.Use
				}
			}
		}
		k.add(at, "a cycle: "+strings.Join(c, " -> "),
			"stand-ins that lead one way (say that two paints are near twins with either-way)")
	}
}

// cycles finds one cycle through each part of a graph that has any, each
// written with its first paint again at the end.
func cycles(next map[string][]string) [][]string {
	var starts []string
	for p := range next {
		starts = append(starts, p)
	}
	sort.Strings(starts)
	var out [][]string
	state := map[string]int{} // 1: on the trail, 2: done
	type frame struct {
		paint string
		at    int
	}
	for _, start := range starts {
		if state[start] != 0 {
			continue
		}
		trail := []frame{{start, 0}}
		state[start] = 1
		for len(trail) > 0 { // a stack of its own: a chain may be very long
			top := &trail[len(trail)-1]
			if top.at == len(next[top.paint]) {
				state[top.paint] = 2
				trail = trail[:len(trail)-1]
				continue
			}
			p := next[top.paint][top.at]
			top.at++
			switch state[p] {
			case 0:
				state[p] = 1
				trail = append(trail, frame{p, 0})
			case 1:
				var c []string
				for i := len(trail) - 1; i >= 0; i-- {
					c = append([]string{trail[i].paint}, c...)
					if trail[i].paint == p {
						break
					}
				}
				out = append(out, append(c, p))
			}
		}
	}
	return out
}

// MostLinks is how long a chain of stand-ins may be: what stands in for a stand-in
// of a stand-in is the last that is still taken for the first.
const MostLinks = 3

// Substitute is a paint that by the painter's own word stands in for another.
type Substitute struct {
	Use        string
	Compromise int    // along the chain
	Note       string // of a single link
	By         string // where a chain leads to it: the paint before it
}

// StandInsFor are the paints that may stand in for one, chains of up to
// [MostLinks] followed with their points added up: for each paint the least, least
// first and by id among equals. A link to another kind of paint holds for the two
// that it names and carries no chain.
func StandInsFor(paint string, list []StandIn) []Substitute {
	links := map[string][]Substitute{}
	other := map[[2]string]bool{}
	for _, s := range list {
		links[s.For] = append(links[s.For], Substitute{Use: s.Use, Compromise: s.Compromise, Note: s.Note})
		other[[2]string{s.For, s.Use}] = s.OtherKind
		if s.EitherWay {
			links[s.Use] = append(links[s.Use], Substitute{Use: s.For, Compromise: s.Compromise, Note: s.Note})
			other[[2]string{s.Use, s.For}] = s.OtherKind
		}
	}
	best := map[string]Substitute{}
	at := []Substitute{{Use: paint}}
	for link := range MostLinks {
		// Each round may only go on from what it was left with, or chains would grow
		// longer than the round.
		next := map[string]Substitute{}
		for _, from := range at {
			for _, l := range links[from.Use] {
				if l.Use == paint || link > 0 && other[[2]string{from.Use, l.Use}] {
					continue
				}
				if link > 0 {
					l.Note, l.By = "", from.Use
				}
				l.Compromise += from.Compromise
				if known, ok := best[l.Use]; ok && known.Compromise <= l.Compromise {
					continue
				}
				if known, ok := next[l.Use]; !ok || l.Compromise < known.Compromise {
					next[l.Use] = l
				}
			}
		}
		at = at[:0:0]
		for use, j := range next {
			best[use] = j
			if !(link == 0 && other[[2]string{paint, use}]) {
				at = append(at, j)
			}
		}
		slices.SortFunc(at, byCompromise)
	}
	out := slices.Collect(maps.Values(best))
	slices.SortFunc(out, byCompromise)
	return out
}

func byCompromise(a, b Substitute) int {
	return cmp.Or(cmp.Compare(a.Compromise, b.Compromise), cmp.Compare(a.Use, b.Use))
}
