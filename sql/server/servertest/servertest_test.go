package servertest_test

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"strings"
	"testing"

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
