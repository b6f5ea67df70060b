package likeness

import (
	"math"
	"slices"

	"halfpot/inventory"
	"halfpot/inventory/colour"
)

// Strength is how much a part of a paint counts in a mix beside a part of other
// paints, as the painter's trial mixes tell; 1 where none does.
func (c *Palette) Strength(paint string) float64 {
	if s, ok := c.strengths()[paint]; ok {
		return s
	}
	return 1
}

// Learned says whether trial mixes tell of the paint's strength.
func (c *Palette) Learned(paint string) bool {
	_, ok := c.strengths()[paint]
	return ok
}

// strengths are those that trial mixes tell, by paint.
func (c *Palette) strengths() map[string]float64 {
	if c.learned != nil {
		return c.learned
	}
	c.learned = map[string]float64{}
	var ids []string
	var spectra []colour.Spectrum
	at := map[string]int{}
	var trials []colour.Trial
	for _, t := range c.trials {
		if c.unlearnable(t) != "" {
			continue
		}
		trial := colour.Trial{Seen: t.Seen.Lab()}
		for _, p := range t.Mix {
			i, known := at[p.Paint]
			if !known {
				s, err := c.spectrum(c.paints[p.Paint])
				if err != nil {
					break
				}
				i = len(ids)
				at[p.Paint] = i
				ids, spectra = append(ids, p.Paint), append(spectra, s)
			}
			trial.Of, trial.Parts = append(trial.Of, i), append(trial.Parts, p.Parts)
		}
		if len(trial.Of) == len(t.Mix) {
			trials = append(trials, trial)
		}
	}
	used := map[int]bool{}
	for _, t := range trials {
		for _, p := range t.Of {
			used[p] = true
		}
	}
	for i, s := range colour.LearnStrengths(spectra, trials) {
		if used[i] {
			c.learned[ids[i]] = s
		}
	}
	return c.learned
}

// unlearnable says why a trial tells nothing of strengths; "" where it does.
func (c *Palette) unlearnable(t inventory.TrialMix) string {
	for _, part := range t.Mix {
		p := c.paints[part.Paint]
		switch {
		case p == nil:
			return part.Paint + " is not known"
		case !byColour[p.Type.Kin()] || !mixable(p.Type.Kin()):
			return p.Title() + " is not mixed by colour: " + p.Type.Words()
		case !c.Told(p):
			return "no colour of " + p.Title() + " is known"
		}
	}
	return ""
}

// Trial is what a mix that the painter made looked like, beside what was and is
// predicted of it.
type Trial struct {
	inventory.TrialMix
	Before float64 // CIEDE2000 of what was seen from the prediction without any trial
	Now    float64 // from the prediction with the strengths that were learned
	Reason string  // why nothing is learned of it; Before and Now are then NaN
}

// Trials are the painter's trial mixes with what they teach.
func (c *Palette) Trials() (out []Trial) {
	for _, t := range c.trials {
		one := Trial{TrialMix: t, Before: math.NaN(), Now: math.NaN(), Reason: c.unlearnable(t)}
		if one.Reason == "" {
			var plain, learned []colour.Ingredient
			var parts []float64
			for _, part := range t.Mix {
				i, err := c.ingredient(c.paints[part.Paint])
				if err != nil {
					one.Reason = err.Error()
					break
				}
				learned, parts = append(learned, i), append(parts, part.Parts)
				i.Strength = 1
				plain = append(plain, i)
			}
			if one.Reason == "" {
				one.Before, one.Now = off(plain, parts, t.Seen), off(learned, parts, t.Seen)
			}
		}
		out = append(out, one)
	}
	return out
}

func off(of []colour.Ingredient, parts []float64, seen inventory.Colour) float64 {
	s, err := colour.Mix(of, parts)
	if err != nil {
		return math.NaN()
	}
	return colour.DeltaE(s.Lab(), seen.Lab())
}

// tried are the painter's trial mixes of paints among a pool that came near a
// colour when they were made: no prediction.
func (c *Palette) tried(want colour.Lab, pool []shade, within float64) (out []Mix) {
	in := map[string]*inventory.Paint{}
	for _, s := range pool {
		in[s.paint.ID] = s.paint
	}
	for _, t := range c.trials {
		d := colour.DeltaE(t.Seen.Lab(), want)
		m := Mix{Colour: t.Seen, Difference: d, Made: true}
		for _, p := range t.Mix {
			if in[p.Paint] != nil && p.Parts == math.Trunc(p.Parts) {
				m.Of, m.Parts = append(m.Of, in[p.Paint]), append(m.Parts, int(p.Parts))
			}
		}
		if len(m.Of) == len(t.Mix) && d <= within {
			out = append(out, m)
		}
	}
	slices.SortStableFunc(out, func(a, b Mix) int {
		switch {
		case a.Difference < b.Difference:
			return -1
		case a.Difference > b.Difference:
			return 1
		}
		return 0
	})
	return out
}
