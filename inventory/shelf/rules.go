package shelf

import (
	"fmt"

	"halfpot/inventory"
	"halfpot/inventory/coverage"
)

// LevelRules are the errors and losses that the level of a pot is reckoned
// with. All are assumptions a painter may change, by [LevelRules.Set] or in
// place; 0 means none at all. [LevelDefaults] gives the reasons.
type LevelRules struct {
	LabelSD      float64 // fill of a new pot, standard deviation as a fraction of its nominal volume
	EyeSD        float64 // a level judged by eye, fraction of the nominal volume
	UseSD        float64 // a use the painter measured, fraction of it
	EstimateSD   float64 // uses drawn by the estimate: what they have in common, as a log-sd
	JobSD        float64 // uses drawn by the estimate: scatter from job to job, as a log-sd
	SpillSD      float64 // a spill judged by eye, fraction of it
	ScaleGrams   float64 // the scale
	TareGrams    float64 // an empty weight the painter gave
	LearnedGrams float64 // an empty weight known from other pots of the kind
	WaterMonth   float64 // water that leaves an opened pot through its lid, fraction a month
	WaterSitting float64 // water that leaves while the pot stands open for one use, ml
	WaterSD      float64 // of both, fraction of the loss
	// use nobody logged, where uses of the pot are logged: fraction of nominal, sd after a month
	DriftLogged float64
	DriftSilent float64 // the same where none ever was
	Doubt       float64 // standard deviations from which a reading is believed over the record
	ThinAt      float64 // fraction of the paint lost as water from which thinning is due
}

// DefaultLevelRules are the rules halfpot starts with.
func DefaultLevelRules() LevelRules {
	var r LevelRules
	for _, d := range levelRules {
		*d.field(&r) = d.Value
	}
	return r
}

// levelRule is a rule with its reason, so that it can be shown and set by name.
type levelRule struct {
	coverage.Default
	name  string
	field func(*LevelRules) *float64
}

var levelRules = []levelRule{
	{ruleOf(0.03, 0.02, 0.045, "", "packers may fall 9 % short on 5 to 50 ml, seldom (OIML R 87, from memory)"),
		"fill of a new pot", func(r *LevelRules) *float64 { return &r.LabelSD }},
	{ruleOf(0.08, 0.04, 0.15, "", "a level seen through or into a pot"), "level judged by eye",
		func(r *LevelRules) *float64 { return &r.EyeSD }},
	{ruleOf(0.10, 0.03, 0.20, "", "drops counted or a syringe"), "use measured",
		func(r *LevelRules) *float64 { return &r.UseSD }},
	{ruleOf(0.35, 0.15, 0.60, "", "one painter's hand against the tables, before anything is learned"),
		"use estimated, in common", func(r *LevelRules) *float64 { return &r.EstimateSD }},
	{ruleOf(inventory.JobSD, 0.10, 0.40, "",
		"a unit's worth of a step differs by about a fifth from time to time"),
		"use estimated, job to job", func(r *LevelRules) *float64 { return &r.JobSD }},
	{ruleOf(0.30, 0.10, 0.50, "", "a puddle judged by eye"), "spill",
		func(r *LevelRules) *float64 { return &r.SpillSD }},
	{ruleOf(0.10, 0.02, 1.0, "g", "a kitchen scale that shows tenths; one that shows whole grams errs by 0.5"),
		"scale", func(r *LevelRules) *float64 { return &r.ScaleGrams }},
	{ruleOf(0.10, 0.02, 0.5, "g", "the same scale, empty pot"), "empty weight given",
		func(r *LevelRules) *float64 { return &r.TareGrams }},
	{ruleOf(0.30, 0.10, 1.0, "g", "pots of one mould differ, and dried paint clings"),
		"empty weight of another pot", func(r *LevelRules) *float64 { return &r.LearnedGrams }},
	{ruleOf(0.003, 0.001, 0.01, "a month",
		"closed pots lose 0.1 to 1 % of their water a month; no published data"),
		"water lost through the lid", func(r *LevelRules) *float64 { return &r.WaterMonth }},
	{ruleOf(0.02, 0.01, 0.05, "ml", "10 to 30 minutes open at 0.013 ml an hour and more (Stefan "+
		"diffusion from a 20 mm neck), stirring and skins"),
		"water lost a sitting", func(r *LevelRules) *float64 { return &r.WaterSitting }},
	{ruleOf(0.70, 0.30, 1.0, "", "the two above are known to a factor of three"), "spread of water lost",
		func(r *LevelRules) *float64 { return &r.WaterSD }},
	{ruleOf(0.01, 0.003, 0.03, "", "touch-ups nobody writes down"),
		"use not logged, in a month, by one who logs",
		func(r *LevelRules) *float64 { return &r.DriftLogged }},
	{ruleOf(0.05, 0.02, 0.10, "", "a pot in use loses a twentieth or so a month"),
		"use not logged, in a month, by one who does not",
		func(r *LevelRules) *float64 { return &r.DriftSilent }},
	{ruleOf(2, 1.5, 3, "", "one honest reading in twenty lies further off"),
		"reading believed over the record", func(r *LevelRules) *float64 { return &r.Doubt }},
	{ruleOf(0.05, 0.03, 0.15, "", "where paint begins to drag"), "thinning due",
		func(r *LevelRules) *float64 { return &r.ThinAt }},
}

func ruleOf(v, low, high float64, unit, source string) coverage.Default {
	return coverage.Default{
		Value:  v,
		Low:    low,
		High:   high,
		Unit:   unit,
		Origin: coverage.Assumption,
		Source: source,
	}
}

// LevelDefaults lists the rules' defaults with ranges and reasons.
func LevelDefaults() []coverage.Quantity {
	out := make([]coverage.Quantity, len(levelRules))
	for i, d := range levelRules {
		out[i] = d.Quantity(d.name)
	}
	return out
}

// Factors lists the rules in force, each given where it is not the default.
func (r LevelRules) Factors() []coverage.Quantity {
	out := LevelDefaults()
	for i, d := range levelRules {
		if v := *d.field(&r); v != d.Value {
			out[i].Estimate, out[i].Origin = coverage.Exact(v), coverage.Given
			out[i].Source = "set by the painter"
		}
	}
	return out
}

// Set changes the rule of a name, as [LevelDefaults] gives it or as its slug
// ("level-judged-by-eye"). The value must be at least 0 and at most three times
// the upper end of the rule's range. Else it is a Fault and nothing changes.
func (r *LevelRules) Set(name string, value float64) error {
	names := make([]string, len(levelRules))
	for i, d := range levelRules {
		names[i] = inventory.Slug(d.name)
		if names[i] != inventory.Slug(name) {
			continue
		}
		if !(value >= 0 && value <= 3*d.High) {
			return inventory.Fault{
				Path:     names[i],
				Found:    fmt.Sprintf("%g", value),
				Expected: fmt.Sprintf("0 to %.4g%s", 3*d.High, orUnit(d.Unit)),
			}
		}
		*d.field(r) = value
		return nil
	}
	return inventory.Fault{
		Path:     "rules",
		Found:    inventory.Quoted(name),
		Expected: "a rule of how pots are reckoned",
		Nearest:  inventory.Near(inventory.Slug(name), names),
	}
}

func orUnit(unit string) string {
	if unit == "" {
		return ""
	}
	return " " + unit
}
