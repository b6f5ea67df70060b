package textfile

import (
	"bytes"
	"fmt"
	"io"

	"github.com/pelletier/go-toml/v2"

	"halfpot/inventory"
)

// The shapes of the TOML form, field by field as the readers name them.
type (
	tomlFile struct {
		Paints     []tomlPaint    `toml:"paints,omitempty"`
		StandIns   []tomlStandIn  `toml:"stand-ins,omitempty"`
		Spectra    []tomlSpectrum `toml:"spectra,omitempty"`
		TrialMixes []tomlTrialMix `toml:"trial-mixes,omitempty"`
		Products   []tomlProduct  `toml:"products,omitempty"`
		Shops      []tomlShop     `toml:"shops,omitempty"`
		Offers     []tomlOffer    `toml:"offers,omitempty"`
		Figures    []tomlFigure   `toml:"figures,omitempty"`
		Recipes    []tomlRecipe   `toml:"recipes,omitempty"`
		Forces     []tomlForce    `toml:"forces,omitempty"`
		Pots       []tomlPot      `toml:"pots,omitempty"`
	}
	tomlPaint struct {
		ID           string  `toml:"id"`
		Maker        string  `toml:"maker,omitempty"`
		Range        string  `toml:"range,omitempty"`
		Name         string  `toml:"name"`
		Code         string  `toml:"code,omitempty"`
		Type         string  `toml:"type"`
		Colour       string  `toml:"colour,omitempty"`
		VolumeSolids float64 `toml:"volume-solids,omitempty"`
		Density      float64 `toml:"density,omitempty"`
		Finish       string  `toml:"finish,omitempty"`
		Carrier      string  `toml:"carrier,omitempty"`
		Tone         string  `toml:"tone,omitempty"`
	}
	tomlStandIn struct {
		For        string `toml:"for"`
		Use        string `toml:"use"`
		Compromise int    `toml:"compromise,omitempty"`
		EitherWay  bool   `toml:"either-way,omitempty"`
		OtherKind  bool   `toml:"other-kind,omitempty"`
		Note       string `toml:"note,omitempty"`
	}
	tomlSpectrum struct {
		Paint    string        `toml:"paint"`
		Readings []tomlReading `toml:"readings,inline,multiline"`
	}
	tomlReading struct {
		Wavelength  float64 `toml:"wavelength"`
		Reflectance float64 `toml:"reflectance"`
	}
	tomlTrialMix struct {
		Mix  []tomlPart `toml:"mix,inline"`
		Seen string     `toml:"seen"`
		Note string     `toml:"note,omitempty"`
	}
	tomlProduct struct {
		ID       string        `toml:"id"`
		Name     string        `toml:"name,omitempty"`
		Code     string        `toml:"code,omitempty"`
		Contents []tomlContent `toml:"contents,inline,multiline,omitempty"`
	}
	tomlContent struct {
		Paint  string `toml:"paint"`
		Volume string `toml:"volume"`
		Count  int    `toml:"count"`
	}
	tomlShop struct {
		ID       string     `toml:"id"`
		Name     string     `toml:"name"`
		Currency string     `toml:"currency"`
		MinOrder string     `toml:"min-order,omitempty"`
		Delivery []tomlBand `toml:"delivery,inline,multiline,omitempty"`
	}
	tomlBand struct {
		From string `toml:"from"`
		Fee  string `toml:"fee"`
	}
	tomlOffer struct {
		Product string `toml:"product"`
		Shop    string `toml:"shop"`
		Price   string `toml:"price"`
		Limit   *int   `toml:"limit,omitempty"`
	}
	tomlFigure struct {
		ID       string       `toml:"id"`
		Name     string       `toml:"name,omitempty"`
		Area     string       `toml:"area,omitempty"`
		Source   string       `toml:"source,omitempty"`
		Note     string       `toml:"note,omitempty"`
		Material string       `toml:"material,omitempty"`
		Body     *tomlBody    `toml:"body,omitempty"`
		Regions  []tomlRegion `toml:"regions,inline,multiline,omitempty"`
	}
	tomlBody struct {
		Stature string  `toml:"stature,omitempty"`
		Mass    string  `toml:"mass,omitempty"`
		Scale   string  `toml:"scale"`
		Formula string  `toml:"formula,omitempty"`
		Clo     float64 `toml:"clo,omitempty"`
		Kit     float64 `toml:"kit,omitempty"`
		Heroic  float64 `toml:"heroic,omitempty"`
	}
	tomlRegion struct {
		Name  string  `toml:"name"`
		Share float64 `toml:"share,omitempty"`
		Area  string  `toml:"area,omitempty"`
	}
	tomlRecipe struct {
		ID    string     `toml:"id"`
		Name  string     `toml:"name,omitempty"`
		Steps []tomlStep `toml:"steps,omitempty"`
	}
	tomlStep struct {
		ID           string            `toml:"id"`
		Name         string            `toml:"name,omitempty"`
		Kind         string            `toml:"kind,omitempty"`
		Label        string            `toml:"label,omitempty"`
		Regions      any               `toml:"regions,omitempty"` // "all" or a list
		AllBut       []string          `toml:"all-but,omitempty"`
		Share        float64           `toml:"share,omitempty"`
		Method       string            `toml:"method,omitempty"`
		Paint        string            `toml:"paint,omitempty"`
		Mix          []tomlPart        `toml:"mix,inline,omitempty"`
		Thinning     *tomlThinning     `toml:"thinning,inline,omitempty"`
		Coats        int               `toml:"coats,omitempty"`
		CoatsOver    []tomlCoatsOver   `toml:"coats-over,inline,omitempty"`
		Film         string            `toml:"film,omitempty"`
		Loss         *float64          `toml:"loss,omitempty"`
		Optional     bool              `toml:"optional,omitempty"`
		NoStandIns   bool              `toml:"no-stand-ins,omitempty"`
		WaitAfter    string            `toml:"wait-after,omitempty"`
		NextWithin   string            `toml:"next-within,omitempty"`
		After        []string          `toml:"after,omitempty"`
		PerItem      float64           `toml:"per-item,omitempty"`
		Allow        []string          `toml:"allow,omitempty"`
		Alternatives []tomlAlternative `toml:"alternatives,inline,multiline,omitempty"`
	}
	tomlPart struct {
		Paint string  `toml:"paint"`
		Parts float64 `toml:"parts"`
	}
	tomlThinning struct {
		Medium      string  `toml:"medium,omitempty"`
		PaintParts  float64 `toml:"paint-parts"`
		MediumParts float64 `toml:"medium-parts"`
	}
	tomlCoatsOver struct {
		Undercoat string `toml:"undercoat"`
		Coats     int    `toml:"coats"`
	}
	tomlAlternative struct {
		Label      string        `toml:"label,omitempty"`
		Paint      string        `toml:"paint,omitempty"`
		Mix        []tomlPart    `toml:"mix,inline,omitempty"`
		Thinning   *tomlThinning `toml:"thinning,inline,omitempty"`
		Compromise int           `toml:"compromise,omitempty"`
	}
	tomlForce struct {
		ID    string      `toml:"id"`
		Name  string      `toml:"name,omitempty"`
		Units []tomlUnit  `toml:"units,omitempty"`
		Match []tomlMatch `toml:"match,omitempty"`
	}
	tomlUnit struct {
		ID        string   `toml:"id"`
		Name      string   `toml:"name,omitempty"`
		Figures   int      `toml:"figures"`
		Figure    string   `toml:"figure"`
		Recipe    string   `toml:"recipe"`
		Undercoat string   `toml:"undercoat,omitempty"`
		Batch     int      `toml:"batch,omitempty"`
		Worth     *int     `toml:"worth,omitempty"`
		After     []string `toml:"after,omitempty"`
	}
	tomlMatch struct {
		Label string   `toml:"label"`
		Steps []string `toml:"steps"`
		Units []string `toml:"units,omitempty"`
	}
	tomlPot struct {
		ID      string      `toml:"id"`
		Paint   string      `toml:"paint"`
		Product string      `toml:"product,omitempty"`
		Size    string      `toml:"size"`
		Cost    string      `toml:"cost,omitempty"`
		Place   string      `toml:"place,omitempty"`
		Opened  string      `toml:"opened,omitempty"`
		Tare    string      `toml:"tare,omitempty"`
		Events  []tomlEvent `toml:"events,omitempty"`
	}
	tomlEvent struct {
		Number    int64    `toml:"number"`
		Kind      string   `toml:"kind"`
		At        string   `toml:"at"`
		Volume    string   `toml:"volume,omitempty"`
		Fraction  *float64 `toml:"fraction,omitempty"`
		Gross     string   `toml:"gross,omitempty"`
		Tare      string   `toml:"tare,omitempty"`
		Estimated bool     `toml:"estimated,omitempty"`
		Undoes    int64    `toml:"undoes,omitempty"`
		Job       string   `toml:"job,omitempty"`
		Note      string   `toml:"note,omitempty"`
		Moment    string   `toml:"moment,omitempty"`
		Key       string   `toml:"key,omitempty"`
	}
)

// WriteTOML writes a catalogue and pots as one TOML file that reads back as
// equal values. Work done is no part of a file and left out.
func WriteTOML(w io.Writer, c inventory.Catalogue, pots []inventory.Pot) error {
	idx := c.Index()
	var f tomlFile
	for _, p := range c.Paints {
		t := tomlPaint{p.ID, p.Maker, p.Range, p.Name, p.Code, string(p.Type), "", p.VolumeSolids, p.Density, string(p.Finish), string(p.Carrier), string(p.Tone)}
		if p.Colour != nil {
			t.Colour = p.Colour.String()
		}
		f.Paints = append(f.Paints, t)
	}
	for _, s := range c.StandIns {
		f.StandIns = append(f.StandIns, tomlStandIn(s))
	}
	for _, s := range c.Spectra {
		t := tomlSpectrum{Paint: s.Paint}
		for _, r := range s.Readings {
			t.Readings = append(t.Readings, tomlReading{r.NM, r.Reflectance})
		}
		f.Spectra = append(f.Spectra, t)
	}
	for _, m := range c.TrialMixes {
		t := tomlTrialMix{Seen: m.Seen.String(), Note: m.Note}
		for _, p := range m.Mix {
			t.Mix = append(t.Mix, tomlPart(p))
		}
		f.TrialMixes = append(f.TrialMixes, t)
	}
	for _, p := range c.Products {
		t := tomlProduct{ID: p.ID, Name: p.Name, Code: p.Code}
		for _, x := range p.Contents {
			t.Contents = append(t.Contents, tomlContent{x.Paint, amount(idx, x.Paint, x.Volume), x.Count})
		}
		f.Products = append(f.Products, t)
	}
	for _, s := range c.Shops {
		t := tomlShop{ID: s.ID, Name: s.Name, Currency: s.Currency, MinOrder: moneyText(s.MinOrder)}
		for _, d := range s.Delivery {
			t.Delivery = append(t.Delivery, tomlBand{bandText(d.From, s.Currency), bandText(d.Fee, s.Currency)})
		}
		f.Shops = append(f.Shops, t)
	}
	for _, o := range c.Offers {
		f.Offers = append(f.Offers, tomlOffer{o.Product, o.Shop, o.Price.String(), o.Limit})
	}
	for _, x := range c.Figures {
		f.Figures = append(f.Figures, figureShape(x))
	}
	for _, r := range c.Recipes {
		t := tomlRecipe{ID: r.ID, Name: r.Name}
		for _, s := range r.Steps {
			t.Steps = append(t.Steps, stepShape(s))
		}
		f.Recipes = append(f.Recipes, t)
	}
	for _, x := range c.Forces {
		t := tomlForce{ID: x.ID, Name: x.Name}
		for _, u := range x.Units {
			t.Units = append(t.Units, tomlUnit(u))
		}
		for _, m := range x.Match {
			t.Match = append(t.Match, tomlMatch(m))
		}
		f.Forces = append(f.Forces, t)
	}
	for _, p := range pots {
		f.Pots = append(f.Pots, potShape(p, idx))
	}
	var b bytes.Buffer
	if err := toml.NewEncoder(&b).Encode(f); err != nil {
		return fmt.Errorf("writing TOML: %w", err)
	}
	_, err := w.Write(b.Bytes())
	return err
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
		t.Body = &tomlBody{unlessZeroOf(b.StatureCM, centimetres), unlessZeroOf(b.MassKG, kilograms), "1:" + formatFloat(b.Scale), string(b.Formula), b.Clo, b.Kit, b.Heroic}
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
	for _, c := range s.CoatsOver {
		t.CoatsOver = append(t.CoatsOver, tomlCoatsOver(c))
	}
	for _, a := range s.Alternatives {
		x := tomlAlternative{Label: a.Label, Compromise: a.Compromise, Thinning: thinningShape(a.Thinning)}
		x.Paint, x.Mix = mixShape(a.Mix)
		t.Alternatives = append(t.Alternatives, x)
	}
	return t
}

// mixShape writes a single paint by its id alone.
func mixShape(m inventory.Mix) (paint string, parts []tomlPart) {
	if len(m) == 1 && m[0].Parts == 1 {
		return m[0].Paint, nil
	}
	for _, p := range m {
		parts = append(parts, tomlPart(p))
	}
	return "", parts
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
