package likeness

import (
	"errors"
	"math"
	"testing"

	"halfpot/inventory"
	"halfpot/inventory/colour"
)

func paint(id string, t inventory.PaintType, hex string) *inventory.Paint {
	p := &inventory.Paint{ID: id, Name: id, Type: t}
	if hex != "" {
		c, err := inventory.ParseColour(hex)
		if err != nil {
			panic(err)
		}
		p.Colour = &c
	}
	return p
}

// among is the palette of these paints.
func among(paints []*inventory.Paint, standIns ...inventory.StandIn) *Palette {
	c := &inventory.Catalogue{StandIns: standIns}
	for _, p := range paints {
		c.Paints = append(c.Paints, *p)
	}
	return NewPalette(c)
}

// An invented shelf.
func shelf() []*inventory.Paint {
	return []*inventory.Paint{
		paint("old-tusk", inventory.Base, "#d8cba8"), paint("pale-tusk", inventory.Layer, "#dacdab"),
		paint("whitewash", inventory.Base, "#f2efe6"),
		paint("rye-crust", inventory.Base, "#6b4a2f"), paint("tusk-drip", inventory.Wash, "#d8cba8"),
		paint("bright-rasp", inventory.Metallic, "#d8cba8"),
		paint("nameless", inventory.Base, ""), paint("butter", inventory.Base, "#f2c500"),
		paint("quay", inventory.Base, "#1f4fa0"),
	}
}

func TestNearestOfTheSameKin(t *testing.T) {
	all := shelf()
	n, err := among(all).Find(Ask{Paint: all[0], Candidates: all, Within: 30, MixOf: 3})
	if err != nil {
		t.Fatal(err)
	}
	if len(n.Twins) == 0 || n.Twins[0].Paint.ID != "pale-tusk" || n.Twins[0].Points != 0 {
		t.Fatalf("twins %v, want pale-tusk first with no points", n.Twins)
	}
	for _, w := range n.Twins {
		if w.Paint.Type.Kin() != inventory.Opaques {
			t.Errorf("%s, %s, stands in for an opaque paint", w.Paint.ID, w.Paint.Type)
		}
	}
	if len(n.Untold) != 1 || n.Untold[0].Paint != "nameless" {
		t.Errorf("untold %v, want nameless", n.Untold)
	}
	for i, m := range n.Mixes {
		if i > 0 && m.Difference > n.Mixes[i-1].Difference-.5 {
			t.Errorf("a mix of %d paints at %.2f betters one at %.2f too little",
				len(m.Of), m.Difference, n.Mixes[i-1].Difference)
		}
	}
	if _, err := among(all).Find(Ask{Paint: all[5], Candidates: all, Within: 5}); !errors.As(err, new(*Untold)) {
		t.Errorf("a metallic was compared by colour: %v", err)
	}
}

// The mix that made a colour is found again, and told with what may be wrong.
func TestMixIsFoundAgain(t *testing.T) {
	all := shelf()
	white, rye := colour.SRGB(*all[2].Colour), colour.SRGB(*all[3].Colour)
	a, errA := colour.Smooth(white.XYZ())
	b, errB := colour.Smooth(rye.XYZ())
	s, err := colour.Mix([]colour.Ingredient{{Spectrum: a, Strength: 1}, {Spectrum: b, Strength: 1}},
		[]float64{3, 2})
	if errors.Join(errA, errB, err) != nil {
		t.Fatal(errA, errB, err)
	}
	target := paint("target", inventory.Base, s.XYZ().SRGB().String())
	n, err := among(all).Find(Ask{Paint: target, Candidates: all, Within: 5, MixOf: 2})
	if err != nil {
		t.Fatal(err)
	}
	if len(n.Mixes) != 1 || n.Mixes[0].Difference > 1 || n.Mixes[0].Error < 10 {
		t.Fatalf("mixes %+v, want one within 1 of white and brown, with a wide error", n.Mixes)
	}
}

// The painter's word counts before the measure, along chains and either way.
func TestJudgedStandIns(t *testing.T) {
	all := shelf()
	standIns := []inventory.StandIn{
		{For: "old-tusk", Use: "quay", Compromise: 1, Note: "under a wash nobody sees it"},
		{For: "quay", Use: "butter", Compromise: 2},
		{For: "rye-crust", Use: "old-tusk", Compromise: 1, EitherWay: true},
	}
	n, err := among(all, standIns...).Find(Ask{Paint: all[0], Candidates: all, Within: 5})
	if err != nil {
		t.Fatal(err)
	}
	got := map[string]Twin{}
	for _, w := range n.Twins {
		got[w.Paint.ID] = w
	}
	for id, points := range map[string]int{"quay": 1, "butter": 3, "rye-crust": 1, "pale-tusk": 0} {
		if w, ok := got[id]; !ok || w.Points != points || w.Judged != (id != "pale-tusk") {
			t.Errorf("%s: %+v, want %d points", id, w, points)
		}
	}
	// A metallic has no measure, but it has the painter's word.
	n, err = among(all, inventory.StandIn{For: "bright-rasp", Use: "butter", Compromise: 4}).Find(Ask{
		Paint:      all[5],
		Candidates: all,
		Within:     5,
	})
	if err != nil || len(n.Twins) != 1 || !math.IsNaN(n.Twins[0].Difference) || n.Twins[0].Points != 4 {
		t.Errorf("judged metallic: %+v %v", n, err)
	}
}

func TestOverAGround(t *testing.T) {
	bone, _ := inventory.ParseColour("#d8c8a4")
	coat, wash := paint("coat", inventory.OneCoat, "#7a3b22"), paint("wash", inventory.Wash, "#7a3b22")
	s, err := among(nil).shadeOf(coat, &bone)
	if err != nil || math.Abs(s.lab.L-33.946) > .02 { // from an independent prototype of the same formula
		t.Errorf("a one-coat brown over bone: %v %v", s.lab, err)
	}
	if _, err := among(nil).shadeOf(wash, &bone); !errors.As(err, new(*Untold)) {
		t.Errorf("the colour of a wash over bone was told: %v", err)
	}
}

func TestPoints(t *testing.T) {
	for d, want := range map[float64]int{0: 0, 1: 0, 1.01: 1, 2: 1, 3: 2, 5: 4, 5.5: 5} {
		if got := Points(d); got != want {
			t.Errorf("%.2f: %d points, want %d", d, got, want)
		}
	}
}
