package queries_test

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"

	"github.com/jackc/pgx/v5"

	queries "halfpot/sql"
	"halfpot/sql/server/servertest"
)

func TestMain(m *testing.M) { servertest.Main(m) }

func connect(t testing.TB, url string) *pgx.Conn {
	t.Helper()
	conn, err := pgx.Connect(t.Context(), url)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = conn.Close(context.Background()) })
	return conn
}

func TestMigrationsAreNumberedWithoutGaps(t *testing.T) {
	files := migrations(t)
	if len(files) == 0 {
		t.Error("there are none")
	}
	form := regexp.MustCompile(`^(\d{3})_[a-z_]+\.sql$`)
	for i, f := range files {
		if name := form.FindStringSubmatch(f); name == nil || name[1] != fmt.Sprintf("%03d", i+1) {
			t.Errorf("%s is not named %03d_name.sql", f, i+1)
		}
	}
}

// migrations lists all that is in their folder, in order.
func migrations(t *testing.T) []string {
	t.Helper()
	files, err := fs.Glob(queries.Migrations(), "*")
	if err != nil {
		t.Fatal(err)
	}
	return files
}

func TestMigrateFromEmptyManyAtOnce(t *testing.T) {
	url := servertest.Empty(t)
	var mu sync.Mutex
	ran := map[string]int{}
	var wg sync.WaitGroup
	for range 6 {
		conn := connect(t, url)
		wg.Go(func() {
			err := queries.Migrate(t.Context(), conn, func(name string) {
				mu.Lock()
				defer mu.Unlock()
				ran[name]++
			})
			if err != nil {
				t.Error(err)
			}
		})
	}
	wg.Wait()
	for _, f := range migrations(t) {
		if ran[f] != 1 {
			t.Errorf("%s ran %d times", f, ran[f])
		}
	}
}

func TestFailedMigrationLeavesNothing(t *testing.T) {
	conn := connect(t, servertest.Empty(t))
	// Something in the way of a later migration.
	for _, sql := range []string{"create schema halfpot", "create domain halfpot.currency as text"} {
		if _, err := conn.Exec(t.Context(), sql); err != nil {
			t.Fatal(err)
		}
	}
	if err := queries.Migrate(t.Context(), conn, nil); err == nil {
		t.Fatal("no error")
	}
	if _, err := conn.Exec(t.Context(), "drop domain halfpot.currency"); err != nil {
		t.Fatal(err)
	}
	if err := queries.Migrate(t.Context(), conn, nil); err != nil {
		t.Errorf("after the obstacle is gone: %v", err)
	}
}

func TestNewerDatabaseIsRefused(t *testing.T) {
	conn := connect(t, servertest.AsOwner(servertest.New(t)))
	if _, err := conn.Exec(t.Context(), "insert into halfpot.migration (version_id, "+
		"is_applied) select max(version_id) + 1, true from halfpot.migration"); err != nil {
		t.Fatal(err)
	}
	err := queries.Migrate(t.Context(), conn, nil)
	newer, ok := errors.AsType[*queries.NewerError](err)
	if !ok || newer.Database != newer.Program+1 || !strings.Contains(err.Error(), "newer than this halfpot") {
		t.Errorf("got %v", err)
	}
}

// Databases made before November 2026 hold the number of their last migration in
// a table of its own.
func TestOlderDatabaseIsTakenOver(t *testing.T) {
	conn := connect(t, servertest.Empty(t))
	if err := queries.Migrate(t.Context(), conn, nil); err != nil {
		t.Fatal(err)
	}
	all := migrations(t)
	for _, sql := range []string{
		"insert into halfpot.paint (id, maker, range, name, code, type) values ('old-rust', '', '', " +
			"'Old rust', '', 'opaque')",
		"drop table halfpot.migration",
		"create table halfpot.schema_version (version integer not null)",
		fmt.Sprintf("insert into halfpot.schema_version values (%d)", len(all)),
	} {
		if _, err := conn.Exec(t.Context(), sql); err != nil {
			t.Fatal(err)
		}
	}
	for range 2 {
		if err := queries.Migrate(t.Context(), conn, func(name string) {
			t.Errorf("%s ran again", name)
		}); err != nil {
			t.Fatal(err)
		}
	}
	var paints, applied, old int
	row := conn.QueryRow(t.Context(), "select (select count(*) from halfpot.paint), "+
		"(select count(*) from halfpot.migration where version_id > 0), "+
		"(select count(*) from pg_tables where tablename = 'schema_version')")
	if err := row.Scan(&paints, &applied, &old); err != nil {
		t.Fatal(err)
	}
	if paints != 1 || applied != len(all) || old != 0 {
		t.Errorf("%d paints, %d migrations listed, %d old tables; expected 1, %d, 0",
			paints, applied, old, len(all))
	}
}

// sourceOf gives the files of statements and the Go text that embeds them.
func sourceOf(t *testing.T) (files []string, source string) {
	t.Helper()
	files, err := filepath.Glob("queries/*.sql")
	if err != nil || len(files) == 0 {
		t.Fatalf("no statements: %v", err)
	}
	text, err := os.ReadFile("statements.go")
	if err != nil {
		t.Fatal(err)
	}
	return files, string(text)
}

func variable(file string) string {
	var b strings.Builder
	for _, w := range strings.Split(strings.TrimSuffix(filepath.Base(file), ".sql"), "_") {
		b.WriteString(strings.ToUpper(w[:1]) + w[1:])
	}
	return b.String()
}

func TestEveryStatementIsEmbeddedAndUsed(t *testing.T) {
	files, source := sourceOf(t)
	var program strings.Builder
	for _, pattern := range []string{"*.go", "../inventory/postgres/*.go"} {
		names, err := filepath.Glob(pattern)
		if err != nil {
			t.Fatal(err)
		}
		for _, name := range names {
			if name == "statements.go" || strings.HasSuffix(name, "_test.go") {
				continue
			}
			text, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			program.Write(text)
		}
	}
	for _, f := range files {
		name := variable(f)
		if !strings.Contains(source, "//go:embed "+f+"\n\t"+name+" string\n") {
			t.Errorf("%s is not embedded as %s", f, name)
		}
		if !regexp.MustCompile(`\b` + name + `\b`).MatchString(program.String()) {
			t.Errorf("%s is used nowhere", f)
		}
	}
	if n := strings.Count(source, "//go:embed"); n != len(files) {
		t.Errorf("%d embedded, %d files", n, len(files))
	}
}

func TestEveryStatementHasAHeaderAndPrepares(t *testing.T) {
	conn := connect(t, servertest.New(t))
	files, _ := sourceOf(t)
	for _, f := range files {
		text, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		name := strings.TrimSuffix(filepath.Base(f), ".sql")
		if !strings.HasPrefix(string(text), "-- "+name+" ") {
			t.Errorf("%s does not begin with its name and purpose", f)
		}
		if body := quoted.ReplaceAllString(comment.ReplaceAllString(string(text), ""), ""); strings.Contains(body, ";") {
			t.Errorf("%s holds more than one statement", f)
		}
		d, err := conn.Prepare(t.Context(), name, string(text))
		if err != nil {
			t.Errorf("%s: %v", f, err)
			continue
		}
		header := strings.Join(comment.FindAllString(string(text), -1), "")
		for i := range d.ParamOIDs {
			if !regexp.MustCompile(fmt.Sprintf(`\$%d\b`, i+1)).MatchString(header) {
				t.Errorf("%s: parameter $%d is not explained", f, i+1)
			}
		}
	}
}

var (
	comment = regexp.MustCompile(`(?m)^--.*\n`)
	quoted  = regexp.MustCompile(`(?s)\$\$.*?\$\$`)
)

func TestCopyTargetsMatchTheTables(t *testing.T) {
	conn := connect(t, servertest.New(t))
	for _, target := range queries.Targets() {
		sql := "select " + strings.Join(target.Columns, ", ") + " from " +
			pgx.Identifier(target.Table).Sanitize()
		if _, err := conn.Prepare(t.Context(), "", sql); err != nil {
			t.Errorf("%v: %v", target.Table, err)
		}
	}
}
