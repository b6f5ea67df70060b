package queries_test

import (
	"errors"
	"testing"

	queries "halfpot/sql"
	"halfpot/sql/server/servertest"
)

// A schema of halfpot's name that another program made stays as it is, whatever
// its tables are called.
func TestTablesOfOthersAreLeftAlone(t *testing.T) {
	t.Parallel()
	for name, made := range map[string]string{
		"a version as text": "create table halfpot.schema_version (version text)",
		"a version and no pots": "create table halfpot.schema_version (version integer not " +
			"null); insert into halfpot.schema_version values (4)",
		"a version and more": "create table halfpot.schema_version (version integer, " +
			"at timestamptz); create table halfpot.pot_event ()",
		"other migrations":           "create table halfpot.migration (name text)",
		"nothing that halfpot knows": "create table halfpot.horse (name text)",
		"a view":                     "create view halfpot.stable as select 1 as one",
		"another's, beside halfpot's": "create table halfpot.migration (id int, version_id bigint, " +
			"is_applied boolean, tstamp timestamp); " +
			"create table halfpot.schema_version (version integer); " +
			"insert into halfpot.schema_version values (4)",
		"another's version, beside pots": "create table halfpot.pot_event (); " +
			"create table halfpot.schema_version (version integer, other text)",
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			conn := connect(t, servertest.Empty(t))
			if _, err := conn.Exec(t.Context(), "create schema halfpot; "+made); err != nil {
				t.Fatal(err)
			}
			const content = "select string_agg(relname || coalesce(' ' || (select string_agg(attname, " +
				"',' order by attnum) from pg_attribute where attrelid = c.oid and attnum > 0), ''), " +
				"';' order by relname) from pg_class c where relnamespace = 'halfpot'::regnamespace and " +
				"relkind in ('r', 'v')"
			before := names(t, conn, content)[0]
			err := queries.Migrate(t.Context(), conn, nil)
			if name == "another's, beside halfpot's" {
				// Ours, so it is brought up to date, but the other table stays.
				if err != nil ||
					len(names(t, conn, "select 'there' from halfpot.schema_version where version = 4")) != 1 {
					t.Errorf("%v", err)
				}
				return
			}
			if _, ok := errors.AsType[*queries.ForeignError](err); !ok {
				t.Errorf("got %v", err)
			}
			if after := names(t, conn, content)[0]; after != before {
				t.Errorf("was %s, is %s", before, after)
			}
		})
	}
}
