package textfile

import (
	"bytes"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"github.com/pelletier/go-toml/v2"
	"github.com/pelletier/go-toml/v2/unstable"
)

// position in a TOML file, from 1.
type position struct{ line, column int }

// tomlTable is a table of a TOML file as a source of values.
type tomlTable struct {
	path   string // "recipes[0].steps[2]"
	table  map[string]any
	places map[string]position
}

func (t *tomlTable) value(field string) (any, bool) {
	v, ok := t.table[field]
	return v, ok
}

// at is where a field, or the table it would stand in, begins.
func (t *tomlTable) at(field string) (line, column int) {
	path := t.path
	if field != "" {
		path = dotted(path, field)
	}
	for path != "" {
		if p, ok := t.places[path]; ok {
			return p.line, p.column
		}
		path = path[:max(strings.LastIndexAny(path, ".["), 0)]
	}
	return 0, 0
}

func (t *tomlTable) fields() []string { return slices.Sorted(maps.Keys(t.table)) }

func (t *tomlTable) child(field string, m map[string]any) *tomlTable {
	return &tomlTable{dotted(t.path, field), m, t.places}
}

func (t *tomlTable) element(field string, i int, m map[string]any) *tomlTable {
	return &tomlTable{indexed(dotted(t.path, field), i), m, t.places}
}

func dotted(path, field string) string {
	if path == "" {
		return field
	}
	return path + "." + field
}

func indexed(path string, i int) string { return path + "[" + strconv.Itoa(i) + "]" }

func (b *Bundle) readTOML(file int, data []byte) {
	name, holes := b.files[file], b.holes
	var m map[string]any
	b.holes = true // until it has been read
	refuse := func(t *tooMuch) {
		line := 1 + bytes.Count(data[:t.at], []byte{'\n'})
		b.slip(Slip{
			File:     name,
			Line:     line,
			Column:   t.at - bytes.LastIndexByte(data[:t.at], '\n'),
			Found:    t.found,
			Expected: t.expected,
		})
	}
	if t := tomlTooMuch(data); t != nil {
		refuse(t)
		return
	}
	places, placesErr := tomlPlaces(data)
	if t := (*tooMuch)(nil); errors.As(placesErr, &t) {
		refuse(t)
		return
	}
	if err := toml.Unmarshal(data, &m); err != nil {
		s := Slip{File: name, Found: strings.TrimPrefix(err.Error(), "toml: "), Expected: "TOML"}
		var d *toml.DecodeError
		if errors.As(err, &d) {
			s.Line, s.Column = d.Position()
		}
		b.slip(s)
		return
	}
	if placesErr != nil {
		b.slip(Slip{File: name, Found: placesErr.Error(), Expected: "TOML"})
		return
	}
	b.holes = holes
	root := b.record(file, &tomlTable{table: m, places: places})
	b.tables(root)
	if len(m) == 0 {
		b.slip(Slip{
			File:     name,
			Found:    "no tables",
			Expected: "at least one of [[figures]], [[recipes]], [[forces]], [[paints]] and the like",
		})
	}
}

// tables reads all that a TOML file may hold.
func (b *Bundle) tables(root *record) {
	for _, n := range []struct {
		field string
		read  func(*Bundle, *record)
	}{
		{"paints", (*Bundle).paint}, {"stand-ins", (*Bundle).standIn}, {"spectra", (*Bundle).spectrum},
		{"trial-mixes", (*Bundle).trialMix},
		{"products", (*Bundle).product}, {"shops", (*Bundle).shop}, {"offers", (*Bundle).offer},
		{"figures", (*Bundle).figure}, {"recipes", (*Bundle).recipe}, {"forces", (*Bundle).force},
		{"pots", (*Bundle).pot},
	} {
		for _, r := range root.tables(n.field) {
			n.read(b, r)
			r.closed()
		}
	}
	root.closed()
}

// tomlPlaces finds where each key and table of a valid TOML file stands. The
// error is a *tooMuch where there are more than the decoder should be given.
func tomlPlaces(data []byte) (map[string]position, error) {
	w := placer{
		places: map[string]position{},
		counts: map[string]int{},
		lines:  lineStarts(data),
		tally:  tally{under: map[string]int{}},
	}
	w.p.Reset(data)
	prefix := ""
	for w.p.NextExpression() {
		e := w.p.Expression()
		switch e.Kind {
		case unstable.Table, unstable.ArrayTable:
			prefix = w.header(e)
		case unstable.KeyValue:
			w.keyValue(prefix, e)
		}
		if t := w.tooMuch(w.last); t != nil {
			return nil, t
		}
	}
	if err := w.p.Error(); err != nil {
		return nil, fmt.Errorf("finding places: %w", err)
	}
	return w.places, nil
}

type placer struct {
	p      unstable.Parser
	places map[string]position
	counts map[string]int // elements so far of each array of tables
	lines  []int32
	last   int // byte at which the last key stands
	tally
}

func lineStarts(data []byte) []int32 {
	starts := make([]int32, 1, 1+bytes.Count(data, []byte{'\n'}))
	for i, c := range data {
		if c == '\n' {
			starts = append(starts, int32(i+1))
		}
	}
	return starts
}

func (w *placer) mark(path string, at unstable.Range) {
	i, _ := slices.BinarySearch(w.lines, int32(at.Offset)+1)
	w.places[path] = position{i, int(at.Offset) - int(w.lines[i-1]) + 1}
	w.last = int(at.Offset)
	w.paths += len(path)
}

// header gives the path of a [table] or [[array of tables]].
func (w *placer) header(e *unstable.Node) string {
	path := ""
	var last unstable.Range
	w.chain = w.chain[:0]
	it := e.Key()
	for it.Next() {
		k := it.Node()
		path = dotted(path, string(k.Data))
		last = k.Raw
		if n := w.counts[path]; n > 0 && (!it.IsLast() || e.Kind == unstable.Table) {
			w.chain = append(w.chain, path)
			path = indexed(path, n-1)
		}
		if _, open := w.places[path]; open {
			w.work += w.open
		} else {
			w.names(1)
		}
	}
	if e.Kind == unstable.ArrayTable {
		n := w.counts[path]
		w.counts[path] = n + 1
		if n == 0 {
			w.mark(path, last)
		} else {
			w.again(path)
		}
		w.chain = append(w.chain, path)
		path = indexed(path, n)
	}
	w.mark(path, last)
	return path
}

func (w *placer) keyValue(prefix string, e *unstable.Node) {
	path := prefix
	var last unstable.Range
	it := e.Key()
	for it.Next() {
		path = dotted(path, string(it.Node().Data))
		last = it.Node().Raw
		w.names(1)
	}
	w.mark(path, last)
	w.value(path, last, e.Value())
}

// value marks what stands inside an inline table or an array. Tables in an
// array stand where their first key does.
func (w *placer) value(path string, at unstable.Range, v *unstable.Node) {
	if w.paths > mostTOMLPaths {
		return // this file is refused
	}
	switch v.Kind {
	case unstable.InlineTable:
		it := v.Children()
		for first := true; it.Next() && w.paths <= mostTOMLPaths; first = false {
			kv := it.Node()
			if key := kv.Key(); first && key.Next() {
				w.mark(path, key.Node().Raw)
			}
			w.keyValue(path, kv)
		}
	case unstable.Array:
		it := v.Children()
		for i := 0; it.Next() && w.paths <= mostTOMLPaths; i++ {
			p := indexed(path, i)
			w.mark(p, at)
			w.names(1)
			w.value(p, at, it.Node())
		}
	}
}
