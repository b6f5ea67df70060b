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
	"testing/fstest"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/tern/v2/migrate"

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
	files, err := migrate.FindMigrations(queries.Migrations())
	if err != nil {
		t.Fatal(err)
	}
	all, err := fs.Glob(queries.Migrations(), "*")
	if err != nil {
		t.Fatal(err)
	}
	if len(files) == 0 || len(files) != len(all) {
		t.Errorf("%d files, %d of them migrations", len(all), len(files))
	}
	form := regexp.MustCompile(`^\d{3}_[a-z_]+\.sql$`)
	for _, f := range files {
		if !form.MatchString(f) {
			t.Errorf("%s is not named NNN_name.sql", f)
		}
	}
	// The check itself refuses a gap and a double.
	sql := &fstest.MapFile{Data: []byte("SELECT 1")}
	for _, bad := range []fstest.MapFS{{"001_a.sql": sql, "003_c.sql": sql}, {"001_a.sql": sql, "001_b.sql": sql}} {
		if _, err := migrate.FindMigrations(bad); err == nil {
			t.Errorf("%v passed", bad)
		}
	}
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
	files, err := migrate.FindMigrations(queries.Migrations())
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range files {
		if ran[f] != 1 {
			t.Errorf("%s ran %d times", f, ran[f])
		}
	}
}

func TestFailedMigrationLeavesNothing(t *testing.T) {
	conn := connect(t, servertest.Empty(t))
	// Something in the way of a later migration.
	for _, sql := range []string{"create schema halfpot", "create table halfpot.pot ()"} {
		if _, err := conn.Exec(t.Context(), sql); err != nil {
			t.Fatal(err)
		}
	}
	if err := queries.Migrate(t.Context(), conn, nil); err == nil {
		t.Fatal("no error")
	}
	if _, err := conn.Exec(t.Context(), "drop table halfpot.pot"); err != nil {
		t.Fatal(err)
	}
	if err := queries.Migrate(t.Context(), conn, nil); err != nil {
		t.Errorf("after the obstacle is gone: %v", err)
	}
}

func TestNewerDatabaseIsRefused(t *testing.T) {
	conn := connect(t, servertest.New(t))
	if _, err := conn.Exec(t.Context(), "update halfpot.schema_version set version = version + 1"); err != nil {
		t.Fatal(err)
	}
	err := queries.Migrate(t.Context(), conn, nil)
	newer, ok := errors.AsType[*queries.NewerError](err)
	if !ok || newer.Database != newer.Program+1 || !strings.Contains(err.Error(), "newer than this halfpot") {
		t.Errorf("got %v", err)
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
		if body := comment.ReplaceAllString(string(text), ""); strings.Contains(body, ";") {
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

var comment = regexp.MustCompile(`(?m)^--.*\n`)

func TestCopyTargetsMatchTheTables(t *testing.T) {
	conn := connect(t, servertest.New(t))
	for _, target := range queries.Targets() {
		sql := "select " + strings.Join(target.Columns, ", ") + " from " + pgx.Identifier(target.Table).Sanitize()
		if _, err := conn.Prepare(t.Context(), "", sql); err != nil {
			t.Errorf("%v: %v", target.Table, err)
		}
	}
}
