package textfile

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"

	"halfpot/inventory"
)

// kind is one kind of CSV row.
type kind struct {
	name     string
	columns  []string
	required []string
	read     func(*Bundle, *record)
}

// kinds in the order in which a header is compared with them.
func kinds() []kind {
	return []kind{
		{"paints",
			[]string{
				"id", "maker", "range", "name", "code", "type", "colour", "volume-solids", "density",
				"finish", "carrier", "tone",
			},
			[]string{"name", "type"}, (*Bundle).paint},
		{"products", []string{"id", "name", "code", "paint", "volume", "count"},
			[]string{"paint", "volume"}, (*Bundle).productRow},
		{"shops", []string{"id", "name", "currency", "min-order"}, []string{"name", "currency"}, (*Bundle).shop},
		{"delivery", []string{"shop", "from", "fee"}, []string{"shop", "from", "fee"}, (*Bundle).deliveryRow},
		{"offers", []string{"product", "shop", "price", "limit"}, []string{"product", "shop", "price"},
			(*Bundle).offer},
		{"stand-ins", []string{"for", "use", "compromise", "either-way", "note", "other-kind"},
			[]string{"for", "use"}, (*Bundle).standIn},
		{"spectra", []string{"paint", "wavelength", "reflectance"},
			[]string{"paint", "wavelength", "reflectance"}, (*Bundle).spectrumRow},
		{"trial-mixes", []string{"mix", "seen", "note"}, []string{"mix", "seen"}, (*Bundle).trialRow},
		{"pots",
			[]string{
				"id", "paint", "product", "size", "bought", "full", "judged", "opened", "cost", "place",
				"tare",
			},
			[]string{"paint", "size"}, (*Bundle).pot},
		{"pot-events",
			[]string{
				"pot", "number", "kind", "at", "volume", "fraction", "gross", "tare", "estimated", "undoes",
				"job", "note", "moment", "key",
			},
			[]string{"pot", "kind", "at"}, (*Bundle).eventRow},
	}
}

// csvText is the text of a CSV file, kept to find columns in.
type csvText struct {
	data   []byte
	header map[string]int // column name to its position
	starts []int32        // where each line begins; filled when first needed
}

// column is where a field of the row that begins on a line stands, in bytes
// from 1; 0 where there is no such field or it begins on a later line.
func (t *csvText) column(line int, field string) int {
	i, ok := t.header[field]
	if t.starts == nil {
		t.starts = lineStarts(t.data)
	}
	if !ok || line < 1 || line > len(t.starts) {
		return 0
	}
	c := csv.NewReader(bytes.NewReader(t.data[t.starts[line-1]:]))
	if values, err := c.Read(); err != nil || i >= len(values) {
		return 0
	}
	if l, column := c.FieldPos(i); l == 1 {
		return column
	}
	return 0
}

// csvRow is a row of a CSV file as a source of values.
type csvRow struct {
	text   *csvText
	values []string
	line   int
}

func (r *csvRow) value(field string) (any, bool) {
	i, ok := r.text.header[field]
	if !ok || i >= len(r.values) {
		return nil, false
	}
	return Unprotect(r.values[i]), true
}

func (r *csvRow) at(field string) (line, column int) {
	return r.line, r.text.column(r.line, field)
}

func (r *csvRow) fields() []string { return nil }

// withoutNotes blanks the lines before the header that begin with "# ", so
// that the lines below keep their numbers.
func withoutNotes(data []byte) []byte {
	notes := 0
	for bytes.HasPrefix(data, []byte("# ")) {
		_, rest, found := bytes.Cut(data, []byte{'\n'})
		if !found {
			break
		}
		notes++
		data = rest
	}
	return append(bytes.Repeat([]byte{'\n'}, notes), data...)
}

func (b *Bundle) readCSV(file int, data []byte) {
	name := b.files[file]
	text := &csvText{data: withoutNotes(data)}
	b.csv[file] = text
	if line := csvTooMuch(text.data); line > 0 {
		b.holes = true
		b.slip(Slip{
			File:     name,
			Line:     line,
			Found:    fmt.Sprintf("more than %d fields in one row", mostFields),
			Expected: "one for each column",
		})
		return
	}
	c := csv.NewReader(bytes.NewReader(text.data))
	c.FieldsPerRecord = -1
	c.ReuseRecord = true
	head, err := c.Read()
	if err != nil {
		b.csvError(name, err)
		return
	}
	header, k, ok := b.header(file, c, head)
	if !ok {
		b.holes = true
		return
	}
	text.header = header
	rows := 0
	for {
		values, err := c.Read()
		if err == io.EOF {
			break
		}
		if err != nil {
			if !b.csvError(name, err) {
				return
			}
			continue
		}
		rows++
		line, _ := c.FieldPos(0)
		if rows > MaxRows {
			b.holes = true
			b.slip(Slip{
				File:     name,
				Line:     line,
				Found:    fmt.Sprintf("more than %d rows", MaxRows),
				Expected: "at most that many: split the file, or check that it is the right one",
			})
			return
		}
		if len(values) != len(header) {
			b.holes = true
			b.slip(Slip{
				File:     name,
				Line:     line,
				Found:    fmt.Sprintf("%d fields", len(values)),
				Expected: fmt.Sprintf("%d, as in the header", len(header)),
			})
			continue
		}
		row := &csvRow{text: text, values: values, line: line}
		r := b.record(file, row)
		r.need(k.required...)
		k.read(b, r)
	}
	if rows == 0 {
		b.slip(Slip{
			File:     name,
			Line:     1,
			Found:    "a header without rows",
			Expected: "at least one row of " + k.name,
		})
	}
}

// csvError reports a row that breaks the format, and whether reading may go on.
func (b *Bundle) csvError(name string, err error) bool {
	b.holes = true
	var p *csv.ParseError
	if !errors.As(err, &p) {
		b.slip(Slip{File: name, Found: err.Error(), Expected: "CSV as in RFC 4180"})
		return false
	}
	found := map[error]string{
		csv.ErrBareQuote: "a quote inside a field that does not begin with one",
		csv.ErrQuote:     "a quote that is not doubled or not closed",
	}[p.Err]
	if found == "" {
		found = p.Err.Error()
	}
	s := Slip{
		File:     name,
		Line:     p.Line,
		Column:   p.Column,
		Found:    found,
		Expected: `a field in quotes, with each quote inside doubled: "a ""b"" c"`,
	}
	if p.StartLine != p.Line {
		s.Found += fmt.Sprintf(" (the row begins on line %d)", p.StartLine)
	}
	b.slip(s)
	return true
}

// header finds what the rows are and where each column stands.
func (b *Bundle) header(file int, c *csv.Reader, head []string) (map[string]int, kind, bool) {
	name := b.files[file]
	line, _ := c.FieldPos(0)
	if len(head) == 1 {
		for sep, word := range map[string]string{";": "semicolons", "\t": "tabs"} {
			if strings.Contains(head[0], sep) {
				b.slip(Slip{File: name, Line: line, Found: "a header with " + word + " between its columns",
					Expected: "commas: save the file with commas (CSV, comma separated)"})
				return nil, kind{}, false
			}
		}
	}
	names := make([]string, len(head))
	for i, h := range head {
		names[i] = strings.NewReplacer(" ", "-", "_", "-").Replace(strings.ToLower(strings.TrimSpace(Unprotect(h))))
	}
	k := kindOf(name, names)
	if b.only != nil {
		k = *b.only
	}
	header := make(map[string]int, len(names))
	ok := true
	for i, n := range names {
		l, col := c.FieldPos(i)
		s := Slip{File: name, Line: l, Column: col}
		switch _, twice := header[n]; {
		case n == "":
			s.Found, s.Expected = "a column without a name", "one of "+strings.Join(k.columns, ", ")
		case !slices.Contains(k.columns, n):
			s.Found, s.Expected, s.Nearest = "the unknown column "+show(head[i]), "columns of "+k.name+
				": "+strings.Join(k.columns, ", "), inventory.Near(n, k.columns)
		case twice:
			s.Found, s.Expected = "the column "+n+" a second time", "each column once"
		default:
			header[n] = i
			continue
		}
		b.slip(s)
		ok = false
	}
	for _, n := range k.required {
		if _, there := header[n]; !there {
			b.slip(Slip{
				File:     name,
				Line:     line,
				Found:    "no column " + n,
				Expected: "the columns " + strings.Join(k.required, ", ") + " in a list of " + k.name,
			})
			ok = false
		}
	}
	return header, k, ok
}

// kindOf is the kind the file is named for, else the one whose columns fit
// the header best.
func kindOf(file string, names []string) kind {
	stem := strings.ToLower(strings.TrimSuffix(filepath.Base(file), filepath.Ext(file)))
	ks := kinds()
	best, bestScore := ks[0], -1000
	for _, k := range ks {
		if stem == k.name {
			return k
		}
		score := 0
		for _, n := range names {
			if slices.Contains(k.columns, n) {
				score++
			} else {
				score -= 2
			}
		}
		for _, n := range k.required {
			if !slices.Contains(names, n) {
				score -= 2
			}
		}
		if score > bestScore {
			best, bestScore = k, score
		}
	}
	return best
}
