package inventory

import (
	"fmt"
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
		if ok1 && ok2 && asked.Type.Counted() != used.Type.Counted() {
			k.add(at, fmt.Sprintf("%s (%s) for %s (%s)", s.Use, used.Type.Words(), s.For, asked.Type.Words()), "both by volume or both by the piece")
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
		k.add("stand-ins", "a cycle: "+strings.Join(c, " -> "), "stand-ins that lead one way (say that two paints are near twins with either-way)")
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
