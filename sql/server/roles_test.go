package server

import (
	"context"
	"errors"
	"os"
	"strings"
	"testing"

	"github.com/jackc/pgx/v5"
)

// Nobody comes in through the socket but commands, who are no superuser, and
// the owner of the tables, who has a key and is none either.
func TestNoSuperuserIsInReach(t *testing.T) {
	t.Parallel()
	db := mustOpen(t, private(madeHome(t)))
	for _, url := range []string{db.URL, db.Owner} {
		if got := askAt(t, url, "select rolsuper::text from pg_roles where rolname = current_user"); got != "false" {
			t.Errorf("superuser: %s", got)
		}
	}
	if got := askAt(t, db.URL, "select count(*)::text from pg_roles where rolsuper"); got != "1" {
		t.Errorf("%s superusers", got)
	}
	withoutKey, _, _ := strings.Cut(db.Owner, " password=")
	for _, url := range []string{
		withoutKey,
		withoutKey + " password=0000",
		strings.Replace(db.URL, "user=halfpot", "user=halfpot_maker", 1),
		strings.Replace(db.URL, "user=halfpot dbname=halfpot", "user=halfpot_maker dbname=postgres", 1),
		strings.Replace(db.URL, "user=halfpot dbname=halfpot", "user=halfpot_maker dbname=template1", 1),
		strings.Replace(db.URL, "user=halfpot ", "user=postgres ", 1),
		strings.Replace(db.URL, "user=halfpot ", "user=root ", 1),
		db.URL + " replication=database",
		strings.Replace(db.URL, "user=halfpot ", "user=halfpot_maker ", 1) + " replication=true",
	} {
		conn, err := pgx.Connect(t.Context(), url)
		if err == nil {
			t.Errorf("%s comes in", url)
			_ = conn.Close(context.Background())
		}
	}
}

// A cluster in which commands were superuser, as all were before December 2026,
// is put right with what it holds.
func TestOlderClustersAreDivided(t *testing.T) {
	t.Parallel()
	opt := private(home(t))
	opt.Volatile = false // as it is with users
	c, err := findCluster(opt)
	if err != nil {
		t.Fatal(err)
	}
	older(t, c)
	var said []string
	opt.Announce = func(s string) { said = append(said, s) }
	db := mustOpen(t, opt)
	if !strings.Contains(strings.Join(said, "\n"), "rights of their own") {
		t.Errorf("announced %q", said)
	}
	if got := ask(t, db, "select word from halfpot.kept"); got != "still here" {
		t.Errorf("kept %q", got)
	}
	for what, sql := range map[string]string{
		"database": "select datdba::regrole::text from pg_database where datname = 'halfpot'",
		"schema":   "select nspowner::regrole::text from pg_namespace where nspname = 'halfpot'",
		"tables": "select string_agg(distinct relowner::regrole::text, " +
			"' ') from pg_class where relnamespace = 'halfpot'::regnamespace",
		"function": "select proowner::regrole::text from pg_proc where pronamespace = 'halfpot'::regnamespace",
		"domain":   "select typowner::regrole::text from pg_type where typname = 'slug'",
	} {
		if got := ask(t, db, sql); got != ownerRole {
			t.Errorf("the %s belongs to %s", what, got)
		}
	}
	do(t, db, "drop table halfpot.kept cascade") // the owner may
	said = nil
	mustOpen(t, opt)
	if len(said) > 0 {
		t.Errorf("opened again, it announced %q", said)
	}
}

// older makes a cluster as it was before its roles were divided, and leaves it
// running.
func older(t *testing.T, c *cluster) {
	t.Helper()
	err := c.locked(t.Context(), func() error {
		progs, err := c.programs(t.Context(), 0)
		if err != nil {
			return err
		}
		args := []string{
			"--pgdata", c.data, "--username", "halfpot", "--auth", "trust", "--encoding", "UTF8",
			"--locale", "C", "--no-sync",
		}
		runAs(t, c, progs.path("initdb"), args...)
		child, err := c.launchWith(progs, []string{"listen_addresses=", `unix_socket_directories="` + c.socket + `"`})
		if err != nil {
			return err
		}
		for !errors.Is(c.try(t.Context(), "postgres"), errUndivided) { // a superuser
			if child.exited() {
				t.Fatal(child.said())
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	for database, statements := range map[string][]string{
		"postgres": {"create database halfpot"},
	} {
		execute(t, c.url(database), statements...)
	}
	execute(t, c.url("halfpot"),
		"create schema halfpot",
		"create domain halfpot.slug as text",
		"create table halfpot.kept (number bigint generated always as identity, word halfpot.slug)",
		"insert into halfpot.kept (word) values ('still here')",
		"create view halfpot.seen as select word from halfpot.kept",
		"create function halfpot.one() returns int language sql as 'select 1'")
}

func execute(t *testing.T, url string, statements ...string) {
	t.Helper()
	conn, err := pgx.Connect(t.Context(), url)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(context.Background())
	for _, sql := range statements {
		if _, err := conn.Exec(t.Context(), sql); err != nil {
			t.Fatalf("%s: %v", sql, err)
		}
	}
}

// Without its key the owner gets another one; a damaged key is named.
func TestALostKeyIsReplaced(t *testing.T) {
	t.Parallel()
	opt := private(madeHome(t))
	before := mustOpen(t, opt)
	c, err := findCluster(opt)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(c.key, []byte("bone tone\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	_, err = Open(t.Context(), opt)
	mustBeWords(t, err, "the key in "+c.key+" is damaged")
	if err := os.Remove(c.key); err != nil {
		t.Fatal(err)
	}
	after := mustOpen(t, opt)
	if got := ask(t, after, "select 'in'"); got != "in" || before.Owner == after.Owner {
		t.Errorf("%q, and the key is the same: %t", got, before.Owner == after.Owner)
	}
}
