package textfile

import (
	"maps"
	"slices"
)

// List is one kind of CSV file.
type List struct {
	Name     string
	Columns  []string
	Required []string // those of the columns that must be there and filled in
}

// Lists are the kinds of CSV file that are read.
func Lists() []List {
	var out []List
	for _, k := range kinds() {
		out = append(out, List{k.name, k.columns, k.required})
	}
	return out
}

// Keys are all the keys of a TOML file that are read, by the table they stand
// in ("recipes.steps.mix"); "" is the file itself. They come from the readers:
// each is given tables that hold whatever it asks for.
func Keys() map[string][]string {
	b := newBundle(Options{})
	b.files = []string{"keys"}
	b.keys = map[string][]string{}
	b.tables(b.record(0, &tomlTable{}))
	return b.keys
}

// probe is a table that has a name and is otherwise empty.
func (r *record) probe(field string) *record {
	named := map[string]any{"id": "probe", "name": "probe"}
	return r.b.record(r.file, r.source.(*tomlTable).child(field, named))
}

// noteKeys keeps what has been asked of a table.
func (r *record) noteKeys() {
	path := r.source.(*tomlTable).path
	r.b.keys[path] = slices.Sorted(maps.Keys(r.used))
}
