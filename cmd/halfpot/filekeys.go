package main

import "strings"

// tableKeys is one table of a TOML file and what each of its keys means.
type tableKeys struct {
	path string // "recipes.steps.mix", as textfile.Keys names it
	says string // what the table is; may be empty
	keys [][2]string
}

// heading is the table as it stands in a file: [[recipes.steps]], and what it is.
func (t tableKeys) heading() string {
	h := "[[" + t.path + "]]"
	if single := map[string]bool{
		"figures.body":           true,
		"figures.box":            true,
		"recipes.steps.thinning": true,
	}; single[t.path] {
		h = "[" + t.path + "]"
	}
	return strings.TrimRight(h+"  "+t.says, " ")
}

// fileTables are all the keys of TOML files, in the order of a painter's interest.
// A star begins the meaning of what must be given.
var fileTables = []tableKeys{
	{"figures", "a kind of figure, vehicle or piece of terrain", [][2]string{
		{"id", "short name that recipes and units use; left out: made from the name"},
		{"name", "what you call it"},
		{"area", `painted surface without the base, "9 cm2"; or give a body or a box`},
		{"body", "a person to scale, instead of the area"},
		{"box", "the box around a vehicle or terrain, instead of the area"},
		{"regions", "the parts that steps paint: jacket, webbing, base"},
		{"material", "plastic, metal, resin, printed"},
		{"source", "where the area comes from: given, measured, published, practice, assumption"},
		{"note", "a remark, such as the file that was measured"},
	}},
	{"figures.body", "", [][2]string{
		{"scale", `* "1:56", or "28 mm to eye" or "28 mm to top" for how tall the model stands`},
		{"stature", `height of the real person, "174 cm" if left out`},
		{"mass", `weight of the real person, "70 kg"; left out: usual for the height`},
		{"clo", "how thickly the figure is dressed. Clothing is counted in clo, as in ISO 9920: " +
			"bare skin 0, shorts and short sleeves 0.4, shirt and trousers 0.7, field uniform 0.9, " +
			"with greatcoat 1.3. More cloth is more to paint. Left out: 0"},
		{"kit", "how much weapon, helmet, webbing, packs and folds add, as a multiple: light 1.1, " +
			"usual 1.3 (if left out), heavy kit or armour 1.6"},
		{"heroic", "how much larger heads, hands and weapons are sculpted than life adds, as a multiple: " +
			"true proportions 1 (if left out), heroic 1.15"},
		{"formula", "how skin is reckoned from height and weight: du-bois (if left out), mosteller, " +
			"haycock, boyd, gehan-george"},
	}},
	{"figures.box", "", [][2]string{
		{"length", `* in life, "5.9 m"`}, {"width", "* in life"}, {"height", "* in life"},
		{"scale", `* "1:56", or "1:1" for what was measured on the table`},
		{"detail", "surface over that of a plain box: 1.5 if left out, for wheels and hatches"},
	}},
	{"figures.regions", "", [][2]string{
		{"name", "* jacket, straps, base"},
		{"share", `part of the figure's area, "30 %"; or give area or base`},
		{"area", `a surface of its own, "4.9 cm2"`},
		{"base", `a round or oval base, "25 mm" or "60 x 35 mm"`},
		{"rim", `height of the base's edge, "3 mm", where it is painted too`},
	}},
	{"recipes", "how a figure is painted, step by step", [][2]string{
		{"id", "short name; left out: made from the name"}, {"name", "what you call it"},
		{"steps", "* in the order of work"},
	}},
	{"recipes.steps", "", [][2]string{
		{"id", "short name of the step; left out: made from the name"}, {"name", "what you call it"},
		{"regions", `the parts it covers, ["jacket", "trousers"], or "all"`},
		{"all-but", `all parts but these, ["base"]`},
		{"paint", "the paint's id; or give a mix"},
		{"mix", "several paints by parts"},
		{"method", "brush, dry-brush, wash, airbrush, spray, pencil; left out: usual for the paint"},
		{"coats", "how many, 1 if left out"},
		{"coats-over", "another number of coats over some undercoats"},
		{"share", `how much of those parts it reaches, "15 %" for edges; left out: usual for the method`},
		{"film", `wet thickness of one coat, "35 um"; left out: usual for the method`},
		{"loss", `paint that never reaches the figure, "40 %" when spraying; left out: usual for the method`},
		{"thinning", "water or medium stirred in"},
		{"alternatives", "other ways you would accept"},
		{"no-stand-ins", "yes: the paint must not be replaced by one of the stand-ins"},
		{"optional", "yes: may be left out when paint or money is short"},
		{"wait-after", `before the next step on these parts: "30 min", "2 h", "1 d", "overnight"`},
		{"next-within", `the next step must be begun by then, before this one dries or sets: "10 min"`},
		{"after", `earlier steps whose waits count for this one though it is on other parts, ["varnish"]`},
		{"label", "what it is about, for match: straps"},
		{"kind", "of a step that is not painting and needs no paint: prepare, drill, glue, transfer, " +
			"setting, sand, seal, tuft"},
		{"per-item", "figures that one item does, of what is counted (transfers, tufts)"},
		{"allow", "rules of order that you don't want to be told of here, as halfpot recipe check names them"},
	}},
	{"recipes.steps.mix", "",
		[][2]string{{"paint", "* the paint's id"}, {"parts", "* 2 of one to 1 of the other"}}},
	{"recipes.steps.thinning", "", [][2]string{
		{"medium", "id of the medium, which is bought like a paint; left out: water"},
		{"paint-parts", "* parts of paint"}, {"medium-parts", "* parts of medium to it"},
	}},
	{"recipes.steps.coats-over", "",
		[][2]string{{"undercoat", "* id of the paint below"}, {"coats", "* how many then"}}},
	{"recipes.steps.alternatives", "", [][2]string{
		{"paint", "the paint's id; or give a mix"}, {"mix", "several paints by parts"},
		{"thinning", "left out: as the step's"},
		{"compromise", "points for how much worse it looks, 0 (just as good) if left out"},
		{"label", "why or when, in your words"},
	}},
	{"recipes.steps.alternatives.mix", "", [][2]string{{"paint", "* the paint's id"}, {"parts", "* of it"}}},
	{"recipes.steps.alternatives.thinning", "",
		[][2]string{
			{"medium", "id of the medium; left out: water"},
			{"paint-parts", "* parts of paint"},
			{"medium-parts", "* parts of medium to it"},
		}},
	{"forces", "what you plan to paint", [][2]string{
		{"id", "short name; left out: made from the name"}, {"name", "what you call it"},
		{"units", "* squads, crews, terrain"}, {"match", "what must look alike across units"},
	}},
	{"forces.units", "", [][2]string{
		{"id", "short name; left out: made from the name"}, {"name", "what you call it"},
		{"figures", "* how many"}, {"figure", "* the kind of figure, by id"}, {"recipe", "* by id"},
		{"batch", "figures painted at one sitting; left out: the whole unit"},
		{"undercoat", "id of the paint they are undercoated with, where recipes count coats by it"},
		{"after", `units that are finished before this one is begun, ["riders"]`},
		{"worth", "what finishing it is worth to you where money is short; left out: its figures"},
	}},
	{"forces.match", "", [][2]string{
		{"label", "* a word for it"}, {"steps", "* ids or labels of the steps that take the same paint"},
		{"units", "which units; left out: all"},
	}},
	{"paints", "", [][2]string{
		{"id", "short name; left out: made from maker, range and name"}, {"maker", "who makes it"},
		{"range", "the maker's range"},
		{"name", "* as on the pot"}, {"code", "the maker's number"}, {"type", "* see types of paint above"},
		{"colour", `sRGB, "#e3d6b4"`},
		{"volume-solids", `part that stays when dry, "35 %", from the data sheet; left out: usual for the type`},
		{"density", "in g/ml, 1.25, for weighing pots; left out: usual for the type"},
		{"finish", "matt, satin, gloss"}, {"carrier", "water, solvent"}, {"tone", "light, middle, dark"},
	}},
	{"stand-ins", "a paint that may replace another", [][2]string{
		{"for", "* the paint asked for, by id"}, {"use", "* the paint used instead, by id"},
		{"compromise", "points for how much worse it looks, 0 if left out"},
		{"either-way", "yes: works the other way round too"},
		{"other-kind", "yes: meant, though the two are different kinds of paint"}, {"note", "a remark"},
	}},
	{"spectra", "the measured colour of a paint; in CSV a row a reading", [][2]string{
		{"paint", "* by id"}, {"readings", "* from 400 to 700 nm or beyond, at least every 20 nm"},
	}},
	{"spectra.readings", "", [][2]string{{"wavelength", "* in nm, rising"}, {"reflectance", `* 0.42 or "42 %"`}}},
	{"trial-mixes", "a mix you made, and what it looked like", [][2]string{
		{"mix", `* its parts; in CSV "2 old-bone + 1 boot-black"`}, {"paint", "not used: a trial is of two paints or more"}, {"seen", "* the colour when dry, #c8b89a or lab 52.3 -4.1 20"}, {"note", "a remark"},
	}},
	{"trial-mixes.mix", "", [][2]string{{"paint", "* by id"}, {"parts", "* 2 of one to 1 of the other"}}},
	{"products", "what a shop sells as one item: a pot or a set", [][2]string{
		{"id", "short name; left out: made from paint and size, or the name"}, {"name", "as on the label"},
		{"code", "the barcode's digits (8, 12, 13 or 14, checked), or the maker's own number"},
		{"contents", "* the pots in it"},
	}},
	{"products.contents", "", [][2]string{{"paint", "* by id"}, {"volume", `* of one pot, "17 ml", or "1 item"`}, {"count", "pots of it, 1 if left out"}}},
	{"shops", "", [][2]string{
		{"id", "short name; left out: made from the name"}, {"name", "* what you call it"},
		{"currency", "* EUR, GBP: ISO 4217"},
		{"min-order", "smallest order it takes"}, {"delivery", "its charges; left out: free"},
	}},
	{"shops.delivery", "",
		[][2]string{{"from", "* order value from which it holds, 0 for the first"}, {"fee", "* the charge"}}},
	{"offers", "a shop's price", [][2]string{
		{"product", "* by id"}, {"shop", "* by id"}, {"price", "* of one item"},
		{"limit", "how many the shop has; left out: plenty"},
	}},
	{"pots", "what stands on your shelf", [][2]string{
		{"id", "short name; left out: the paint's, numbered from the second on"}, {"paint", "* by id"},
		{"product", "what it was bought as, by id"},
		{"size", `* what the label says, "17 ml"`}, {"full", `how full it is: "half", "60 %", "3/4", "10 ml"; left out: full`},
		{"judged", "the day you looked"}, {"bought", "the day"}, {"opened", "the day; left out: closed"},
		{"cost", `what you paid, "3.20 EUR"`}, {"place", "where it stands"}, {"tare", `weight of the empty pot with its lid, "14.2 g"`},
		{"events", "instead of bought, full and judged: all that happened to it"},
	}},
	{"pots.events", "", [][2]string{
		{"kind", "* see kinds of pot events above"}, {"at", "* the day, or a time"},
		{"volume", `how much, "3 ml"`}, {"fraction", `or how much of the pot, "half"`}, {"gross", `weight of the whole pot, "31.4 g"`}, {"tare", "weight of the empty pot"},
		{"note", "a remark"}, {"number", "its number within the pot; left out: the next"},
		{"undoes", "of a correction: the number that was a slip"},
		{"job", "the entry of the log that drew it"}, {"estimated", "yes: reckoned, not measured"},
		{"moment", "in copies only: the time a day is reckoned with"},
		{"key", "in copies only: by it the event is known again"},
	}},
}
