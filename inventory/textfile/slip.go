package textfile

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"halfpot/inventory"
)

// MaxShown is how many slips [Slips.Error] writes out before it counts the rest.
const MaxShown = 50

// Slip is one thing wrong in a file.
type Slip struct {
	File     string
	Line     int    // from 1; 0 where it concerns the whole file
	Column   int    // in bytes from 1; 0 where it concerns the whole line
	Field    string // field or column name; may be empty
	Found    string
	Expected string
	Nearest  []string // names that come close; at most 3
}

// Error gives file:line:column, the field, what was found and expected.
func (s Slip) Error() string {
	var b strings.Builder
	b.WriteString(s.File)
	if s.Line > 0 {
		fmt.Fprintf(&b, ":%d", s.Line)
		if s.Column > 0 {
			fmt.Fprintf(&b, ":%d", s.Column)
		}
	}
	b.WriteString(": ")
	if s.Field != "" {
		b.WriteString(s.Field + ": ")
	}
	fmt.Fprintf(&b, "found %s, expected %s", s.Found, s.Expected)
	if len(s.Nearest) > 0 {
		b.WriteString("; nearest: " + strings.Join(s.Nearest, ", "))
	}
	return b.String()
}

// Slips is every slip of a load, in the order of the files and their lines.
type Slips []Slip

// Error gives one line a slip, at most [MaxShown], and how many more there are.
func (ss Slips) Error() string {
	var b strings.Builder
	for i, s := range ss[:min(len(ss), MaxShown)] {
		if i > 0 {
			b.WriteByte('\n')
		}
		b.WriteString(s.Error())
	}
	if more := len(ss) - MaxShown; more > 0 {
		fmt.Fprintf(&b, "\nand %d more", more)
	}
	return b.String()
}

// Err is ss as an error, nil where there is none.
func (ss Slips) Err() error {
	if len(ss) == 0 {
		return nil
	}
	return ss
}

// place is where a record stands.
type place struct {
	file    int32 // index of the batch's files
	line    int32
	column  int32
	columns []int32        // of a CSV row: where each of its fields begins
	fields  map[string]int // of a CSV row: the header, shared by its rows
}

// Locate gives the slip that a fault of inventory's Validate comes to: the
// line of the deepest record or field on its path that these files hold. False
// where none does, because the fault lies in what was stored before.
func (b *Batch) Locate(f inventory.Fault) (Slip, bool) {
	path, field := f.Path, ""
	for {
		if p, ok := b.places[path]; ok {
			column := p.column
			name, _, _ := strings.Cut(field, ".")
			if i, known := p.fields[name]; known && i < len(p.columns) {
				column = p.columns[i]
			}
			return Slip{File: b.files[p.file], Line: int(p.line), Column: int(column), Field: f.Path,
				Found: f.Found, Expected: f.Expected, Nearest: f.Nearest}, true
		}
		i := strings.LastIndexByte(path, '.')
		if i < 0 {
			return Slip{}, false
		}
		field = strings.TrimPrefix(path[i+1:]+"."+field, ".")
		path = path[:i]
	}
}

// slipOf is Locate for a fault that may lie in what was stored before: it then
// keeps its path and gets no line.
func (b *Batch) slipOf(f inventory.Fault) Slip {
	if s, ok := b.Locate(f); ok {
		return s
	}
	return Slip{File: "with what is stored", Field: f.Path, Found: f.Found, Expected: f.Expected, Nearest: f.Nearest}
}

// sort puts slips in the order of the files and their lines.
func (b *Batch) sort(slips Slips) {
	slices.SortStableFunc(slips, func(x, y Slip) int {
		return cmp.Or(cmp.Compare(slices.Index(b.files, x.File), slices.Index(b.files, y.File)), cmp.Compare(x.Line, y.Line), cmp.Compare(x.Column, y.Column))
	})
}
