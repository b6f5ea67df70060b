package postgres

import (
	"context"
	"fmt"
	"slices"

	"github.com/jackc/pgx/v5"

	queries "halfpot/sql"
)

// table is a table as the database describes it, so that what is carried out and
// in forgets none, and no column.
type table struct {
	name       string
	columns    []string
	numbered   string   // the column that the database numbers; empty: none
	key        []string // the columns by which a row is known in every copy; an old version may lack them
	appendOnly bool
	refs       []reference
}

// reference is a foreign key.
type reference struct {
	columns []string
	table   string
	to      []string
	part    bool // rows go with what they belong to
}

// order is the columns by which the rows come as they were entered.
func (t *table) order() []string {
	if t.numbered != "" {
		return []string{t.numbered}
	}
	if len(t.key) > 0 {
		return t.key
	}
	return t.columns
}

// numbers says which columns hold the number of a row of another table, or of an
// earlier one of this, since numbers differ from copy to copy.
func (t *table) numbers(of map[string]*table) map[string]string {
	out := map[string]string{}
	for _, r := range t.refs {
		for i, column := range r.columns {
			if of[r.table].numbered == r.to[i] {
				out[column] = r.table
			}
		}
	}
	return out
}

// detail tells whether rows only spell out those of another table, or are no
// business of the trade.
func (t *table) detail() bool {
	if t.name == "change" || t.name == "stand_in" || t.name == "offer" || t.name == "spectrum" {
		return t.name == "change"
	}
	return slices.ContainsFunc(t.refs, func(r reference) bool {
		return r.part || len(r.columns) > 0 && slices.Contains(t.key, r.columns[0]) && r.table != t.name
	})
}

// readTables gives all tables, each after those it refers to.
func readTables(ctx context.Context, tx pgx.Tx) ([]*table, error) {
	columns, err := collect[struct {
		Table, Column        string
		Numbered, AppendOnly bool
	}](ctx, tx, queries.DescribeColumns)
	if err != nil {
		return nil, err
	}
	byName := map[string]*table{}
	var all []*table
	for _, c := range columns {
		t := byName[c.Table]
		if t == nil {
			t = &table{name: c.Table, appendOnly: c.AppendOnly}
			byName[c.Table] = t
			all = append(all, t)
		}
		t.columns = append(t.columns, c.Column)
		if c.Numbered {
			t.numbered = c.Column
		}
	}
	constraints, err := collect[struct {
		Table, Kind            string
		Columns                []string
		Ref                    string
		RefColumns             []string
		Part, IsUUID, Nullable bool
	}](ctx, tx, queries.DescribeConstraints)
	if err != nil {
		return nil, err
	}
	best := map[string]int{}
	for _, c := range constraints {
		t := byName[c.Table]
		if c.Kind == "f" {
			t.refs = append(t.refs, reference{c.Columns, c.Ref, c.RefColumns, c.Part})
			continue
		}
		if slices.Contains(c.Columns, t.numbered) || c.Nullable {
			continue
		}
		rank := 1
		if c.IsUUID {
			rank = 3
		} else if c.Kind == "p" {
			rank = 2
		}
		if rank > best[t.name] {
			best[t.name], t.key = rank, c.Columns
		}
	}
	return inOrder(all, byName)
}

// inOrder puts tables after those they refer to.
func inOrder(all []*table, byName map[string]*table) ([]*table, error) {
	var out []*table
	placed := map[string]bool{}
	for len(out) < len(all) {
		before := len(out)
		for _, t := range all {
			ready := !placed[t.name] &&
				!slices.ContainsFunc(t.refs, func(r reference) bool {
					return r.table != t.name && !placed[r.table]
				})
			if ready {
				placed[t.name] = true
				out = append(out, t)
			}
		}
		if len(out) == before {
			return nil, fmt.Errorf("tables refer to each other in a circle")
		}
	}
	return out, nil
}

// tablesVersion is the number of the last migration.
func tablesVersion(ctx context.Context, tx pgx.Tx) (version int, err error) {
	err = tx.QueryRow(ctx, queries.SchemaVersion).Scan(&version)
	return version, err
}
