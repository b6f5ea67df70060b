package postgres

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	queries "halfpot/sql"
)

// rowAdder adds the rows of one table.
type rowAdder struct {
	*recordAdder
	table      *table
	columns    []string           // those that the record has
	insert     []string           // those that go to the server
	here       map[string]hereRow // by key, before the first row was added
	partOf     func(map[string]json.RawMessage) bool
	numberOf   map[string]string // by column: the table whose rows it numbers
	numberedBy bool              // another table refers to the rows by number
	hasParts   bool              // rows of another table are parts of these
	keep       bool              // rows get the numbers they had
	fresh      []json.RawMessage // rows that wait to be sent
	count      Count
}

// addTable adds the rows of one table.
func (a *recordAdder) addTable(ctx context.Context, t *table) (Count, error) {
	rows := a.rec.rows[t.name]
	if len(rows) == 0 {
		return Count{}, nil
	}
	r, err := a.rowAdder(ctx, t, rows[0])
	if err != nil {
		return Count{}, err
	}
	last, canKeep := a.lastNumber(t, rows)
	r.keep = canKeep && len(r.here) == 0
	r.insert = slices.DeleteFunc(slices.Clone(r.columns), func(c string) bool {
		return c == t.numbered && !r.keep
	})
	if r.numberedBy {
		a.newNumbers[t.name] = map[string]json.RawMessage{}
	}
	for _, row := range rows {
		if err := r.add(ctx, row); err != nil {
			return r.count, err
		}
	}
	if err := r.flush(ctx); err != nil {
		return r.count, err
	}
	if r.keep {
		return r.count, a.moveNumbers(ctx, t, last)
	}
	return r.count, nil
}

func (a *recordAdder) rowAdder(ctx context.Context, t *table, first recordRow) (*rowAdder, error) {
	columns, err := a.columns(t, first)
	if err != nil {
		return nil, err
	}
	here, err := a.here(ctx, t, columns)
	if err != nil {
		return nil, err
	}
	r := &rowAdder{
		recordAdder: a,
		table:       t,
		columns:     columns,
		here:        here,
		partOf:      a.partOf(t),
		numberOf:    t.numbers(a.tables),
	}
	for _, other := range a.tables {
		for _, target := range other.numbers(a.tables) {
			r.numberedBy = r.numberedBy || target == t.name
		}
		for _, ref := range other.refs {
			r.hasParts = r.hasParts || ref.part && ref.table == t.name
		}
	}
	return r, nil
}

// add takes one row: it is there already, or goes to the server now or with others.
func (r *rowAdder) add(ctx context.Context, row recordRow) error {
	name := r.table.name
	values, err := r.values(row, r.columns)
	if err != nil || !r.partOf(values) {
		return err
	}
	old := string(values[r.table.numbered])
	if err := r.renumber(row, values); err != nil {
		return err
	}
	if there, ok := r.here[keyOf(r.table, values)]; ok {
		if r.numberedBy {
			r.newNumbers[name][old] = there.number
		}
		return r.meet(ctx, row, values, there)
	}
	r.count.New++
	if r.hasParts {
		r.added[name] = append(r.added[name], values)
	}
	object, err := json.Marshal(values)
	if err != nil {
		return err
	}
	if r.numberedBy && !r.keep {
		r.newNumbers[name][old], err = r.addNumbered(ctx, object)
		return err
	}
	if r.numberedBy {
		r.newNumbers[name][old] = values[r.table.numbered]
	}
	if r.fresh = append(r.fresh, object); len(r.fresh) < rowsAtOnce {
		return nil
	}
	return r.flush(ctx)
}

// renumber puts the numbers that rows of other tables have here in the place of
// those they had in the record.
func (r *rowAdder) renumber(row recordRow, values map[string]json.RawMessage) error {
	for column, target := range r.numberOf {
		v := string(values[column])
		if v == "null" {
			continue
		}
		n, ok := r.newNumbers[target][v]
		if !ok {
			text := fmt.Sprintf("%s: a number %s that no row of %s has", column, v, target)
			return &BadRecordError{r.rec.Name, row.line, text}
		}
		values[column] = n
	}
	return nil
}

// addNumbered sends one row and gives the number it got.
func (r *rowAdder) addNumbered(ctx context.Context, object json.RawMessage) (json.RawMessage, error) {
	var n int64
	statement := queries.InsertRows(r.table.name, r.insert, r.table.numbered)
	if err := r.tx.QueryRow(ctx, statement, list([]json.RawMessage{object})).Scan(&n); err != nil {
		return nil, r.failed(r.table, err)
	}
	return json.RawMessage(strconv.FormatInt(n, 10)), nil
}

// flush sends the rows that wait.
func (r *rowAdder) flush(ctx context.Context) error {
	if len(r.fresh) == 0 {
		return nil
	}
	_, err := r.tx.Exec(ctx, queries.InsertRows(r.table.name, r.insert, ""), list(r.fresh))
	r.fresh = r.fresh[:0]
	return r.failed(r.table, err)
}

// meet deals with a row that is there already.
func (r *rowAdder) meet(
	ctx context.Context, row recordRow, values map[string]json.RawMessage, there hereRow,
) error {
	t := r.table
	switch {
	case says(t, r.columns, values) == there.says:
	case t.appendOnly:
		key := strings.TrimSpace(strings.ReplaceAll(keyOf(t, values), "\n", " "))
		text := fmt.Sprintf("%s that is here already (%s %s) and says something else; "+
			"what happened never changes, and nothing was changed",
			article(plain(t.name)), strings.Join(t.key, ", "), key)
		return &BadRecordError{r.rec.Name, row.line, text}
	case t.name == "setting":
		var old, now struct {
			Name, Value string
			Changed     time.Time
		}
		if err := json.Unmarshal(row.values, &now); err != nil {
			return &BadRecordError{r.rec.Name, row.line, "not a setting"}
		}
		if err := json.Unmarshal(there.values["changed"], &old.Changed); err != nil {
			return err
		}
		if now.Changed.After(old.Changed) {
			r.count.Changed++
			_, err := r.tx.Exec(ctx, queries.PutSetting, now.Name, now.Value, now.Changed)
			return err
		}
	}
	r.count.Same++
	return nil
}
