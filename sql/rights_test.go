package queries_test

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"

	"halfpot/sql/server/servertest"
)

// The tables of events: whatever was written there stays. A new one is named
// here and gets a trigger of refuse_change.
var events = []string{
	"change", "factor_history", "job", "merged", "order_event", "order_line", "order_pot", "pot_event",
	"shop_order", "work",
}

// names runs a query of one column of text.
func names(t *testing.T, conn *pgx.Conn, sql string, args ...any) []string {
	t.Helper()
	rows, err := conn.Query(t.Context(), sql, args...)
	if err != nil {
		t.Fatal(err)
	}
	all, err := pgx.CollectRows(rows, pgx.RowTo[string])
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// Every table is one of three: append-only, with a trigger that says so; open to
// some change by commands, as grant_rights says; or part of another, with which
// it is removed and written anew.
func TestEveryTableHasTheRightsItNeeds(t *testing.T) {
	t.Parallel()
	conn := connect(t, servertest.New(t))
	guarded := names(t, conn, `select relname::text from pg_trigger t join pg_class r on r.oid = t.tgrelid join pg_proc p on p.oid = t.tgfoid
		where p.proname = 'refuse_change' and t.tgenabled = 'A' and t.tgtype & 56 = 56 and relnamespace = 'halfpot'::regnamespace order by relname`)
	if !slices.Equal(guarded, events) {
		t.Errorf("guarded against UPDATE, DELETE and TRUNCATE are %v, events are %v", guarded, events)
	}
	for _, table := range names(t, conn, "select relname::text from pg_class where relnamespace = "+
		"'halfpot'::regnamespace and relkind in ('r', 'p')") {
		may := names(t, conn, "select p from unnest(array['INSERT', 'SELECT', 'UPDATE', 'DELETE', "+
			"'TRUNCATE', 'REFERENCES', 'TRIGGER']) p where has_table_privilege('halfpot', "+
			"'halfpot.' || quote_ident($1), p)", table)
		part := len(names(t, conn, "select 'x' from pg_constraint where contype = 'f' and confdeltype = "+
			"'c' and conrelid = ('halfpot.' || quote_ident($1))::regclass", table)) > 0
		want := []string{"INSERT", "SELECT"}
		switch {
		case table == "migration":
			want = []string{"SELECT"}
		case slices.Contains(events, table) || part:
		case len(may) <= len(want):
			t.Errorf("%s: commands may neither change nor empty it; "+
				"say in queries/grant_rights.sql what they may do, or name it among the events", table)
		}
		if slices.Contains(events, table) || table == "migration" {
			if !slices.Equal(may, want) {
				t.Errorf("%s: commands may %v, expected %v", table, may, want)
			}
		}
		for _, never := range []string{"TRUNCATE", "REFERENCES", "TRIGGER"} {
			if slices.Contains(may, never) {
				t.Errorf("%s: commands may %s", table, never)
			}
		}
	}
}

// A table that a later migration makes can be read and added to by commands at
// once, and no more.
func TestNewTablesGetTheRightDefault(t *testing.T) {
	t.Parallel()
	url := servertest.New(t)
	if _, err := connect(t, servertest.AsOwner(url)).Exec(t.Context(),
		"create table halfpot.brand_new (number bigint generated always as identity, note text)"); err != nil {
		t.Fatal(err)
	}
	conn := connect(t, url)
	for _, sql := range []string{
		"insert into halfpot.brand_new (note) values ('x')",
		"select nextval('halfpot.brand_new_number_seq')",
		"select * from halfpot.brand_new",
	} {
		if _, err := conn.Exec(t.Context(), sql); err != nil {
			t.Errorf("%s: %v", sql, err)
		}
	}
	for _, sql := range []string{"update halfpot.brand_new set note = 'y'", "delete from halfpot.brand_new"} {
		mustLackTheRight(t, conn, sql)
	}
}

// Every statement runs with the rights that commands have. What only the owner
// runs is named.
func TestCommandsMayRunEveryStatement(t *testing.T) {
	t.Parallel()
	owners := []string{
		"adopt_versions", "drop_schema", "grant_rights", "list_version", "make_schema", "make_version_list",
	}
	conn := connect(t, servertest.New(t))
	files, _ := sourceOf(t)
	for _, f := range files {
		name := strings.TrimSuffix(filepath.Base(f), ".sql")
		if slices.Contains(owners, name) {
			continue
		}
		text, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		d, err := conn.Prepare(t.Context(), name, string(text))
		if err != nil {
			t.Errorf("%s: %v", f, err)
			continue
		}
		arguments := strings.TrimSuffix(strings.Repeat("null, ", len(d.ParamOIDs)), ", ")
		if arguments != "" {
			arguments = "(" + arguments + ")"
		}
		// Explaining looks at the rights and runs nothing.
		if _, err := conn.Exec(t.Context(), "explain execute "+pgx.Identifier{name}.Sanitize()+arguments,
			pgx.QueryExecModeSimpleProtocol); err != nil {
			t.Errorf("%s: %v; give commands the right in queries/grant_rights.sql", f, err)
		}
	}
}

// Append-only holds against the program's own user, whatever it tries.
func TestCommandsCantRewriteEvents(t *testing.T) {
	t.Parallel()
	url := servertest.New(t)
	filledAt(t, servertest.AsOwner(url))
	conn := connect(t, url)
	for _, table := range events {
		before := names(t, conn,
			"select md5(coalesce(string_agg(e::text, '|' order by e::text), '')) || count(*) from halfpot."+table+" e")
		column := names(t, conn, "select attname::text from pg_attribute where attrelid = ('halfpot.' || "+
			"$1)::regclass and attnum > 0 order by atttypid = 'text'::regtype desc, attnum desc", table)[0]
		for _, sql := range []string{
			"update halfpot.T set C = C",
			"delete from halfpot.T",
			"delete from halfpot.T where false",
			"truncate halfpot.T cascade",
			"merge into halfpot.T t using (select 1) s on true when matched then delete",
			"merge into halfpot.T t using (select 1) s on true when matched then update set C = t.C",
			"with gone as (delete from halfpot.T returning *) select count(*) from gone",
			"copy halfpot.T to program 'cat'",
			"copy halfpot.T from program 'echo'",
			"copy halfpot.T to '/tmp/halfpot-never'",
			"alter table halfpot.T disable trigger all",
			"alter table halfpot.T disable trigger T_append_only",
			"alter table halfpot.T rename to other",
			"alter table halfpot.T add column more text",
			"alter table halfpot.T owner to halfpot",
			"alter table halfpot.T no inherit halfpot.T",
			"drop trigger T_append_only on halfpot.T",
			"drop table halfpot.T cascade",
			"create trigger mine before insert on halfpot.T for each row execute function " +
				"halfpot.refuse_change()",
			"create rule mine as on insert to halfpot.T do instead nothing",
			"create policy mine on halfpot.T using (true)",
			"create index mine on halfpot.T (C)",
			"lock table halfpot.T in access exclusive mode",
			"select * from halfpot.T for update",
		} {
			sql = strings.NewReplacer("halfpot.T", "halfpot."+table, "T_append", table+"_append",
				"set C = C", "set "+column+" = "+column,
				"set C = t.C", "set "+column+" = t."+column, "(C)", "("+column+")").Replace(sql)
			mustLackTheRight(t, conn, sql)
		}
		// This one only warns, and gives nothing.
		if _, err := conn.Exec(t.Context(), "grant all on halfpot."+table+" to halfpot"); err != nil {
			t.Error(err)
		}
		mustLackTheRight(t, conn, "delete from halfpot."+table)
		if after := names(t, conn,
			"select md5(coalesce(string_agg(e::text, '|' order by e::text), '')) || count(*) from halfpot."+table+" e"); !slices.Equal(before, after) {
			t.Errorf("%s has changed", table)
		}
	}
	for _, sql := range []string{
		"set session_replication_role = replica",
		"set role halfpot_owner",
		"set role halfpot_maker",
		"set session authorization halfpot_owner",
		"set session authorization halfpot_maker",
		"alter role halfpot superuser",
		"alter role halfpot createrole",
		"grant halfpot_owner to halfpot",
		"create role other superuser login",
		"create database other",
		"create schema other",
		"create table halfpot.other ()",
		"create function halfpot.refuse_change() returns trigger language plpgsql as 'begin return new; end'",
		"create or replace function halfpot.refuse_change() returns trigger language plpgsql as 'begin " +
			"return new; end'",
		"drop function halfpot.refuse_change() cascade",
		"drop schema halfpot cascade",
		"alter schema halfpot rename to other",
		"drop owned by halfpot_owner",
		"reassign owned by halfpot_owner to halfpot",
		"create extension dblink",
		"alter system set fsync = off",
		"select pg_read_file('PG_VERSION')",
		"select pg_ls_dir('.')",
		"select lo_import('/etc/passwd')",
		"select pg_reload_conf()",
		"update pg_class set relname = relname",
		"delete from halfpot.migration",
		"insert into halfpot.migration (version_id, is_applied) values (1, true)",
		"select setval('halfpot.pot_event_id_seq', 1)",
	} {
		mustLackTheRight(t, conn, sql)
	}
}

// mustLackTheRight fails unless a statement is refused for want of a right.
func mustLackTheRight(t *testing.T, conn *pgx.Conn, sql string) {
	t.Helper()
	// In a transaction of its own that is never kept, should it be allowed after all.
	_, err := conn.Exec(context.WithoutCancel(t.Context()), "begin; "+sql, pgx.QueryExecModeSimpleProtocol)
	if pg, ok := errors.AsType[*pgconn.PgError](err); !ok || pg.Code != "42501" {
		// 42710, 25001: cannot be tried within a transaction, so try it bare.
		if ok && pg.Code == "25001" {
			_, _ = conn.Exec(t.Context(), "rollback")
			_, err = conn.Exec(t.Context(), sql)
			pg, ok = errors.AsType[*pgconn.PgError](err)
		}
		if !ok || pg.Code != "42501" {
			t.Errorf("%s: expected a lack of rights, got %v", sql, err)
		}
	}
	_, _ = conn.Exec(context.WithoutCancel(t.Context()), "rollback")
}
