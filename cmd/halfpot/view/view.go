// Package view shows results: as text for people, or as JSON or CSV for
// programs, all three from one tagged struct.
//
// A list is a slice of structs. Each field that has a `table` tag becomes a
// column of the table with that heading; each field with a `json` tag becomes
// a key in JSON and, unless `csv:"-"` says otherwise, a column in CSV under
// the same name. On narrow pages a column tagged `narrow:"N"` may go, the highest
// first, and one tagged `wide:"N"` shows only from N cells on: see fit.go. A value decides by its type how it reads: see Amount,
// Money, Swatch and the other types in value.go.
//
//	type potRow struct {
//		ID   string      `json:"id" table:"pot"`
//		Left view.Amount `json:"left" table:"left"`
//	}
//
// Text from files and people can't command what shows it: see safe.go. In CSV
// a cell of text that a spreadsheet would run gets an apostrophe before it, the
// same that package textfile takes away again; ExactCSV is without.
//
// Promise to scripts: keys are added, never renamed; an empty list is [];
// money is an object of a decimal string and a currency; a volume is an object of
// numbers with the unit in the key.
package view

import (
	"bufio"
	"encoding/json"
	"fmt"
	"io"
	"reflect"
	"slices"
	"strings"

	"halfpot/inventory/textfile"
)

// Format is how a result is written.
type Format string

const (
	Text Format = "table" // aligned text for people
	JSON Format = "json"
	CSV  Format = "csv"
	// ExactCSV is CSV without the apostrophe that keeps a spreadsheet from
	// running a cell.
	ExactCSV Format = "exact-csv"
)

// Formats lists the legal formats in the order help shows them.
var Formats = []Format{Text, JSON, CSV, ExactCSV}

// ParseFormat turns what was typed into a Format; it names the legal ones
// where it can't.
func ParseFormat(s string) (Format, error) {
	if f := Format(strings.ToLower(s)); slices.Contains(Formats, f) {
		return f, nil
	}
	return "", fmt.Errorf("--format %q: expected table, json, csv or exact-csv", s)
}

// Printer writes results to one place in one form.
type Printer struct {
	Out    io.Writer
	Format Format
	Style  Style
	Width  int // columns of the terminal; 0: no limit
	// Terminal says that Out is one: then even exact CSV carries no controls.
	Terminal bool
}

// List writes rows, a slice of tagged structs. In text, empty stands for an
// empty list ("no pots yet"); JSON gives [] and CSV its header row.
func (p *Printer) List(rows any, empty string) error {
	return p.Show(rows, rows, func(page *Page) { page.List(rows, empty) })
}

// One writes a single tagged struct: in CSV it is a list of one.
func (p *Printer) One(doc any, text func(*Page)) error {
	v := reflect.ValueOf(doc)
	rows := reflect.Append(reflect.MakeSlice(reflect.SliceOf(v.Type()), 0, 1), v)
	return p.Show(doc, rows.Interface(), text)
}

// Show writes one result: doc in JSON, rows (a slice of tagged structs) in
// CSV, and what text puts on the page otherwise. The three must tell the same.
func (p *Printer) Show(doc, rows any, text func(*Page)) error {
	w := bufio.NewWriter(p.Out)
	var err error
	switch p.Format {
	case JSON:
		err = writeJSON(w, doc)
	case CSV:
		err = writeCSV(w, rows, func(s string) string { return cleanCell(textfile.Protect(s)) })
	case ExactCSV:
		text := func(s string) string { return s }
		if p.Terminal {
			text = cleanCell
		}
		err = writeCSV(w, rows, text)
	default:
		page := &Page{style: p.Style, width: p.Width}
		text(page)
		page.tellLeftOut()
		_, err = io.WriteString(w, page.b.String())
	}
	if err == nil {
		err = w.Flush()
	}
	if err != nil {
		return fmt.Errorf("write the result: %w", err)
	}
	return nil
}

func writeJSON(w io.Writer, doc any) error {
	enc := json.NewEncoder(SafeJSON(w))
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	return enc.Encode(emptyLists(doc))
}
