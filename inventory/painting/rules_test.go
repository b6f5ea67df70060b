package painting

import (
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"halfpot/inventory"
)

// Paints of the tests, by name: type, finish, carrier, tone, as words.
var shelfWords = map[string]string{
	"bone-can": "primer-spray light", "black-can": "primer-spray dark", "bone-pot": "primer-brush light",
	"white": "dry-brush light", "green": "one-coat middle", "glaze": "glaze middle", "shade": "wash dark",
	"blue": "base dark", "grey": "layer middle", "edge": "highlight light", "steel": "metallic",
	"matt": "varnish matt", "gloss": "varnish gloss", "lead": "pencil", "rust": "pigment",
	"paste": "texture", "oil": "wash dark solvent", "red": "base water",
}

func testIndex() *inventory.Index {
	c := &inventory.Catalogue{}
	for id, words := range shelfWords {
		p := inventory.Paint{ID: id, Name: id}
		for i, w := range strings.Fields(words) {
			switch {
			case i == 0:
				p.Type = inventory.PaintType(w)
			case w == "light" || w == "middle" || w == "dark":
				p.Tone = inventory.Tone(w)
			case w == "matt" || w == "gloss":
				p.Finish = inventory.Finish(w)
			default:
				p.Carrier = inventory.Carrier(w)
			}
		}
		c.Paints = append(c.Paints, p)
	}
	return c.Index()
}

// soldier has a coat, a belt and a base.
func soldier() *inventory.FigureType {
	return &inventory.FigureType{ID: "soldier", AreaCM2: 9, Regions: []inventory.Region{
		{Name: "coat", Share: 0.6}, {Name: "belt", Share: 0.1}, {Name: "face", Share: 0.3},
		{Name: "base", AreaCM2: 5}}}
}

// recipeOf reads steps such as "green coat 1h" or "transfer: coat"; "all" is the
// whole figure, "figure" all but the base, a star an optional step, a "!rule" allows.
func recipeOf(t *testing.T, steps ...string) *inventory.Recipe {
	t.Helper()
	r := &inventory.Recipe{ID: "r", Name: "r"}
	for i, text := range steps {
		f := strings.Fields(text)
		s := inventory.Step{ID: strings.Trim(f[0], ":") + "-" + string(rune('1'+i))}
		if kind, is := strings.CutSuffix(f[0], ":"); is {
			s.Kind = inventory.StepKind(kind)
		} else {
			s.Mix = inventory.Mix{{Paint: f[0], Parts: 1}}
		}
		for _, w := range f[1:] {
			d, err := time.ParseDuration(w)
			switch {
			case err == nil:
				s.WaitAfter = d
			case w == "*":
				s.Optional = true
			case strings.HasPrefix(w, "!"):
				s.Allow = append(s.Allow, w[1:])
			case w == "all":
				s.Regions.All = true
			case w == "figure":
				s.Regions = inventory.RegionSet{All: true, Except: []string{"base"}}
			default:
				s.Regions.Names = append(s.Regions.Names, w)
			}
		}
		r.Steps = append(r.Steps, s)
	}
	return r
}

func rulesOf(found []Finding, least Severity) []string {
	var out []string
	for _, f := range found {
		if f.Severity == Mention && least != Mention {
			continue
		}
		if !slices.Contains(out, f.Rule) {
			out = append(out, f.Rule)
		}
	}
	slices.Sort(out)
	return out
}

// Each rule fires on its mistake and keeps quiet once it is put right. Common
// practice, no source.
func TestEachRule(t *testing.T) {
	idx := testIndex()
	for _, c := range []struct {
		rule       string
		bad, right []string
	}{
		{"primer-first", []string{"green coat 1h"}, []string{"bone-can all 1h", "green coat 1h"}},
		{"primer-first", []string{"matt figure 2h"}, []string{"bone-can figure 24h", "matt figure 2h"}},
		{"light-below", []string{"black-can all 1h", "green coat 1h"},
			[]string{"bone-can all 1h", "green coat 1h"}},
		{"light-below", []string{"bone-can all 1h", "blue coat 1h", "glaze coat 1h"},
			[]string{"black-can all 1h", "white all 10m", "green coat 1h"}},
		{"white-below", []string{"bone-can all 1h", "green coat 24h", "white all 10m"},
			[]string{"bone-can all 1h", "white all 10m", "green coat 1h"}},
		{"rub-dry", []string{"bone-can all 1h", "shade coat 3h", "lead coat"},
			[]string{"bone-can all 1h", "shade coat 12h", "lead coat"}},
		{"wash-dry", []string{"bone-can all 1h", "shade figure 3h", "matt figure 2h"},
			[]string{"bone-can all 1h", "shade figure 12h", "matt figure 2h"}},
		{"wash-over-light", []string{"bone-can all 1h", "edge coat 1h", "shade coat 3h"},
			[]string{"bone-can all 1h", "shade coat 12h", "edge coat 24h"}},
		{"wash-strays", []string{"bone-can all 1h", "shade all 12h"},
			[]string{"bone-can all 1h", "shade figure 12h"}},
		{"hidden", []string{"bone-can all 1h", "blue coat 1h", "grey coat belt 1h"},
			[]string{"bone-can all 1h", "blue coat 1h", "shade coat 3h", "edge coat 1h"}},
		{"hidden", []string{"bone-can all 1h", "green coat 1h", "blue coat 1h"},
			[]string{"bone-can all 1h", "blue coat 1h", "blue coat 1h"}},
		{"metal-dulled", []string{"bone-can all 1h", "steel belt 30m", "shade belt 12h"},
			[]string{"bone-can all 1h", "steel belt 30m", "shade belt 12h", "lead belt"}},
		{"coats-dry", []string{"bone-pot all 10m", "blue coat 1h"}, []string{"bone-pot all 2h", "blue coat 1h"}},
		{"highlight-last", []string{"bone-can all 1h", "edge coat 1h", "blue coat 1h"},
			[]string{"bone-can all 1h", "blue coat 1h", "edge coat 1h"}},
		{"dust-smeared", []string{"bone-can all 1h", "lead belt", "blue belt 1h"},
			[]string{"bone-can all 1h", "blue belt 1h", "lead belt"}},
		{"dust-loose", []string{"bone-can all 1h", "rust belt"},
			[]string{"bone-can all 1h", "rust belt", "matt all 2h"}},
		{"transfer-gloss", []string{"bone-can all 1h", "matt all 2h", "transfer: coat 1h", "matt all 2h"},
			[]string{"bone-can all 1h", "gloss all 2h", "transfer: coat 1h", "matt all 2h"}},
		{"transfer-sealed", []string{"bone-can all 1h", "gloss all 2h", "transfer: coat 1h"},
			[]string{"bone-can all 1h", "gloss all 2h", "transfer: coat 1h", "matt all 2h"}},
		{"transfer-set", []string{
			"bone-can all 1h", "gloss all 2h", "transfer: coat 1h", "setting: coat 1h", "matt all 2h",
		},
			[]string{
				"bone-can all 1h", "gloss all 2h", "transfer: coat 1h", "setting: coat 12h", "matt all 2h",
			}},
		{"varnish-dry", []string{"bone-can all 1h", "blue coat 1h", "matt all 2h"},
			[]string{"bone-can all 1h", "blue coat 24h", "matt all 2h"}},
		{"matt-last", []string{"bone-can all 24h", "matt all 2h", "gloss all 2h"},
			[]string{"bone-can all 24h", "gloss all 2h", "matt all 2h"}},
		{"tuft-last", []string{"bone-can all 1h", "tuft: base", "blue base 1h"},
			[]string{"bone-can all 1h", "blue base 1h", "tuft: base"}},
		{"solvent-over", []string{"bone-can all 1h", "red coat 24h", "oil coat 24h"},
			[]string{"bone-can all 1h", "red coat 24h", "gloss all 24h", "oil coat 24h"}},
		{"wait-missing", []string{"bone-can all", "blue coat"}, []string{"bone-can all 1h", "blue coat"}},
	} {
		if got := rulesOf(Check(recipeOf(t, c.bad...), soldier(), idx), Mention); !slices.Contains(got, c.rule) {
			t.Errorf("%s does not fire on %q: %v", c.rule, c.bad, got)
		}
		if got := rulesOf(Check(recipeOf(t, c.right...), soldier(), idx), Mention); slices.Contains(got,
			c.rule) {
			t.Errorf("%s fires on %q: %v", c.rule, c.right, got)
		}
	}
}

func TestRulesAreListed(t *testing.T) {
	var ids []string
	for _, r := range Rules {
		ids = append(ids, r.ID)
		if r.Reason == "" {
			t.Errorf("%s has no reason", r.ID)
		}
	}
	if !slices.Equal(ids, inventory.OrderRules) {
		t.Errorf("the rules are %v, the files know %v", ids, inventory.OrderRules)
	}
}

func TestAllowAndOptional(t *testing.T) {
	idx := testIndex()
	hurried := recipeOf(t, "bone-can all 1h", "shade figure 3h", "edge coat * 24h",
		"matt figure 2h !varnish-dry")
	found := Check(hurried, soldier(), idx)
	if got := rulesOf(found, Risky); !slices.Equal(got, []string{"wash-dry"}) {
		t.Fatalf("rules: %v", got)
	}
	if !found[0].Without || found[0].Wait != 3*time.Hour || found[0].Needs != Overnight {
		t.Errorf("only without the optional highlight is the wash wet: %+v", found[0])
	}
	hurried.Steps[3].Allow = append(hurried.Steps[3].Allow, "wash-dry")
	if got := rulesOf(Check(hurried, soldier(), idx), Risky); len(got) > 0 {
		t.Errorf("allowed, but told: %v", got)
	}
}

// Dew points as in any table of the Magnus formula: 20 C at 50 % is 9.3 C, 25 C
// at 60 % is 16.7 C, 30 C at 80 % is 26.2 C (from memory).
func TestWeather(t *testing.T) {
	for _, c := range []struct{ at, damp, dew float64 }{
		{20, 50, 9.3}, {25, 60, 16.7}, {30, 80, 26.2}, {15, 100, 15},
	} {
		if got := DewPoint(Air{Celsius: c.at, Humidity: c.damp}); math.Abs(got-c.dew) > 0.1 {
			t.Errorf("dew point at %g C, %g %%: %.2f, want %g", c.at, c.damp, got, c.dew)
		}
	}
	spray := &recipeOf(t, "bone-can all 1h").Steps[0]
	cold := 9.0
	for _, c := range []struct {
		air  Air
		told bool
	}{
		{Air{20, 50, nil}, false},
		{Air{8, 50, nil}, true},
		{Air{31, 40, nil}, true},
		{Air{20, 75, nil}, true},
		{Air{20, 50, &cold}, true},
	} {
		if got := len(CheckAir(spray, testIndex(), c.air)) > 0; got != c.told {
			t.Errorf("spraying at %+v: told %v", c.air, got)
		}
	}
	if len(CheckAir(&recipeOf(t, "blue all").Steps[0], testIndex(), Air{2, 99, nil})) > 0 {
		t.Error("a brush cares nothing for the weather")
	}
}

// The three classic mistakes, by the clock of what was noted.
func TestWorkByTheClock(t *testing.T) {
	idx := testIndex()
	r := recipeOf(t, "bone-can all 1h", "green coat 1h", "shade figure 12h", "matt figure 24h",
		"transfer: coat 1h", "matt figure 2h")
	idx.Recipes["r"] = r
	idx.Figures["soldier"] = soldier()
	u := inventory.Unit{ID: "u", Figures: 6, Figure: "soldier", Recipe: "r"}
	at := time.Date(2026, 3, 2, 20, 0, 0, 0, time.UTC)
	done := func(step string, n int, when time.Time) inventory.Work {
		return inventory.Work{Unit: "u", Step: r.Steps[n].ID, Figures: 6, At: when}
	}
	f := &inventory.Force{
		ID:    "f",
		Units: []inventory.Unit{u},
		Done: []inventory.Work{
			done("prime", 0, at),
			done("coat", 1, at.Add(time.Hour)),
			done("wash", 2, at.Add(2*time.Hour)),
		},
	}
	check := func(step int, when time.Time) Worked {
		return CheckWork(f, u, idx, []inventory.Work{done("", step, when)}, when)
	}

	if w := check(3, at.Add(3*time.Hour)); len(w.Findings) != 1 || w.Findings[0].Rule != "wash-dry" ||
		w.Findings[0].Severity != Wrong {
		t.Errorf("varnish an hour after the wash: %+v", w)
	}
	if w := check(3, at.Add(20*time.Hour)); len(w.Findings) != 0 || len(w.Skipped) != 0 {
		t.Errorf("varnish the next day: %+v", w)
	}
	f.Done = append(f.Done, done("varnish", 3, at.Add(20*time.Hour)))
	if w := check(4, at.Add(48*time.Hour)); len(w.Findings) != 1 || w.Findings[0].Rule != "transfer-gloss" {
		t.Errorf("transfer over matt: %+v", w)
	}
	f.Done = []inventory.Work{done("prime", 0, at)}
	r.Steps[0].Mix[0].Paint = "black-can"
	if w := check(1, at.Add(24*time.Hour)); len(w.Findings) != 1 || w.Findings[0].Rule != "light-below" {
		t.Errorf("one-coat over black: %+v", w)
	}
	f.Done = nil
	if w := check(2, at); !slices.Contains(rulesOf(w.Findings, Risky), "primer-first") || len(w.Skipped) != 2 {
		t.Errorf("unprimed and out of order: %+v", w)
	}
	f.Done = []inventory.Work{
		{Unit: "u", Step: r.Steps[0].ID, Figures: 4, At: at},
		{Unit: "u", Step: r.Steps[1].ID, Figures: 2, At: at},
	}
	next := func(n int) []inventory.Work {
		return []inventory.Work{{Unit: "u", Step: r.Steps[1].ID, Figures: n}}
	}
	if w := CheckWork(f, u, idx, next(2), at.Add(24*time.Hour)); slices.Contains(rulesOf(w.Findings, Risky),
		"primer-first") {
		t.Errorf("figures 3 and 4 are primed: %+v", w)
	}
	if w := CheckWork(f, u, idx, next(4), at.Add(24*time.Hour)); !slices.Contains(rulesOf(w.Findings, Risky),
		"primer-first") {
		t.Errorf("figures 5 and 6 are not primed: %+v", w)
	}
}
