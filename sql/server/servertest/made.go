package servertest

import (
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/gofrs/flock"
	"github.com/jackc/pgx/v5"

	queries "halfpot/sql"
	"halfpot/sql/server"
)

// MadeHome is Home with a cluster made earlier in it, for tests that are not about
// making one. It waits for no disk.
func MadeHome(t testing.TB) string {
	t.Helper()
	home := Home(t)
	CopyCluster(t, home)
	return home
}

// CopyCluster puts a cluster made earlier, its own database without tables and not
// running, into a folder that the server's user can reach.
func CopyCluster(t testing.TB, home string) {
	t.Helper()
	if err := copyCluster(t.Context(), home); err != nil {
		t.Fatal(err)
	}
}

func copyCluster(ctx context.Context, home string) error {
	made.once.Do(func() { made.err = findMade(context.WithoutCancel(ctx)) })
	if made.err != nil {
		return made.err
	}
	if out, err := exec.Command("cp", "-a", filepath.Join(made.dir, "database"), home).CombinedOutput(); err != nil {
		return fmt.Errorf("%w: %s", err, out)
	}
	return nil
}

// made is the cluster that others are copied from.
var made madeCluster

type madeCluster struct {
	once sync.Once
	dir  string
	own  string // the same where it goes with this test binary
	err  error
}

// findMade takes the cluster that an earlier test binary made and kept, or makes
// it: making one costs two seconds and a half of processor time, copying one a
// twentieth of that. Where it can't be kept, this binary makes one for itself.
func findMade(ctx context.Context) error {
	key, err := madeKey()
	if err == nil {
		err = made.keep(ctx, key)
	}
	if err == nil {
		return nil
	}
	if made.own, err = makeDir(); err != nil {
		return err
	}
	made.dir = made.own
	return makeCluster(ctx, made.own)
}

const (
	madePrefix = "halfpot-made-"
	madeHours  = 6 // after which what nobody asked for goes
)

// madeKey changes with whatever makes a cluster: who, PostgreSQL, and the code.
func madeKey() (string, error) {
	top, err := os.Getwd() // of the package that is tested
	if err != nil {
		return "", err
	}
	for {
		if _, err := os.Stat(filepath.Join(top, "go.mod")); err == nil {
			break
		}
		if top == filepath.Dir(top) {
			return "", errors.New("the sources are not at hand")
		}
		top = filepath.Dir(top)
	}
	h := sha256.New()
	sources, err := filepath.Glob(filepath.Join(top, "sql", "server", "*"))
	own, _ := filepath.Glob(filepath.Join(top, "sql", "server", "servertest", "made.go"))
	for _, pattern := range []string{"*.go", "migrations/*", "queries/*"} {
		tables, _ := filepath.Glob(filepath.Join(top, "sql", pattern))
		own = append(own, tables...)
	}
	programs, _ := filepath.Glob("/usr/lib/postgresql/*/bin/postgres")
	for _, name := range append(append(sources, own...), programs...) {
		info, statErr := os.Stat(name)
		if statErr != nil {
			return "", statErr
		}
		if info.IsDir() {
			continue
		}
		fmt.Fprintln(h, filepath.Base(name), info.Size())
		if info.Size() > 1<<20 { // PostgreSQL's program
			fmt.Fprintln(h, info.ModTime())
			continue
		}
		text, readErr := os.ReadFile(name)
		if readErr != nil {
			return "", readErr
		}
		h.Write(text)
	}
	fmt.Fprintln(h, os.Getenv("LANG"), os.Getenv("LC_ALL")) // not PATH, which testscript changes every time
	if len(sources) == 0 {
		err = errors.New("the sources are not at hand")
	}
	return fmt.Sprintf("%d-%x", os.Geteuid(), h.Sum(nil)[:8]), err
}

// keep finds or makes the cluster of a key. One process makes it while others wait,
// and it gets its name only once it is whole, so that nothing half made is found.
func (m *madeCluster) keep(ctx context.Context, key string) error {
	m.dir = filepath.Join(base(), madePrefix+key)
	lock := flock.New(m.dir + ".lock")
	if err := lock.Lock(); err != nil {
		return err
	}
	defer lock.Close()
	if info, err := os.Lstat(m.dir); err == nil {
		if stat, ok := info.Sys().(*syscall.Stat_t); !ok || !info.IsDir() || int(stat.Uid) != os.Geteuid() {
			return errors.New(m.dir + " is another user's")
		}
		now := time.Now()
		return os.Chtimes(m.dir, now, now)
	}
	dropOldMade()
	dir, err := makeDir()
	if err != nil {
		return err
	}
	if err = makeCluster(ctx, dir); err == nil {
		err = os.Remove(ownerFile(dir)) // from here on nobody's
	}
	if err == nil {
		err = os.Rename(dir, m.dir)
	}
	if err != nil {
		return errors.Join(err, remove(dir))
	}
	return nil
}

// dropOldMade removes the clusters that nobody has asked for of late.
func dropOldMade() {
	dirs, _ := filepath.Glob(filepath.Join(base(), fmt.Sprintf("%s%d-*", madePrefix, os.Geteuid())))
	for _, dir := range dirs {
		if info, err := os.Stat(dir); err == nil && info.IsDir() &&
			time.Since(info.ModTime()) > madeHours*time.Hour {
			_ = os.Remove(dir + ".lock")
			_ = os.RemoveAll(dir) // tried again by the next run
		}
	}
}

// makeCluster makes a cluster in a folder and stops its server.
func makeCluster(ctx context.Context, dir string) error {
	db, err := server.Open(ctx, options(dir))
	if err == nil {
		err = makeTemplate(ctx, db)
	}
	if err != nil {
		return err
	}
	if _, err := server.Stop(ctx, options(dir)); err != nil {
		return err
	}
	// What a program that is tested starts there is as careless as options are.
	auto, err := os.OpenFile(filepath.Join(dir, "database", "data", "postgresql.auto.conf"),
		os.O_APPEND|os.O_WRONLY, 0)
	if err != nil {
		return err
	}
	_, err = auto.WriteString("fsync = off\nsynchronous_commit = off\nfull_page_writes = off\n")
	return errors.Join(err, auto.Close())
}

// makeTemplate makes the database with all tables that those of tests are copied from.
func makeTemplate(ctx context.Context, db *server.Database) error {
	const name = "halfpot_template"
	admin, err := pgx.Connect(ctx, withDatabase(db.Owner, "postgres"))
	if err != nil {
		return err
	}
	defer admin.Close(ctx)
	if _, err := admin.Exec(ctx, fmt.Sprintf(createDatabase, name, "template0", "")); err != nil {
		return err
	}
	conn, err := pgx.Connect(ctx, withDatabase(db.URL, name))
	if err != nil {
		return err
	}
	defer conn.Close(ctx)
	owner := func(ctx context.Context) (*pgx.Conn, error) {
		return pgx.Connect(ctx, withDatabase(db.Owner, name))
	}
	return queries.MigrateAs(ctx, conn, owner, nil)
}
