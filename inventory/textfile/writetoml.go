package textfile

import (
	"bytes"
	"fmt"
	"io"

	"github.com/pelletier/go-toml/v2"

	"halfpot/inventory"
	"halfpot/inventory/colour"
)

// WriteTOML writes a catalogue and pots as one TOML file that reads back as
// equal values. Work done is no part of a file and left out.
func WriteTOML(w io.Writer, c inventory.Catalogue, pots []inventory.Pot) error {
	var b bytes.Buffer
	if err := toml.NewEncoder(&b).Encode(fileShape(c, pots)); err != nil {
		return fmt.Errorf("writing TOML: %w", err)
	}
	_, err := w.Write(b.Bytes())
	return err
}

func fileShape(c inventory.Catalogue, pots []inventory.Pot) tomlFile {
	idx := c.Index()
	return tomlFile{
		Paints:     shapes(c.Paints, paintShape),
		StandIns:   shapes(c.StandIns, func(s inventory.StandIn) tomlStandIn { return tomlStandIn(s) }),
		Spectra:    shapes(c.Spectra, spectrumShape),
		TrialMixes: shapes(c.TrialMixes, trialMixShape),
		Products:   shapes(c.Products, func(p inventory.Product) tomlProduct { return productShape(p, idx) }),
		Shops:      shapes(c.Shops, shopShape),
		Offers:     shapes(c.Offers, offerShape),
		Figures:    shapes(c.Figures, figureShape),
		Recipes:    shapes(c.Recipes, recipeShape),
		Forces:     shapes(c.Forces, forceShape),
		Pots:       shapes(pots, func(p inventory.Pot) tomlPot { return potShape(p, idx) }),
	}
}

// shapes gives the shape of each of a list.
func shapes[T, S any](list []T, shape func(T) S) []S {
	var out []S
	for _, x := range list {
		out = append(out, shape(x))
	}
	return out
}

func paintShape(p inventory.Paint) tomlPaint {
	t := tomlPaint{
		ID:           p.ID,
		Maker:        p.Maker,
		Range:        p.Range,
		Name:         p.Name,
		Code:         p.Code,
		Type:         string(p.Type),
		VolumeSolids: p.VolumeSolids,
		Density:      p.Density,
		Finish:       string(p.Finish),
		Carrier:      string(p.Carrier),
		Tone:         string(p.Tone),
	}
	if p.Colour != nil {
		t.Colour = p.Colour.String()
	}
	return t
}

func spectrumShape(s inventory.Spectrum) tomlSpectrum {
	return tomlSpectrum{
		Paint: s.Paint,
		Readings: shapes(s.Readings, func(r colour.Reading) tomlReading {
			return tomlReading{Wavelength: r.NM, Reflectance: r.Reflectance}
		}),
	}
}

func trialMixShape(m inventory.TrialMix) tomlTrialMix {
	return tomlTrialMix{Mix: shapes(m.Mix, partShape), Seen: m.Seen.String(), Note: m.Note}
}

func partShape(p inventory.Part) tomlPart { return tomlPart(p) }

func productShape(p inventory.Product, idx *inventory.Index) tomlProduct {
	return tomlProduct{
		ID:   p.ID,
		Name: p.Name,
		Code: p.Code,
		Contents: shapes(p.Contents, func(x inventory.Content) tomlContent {
			return tomlContent{Paint: x.Paint, Volume: amount(idx, x.Paint, x.Volume), Count: x.Count}
		}),
	}
}

func shopShape(s inventory.Shop) tomlShop {
	return tomlShop{
		ID:       s.ID,
		Name:     s.Name,
		Currency: s.Currency,
		MinOrder: moneyText(s.MinOrder),
		Delivery: shapes(s.Delivery, func(d inventory.DeliveryBand) tomlBand {
			return tomlBand{From: bandText(d.From, s.Currency), Fee: bandText(d.Fee, s.Currency)}
		}),
	}
}

func offerShape(o inventory.Offer) tomlOffer {
	return tomlOffer{Product: o.Product, Shop: o.Shop, Price: o.Price.String(), Limit: o.Limit}
}

func recipeShape(r inventory.Recipe) tomlRecipe {
	return tomlRecipe{ID: r.ID, Name: r.Name, Steps: shapes(r.Steps, stepShape)}
}

func forceShape(f inventory.Force) tomlForce {
	return tomlForce{
		ID:    f.ID,
		Name:  f.Name,
		Units: shapes(f.Units, func(u inventory.Unit) tomlUnit { return tomlUnit(u) }),
		Match: shapes(f.Match, func(m inventory.Match) tomlMatch { return tomlMatch(m) }),
	}
}

func figureShape(x inventory.FigureType) tomlFigure {
	t := tomlFigure{
		ID:       x.ID,
		Name:     x.Name,
		Area:     unlessZeroOf(x.AreaCM2, cm2),
		Source:   string(x.Source),
		Note:     x.Note,
		Material: string(x.Material),
	}
	if b := x.Body; b != nil {
		t.Body = &tomlBody{
			Stature: unlessZeroOf(b.StatureCM, centimetres),
			Mass:    unlessZeroOf(b.MassKG, kilograms),
			Scale:   "1:" + formatFloat(b.Scale),
			Formula: string(b.Formula),
			Clo:     b.Clo,
			Kit:     b.Kit,
			Heroic:  b.Heroic,
		}
	}
	for _, r := range x.Regions {
		t.Regions = append(t.Regions, tomlRegion{r.Name, r.Share, unlessZeroOf(r.AreaCM2, cm2)})
	}
	return t
}

func stepShape(s inventory.Step) tomlStep {
	t := tomlStep{
		ID:         s.ID,
		Name:       s.Name,
		Kind:       string(s.Kind),
		PerItem:    s.PerItem,
		Allow:      s.Allow,
		After:      s.After,
		Label:      s.Label,
		AllBut:     s.Regions.Except,
		Share:      s.Share,
		Method:     string(s.Method),
		Thinning:   thinningShape(s.Thinning),
		Coats:      s.Coats,
		Film:       unlessZeroOf(s.FilmUM, micrometres),
		Loss:       s.Loss,
		Optional:   s.Optional,
		NoStandIns: s.NoStandIns,
	}
	switch {
	case s.Regions.All && len(s.Regions.Except) == 0:
		t.Regions = "all"
	case len(s.Regions.Names) > 0:
		t.Regions = s.Regions.Names
	}
	if s.WaitAfter != 0 {
		t.WaitAfter = formatWait(s.WaitAfter)
	}
	if s.NextWithin != 0 {
		t.NextWithin = formatWait(s.NextWithin)
	}
	t.Paint, t.Mix = mixShape(s.Mix)
	t.CoatsOver = shapes(s.CoatsOver, func(c inventory.CoatsOver) tomlCoatsOver { return tomlCoatsOver(c) })
	t.Alternatives = shapes(s.Alternatives, func(a inventory.Alternative) tomlAlternative {
		x := tomlAlternative{Label: a.Label, Compromise: a.Compromise, Thinning: thinningShape(a.Thinning)}
		x.Paint, x.Mix = mixShape(a.Mix)
		return x
	})
	return t
}

// mixShape writes a single paint by its id alone.
func mixShape(m inventory.Mix) (paint string, parts []tomlPart) {
	if len(m) == 1 && m[0].Parts == 1 {
		return m[0].Paint, nil
	}
	return "", shapes(m, partShape)
}

func thinningShape(t *inventory.Thinning) *tomlThinning {
	if t == nil {
		return nil
	}
	x := tomlThinning(*t)
	return &x
}

func potShape(p inventory.Pot, idx *inventory.Index) tomlPot {
	t := tomlPot{
		ID:      p.ID,
		Paint:   p.Paint,
		Product: p.Product,
		Size:    amount(idx, p.Paint, p.Nominal),
		Place:   p.Place,
		Tare:    unlessZeroOf(p.TareGrams, grams),
	}
	if p.Cost != nil {
		t.Cost = p.Cost.String()
	}
	if p.Opened != nil {
		t.Opened = formatWhen(*p.Opened, p.OpenedDay)
	}
	for _, e := range p.Events {
		x := tomlEvent{
			Number:    e.ID,
			Kind:      string(e.Kind),
			At:        formatWhen(e.At, e.DayOnly),
			Fraction:  e.Fraction,
			Gross:     unlessZeroOf(e.GrossGrams, grams),
			Tare:      unlessZeroOf(e.TareGrams, grams),
			Estimated: e.Estimated,
			Undoes:    e.Undoes,
			Job:       e.Job,
			Note:      e.Note,
			Moment:    formatMoment(e),
			Key:       formatKey(e.Key),
		}
		if e.Volume != nil {
			x.Volume = e.Volume.String()
		}
		t.Events = append(t.Events, x)
	}
	return t
}
