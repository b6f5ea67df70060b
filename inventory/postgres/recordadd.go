package postgres

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/jackc/pgx/v5"

	queries "halfpot/sql"
)

// rowsAtOnce go to the server in one statement; numbers up to mostNumber are kept
// where a table was empty.
const (
	rowsAtOnce = 1000
	mostNumber = 10_000_000
)

// AddRecord adds what a record holds and the database does not, each row once by
// its key. What is there already stays as it is: things that can be changed are
// changed by the files beside the record, and an event that says something else
// here is a Conflict. A setting is that which was changed last. Into tables that
// are empty the rows come with the numbers they had. The counts are by table, but
// for those that only spell out the rows of another.
func (t *Tx) AddRecord(ctx context.Context, rec *Record) (map[string]Count, error) {
	if _, err := t.tx.Exec(ctx, queries.WritePlainly); err != nil {
		return nil, err
	}
	version, err := tablesVersion(ctx, t.tx)
	if err != nil {
		return nil, err
	}
	if rec.Tables > version {
		text := fmt.Sprintf("made by a newer halfpot: its tables are at version %d, here at %d; "+
			"nothing was changed: use the newer halfpot", rec.Tables, version)
		return nil, &BadRecordError{rec.Name, 1, text}
	}
	if err := t.keepForRecord(ctx, rec); err != nil {
		return nil, err
	}
	return addRows(ctx, t.tx, rec)
}

// addRows adds the rows of a record, whatever the tables' version.
func addRows(ctx context.Context, tx pgx.Tx, rec *Record) (map[string]Count, error) {
	tables, err := readTables(ctx, tx)
	if err != nil {
		return nil, err
	}
	a := &recordAdder{
		tx:         tx,
		rec:        rec,
		tables:     map[string]*table{},
		newNumbers: map[string]map[string]json.RawMessage{},
		added:      map[string][]map[string]json.RawMessage{},
	}
	for _, tab := range tables {
		a.tables[tab.name] = tab
	}
	for name, rows := range rec.rows {
		if a.tables[name] == nil {
			return nil, &BadRecordError{
				Name: rec.Name,
				Line: rows[0].line,
				Text: fmt.Sprintf("a table %q, which is not here", name),
			}
		}
	}
	counts := map[string]Count{}
	for _, tab := range tables {
		n, err := a.addTable(ctx, tab)
		if err != nil {
			return nil, err
		}
		if !tab.detail() {
			counts[tab.name] = n
		}
	}
	return counts, nil
}

// keepForRecord remembers what the change is about to touch, for the look at the
// whole.
func (t *Tx) keepForRecord(ctx context.Context, rec *Record) error {
	if _, err := t.keepCatalogue(ctx); err != nil {
		return err
	}
	var ids []string
	for _, row := range rec.rows["pot"] {
		var p struct{ ID string }
		if err := json.Unmarshal(row.values, &p); err != nil {
			return &BadRecordError{rec.Name, row.line, "not a pot"}
		}
		ids = append(ids, p.ID)
	}
	return t.keepPots(ctx, ids)
}

type recordAdder struct {
	tx         pgx.Tx
	rec        *Record
	tables     map[string]*table
	newNumbers map[string]map[string]json.RawMessage   // by table: the number in the record to that here
	added      map[string][]map[string]json.RawMessage // rows of tables that have parts
}

// failed says of which table of the record the server refused something.
func (a *recordAdder) failed(t *table, err error) error {
	if err == nil {
		return nil
	}
	return fmt.Errorf("%s, %s: %w", a.rec.Name, plain(t.name), translate(err))
}

// columns are those that the record has of a table.
func (a *recordAdder) columns(t *table, row recordRow) ([]string, error) {
	var values map[string]json.RawMessage
	if err := json.Unmarshal(row.values, &values); err != nil {
		return nil, &BadRecordError{a.rec.Name, row.line, "not a row"}
	}
	for c := range values {
		if !slices.Contains(t.columns, c) {
			text := fmt.Sprintf("%s of %s, which is not kept here", plain(c), article(plain(t.name)))
			return nil, &BadRecordError{a.rec.Name, row.line, text}
		}
	}
	columns := slices.DeleteFunc(slices.Clone(t.columns), func(c string) bool {
		_, has := values[c]
		return !has
	})
	for _, c := range t.key {
		if !slices.Contains(columns, c) {
			text := fmt.Sprintf("%s without its %s", article(plain(t.name)), plain(c))
			return nil, &BadRecordError{a.rec.Name, row.line, text}
		}
	}
	return columns, nil
}

func (a *recordAdder) values(row recordRow, columns []string) (map[string]json.RawMessage, error) {
	var values map[string]json.RawMessage
	if err := json.Unmarshal(row.values, &values); err != nil || len(values) != len(columns) {
		return nil, &BadRecordError{a.rec.Name, row.line, "not a row like the others"}
	}
	return values, nil
}

// hereRow is a row that is in the database already.
type hereRow struct {
	number json.RawMessage
	says   string // all of it but the number
	values map[string]json.RawMessage
}

func (a *recordAdder) here(ctx context.Context, t *table, columns []string) (map[string]hereRow, error) {
	out := map[string]hereRow{}
	err := eachRow(ctx, a.tx, t, func(row string) error {
		if len(t.key) == 0 {
			return fmt.Errorf("the table %s has no key by which its rows are known in a copy", t.name)
		}
		var values map[string]json.RawMessage
		if err := json.Unmarshal([]byte(row), &values); err != nil {
			return err
		}
		out[keyOf(t, values)] = hereRow{values[t.numbered], says(t, columns, values), values}
		return nil
	})
	return out, err
}

func keyOf(t *table, values map[string]json.RawMessage) string {
	var key strings.Builder
	for _, c := range t.key {
		key.Write(values[c])
		key.WriteByte('\n')
	}
	return key.String()
}

func says(t *table, columns []string, values map[string]json.RawMessage) string {
	var all strings.Builder
	for _, c := range columns {
		if c != t.numbered {
			all.Write(values[c])
			all.WriteByte('\n')
		}
	}
	return all.String()
}

// partOf tells of the rows of a table whether what they are part of came with
// this record: parts of what was there already stay as they are.
func (a *recordAdder) partOf(t *table) func(map[string]json.RawMessage) bool {
	var looks []func(map[string]json.RawMessage) bool
	for _, r := range t.refs {
		if !r.part {
			continue
		}
		wholes := map[string]bool{}
		for _, values := range a.added[r.table] {
			wholes[pick(values, r.to)] = true
		}
		looks = append(looks, func(values map[string]json.RawMessage) bool {
			return wholes[pick(values, r.columns)]
		})
	}
	return func(values map[string]json.RawMessage) bool {
		for _, ok := range looks {
			if !ok(values) {
				return false
			}
		}
		return true
	}
}

func pick(values map[string]json.RawMessage, columns []string) string {
	var s strings.Builder
	for _, c := range columns {
		s.Write(values[c])
		s.WriteByte('\n')
	}
	return s.String()
}

// lastNumber is the highest number of a record's rows, and whether they can be kept.
func (a *recordAdder) lastNumber(t *table, rows []recordRow) (last int64, keep bool) {
	if t.numbered == "" {
		return 0, false
	}
	for _, row := range rows {
		var values map[string]json.RawMessage
		if json.Unmarshal(row.values, &values) != nil {
			return 0, false
		}
		n, err := strconv.ParseInt(string(values[t.numbered]), 10, 64)
		if err != nil || n <= last || n > mostNumber {
			return 0, false
		}
		last = n
	}
	return last, true
}

// moveNumbers makes sure that the next row gets a number beyond those that came.
func (a *recordAdder) moveNumbers(ctx context.Context, t *table, last int64) error {
	var n int64
	take := func(count int64) error {
		table := "halfpot." + pgx.Identifier{t.name}.Sanitize()
		return a.tx.QueryRow(ctx, queries.TakeNumbers, table, t.numbered, count).Scan(&n)
	}
	if err := take(1); err != nil || n >= last {
		return err
	}
	return take(last - n)
}

// list is objects as a JSON list.
func list(objects []json.RawMessage) string {
	return "[" + string(bytes.Join(slices.Collect(func(yield func([]byte) bool) {
		for _, o := range objects {
			if !yield(o) {
				return
			}
		}
	}), []byte(","))) + "]"
}
