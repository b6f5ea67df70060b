package textfile

import (
	"errors"
	"fmt"
	"strings"

	"halfpot/inventory"
	"halfpot/inventory/colour"
)

// spectrumRow reads one reading of a list of them; rows of one paint, in one file,
// are one spectrum.
func (b *Bundle) spectrumRow(r *record) { b.readingOf(r, r.id("paint")) }

func (b *Bundle) readingOf(r *record, paint string) {
	if paint == "" {
		return
	}
	at := "spectra." + paint
	i, begun := b.spectra[at+"@"+b.files[r.file]]
	if !begun {
		if !b.claim(r, at) {
			return
		}
		i = len(b.Catalogue.Spectra)
		b.spectra[at+"@"+b.files[r.file]] = i
		b.Catalogue.Spectra = append(b.Catalogue.Spectra, inventory.Spectrum{Paint: paint})
	}
	s := &b.Catalogue.Spectra[i]
	s.Readings = append(s.Readings, r.reading())
	path := fmt.Sprintf("%s.readings.%d", at, len(s.Readings))
	r.alias(path, "wavelength")
	if r.bad {
		b.bad[at] = true
	}
}

// spectrum reads a spectrum of a TOML file.
func (b *Bundle) spectrum(r *record) {
	r.need("paint", "readings")
	s := inventory.Spectrum{Paint: r.id("paint")}
	at := "spectra." + s.Paint
	if !b.claim(r, at) {
		return
	}
	for i, t := range r.tables("readings") {
		t.need("wavelength", "reflectance")
		s.Readings = append(s.Readings, t.reading())
		t.named(fmt.Sprintf("%s.readings.%d", at, i+1))
		if t.bad {
			b.bad[at] = true
		}
		t.closed()
	}
	b.Catalogue.Spectra = append(b.Catalogue.Spectra, s)
}

// reading reads a wavelength, "400" or "400 nm", and a reflectance, "0.42" or "42 %".
func (r *record) reading() colour.Reading {
	return colour.Reading{
		NM: parsed(r, "wavelength", "a wavelength", func(s string) (float64, error) {
			v, err := parseFloat(strings.TrimSpace(strings.TrimSuffix(s, "nm")))
			if err != nil {
				err = errors.New("a wavelength in nm, like 400")
			}
			return v, err
		}),
		Reflectance: parsed(r, "reflectance", "a reflectance", func(s string) (float64, error) {
			number, percent := strings.CutSuffix(s, "%")
			v, err := parseFloat(strings.TrimSpace(number))
			if percent {
				v /= 100
			}
			if err != nil {
				err = errors.New("a reflectance, like 0.42 or 42 %")
			}
			return v, err
		}),
	}
}

// ReadSpectrum reads a list of readings of one paint: the columns wavelength and
// reflectance. What is wrong in it is [Slips]; [Bundle.Check] finds the rest.
func ReadSpectrum(o Options, s Source, paint string) (*Bundle, error) {
	b := newBundle(o)
	b.files = []string{s.Name}
	columns := []string{"wavelength", "reflectance"}
	b.only = &kind{"readings", columns, columns, func(b *Bundle, r *record) { b.readingOf(r, paint) }}
	return b, b.readList(s)
}

// trialRow reads a mix that was made, in a list of them.
func (b *Bundle) trialRow(r *record) {
	t := inventory.TrialMix{Mix: parsed(r, "mix", "a mix", parseParts), Note: r.text("note")}
	b.trial(r, t)
}

// trialMix reads one of a TOML file.
func (b *Bundle) trialMix(r *record) {
	r.need("seen")
	b.trial(r, inventory.TrialMix{Mix: r.mix("trial-mixes"), Note: r.text("note")})
}

func (b *Bundle) trial(r *record, t inventory.TrialMix) {
	t.Seen = parsed(r, "seen", "a colour", parseColour)
	if len(t.Mix) == 1 {
		r.slip("mix", "one paint", "two paints or more, like 2 old-bone + 1 boot-black")
	}
	if b.claim(r, "trial-mixes."+t.Key()) {
		b.Catalogue.TrialMixes = append(b.Catalogue.TrialMixes, t)
	}
}

// parseParts reads "2 old-bone + 1 boot-black", by ids.
func parseParts(s string) (m inventory.Mix, err error) {
	for _, part := range strings.Split(s, "+") {
		f := strings.Fields(part)
		n := 0.0
		if len(f) == 2 {
			n, err = parseFloat(f[0])
		}
		if len(f) != 2 || err != nil || !inventory.ValidID(f[1]) {
			return nil, errors.New("parts and ids of paints, like 2 old-bone + 1 boot-black")
		}
		m = append(m, inventory.Part{Paint: f[1], Parts: n})
	}
	return m, nil
}

// partsText writes what parseParts reads.
func partsText(m inventory.Mix) string {
	var out []string
	for _, p := range m {
		out = append(out, formatFloat(p.Parts)+" "+p.Paint)
	}
	return strings.Join(out, " + ")
}
