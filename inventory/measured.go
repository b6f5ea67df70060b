package inventory

import (
	"fmt"
	"slices"

	"halfpot/inventory/colour"
)

// Spectrum is the colour of a paint, dry and opaque, as an instrument measured it.
type Spectrum struct {
	Paint    string
	Readings []colour.Reading // by rising wavelength
}

// TrialMix is a mix that the painter made and what it looked like when dry. It
// teaches how strong its paints are in a mix.
type TrialMix struct {
	Mix  Mix // of two paints or more
	Seen Colour
	Note string
}

// Key names a trial by its paints and parts in lowest terms, see [Mix.Key].
func (t TrialMix) Key() string { return t.Mix.Lowest().Key() }

// Lowest is the mix with whole parts in lowest terms: 1:2 for 2:4. Other parts stay
// as they are.
func (m Mix) Lowest() Mix {
	common := 0
	for _, p := range m {
		n := int(p.Parts)
		if p.Parts < 1 || float64(n) != p.Parts {
			return m
		}
		for n != 0 {
			common, n = n, common%n
		}
	}
	out := slices.Clone(m)
	for i := range out {
		out[i].Parts /= float64(common)
	}
	return out
}

func (k *checker) spectra() {
	seen := map[string]bool{}
	for i, s := range k.cat.Spectra {
		at := "spectra." + s.Paint
		if s.Paint == "" {
			at = fmt.Sprintf("spectra.%d", i+1)
		}
		ref(k, at+".paint", "paint", s.Paint, k.idx.Paints)
		if seen[s.Paint] {
			k.add(at, s.Paint+" a second time", "each paint once")
		}
		seen[s.Paint] = true
		if bad := colour.CheckReadings(s.Readings); bad != nil {
			k.add(fmt.Sprintf("%s.readings.%d", at, bad.At+1), bad.Found, bad.Expected)
		}
	}
}

func (k *checker) trialMixes() {
	seen := map[string]bool{}
	for i, t := range k.cat.TrialMixes {
		at := "trial-mixes." + t.Key()
		if len(t.Mix) < 2 {
			k.add(fmt.Sprintf("trial-mixes.%d.mix", i+1), fmt.Sprintf("%d paints", len(t.Mix)),
				"two paints or more")
			continue
		}
		if seen[t.Key()] {
			k.add(at, "the same mix a second time", "each mix once")
		}
		seen[t.Key()] = true
		k.mix(at+".mix", t.Mix, "")
		k.text(at+".note", t.Note)
	}
}

func (m Merged) spectra(all []Spectrum) []Spectrum {
	var out []Spectrum
	for _, own := range []bool{true, false} { // what was measured of the paint that stays counts
		for _, s := range all {
			if to := m.Of(s.Paint); (to == s.Paint) == own &&
				!slices.ContainsFunc(out, func(o Spectrum) bool { return o.Paint == to }) {
				s.Paint = to
				out = append(out, s)
			}
		}
	}
	return out
}

func (m Merged) trialMixes(all []TrialMix) []TrialMix {
	var out []TrialMix
	for _, t := range all {
		t.Mix = m.mix(t.Mix)
		if len(t.Mix) > 1 && !slices.ContainsFunc(out, func(o TrialMix) bool { return o.Key() == t.Key() }) {
			out = append(out, t)
		}
	}
	return out
}
