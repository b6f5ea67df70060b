package queries

import (
	"strings"

	"github.com/jackc/pgx/v5"
)

// The statements of a record, which carries every table there is, whatever its
// columns: their names come from the database itself.

// ListRows lists a table's rows, each as one line of JSON, in the order of
// columns.
func ListRows(table string, order []string) string {
	return "SELECT row_to_json(r)::text FROM halfpot." + quoted(table) + " AS r ORDER BY " + list(order)
}

// InsertRows adds to the columns of a table what a JSON list of objects gives,
// $1. Where a column is named to be returned, each row gives it.
func InsertRows(table string, columns []string, returning string) string {
	sql := "INSERT INTO halfpot." + quoted(table) + " (" + list(columns) +
		") OVERRIDING SYSTEM VALUE SELECT " + list(columns) +
		" FROM json_populate_recordset(NULL::halfpot." + quoted(table) + ", $1::text::json)"
	if returning != "" {
		sql += " RETURNING " + quoted(returning)
	}
	return sql
}

func quoted(name string) string { return pgx.Identifier{name}.Sanitize() }

func list(columns []string) string {
	quotedOnes := make([]string, len(columns))
	for i, c := range columns {
		quotedOnes[i] = quoted(c)
	}
	return strings.Join(quotedOnes, ", ")
}
