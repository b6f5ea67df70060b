package textfile

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"halfpot/inventory"
)

// MaxShown is how many slips [Slips.Error] writes out before it counts the rest.
const MaxShown = inventory.MaxShown

// Slip is one thing wrong in a file.
type Slip struct {
	File     string
	Line     int    // from 1; 0 where it concerns the whole file
	Column   int    // in bytes from 1; 0 where it concerns the whole line
	Field    string // field or column name; may be empty
	Found    string
	Expected string
	more     int             // others that were not kept
	Nearest  func() []string // names that come close, at most 3; as [inventory.Fault.Nearest]
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
	b.WriteString(inventory.NearestText(s.Nearest))
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
	more := len(ss) - min(len(ss), MaxShown)
	for _, s := range ss {
		more += s.more
	}
	if more > 0 {
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

// place is where a record or a field stands. The columns of a CSV row are
// found again in the file's text when they are asked for.
type place struct {
	file, line, column int32
}

// locate gives the slip that a fault of inventory's Validate comes to: the
// line of the deepest record or field on its path that these files hold. False
// where none does, because the fault lies in what was stored before.
func (b *Bundle) locate(f inventory.Fault) (Slip, bool) {
	path, field := f.Path, ""
	for {
		if p, ok := b.placeOf(path); ok {
			name, _, _ := strings.Cut(field, ".")
			s := b.slipAt(p, name, f.Found, f.Expected)
			s.Field, s.Nearest = f.Path, f.Nearest
			return s, true
		}
		i := strings.LastIndexByte(path, '.')
		if i < 0 {
			return Slip{}, false
		}
		field = strings.TrimPrefix(path[i+1:]+"."+field, ".")
		path = path[:i]
	}
}

// placeOf finds a path among the places, and an event's with its pot.
func (b *Bundle) placeOf(path string) (place, bool) {
	if p, ok := b.places[path]; ok {
		return p, true
	}
	pot, number, ok := strings.Cut(strings.TrimPrefix(path, "pots."), ".events.")
	n, err := strconv.Atoi(number)
	if at := b.eventPlaces[pot]; ok && err == nil && n >= 1 && n <= len(at) {
		return at[n-1], true
	}
	return place{}, false
}

// slipAt is a slip at a place, or at one of its fields where it is a CSV row.
func (b *Bundle) slipAt(p place, field, found, expected string) Slip {
	column := int(p.column)
	if t := b.csv[int(p.file)]; t != nil {
		column = t.column(int(p.line), field)
	}
	return Slip{
		File:     b.files[p.file],
		Line:     int(p.line),
		Column:   column,
		Field:    field,
		Found:    found,
		Expected: expected,
	}
}

// Locate gives the slips that a fault comes to that was found beside Check's.
func (b *Bundle) Locate(f inventory.Fault) Slips { return Slips{b.slipOf(f)} }

// slipOf is locate for a fault that may lie in what was stored before: it then
// keeps its path and gets no line.
func (b *Bundle) slipOf(f inventory.Fault) Slip {
	if s, ok := b.locate(f); ok {
		return s
	}
	return Slip{
		File:     "with what is stored",
		Field:    f.Path,
		Found:    f.Found,
		Expected: f.Expected,
		Nearest:  f.Nearest,
	}
}

// sort puts slips in the order of the files and their lines.
func (b *Bundle) sort(slips Slips) {
	slices.SortStableFunc(slips, func(x, y Slip) int {
		return cmp.Or(cmp.Compare(slices.Index(b.files, x.File), slices.Index(b.files, y.File)),
			cmp.Compare(x.Line, y.Line), cmp.Compare(x.Column, y.Column))
	})
}
