package textfile

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
