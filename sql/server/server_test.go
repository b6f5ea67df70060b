package server

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
)

// home is a home folder that the server's user can reach, also under root,
// where t.TempDir shuts other users out. Its server is stopped at the end.
func home(t *testing.T) string {
	t.Helper()
	dir, err := os.MkdirTemp(roomy(), "halfpot-server-")
	if err != nil {
		t.Fatal(err)
	}
	if err := os.Chmod(dir, 0o711); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if _, err := Stop(context.Background(), private(dir)); err != nil {
			t.Error(err)
		}
		if err := os.RemoveAll(dir); err != nil {
			t.Error(err)
		}
	})
	return dir
}

// roomy is where the tests' clusters stand: in memory where there is room, since
// few tests are about the disk.
func roomy() string {
	var fs syscall.Statfs_t
	if err := syscall.Statfs("/dev/shm", &fs); err == nil && fs.Bavail > 4<<30/uint64(fs.Bsize) {
		return "/dev/shm"
	}
	return ""
}

// madeHome is a home with a cluster made earlier, which is copied: making one
// is what only some tests are about, and takes a while.
func madeHome(t *testing.T) string {
	t.Helper()
	original.once.Do(func() {
		dir, err := os.MkdirTemp(roomy(), "halfpot-server-")
		if err == nil {
			original.dir = dir
			err = os.Chmod(dir, 0o711)
		}
		if err == nil {
			began := time.Now()
			_, err = Open(context.Background(), private(dir))
			original.took = time.Since(began)
		}
		if err == nil {
			_, err = Stop(context.Background(), private(dir))
		}
		original.err = err
	})
	if original.err != nil {
		t.Fatal(original.err)
	}
	dir := home(t)
	if out, err := exec.Command("cp", "-a", filepath.Join(original.dir, "database"), dir).CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	return dir
}

var original struct {
	once sync.Once
	dir  string
	err  error
	took time.Duration
}

// private is a cluster that waits for no disk, except where a test is about that.
func private(home string) Options { return Options{Private: true, Home: home, Volatile: true} }

// mustOpen opens and shows that the database does what it is asked.
func mustOpen(t *testing.T, opt Options) *Database {
	t.Helper()
	db, err := Open(t.Context(), opt)
	if err != nil {
		t.Fatal(err)
	}
	if got := askAt(t, db.URL, "select current_database() || ' ' || current_user"); db.Private && got != "halfpot halfpot" {
		t.Fatalf("connected to %q", got)
	}
	return db
}

// mightiest is a database's URL for the one who may do most.
func mightiest(db *Database) string {
	if db.Owner != "" {
		return db.Owner
	}
	return db.URL
}

func ask(t *testing.T, db *Database, sql string) string {
	t.Helper()
	return askAt(t, mightiest(db), sql)
}

func askAt(t *testing.T, url, sql string) string {
	t.Helper()
	conn, err := pgx.Connect(t.Context(), url)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(context.Background())
	var s string
	if err := conn.QueryRow(t.Context(), sql).Scan(&s); err != nil {
		t.Fatal(err)
	}
	return s
}

func do(t *testing.T, db *Database, sql string) {
	t.Helper()
	conn, err := pgx.Connect(t.Context(), mightiest(db))
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(context.Background())
	if _, err := conn.Exec(t.Context(), sql); err != nil {
		t.Fatal(err)
	}
}

// mustBeWords fails unless err speaks to the user and mentions all of want.
func mustBeWords(t *testing.T, err error, want ...string) {
	t.Helper()
	if e, ok := errors.AsType[*Error](err); !ok {
		t.Fatalf("error is %T (%v), want *Error", err, err)
	} else if len(e.Hints) == 0 {
		t.Errorf("no hint in %q", err)
	}
	for _, w := range want {
		if !strings.Contains(err.Error(), w) {
			t.Errorf("error %q does not mention %q", err, w)
		}
	}
}

func TestFirstOpenMakesAndLaterOnesFind(t *testing.T) {
	t.Parallel()
	opt := private(home(t))
	opt.Volatile = false
	var said []string
	opt.Announce = func(s string) { said = append(said, s) }
	db := mustOpen(t, opt)
	if len(said) != 2 || !strings.Contains(said[0], "making") || !strings.Contains(said[1], "starting") {
		t.Errorf("announced %q", said)
	}
	do(t, db, "create table kept as select 'bone tone'::text as name")
	said = nil
	mustOpen(t, opt)
	if len(said) != 0 {
		t.Errorf("second open announced %q", said)
	}
	if was, err := Stop(t.Context(), opt); err != nil || !was {
		t.Fatalf("stop: %v, %v", was, err)
	}
	if was, err := Stop(t.Context(), opt); err != nil || was {
		t.Fatalf("second stop: %v, %v", was, err)
	}
	db = mustOpen(t, opt)
	if got := ask(t, db, "select name from kept"); got != "bone tone" {
		t.Errorf("kept %q", got)
	}
	for setting, want := range map[string]string{"fsync": "on", "full_page_writes": "on", "listen_addresses": "", "data_checksums": "on", "server_encoding": "UTF8"} {
		if got := ask(t, db, "select current_setting('"+setting+"')"); got != want {
			t.Errorf("%s is %q, want %q", setting, got, want)
		}
	}
}

func TestVolatileDoesNotWaitForTheDisk(t *testing.T) {
	t.Parallel()
	opt := private(madeHome(t))
	if got := ask(t, mustOpen(t, opt), "select current_setting('fsync')"); got != "off" {
		t.Errorf("fsync is %q", got)
	}
}

func TestEightOpenersShareOneServer(t *testing.T) {
	t.Parallel()
	dir := madeHome(t) // those in other processes make one as well
	var wg sync.WaitGroup
	pids := make([]string, 8)
	errs := make([]error, 8)
	for i := range pids {
		wg.Go(func() {
			db, err := Open(t.Context(), private(dir))
			if err != nil {
				errs[i] = err
				return
			}
			conn, err := pgx.Connect(t.Context(), db.URL)
			if err != nil {
				errs[i] = err
				return
			}
			defer conn.Close(context.Background())
			errs[i] = conn.QueryRow(t.Context(), "select pg_postmaster_start_time()::text").Scan(&pids[i])
		})
	}
	wg.Wait()
	for i := range pids {
		if errs[i] != nil {
			t.Errorf("opener %d: %v", i, errs[i])
		}
		if pids[i] != pids[0] {
			t.Errorf("opener %d reached a server started %s, the first one %s", i, pids[i], pids[0])
		}
	}
}

// TestMain is also the helper process of TestKilledMidway and TestOpenersInOtherProcesses.
func TestMain(m *testing.M) {
	if dir := os.Getenv("OPEN_THIS_HOME"); dir != "" {
		if _, err := Open(context.Background(), private(dir)); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		os.Exit(0)
	}
	flag.Parse()
	_ = flag.Set("test.parallel", "8") // they mostly wait; the flag is there
	code := m.Run()
	if original.dir != "" {
		_ = os.RemoveAll(original.dir)
	}
	os.Exit(code)
}

// opener is a process of its own that opens a home.
func opener(t *testing.T, dir string) *exec.Cmd {
	t.Helper()
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), "OPEN_THIS_HOME="+dir)
	return cmd
}

func TestOpenersInOtherProcesses(t *testing.T) {
	t.Parallel()
	dir := home(t)
	var wg sync.WaitGroup
	for range 4 {
		cmd := opener(t, dir)
		wg.Go(func() {
			if out, err := cmd.CombinedOutput(); err != nil {
				t.Errorf("%v: %s", err, out)
			}
		})
	}
	wg.Wait()
	mustOpen(t, private(dir))
}

// halfpot is killed at moments spread over making and starting; whatever it
// left, the next open mends.
func TestKilledMidway(t *testing.T) {
	t.Parallel()
	madeHome(t)
	whole := original.took
	moments := []int{1, 3}
	if os.Getenv("HALFPOT_LONG") != "" {
		moments = []int{0, 1, 2, 3}
	}
	for _, i := range moments {
		t.Run(fmt.Sprintf("%d quarters", i), func(t *testing.T) {
			t.Parallel()
			dir := home(t)
			cmd := opener(t, dir)
			if err := cmd.Start(); err != nil {
				t.Fatal(err)
			}
			time.Sleep(whole * time.Duration(i) / 4)
			_ = cmd.Process.Kill() // it may have ended already
			_ = cmd.Wait()
			mustOpen(t, private(dir))
			waitForNoInitdb(t, dir)
			if _, err := Stop(t.Context(), private(dir)); err != nil {
				t.Fatal(err)
			}
			mustOpen(t, private(dir)) // and this one sweeps
			if half, _ := filepath.Glob(filepath.Join(dir, "database", makingPrefix+"*")); len(half) > 0 {
				t.Errorf("left behind: %v", half)
			}
		})
	}
}

// waitForNoInitdb waits until an initdb that outlived its halfpot has ended.
func waitForNoInitdb(t *testing.T, dir string) {
	t.Helper()
	for end := time.Now().Add(20 * time.Second); time.Now().Before(end); time.Sleep(100 * time.Millisecond) {
		out, err := exec.Command("ps", "-eo", "args").Output()
		if err != nil {
			t.Fatal(err)
		}
		if !strings.Contains(string(out), filepath.Join(dir, "database", makingPrefix)) {
			return
		}
	}
	t.Fatal("initdb does not end")
}

func TestServerKilled(t *testing.T) {
	t.Parallel()
	opt := private(madeHome(t))
	opt.Volatile = false // a commit that waits for no disk may be lost
	db := mustOpen(t, opt)
	do(t, db, "create table kept as select 'still here'::text as word")
	conn, err := pgx.Connect(t.Context(), db.URL) // keeps a child of the server alive for a moment
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(context.Background())
	s, err := Look(t.Context(), opt)
	if err != nil || !s.Running || s.PID == 0 {
		t.Fatalf("status %+v, %v", s, err)
	}
	if err := syscall.Kill(s.PID, syscall.SIGKILL); err != nil {
		t.Fatal(err)
	}
	if got := ask(t, mustOpen(t, opt), "select word from kept"); got != "still here" {
		t.Errorf("after the crash: %q", got)
	}
}

func TestRemainsAreNoObstacle(t *testing.T) {
	t.Parallel()
	opt := private(madeHome(t))
	mustOpen(t, opt)
	c, err := findCluster(opt)
	if err != nil {
		t.Fatal(err)
	}
	running, err := os.ReadFile(c.pidFile())
	if err != nil {
		t.Fatal(err)
	}
	_, rest, _ := strings.Cut(string(running), "\n")
	// A process that is alive, of the server's own user, and no server: what a
	// number may come to mean after a restart of the machine.
	sleeper := exec.Command("sleep", "600")
	c.runs(sleeper, "/")
	if err := sleeper.Start(); err != nil {
		t.Fatal(err)
	}
	defer func() { _ = sleeper.Process.Kill(); _ = sleeper.Wait() }()
	other := fmt.Sprintf("%d\n%s", sleeper.Process.Pid, rest)
	for _, tt := range []struct {
		name  string
		leave func() error
	}{
		{"pid of a dead process", func() error { return leave(c, c.pidFile(), "4194000\n"+rest) }},
		{"pid of another program", func() error { return leave(c, c.pidFile(), other) }},
		{"empty pid file", func() error { return leave(c, c.pidFile(), "") }},
		{"nonsense pid file", func() error { return leave(c, c.pidFile(), "bone tone\n") }},
		{"socket and its lock", func() error {
			return errors.Join(leave(c, c.socketFile(), ""), leave(c, c.socketFile()+".lock", other))
		}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			if _, err := Stop(t.Context(), opt); err != nil {
				t.Fatal(err)
			}
			if err := tt.leave(); err != nil {
				t.Fatal(err)
			}
			if s, err := Look(t.Context(), opt); err != nil || s.Running || s.PID != 0 {
				t.Errorf("status says it runs: %+v, %v", s, err)
			}
			mustOpen(t, opt)
		})
	}
}

func leave(c *cluster, path, text string) error {
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		return err
	}
	return c.give(path)
}

func TestLostSocketBringsARestart(t *testing.T) {
	t.Parallel()
	opt := private(madeHome(t))
	mustOpen(t, opt)
	c, err := findCluster(opt)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.RemoveAll(c.socket); err != nil { // what a cleaner of /tmp does
		t.Fatal(err)
	}
	mustOpen(t, opt)
}

func TestAwkwardHomesGetAShortSocket(t *testing.T) {
	t.Parallel()
	for name, below := range map[string]string{
		"long":   strings.Repeat("a-folder-with-a-long-name/", 8),
		"quotes": `it's "mine", ok`,
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			opt := private(filepath.Join(home(t), below))
			mustOpen(t, opt)
			s, err := Look(t.Context(), opt)
			if err != nil {
				t.Fatal(err)
			}
			t.Cleanup(func() { _ = os.RemoveAll(s.Socket) })
			if !strings.HasPrefix(s.Socket, "/tmp/halfpot-") || len(s.Socket) > 80 {
				t.Errorf("socket in %s", s.Socket)
			}
			if info, err := os.Stat(s.Socket); err != nil || info.Mode().Perm() != 0o700 {
				t.Errorf("socket folder: %v, %v", info.Mode(), err)
			}
			if _, err := Stop(t.Context(), opt); err != nil {
				t.Fatal(err)
			}
			if exists(s.Socket) {
				t.Errorf("%s stays in the temporary folder", s.Socket)
			}
		})
	}
}
