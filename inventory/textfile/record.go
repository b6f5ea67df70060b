package textfile

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/pelletier/go-toml/v2"

	"halfpot/inventory"
)

// source is where a record's values come from: a CSV row or a TOML table.
type source interface {
	value(field string) (any, bool)
	at(field string) (line, column int) // "": of the record itself
	fields() []string
}

// record reads one record's fields and gathers what is wrong with them. Its
// readers give the zero value for a field that is missing, empty or wrong.
type record struct {
	source
	b    *Bundle
	file int
	path string          // as Validate names the record; "" until named
	used map[string]bool // fields asked for; nil for CSV, whose header is checked
	bad  bool

	missed []string // fields that have been asked for in vain
}

func (b *Bundle) record(file int, s source) *record {
	r := &record{source: s, b: b, file: file}
	if _, ok := s.(*tomlTable); ok {
		r.used = map[string]bool{}
	}
	return r
}

func (r *record) slip(field, found, expected string) { r.slipNear(field, found, expected, nil) }

func (r *record) slipNear(field, found, expected string, nearest func() []string) {
	r.bad = true
	if r.path != "" {
		r.b.bad[r.path] = true
	}
	if len(r.b.slips) >= maxSlips {
		r.b.more++ // finding the column takes time
		return
	}
	line, column := r.at(field)
	r.b.slip(Slip{
		File:     r.b.files[r.file],
		Line:     line,
		Column:   column,
		Field:    field,
		Found:    found,
		Expected: expected,
		Nearest:  nearest,
	})
}

// named says under which path Validate will speak of this record and, where
// they are known one by one, of its fields.
func (r *record) named(path string) {
	r.path = path
	if r.bad {
		r.b.bad[path] = true
	}
	r.alias(path, "")
	for _, f := range r.fields() {
		r.alias(path+"."+f, f)
	}
}

// alias makes a path lead to one field of the record.
func (r *record) alias(path, field string) {
	line, column := r.at(field)
	r.b.places[path] = place{file: int32(r.file), line: int32(line), column: int32(column)}
}

// raw gives a field's value; false where it is missing or empty.
func (r *record) raw(field string) (any, bool) {
	if r.used != nil {
		r.used[field] = true
	}
	v, ok := r.value(field)
	if s, isText := v.(string); isText && strings.TrimSpace(s) == "" {
		return nil, false
	}
	return v, ok
}

// has reports whether a field is there and not empty.
func (r *record) has(field string) bool {
	_, ok := r.raw(field)
	return ok || r.b.keys != nil
}

// need reports those of the fields that are missing or empty.
func (r *record) need(fields ...string) {
	for _, f := range fields {
		if !r.has(f) && !slices.Contains(r.missed, f) {
			r.missed = append(r.missed, f)
			r.slip(f, "nothing", "a value: "+f+" must be given")
		}
	}
}

// closed reports fields nothing has asked for. CSV columns are checked once,
// with the header.
func (r *record) closed() {
	if r.used == nil {
		return
	}
	if r.b.keys != nil {
		r.noteKeys()
		return
	}
	for _, f := range r.fields() {
		if !r.used[f] {
			known := slices.Sorted(maps.Keys(r.used))
			r.slipNear(f, "the unknown field "+show(f), "one of "+strings.Join(known, ", "),
				inventory.Near(f, known))
		}
	}
}

// scalar gives a field as text, whatever its TOML type.
func (r *record) scalar(field, expected string) (string, bool) {
	v, ok := r.raw(field)
	if !ok {
		return "", false
	}
	switch v := v.(type) {
	case string:
		return strings.TrimSpace(v), true
	case int64:
		return strconv.FormatInt(v, 10), true
	case float64:
		return formatFloat(v), true
	case bool:
		return strconv.FormatBool(v), true
	case time.Time:
		return v.Format(time.RFC3339Nano), true
	case toml.LocalDate:
		return v.String(), true
	case []any:
		r.slip(field, "a list", expected)
	case map[string]any:
		r.slip(field, "a table", expected)
	default:
		r.slip(field, fmt.Sprint(v), expected)
	}
	return "", false
}

// text reads free text, by the one rule for it.
func (r *record) text(field string) string {
	s, ok := r.scalar(field, "text")
	if !ok {
		return ""
	}
	if found, expected, ok := inventory.CheckText(s); !ok {
		r.slip(field, found, expected)
		return ""
	}
	return s
}

// word reads one of the words of a list; whether it is one, Validate tells.
func (r *record) word(field string) string { return inventory.Word(r.text(field)) }

// id reads an id; "" where it is missing.
func (r *record) id(field string) string {
	s := r.text(field)
	if s != "" && !inventory.ValidID(s) {
		like := ""
		if t := inventory.Slug(s); t != "" {
			like = ", like " + t
		}
		r.slip(field, show(s), "an id of lower-case letters, digits and single hyphens"+like)
		return ""
	}
	return s
}

// slug makes an id of a name; "" where there is nothing in it to make one of,
// which is then said.
func (r *record) slug(name, of string) string {
	if inventory.Slug(name) != "" {
		return inventory.Slug(of)
	}
	if name != "" {
		r.slip("name", show(name), "an id beside this name, since none can be made of it: "+
			"give one of your own in the field id, of letters a to z, digits and hyphens")
	}
	return ""
}

// parsed reads a field by a parser whose error says what was expected.
func parsed[T any](r *record, field, expected string, parse func(string) (T, error)) (v T) {
	s, ok := r.scalar(field, expected)
	if !ok {
		return v
	}
	got, err := parse(s)
	if err != nil {
		r.slip(field, show(s), err.Error())
		return v
	}
	return got
}

func (r *record) number(field string) float64 { return parsed(r, field, "a number", parseFloat) }
func (r *record) share(field string) float64  { return parsed(r, field, "a share", parseShare) }
func (r *record) when(field string) when {
	return parsed(r, field, "a date", func(s string) (when, error) { return parseWhen(s, r.b.now) })
}
func (r *record) wait(field string) time.Duration {
	return parsed(r, field, "a time", parseWait)
}

func (r *record) quantity(field string, u units) float64 {
	return parsed(r, field, u.name, u.parse)
}

func (r *record) count(field string) int {
	return parsed(r, field, "a whole number", func(s string) (int, error) {
		n, err := strconv.ParseInt(s, 10, 32)
		if err != nil {
			return 0, fmt.Errorf("a whole number, like 2")
		}
		return int(n), nil
	})
}

func (r *record) flag(field string) bool {
	return parsed(r, field, "yes or no", func(s string) (bool, error) {
		switch strings.ToLower(s) {
		case "yes", "true":
			return true, nil
		case "no", "false":
			return false, nil
		}
		return false, fmt.Errorf("yes or no")
	})
}

func (r *record) volume(field string) inventory.Volume {
	return parsed(r, field, "a volume, like 17 ml", parseVolume)
}

// money reads an amount; a bare number is in the fallback currency, where one
// is given.
func (r *record) money(field, fallback string) inventory.Money {
	return parsed(r, field, "a price, like 12.50 EUR", func(s string) (inventory.Money, error) {
		m, err := inventory.ParseMoney(s, fallback)
		if err != nil {
			return m, fmt.Errorf("an amount and a currency, like 12.50 EUR (%s)", err)
		}
		return m, nil
	})
}

// list reads a TOML array of texts, or one text as a list of one.
func (r *record) list(field string) []string {
	v, ok := r.raw(field)
	if !ok {
		return nil
	}
	if s, isText := v.(string); isText {
		return []string{strings.TrimSpace(s)}
	}
	items, isList := v.([]any)
	out := make([]string, 0, len(items))
	for _, item := range items {
		s, isText := item.(string)
		isList = isList && isText
		out = append(out, strings.TrimSpace(s))
	}
	if !isList {
		r.slip(field, "something else", `a list of names, like ["jacket", "trousers"]`)
		return nil
	}
	return out
}

// table reads a nested TOML table; nil where it is missing.
func (r *record) table(field string) *record {
	v, ok := r.raw(field)
	if r.b.keys != nil {
		return r.probe(field)
	}
	if !ok {
		return nil
	}
	t, isTable := r.source.(*tomlTable)
	m, isMap := v.(map[string]any)
	if !isTable || !isMap {
		r.slip(field, "something else", "a table")
		return nil
	}
	return r.b.record(r.file, t.child(field, m))
}

// tables reads an array of nested TOML tables.
func (r *record) tables(field string) []*record {
	v, ok := r.raw(field)
	if r.b.keys != nil {
		return []*record{r.probe(field)}
	}
	if !ok {
		return nil
	}
	t, isTable := r.source.(*tomlTable)
	items, isList := v.([]any)
	var out []*record
	for i, item := range items {
		m, isMap := item.(map[string]any)
		if !isMap {
			isList = false
			break
		}
		out = append(out, r.b.record(r.file, t.element(field, i, m)))
	}
	if !isTable || !isList {
		r.slip(field, "something else", "a list of tables")
		return nil
	}
	return out
}

// show quotes what was found, cut to a readable length.
func show(s string) string {
	const most = 60
	if len(s) > most {
		cut := most
		for cut > 0 && !utf8.RuneStart(s[cut]) {
			cut--
		}
		return strconv.Quote(s[:cut]) + "..."
	}
	return strconv.Quote(s)
}
