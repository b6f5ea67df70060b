package view

import (
	"encoding/csv"
	"fmt"
	"io"
	"reflect"
	"strconv"
	"strings"
)

// field is one exported field of a row and where it is shown.
type field struct {
	index []int
	head  string // heading in tables; "": not in tables
	key   string // key in JSON and CSV; "": not in CSV
	spare int    // how readily it is left out of a table too wide for the terminal; 0: never
	wide  int    // only on a page of at least that width, or where all was asked for; 0: on any
}

func (f field) of(row reflect.Value) any { return row.FieldByIndex(f.index).Interface() }

func fields(t reflect.Type) []field {
	var fs []field
	for _, sf := range reflect.VisibleFields(t) {
		if !sf.IsExported() || sf.Anonymous {
			continue
		}
		key, _, _ := strings.Cut(sf.Tag.Get("json"), ",")
		if key == "-" || sf.Tag.Get("csv") == "-" {
			key = ""
		}
		fs = append(fs, field{
			index: sf.Index,
			head:  sf.Tag.Get("table"),
			key:   key,
			spare: tagNumber(sf.Tag, "narrow"),
			wide:  tagNumber(sf.Tag, "wide"),
		})
	}
	return fs
}

// tagNumber is the number in a tag, or 0.
func tagNumber(tag reflect.StructTag, name string) int {
	text, ok := tag.Lookup(name)
	if !ok {
		return 0
	}
	n, err := strconv.Atoi(text)
	if err != nil {
		panic(err) // a tag of this program is wrong
	}
	return n
}

// csvValue is a value whose CSV form differs from its table form.
type csvValue interface{ CSVValue() string }

// csvColumns is a value that takes several columns in CSV.
type csvColumns interface {
	CSVHeads(key string) []string
	CSVValues() []string
}

// writeCSV writes rows, a slice of tagged structs, as RFC 4180 with a header
// row; lines end in LF, which every reader of the format takes and the usual
// line tools prefer. A list of words is joined with "; ". Every cell of words
// goes through text.
func writeCSV(w io.Writer, rows any, text func(string) string) error {
	v := reflect.ValueOf(rows)
	if v.Kind() != reflect.Slice {
		return fmt.Errorf("csv needs a list, not %s", v.Type()) // a mistake in this program
	}
	fs := fields(v.Type().Elem())
	cw := csv.NewWriter(w)
	var record []string
	for _, f := range fs {
		if f.key == "" {
			continue
		}
		if wide, ok := reflect.Zero(v.Type().Elem().FieldByIndex(f.index).Type).Interface().(csvColumns); ok {
			record = append(record, wide.CSVHeads(f.key)...)
			continue
		}
		record = append(record, f.key)
	}
	if err := cw.Write(record); err != nil {
		return err
	}
	for i := range v.Len() {
		record = record[:0]
		for _, f := range fs {
			if f.key != "" {
				record = append(record, csvCells(f.of(v.Index(i)), text)...)
			}
		}
		if err := cw.Write(record); err != nil {
			return err
		}
	}
	cw.Flush()
	return cw.Error()
}

func csvCells(v any, text func(string) string) []string {
	switch v := v.(type) {
	case csvColumns:
		return v.CSVValues()
	case csvValue:
		return []string{v.CSVValue()}
	case []string:
		return []string{text(strings.Join(v, "; "))}
	case *int:
		return []string{render(v, Style{})}
	}
	if k := reflect.ValueOf(v); k.Kind() == reflect.String {
		return []string{text(k.String())}
	}
	return []string{fmt.Sprint(v)}
}

// emptyLists gives doc with every nil list in it as an empty one, so that JSON
// says [] and never null.
func emptyLists(doc any) any {
	v := reflect.ValueOf(doc)
	if !v.IsValid() {
		return doc
	}
	room := reflect.New(v.Type()).Elem()
	room.Set(v)
	fillLists(room)
	return room.Interface()
}

func fillLists(v reflect.Value) {
	switch v.Kind() {
	case reflect.Slice:
		if v.IsNil() {
			if v.CanSet() {
				v.Set(reflect.MakeSlice(v.Type(), 0, 0))
			}
			return
		}
		for i := range v.Len() {
			fillLists(v.Index(i))
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if v.Type().Field(i).IsExported() {
				fillLists(v.Field(i))
			}
		}
	case reflect.Pointer:
		if !v.IsNil() {
			fillLists(v.Elem())
		}
	}
}
