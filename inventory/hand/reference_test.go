package hand

import (
	"encoding/json"
	"math"
	"os"
	"testing"
)

// reference is what another program of the same model, written apart in
// another language for many painters at once, found for eight histories.
type reference struct {
	Steps []struct {
		Film, Waste float64
		Type        int
	}
	Types     []int
	Histories []struct {
		Kind  string
		Pots  [][][]any
		Level [][3]float64
		Pred  [][2]float64
		Phi   []struct{ M, V []float64 }
		Noise struct{ Eye, Scale, Job float64 }
		Flags int
	}
}

// usualPot is a pot of 18 ml as the simulations have it.
func usualPot(id string, paint int) Vessel {
	return Vessel{
		ID:      id,
		Paint:   paint,
		Full:    18,
		FillSD:  .03 * 18,
		Dead:    .03 * 18,
		DeadSD:  .009 * 18,
		Density: 1.1,
		Water:   .8,
		Tare:    15,
		TareSD:  .3,
	}
}

func loadReference(t *testing.T) reference {
	t.Helper()
	text, err := os.ReadFile("testdata/reference.json")
	if err != nil {
		t.Fatal(err)
	}
	var ref reference
	if err := json.Unmarshal(text, &ref); err != nil {
		t.Fatal(err)
	}
	return ref
}

// record turns a history into values; it gives its end too.
func (r *reference) record(h int) (*Record, float64) {
	rec := &Record{Methods: []float64{.42, .42, .60}, Types: r.Types}
	now := 0.0
	for c, s := range r.Steps {
		way := Way{r.Types[s.Type], s.Type}
		rec.Paints = append(rec.Paints, way)
		v := usualPot(string(rune('a'+c)), c)
		month := 0.0
		for _, e := range r.Histories[h].Pots[c] {
			number := func(i int) float64 { return e[i].(float64) }
			switch e[0] {
			case "fresh":
				v.Events = append(v.Events, Event{Kind: Fresh}, Event{Kind: Unseal})
			case "time":
				month += number(1)
			case "job":
				v.Events = append(v.Events, Event{
					Kind:     Draw,
					Month:    month,
					Film:     number(1),
					Waste:    number(2),
					Sittings: 1,
					Way:      way,
				})
			case "scale":
				v.Events = append(v.Events, Event{Kind: Weigh, Month: month, Value: number(1)})
			case "eye":
				v.Events = append(v.Events, Event{Kind: Look, Month: month, Value: number(1)})
			}
		}
		rec.Pots = append(rec.Pots, v)
		now = math.Max(now, month)
	}
	return rec, now
}

func TestAgainstReference(t *testing.T) {
	ref := loadReference(t)
	near := func(what string, got, want, within float64) {
		t.Helper()
		if !(math.Abs(got-want) <= within) {
			t.Errorf("%s: %.6f, reference %.6f", what, got, want)
		}
	}
	for i := range ref.Histories {
		want := &ref.Histories[i]
		t.Run(want.Kind, func(t *testing.T) {
			rec, now := ref.record(i)
			a := Assumed()
			a.Watched, a.EyeShift, a.WorthEye, a.Far, a.Forgotten, a.Forgets = 0, .06, 20, nil, 0, 0 // as the reference has it
			h := FromRecord(rec, a, now)
			level := .055           // other points of the silent use, the reference has 48 slices
			if want.Kind == "gap" { // not settled yet after 14 rounds, and the reference reads its pots a round earlier
				level = .06
			}
			near("scale", h.b.noise.scale, want.Noise.Scale, 1e-4)
			near("eye", h.b.noise.eye, want.Noise.Eye, 1e-4)
			near("job", h.b.noise.job, want.Noise.Job, 1e-4)
			if len(h.Flags) != want.Flags {
				t.Errorf("%d flags, reference %d", len(h.Flags), want.Flags)
			}
			for c, s := range ref.Steps {
				l := h.Left(&rec.Pots[c], now)
				for k, p := range []float64{.05, .5, .95} {
					near("level", l.Quantile(p), want.Level[c][k], level)
				}
				median, sd := h.Next(Work{
					Way:      rec.Paints[c],
					Paint:    c,
					Film:     10 * s.Film,
					Waste:    s.Waste,
					Sittings: 1,
				})
				near("next job", math.Log(median), want.Pred[c][0], 1e-4)
				near("its spread", sd, want.Pred[c][1], 1e-4)
				f := h.u.film(rec.Paints[c], c, late)
				near("film", h.b.of(f, c), want.Phi[c].M[0], 1e-4)
				near("its variance", h.b.cov(f, f, c), want.Phi[c].V[0], 1e-5)
			}
		})
	}
}
