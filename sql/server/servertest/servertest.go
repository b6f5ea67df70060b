// Package servertest gives tests a real PostgreSQL: one throw-away cluster a
// test binary, copied from one that the code which serves users made, and in it a database of
// its own for every test, copied from a migrated template.
//
//	func TestMain(m *testing.M) { servertest.Main(m) }
//
//	func TestX(t *testing.T) {
//		url := servertest.New(t)
//		...
//
// A machine without PostgreSQL fails the tests: skipping would hide that
// nothing was tested.
package servertest

import (
	"context"
	_ "embed" // for the statements
	"errors"
	"fmt"
	"os"
	"os/signal"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"github.com/gofrs/flock"
	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"

	"halfpot/sql/server"
)

//go:embed create_database.sql
var createDatabase string

//go:embed drop_database.sql
var dropDatabase string

//go:embed discard_all.sql
var discardAll string

// The cluster of this test binary, made at first use.
var run cluster

type cluster struct {
	once  sync.Once
	dir   string
	url   string // as commands come in
	owner string // as the owner of the tables
	err   error
	// copying says how databases are copied, where the server knows more than one way.
	copying string
}

// socket is the folder of the server's socket, as the URL has it.
func (c *cluster) socket() string { return c.config().Host }

func (c *cluster) socketFile() string {
	conf := c.config()
	return filepath.Join(conf.Host, fmt.Sprintf(".s.PGSQL.%d", conf.Port))
}

func (c *cluster) config() *pgconn.Config {
	conf, err := pgconn.ParseConfig(c.url)
	if err != nil {
		panic(err) // it was just connected to
	}
	return conf
}

// Main runs the tests and takes the cluster down afterwards. It does not
// return.
func Main(m *testing.M) { os.Exit(Run(m)) }

// Run is Main for a TestMain that has more to do: it gives the exit status.
func Run(m interface{ Run() int }) int {
	stopped := make(chan os.Signal, 1)
	signal.Notify(stopped, os.Interrupt, syscall.SIGTERM)
	defer signal.Stop(stopped)
	go func() {
		<-stopped
		takeDown()
		os.Exit(1)
	}()
	code := m.Run()
	takeDown()
	return code
}

var taken sync.Once

func takeDown() {
	taken.Do(func() {
		for _, dir := range []string{run.dir, made.own} {
			if dir == "" {
				continue
			}
			if err := remove(dir); err != nil {
				fmt.Fprintln(os.Stderr, "taking down the test database:", err)
			}
		}
	})
}

// New gives the URL of a database with all migrations run and nothing in it,
// for this test or benchmark alone. It comes in as commands do, with no more
// rights than they have.
func New(t testing.TB) string {
	t.Helper()
	return withDatabase(run.url, create(t, "halfpot_template"))
}

// Empty gives the URL of a database without any tables, as a user who may make
// them.
func Empty(t testing.TB) string {
	t.Helper()
	return withDatabase(run.owner, create(t, "template0"))
}

// AsOwner turns the URL of one of these databases into one for the owner of
// its tables, who may do all with them.
func AsOwner(url string) string { return withDatabase(run.owner, databaseOf(url)) }

// AsMaker turns the URL of one of these databases into one for the superuser,
// and opens this throw-away cluster to it, as nobody else can.
func AsMaker(t testing.TB, url string) string {
	t.Helper()
	maker.once.Do(func() { maker.err = letMakerIn(t.Context()) })
	if maker.err != nil {
		t.Fatal(maker.err)
	}
	return strings.Replace(url, "user=halfpot ", "user=halfpot_maker ", 1)
}

var maker struct {
	once sync.Once
	err  error
}

// letMakerIn adds the superuser to those who may come in, which the server
// takes in a moment after it is told.
func letMakerIn(ctx context.Context) error {
	s, err := server.Look(ctx, options(run.dir))
	if err != nil {
		return err
	}
	access := filepath.Join(s.Folder, "access")
	text, err := os.ReadFile(access)
	if err == nil {
		err = os.WriteFile(access, append([]byte("local all halfpot_maker trust\n"), text...), 0o600)
	}
	if err == nil {
		err = syscall.Kill(s.PID, syscall.SIGHUP)
	}
	for end := time.Now().Add(30 * time.Second); err == nil; time.Sleep(10 * time.Millisecond) {
		conn, refused := pgx.Connect(ctx, strings.Replace(run.url, "user=halfpot ", "user=halfpot_maker ", 1))
		if refused == nil {
			return conn.Close(ctx)
		}
		if time.Now().After(end) {
			err = refused
		}
	}
	return err
}

// Home makes a folder for a test that opens a private cluster itself, such as
// one of the whole program. The user whom the server runs as can reach it,
// under root as well. At the end a server in it is stopped and all is removed.
func Home(t testing.TB) string {
	t.Helper()
	dir, err := makeDir()
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := remove(dir); err != nil {
			t.Error(err)
		}
	})
	return dir
}

var number atomic.Int64

func create(t testing.TB, template string) string {
	t.Helper()
	run.once.Do(func() { run.err = start(t.Context()) })
	if run.err != nil {
		t.Fatalf("no test database: %v", run.err)
	}
	name := fmt.Sprintf("test_%d", number.Add(1))
	execute(t, fmt.Sprintf(createDatabase, name, template, run.copying))
	t.Cleanup(func() { execute(t, fmt.Sprintf(dropDatabase, name)) })
	return name
}

func withDatabase(url, name string) string {
	return strings.Replace(url, "dbname=halfpot ", "dbname="+name+" ", 1)
}

func databaseOf(url string) string {
	_, after, _ := strings.Cut(url, "dbname=")
	name, _, _ := strings.Cut(after, " ")
	return name
}

// admin makes and drops the databases, all of them through one connection: a new one
// for each would cost more than they do.
var admin struct {
	sync.Mutex
	conn *pgx.Conn
}

func execute(t testing.TB, sql string) {
	t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
	defer cancel()
	admin.Lock()
	defer admin.Unlock()
	if admin.conn == nil || admin.conn.IsClosed() {
		conn, err := pgx.Connect(ctx, withDatabase(run.owner, "postgres"))
		if err != nil {
			t.Fatal(err)
		}
		admin.conn = conn
	}
	for {
		_, err := admin.conn.Exec(ctx, sql)
		if err == nil {
			return
		}
		// A superuser's process (AsMaker) outlives its connection by a moment, and the
		// owner may not end it.
		if pg, ok := errors.AsType[*pgconn.PgError](err); !ok || pg.Code != "42501" || ctx.Err() != nil {
			t.Fatal(err)
		}
		time.Sleep(10 * time.Millisecond)
	}
}

// start makes the cluster, by copying one in which the template stands.
func start(ctx context.Context) error {
	sweep()
	dir, err := makeDir()
	if err != nil {
		return err
	}
	run.dir = dir
	if err := copyCluster(ctx, dir); err != nil {
		return err
	}
	db, err := server.Open(ctx, options(dir))
	if err != nil {
		return err
	}
	run.url, run.owner = db.URL, db.Owner
	admin, err := pgx.Connect(ctx, withDatabase(run.owner, "postgres"))
	if err != nil {
		return err
	}
	defer admin.Close(ctx)
	if v, err := strconv.ParseFloat(strings.Fields(admin.PgConn().ParameterStatus("server_version"))[0],
		64); err == nil && v >= 15 {
		run.copying = " STRATEGY file_copy" // half the work, where no disk is waited for
	}
	return nil
}

func options(dir string) server.Options {
	return server.Options{Private: true, Home: dir, Volatile: true}
}

const prefix = "halfpot-test-"

// bases are folders that every user can reach, which TMPDIR need not be. What
// the tests here look at is not the disk, so that memory comes first.
var bases = []string{"/dev/shm", "/tmp"}

// enough are the bytes that a run may need.
const enough = 4 << 30

// base is the first folder with room.
func base() string {
	var fs syscall.Statfs_t
	if err := syscall.Statfs(bases[0], &fs); err == nil && fs.Bavail > enough/uint64(fs.Bsize) {
		return bases[0]
	}
	return bases[1]
}

// owned are the locks on this process's folders. They are held as long as it
// lives, which tells sweep to keep off.
var owned struct {
	sync.Mutex
	locks []*flock.Flock
}

func makeDir() (string, error) {
	dir, err := os.MkdirTemp(base(), prefix)
	if err != nil {
		return "", err
	}
	lock := flock.New(ownerFile(dir))
	ok, err := lock.TryLock()
	if err != nil {
		return "", err
	}
	if !ok { // swept between these two steps by another run
		return makeDir()
	}
	owned.Lock()
	owned.locks = append(owned.locks, lock)
	owned.Unlock()
	return dir, os.Chmod(dir, 0o711)
}

func ownerFile(dir string) string { return filepath.Join(dir, "owner") }

// sweep removes what killed test runs left: folders whose owner's lock is free.
func sweep() {
	var dirs []string
	for _, base := range bases {
		some, _ := filepath.Glob(filepath.Join(base, prefix+"*"))
		dirs = append(dirs, some...)
	}
	for _, dir := range dirs {
		if _, err := os.Stat(ownerFile(dir)); err != nil {
			continue // just being made
		}
		lock := flock.New(ownerFile(dir))
		if ok, err := lock.TryLock(); err != nil || !ok {
			continue // its owner lives, or it is another user's
		}
		_ = remove(dir) // tried again by the next run
		_ = lock.Close()
	}
}

// remove stops the server of a folder and removes the folder.
func remove(dir string) error {
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
	defer cancel()
	if _, err := server.Stop(ctx, options(dir)); err != nil {
		return err
	}
	return os.RemoveAll(dir)
}
