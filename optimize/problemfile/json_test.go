package problemfile

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"

	"halfpot/optimize"
	"halfpot/optimize/generate"
	"halfpot/optimize/internal/testkit"
)

func TestReadProblemAgreesWithEncodingJSON(t *testing.T) {
	var want optimize.Problem
	if err := json.Unmarshal([]byte(testkit.Small), &want); err != nil {
		t.Fatal(err)
	}
	got, err := Read(strings.NewReader(testkit.Small))
	if err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(*got, want) {
		t.Errorf("got %+v, want %+v", *got, want)
	}
}

func TestWrittenProblemsReadBackTheSame(t *testing.T) {
	for _, size := range []string{"tiny", "desk", "force"} {
		shape, _ := generate.Named(size)
		shape.MaxShops, shape.Budget = true, true
		for seed := range uint64(10) {
			p := generate.Problem(seed, shape)
			p.Paints[0].ID = "<\"\\\u2028é\U0001F3A8&\n>" // what needs escaping, and what must not be
			p.Needs[0].Options = []optimize.Option{
				{ID: "o", Uses: []optimize.Use{{Paint: p.Paints[0].ID, UL: 5}}},
				{ID: "nothing"},
			}
			p.Products[0].Contents[0].Paint = p.Paints[0].ID
			rename(p, "p1", p.Paints[0].ID)
			var b bytes.Buffer
			if err := Write(&b, p); err != nil {
				t.Fatal(err)
			}
			got, err := Read(&b)
			if err != nil {
				t.Fatal(err)
			}
			if !reflect.DeepEqual(got, p) {
				t.Fatalf("%s, seed %d: what is read differs from what was written", size, seed)
			}
		}
	}
}

func rename(p *optimize.Problem, from, to string) {
	for n := range p.Needs {
		for o := range p.Needs[n].Options {
			for u := range p.Needs[n].Options[o].Uses {
				if use := &p.Needs[n].Options[o].Uses[u]; use.Paint == from {
					use.Paint = to
				}
			}
		}
	}
	for k := range p.Products {
		for c := range p.Products[k].Contents {
			if content := &p.Products[k].Contents[c]; content.Paint == from {
				content.Paint = to
			}
		}
	}
}

func TestBadFilesNameThePlace(t *testing.T) {
	for _, c := range []struct{ name, from, to, want string }{
		{"unknown key", `"figures": 8`, `"figure": 8`, `line 6, column 53: needs[0]: unknown key "figure", expected one of id, options, group, match, figures`},
		{"unknown key holding a tree", `"figures": 8`, `"x": [[{"a":[1,-2.5e3,true,null,{}]}],[]]`, `line 6, column 53: needs[0]: unknown key "x"`},
		{"key twice", `"worth": 8`, `"worth": 8, "worth": 9`, `line 4, column 42: groups[0]: key "worth" is there twice, expected once`},
		{"missing key", `"price": 295`, `"limit": 1`, `line 11, column 14: offers[0]: key "price" is missing`},
		{"missing list", `"shops"`, `"shopz"`, `line 1, column 1: key "shops" is missing`},
		{"fraction", `"ul": 300`, `"ul": 300.5`, `line 8, column 73: needs[0].options[1].uses[0].ul: found 300.5, expected a whole number without a fraction`},
		{"small fraction", `"ul": 300`, `"ul": 1e-400000000000000000000`, `needs[0].options[1].uses[0].ul: found 1e-400000000000000000000, expected a whole number without a fraction`},
		{"too large", `"ul": 300`, `"ul": 9223372036854775808`, `needs[0].options[1].uses[0].ul: found 9223372036854775808, expected a whole number of at most 19 digits that fits 64 bits`},
		{"far too large", `"ul": 300`, `"ul": 1e99999999999999999999`, `expected a whole number of at most 19 digits`},
		{"negative", `"have_ul": 500`, `"have_ul": -1`, `line 3, column 40: paints[0].have_ul: found -1, expected a whole number of 0 or more`},
		{"text for a number", `"ul": 300`, `"ul": "300"`, `needs[0].options[1].uses[0].ul: found text, expected a whole number`},
		{"number for text", `"id": "ochre"`, `"id": 7`, `line 3, column 53: paints[1].id: found a number, expected text in quotes`},
		{"null", `"limit": 3`, `"limit": null`, `offers[1].limit: found null, expected a whole number`},
		{"object for a list", `"groups": [{"id": "first", "worth": 8}]`, `"groups": {"id": "first", "worth": 8}`, `line 4, column 13: groups: found an object, expected a list`},
		{"unclosed list", `"rules": {`, `"rules": [{`, `rules: found '}', expected ']'`},
		{"list for an object", `{"compromise_price": 25, "max_shops": 1, "budget": 2000}`, `[]`, `rules: found a list, expected an object`},
		{"number without digits", `"ul": 300`, `"ul": -`, `found a number that starts with`},
		{"leading zero", `"ul": 300`, `"ul": 0300`, `found a number that starts with "03", expected digits without leading zeros`},
		{"trailing comma", `"fee": -100}]`, `"fee": -100},]`, `found ']', expected`},
		{"missing comma", `"price": 295}, {`, `"price": 295} {`, `line 11, column 65: offers[0]: found an object, expected ',' or ']' after a value`},
		{"single quotes", `"EUR"`, `'EUR'`, `line 2, column 15: currency: found '\'', expected a value`},
		{"open text", `"EUR",`, `"EUR,`, `found a line break or control character inside text`},
		{"bad escape", `"EUR"`, `"E\xR"`, `found the escape \x, expected one of`},
		{"half a pair", `"id": "ochre"`, `"id": "\ud83c"`, `found half a surrogate pair`},
		{"not UTF-8", `"id": "ochre"`, "\"id\": \"\xff\"", `line 3, column 54: found bytes that are not UTF-8`},
		{"more behind", "\n}\n", "\n}\n{}", `line 14, column 1: found an object after the end of the problem, expected nothing more`},
		{"cut off", "\n}\n", "\n", `found the end of the file`},
		{"wrong bracket", `"figures": 8`, `"x": [1}`, `needs[0]: found '}'`},

		{"currency", `"EUR"`, `"Euro"`, `line 2, column 15: currency: found "Euro", expected three capital letters`},
		{"empty id", `"id": "ochre"`, `"id": ""`, `line 3, column 53: paints[1].id: found an empty id`},
		{"paint twice", `"id": "ochre"`, `"id": "bone"`, `line 3, column 53: paints[1].id: "bone" is the id of paints[0] already`},
		{"option twice", `"id": "mixed"`, `"id": "bone"`, `line 8, column 14: needs[0].options[1].id: "bone" is the id of options[0] already`},
		{"no option", `"options": [
      {"id": "bone", "uses": [{"paint": "bone", "ul": 900}]},
      {"id": "mixed", "compromise": 1, "uses": [{"paint": "bone", "ul": 300}, {"paint": "ochre", "ul": 600}]}]`, `"options": []`, `line 6, column 78: needs[0].options: found none, expected at least one option`},
		{"paint twice in an option", `{"paint": "ochre", "ul": 600}`, `{"paint": "bone", "ul": 600}`, `line 8, column 89: needs[0].options[1].uses[1].paint: "bone" is used in this option already`},
		{"dangling paint", `{"paint": "ochre", "ul": 600}`, `{"paint": "umber", "ul": 600}`, `needs[0].options[1].uses[1].paint: there is no paint "umber" in paints`},
		{"dangling content", `{"paint": "ochre", "ul": 17000}`, `{"paint": "umber", "ul": 17000}`, `products[1].contents[1].paint: there is no paint "umber" in paints`},
		{"dangling product", `{"product": "set"`, `{"product": "kit"`, `line 11, column 78: offers[1].product: there is no product "kit" in products`},
		{"dangling shop", `"set", "shop": "corner"`, `"set", "shop": "market"`, `offers[1].shop: there is no shop "market" in shops`},
		{"dangling group", `"group": "first"`, `"group": "second"`, `line 6, column 30: needs[0].group: there is no group "second" in groups`},
		{"offer twice", `{"product": "set"`, `{"product": "pot"`, `offers[1]: offers[0] is for product "pot" at shop "corner" already`},
		{"empty pot", `"ul": 17000}]}, {`, `"ul": 0}]}, {`, `products[0].contents[0].ul: found 0, expected a whole number of 1 or more`},
		{"no pots", `"count": 2`, `"count": 0`, `products[1].contents[0].count: found 0, expected a whole number of 1 or more`},
		{"first band", `"from": 0`, `"from": 10`, `shops[0].delivery[0].from: found 10, expected 0`},
		{"bands out of order", `"from": 3000`, `"from": 0`, `shops[0].delivery[1].from: found 0, expected more than the 0 of the band before`},
		{"rising fee", `"fee": -100`, `"fee": 396`, `shops[0].delivery[1].fee: found 396, expected no more than the 395`},
		{"no band", `[{"from": 0, "fee": 395}, {"from": 3000, "fee": -100}]`, `[]`, `shops[0].delivery: found none`},
		{"no shop allowed", `"max_shops": 1`, `"max_shops": 0`, `line 12, column 50: rules.max_shops: found 0, expected a whole number of 1 or more`},
		{"volume overflows", `"have_ul": 500`, `"have_ul": 9000000000000000000`, `paints[0]: what is left of paint "bone" and what all options use of it could come to about 9e+18`},
		{"cost overflows", `"price": 295`, `"price": 5000000000000000`, `offers[0]: the cost of all that could be worth ordering`},
		{"points overflow", `"compromise": 1`, `"compromise": 5000000000000000`, `needs: the compromise points of all needs`},
	} {
		if strings.Count(testkit.Small, c.from) != 1 {
			t.Fatalf("%s: the text to replace is there %d times", c.name, strings.Count(testkit.Small, c.from))
		}
		_, err := Read(strings.NewReader(strings.Replace(testkit.Small, c.from, c.to, 1)))
		var invalid *optimize.InvalidError
		if !errors.As(err, &invalid) {
			t.Errorf("%s: error %v, want an InvalidError", c.name, err)
			continue
		}
		if !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s:\n got %s\nwant %s", c.name, err, c.want)
		}
	}
}

func TestWholeNumbersInEveryNotation(t *testing.T) {
	for _, n := range []string{"300.0", "3e2", "3E+2", "3000e-1", "0.3e3", "30.00e1", "300.000"} {
		p, err := Read(strings.NewReader(strings.Replace(testkit.Small, `"ul": 300`, `"ul": `+n, 1)))
		if err != nil || p.Needs[0].Options[1].Uses[0].UL != 300 {
			t.Errorf("%s is the whole number 300 by JSON Schema 2020-12, got error %v", n, err)
		}
	}
	for n, want := range map[string]int64{
		"-0": 0, "0e999999999999999999999999": 0, "0.000": 0, "-9223372036854775808": -1 << 63,
		"-92233720368547758.08e2": -1 << 63,
	} {
		if got, expected := wholeNumber(n); got != want || expected != "" {
			t.Errorf("%s: got %d %q", n, got, expected)
		}
	}
}

func TestAllFaultsAreListed(t *testing.T) {
	bad := strings.NewReplacer(`"EUR"`, `"eur"`, `"ul": 900`, `"ul": -1`, `"price": 295`, `"price": -2`).Replace(testkit.Small)
	_, err := Read(strings.NewReader(bad))
	if n := strings.Count(err.Error(), "\n") + 1; n != 3 {
		t.Errorf("%d faults, want 3:\n%v", n, err)
	}
	many := strings.Replace(testkit.Small, `{"id": "ochre"}`, strings.Repeat(`{"id": "ochre"}, `, 200)+`{"id": "ochre"}`, 1)
	_, err = Read(strings.NewReader(many))
	var invalid *optimize.InvalidError
	if !errors.As(err, &invalid) || len(invalid.Faults) != 50 || invalid.More != 150 {
		t.Errorf("200 repeated ids give %v", err)
	}
}

func TestHostileFiles(t *testing.T) {
	deep := 1 << 20
	for name, s := range map[string]string{
		"empty":        "",
		"blank":        " \n\t ",
		"deep lists":   `{"x": ` + strings.Repeat("[", deep),
		"deep objects": strings.Repeat(`{"x":`, deep),
		"deep closed":  `{"x": ` + strings.Repeat("[", deep) + strings.Repeat("]", deep) + "}",
		"a number":     "7",
		"long number":  `{"paints": [{"id": "a", "have_ul": 1` + strings.Repeat("0", deep) + `}]}`,
		"long text":    `{"` + strings.Repeat("k", deep) + `": 1}`,
	} {
		if _, err := Read(strings.NewReader(s)); err == nil {
			t.Errorf("%s: no error", name)
		} else if len(err.Error()) > 2000 {
			t.Errorf("%s: a message of %d bytes", name, len(err.Error()))
		}
	}
	if _, err := Read(io.LimitReader(blanks{}, 200<<20)); err == nil ||
		!strings.Contains(err.Error(), "more than 16 MiB") {
		t.Errorf("200 MB: error %v", err)
	}
}

type blanks struct{}

func (blanks) Read(b []byte) (int, error) {
	for i := range b {
		b[i] = ' '
	}
	return len(b), nil
}

func TestResultJSON(t *testing.T) {
	var b bytes.Buffer
	r := &optimize.Result{Status: optimize.Optimal, Currency: "EUR", Totals: &optimize.Totals{}, ProvenLevels: 4}
	if err := WriteResult(&b, r); err != nil {
		t.Fatal(err)
	}
	var keys map[string]any
	if err := json.Unmarshal(b.Bytes(), &keys); err != nil {
		t.Fatalf("%v in\n%s", err, b.String())
	}
	for _, list := range []string{"choices", "buy", "shops", "paints"} {
		if v, ok := keys[list].([]any); !ok || len(v) != 0 {
			t.Errorf("%s is %v, want an empty list", list, keys[list])
		}
	}
	b.Reset()
	r = &optimize.Result{
		Status:   optimize.Infeasible,
		Currency: "EUR",
		Reasons:  []optimize.Reason{{Kind: "need", Needs: []string{"a<b"}, Text: "why"}},
	}
	if err := WriteResult(&b, r); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(b.String(), `{"kind":"need","needs":["a<b"],"text":"why"}`) || strings.Contains(b.String(), "choices") {
		t.Errorf("an infeasible result reads\n%s", b.String())
	}
}

// TestSyntaxAgreesWithEncodingJSON damages a file in 20,000 ways and compares
// with the standard library, which knows the syntax (RFC 8259) but not our
// rules: what it refuses we refuse; what we accept decodes to the same value.
func TestSyntaxAgreesWithEncodingJSON(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	const alphabet = "{}[]\",:\\ \n0123456789.-+eEtrufalsn/*x"
	refused, accepted := 0, 0
	for range 20000 {
		b := []byte(testkit.Small)
		for range 1 + rng.IntN(3) {
			i := rng.IntN(len(b))
			switch rng.IntN(3) {
			case 0:
				b[i] = alphabet[rng.IntN(len(alphabet))]
			case 1:
				b = slices.Delete(b, i, i+1)
			default:
				b = slices.Insert(b, i, alphabet[rng.IntN(len(alphabet))])
			}
		}
		sameAsEncodingJSON(t, string(b), &accepted, &refused)
		if ours, theirs := isJSON(string(b)), json.Valid(b); ours != theirs {
			t.Fatalf("JSON: %v, encoding/json says %v\n%s", ours, theirs, b)
		}
	}
	if refused < 5000 || accepted < 500 {
		t.Errorf("%d accepted, %d refused: too one-sided a test", accepted, refused)
	}
}

// isJSON steps over one value as over the value of an unknown key.
func isJSON(s string) (ok bool) {
	d := scanner{s: s}
	defer func() {
		if e := recover(); e != nil {
			_ = e.(syntaxError)
			ok = false
		}
	}()
	d.skip()
	d.space()
	return d.i == len(s)
}

func sameAsEncodingJSON(t *testing.T, s string, accepted, refused *int) {
	t.Helper()
	p, err := parseProblem(s)
	if err != nil {
		*refused++
		return
	}
	*accepted++
	s = strings.TrimPrefix(s, "\uFEFF")
	if !json.Valid([]byte(s)) {
		t.Fatalf("accepted what is not JSON:\n%s", s)
	}
	var want optimize.Problem
	d := json.NewDecoder(strings.NewReader(s))
	d.DisallowUnknownFields()
	if err := d.Decode(&want); err != nil {
		if strings.Contains(err.Error(), "cannot unmarshal number") {
			return // whole numbers written as 3e2, which it does not take
		}
		t.Fatalf("accepted what encoding/json refuses: %v\n%s", err, s)
	}
	if written(t, p) != written(t, &want) {
		t.Fatalf("read as %+v, by encoding/json as %+v", *p, want)
	}
}

// A file that is wrong all over is left after so many faults, not read to its end.
func TestFaultsWithoutEnd(t *testing.T) {
	text := `{"currency":"EUR","paints":[` + strings.Repeat("{},", 5_000_000) + "{}]"
	_, err := Read(strings.NewReader(text))
	var invalid *optimize.InvalidError
	if !errors.As(err, &invalid) || invalid.More != optimize.MostCounted ||
		!strings.HasSuffix(err.Error(), "\nand over 100000 more") {
		t.Errorf("%.300v", err)
	}
}

func FuzzReadProblem(f *testing.F) {
	f.Add(testkit.Small)
	f.Add(`{"currency":"EUR","paints":[],"needs":[],"products":[],"shops":[],"offers":[]}`)
	f.Fuzz(func(t *testing.T, s string) {
		p, err := Read(strings.NewReader(s))
		if err != nil {
			if err.Error() == "" {
				t.Error("an error without words")
			}
			return
		}
		sameAsEncodingJSON(t, s, new(int), new(int))
		text := written(t, p)
		again, err := Read(strings.NewReader(text))
		if err != nil {
			t.Fatalf("what was written does not read back: %v\n%s", err, text)
		}
		if written(t, again) != text {
			t.Error("what is read back differs")
		}
	})
}

func written(t *testing.T, p *optimize.Problem) string {
	var b strings.Builder
	if err := Write(&b, p); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func BenchmarkReadProblem(b *testing.B) {
	for _, size := range []string{"desk", "studio"} {
		shape, _ := generate.Named(size)
		var text bytes.Buffer
		if err := Write(&text, generate.Problem(1, shape)); err != nil {
			b.Fatal(err)
		}
		b.Run(size, func(b *testing.B) {
			b.SetBytes(int64(text.Len()))
			for b.Loop() {
				if _, err := Read(bytes.NewReader(text.Bytes())); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
