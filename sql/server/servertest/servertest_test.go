package servertest_test

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"strings"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"halfpot/sql/server"
	"halfpot/sql/server/servertest"
)

func TestMain(m *testing.M) { servertest.Main(m) }

func TestEachTestHasADatabaseOfItsOwn(t *testing.T) {
	a, b := servertest.New(t), servertest.New(t)
	if a == b {
		t.Fatal("the same database twice")
	}
	ctx := t.Context()
	for _, url := range []string{a, b} {
		conn, err := pgx.Connect(ctx, url)
		if err != nil {
			t.Fatal(err)
		}
		defer conn.Close(context.Background())
		if _, err := conn.Exec(ctx, "insert into halfpot.setting values ('only', 'here', now())"); err != nil {
			t.Error(err)
		}
	}
}

// A run that is killed leaves its cluster; the next run takes it away.
// A superuser's process that is still there when a test ends, as for a moment after
// its connection is closed, is waited for: the owner of the database may not end it.
func TestDropWaitsForTheMaker(t *testing.T) {
	var closed chan error
	t.Run("a test that ends before its superuser does", func(t *testing.T) {
		conn, err := pgx.Connect(t.Context(), servertest.AsMaker(t, servertest.New(t)))
		if err != nil {
			t.Fatal(err)
		}
		closed = make(chan error, 1)
		t.Cleanup(func() { // before the drop, which finds it still open
			time.AfterFunc(50*time.Millisecond, func() { closed <- conn.Close(context.Background()) })
		})
	})
	if err := <-closed; err != nil {
		t.Error(err)
	}
}

func TestKilledRunIsCleanedUp(t *testing.T) {
	if os.Getenv("DIE_IN_TEST") != "" {
		home := servertest.Home(t)
		if _, err := server.Open(t.Context(), server.Options{Private: true, Home: home}); err != nil {
			t.Fatal(err)
		}
		fmt.Println("folders", folder(t), home)
		process, err := os.FindProcess(os.Getpid())
		if err != nil {
			t.Fatal(err)
		}
		_ = process.Kill()
		select {}
	}
	cmd := exec.Command(os.Args[0], "-test.run=TestKilledRunIsCleanedUp")
	cmd.Env = append(os.Environ(), "DIE_IN_TEST=1")
	out, err := cmd.CombinedOutput()
	_, after, found := strings.Cut(string(out), "folders ")
	if err == nil || !found {
		t.Fatalf("the helper did not die as planned: %v: %s", err, out)
	}
	left := strings.Fields(after)[:2]
	for _, dir := range left {
		if _, err := os.Stat(dir); err != nil {
			t.Fatalf("the killed run left nothing: %v", err)
		}
	}
	next := exec.Command(os.Args[0], "-test.run=TestEachTestHasADatabaseOfItsOwn")
	if out, err := next.CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	for _, dir := range left {
		if _, err := os.Stat(dir); !os.IsNotExist(err) {
			t.Errorf("%s is still there: %v", dir, err)
		}
	}
}

// folder is the folder of this run's cluster, as its socket shows it.
func folder(t *testing.T) string {
	t.Helper()
	conn, err := pgx.Connect(t.Context(), servertest.New(t))
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(context.Background())
	host := conn.Config().Host
	return strings.TrimSuffix(host, "/database/socket")
}
