package inventory

import "testing"

func TestStandInsFor(t *testing.T) {
	list := []StandIn{
		{For: "a", Use: "b", Compromise: 1, Note: "darker"},
		{For: "b", Use: "c", Compromise: 2},
		{For: "c", Use: "d", Compromise: 0, EitherWay: true},
		{For: "d", Use: "e", Compromise: 0}, // a fourth link from a
		{For: "a", Use: "c", Compromise: 9}, // dearer than by way of b
		{For: "b", Use: "wash", Compromise: 0, OtherKind: true},
		{For: "a", Use: "ink", Compromise: 1, OtherKind: true},
		{For: "ink", Use: "deep-ink", Compromise: 0},
	}
	got := map[string]Substitute{}
	for _, s := range StandInsFor("a", list) {
		got[s.Use] = s
	}
	want := map[string]Substitute{
		"b":   {Use: "b", Compromise: 1, Note: "darker"},
		"c":   {Use: "c", Compromise: 3, By: "b"},
		"d":   {Use: "d", Compromise: 3, By: "c"},
		"ink": {Use: "ink", Compromise: 1},
	}
	// e hangs on c directly as well: a to c to d to e is three links.
	want["e"] = Substitute{Use: "e", Compromise: 9, By: "d"}
	if len(got) != len(want) {
		t.Errorf("stand-ins of a: %v, want %v", got, want)
	}
	for use, w := range want {
		if got[use] != w {
			t.Errorf("%s: %+v, want %+v", use, got[use], w)
		}
	}
	if back := StandInsFor("d", list); len(back) != 2 || back[0].Use != "c" || back[1].Use != "e" {
		t.Errorf("stand-ins of d: %+v, want c and e", back)
	}
}
