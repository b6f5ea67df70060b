package server

import (
	"context"
	"errors"
	"net"
	"os"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
)

// None of the variables that PostgreSQL's programs and pgx read from the
// environment touches a private cluster: what they would do is seen here.
func TestPGVariablesDoNotReachAPrivateCluster(t *testing.T) {
	opt := private(madeHome(t))
	const seen = "select concat_ws(' ', current_setting('default_transaction_read_only'), current_setting('timezone'), " +
		"current_setting('application_name'), 'since', pg_postmaster_start_time())"
	before := askAt(t, mustOpen(t, opt).URL, seen)
	if !strings.HasPrefix(before, "off UTC  since 2") {
		t.Errorf("before: %q", before)
	}
	for name, value := range map[string]string{
		"PGOPTIONS":            "-c default_transaction_read_only=on",
		"PGTZ":                 "Nowhere/Else",
		"PGCONNECT_TIMEOUT":    "soon",
		"PGREQUIREAUTH":        "scram-sha-256",
		"PGCHANNELBINDING":     "require",
		"PGSERVICE":            "no-such-service",
		"PGSERVICEFILE":        "/nowhere",
		"PGSSLMODE":            "bogus",
		"PGSSLCERTMODE":        "",
		"PGSSLROOTCERT":        "/nowhere",
		"PGTARGETSESSIONATTRS": "standby",
		"PGMINPROTOCOLVERSION": "9.9",
		"PGHOST":               "/nowhere",
		"PGPORT":               "1",
		"PGUSER":               "somebody",
		"PGPASSWORD":           "x",
		"PGPASSFILE":           "/nowhere",
		"PGDATABASE":           "other",
		"PGAPPNAME":            "other",
		"PGDATA":               "/nowhere",
	} {
		t.Run(name, func(t *testing.T) {
			t.Setenv(name, value)
			db, err := Open(t.Context(), opt)
			if err != nil {
				t.Fatal(err)
			}
			if got := askAt(t, db.URL, seen); got != before {
				t.Errorf("now %q, before %q", got, before)
			}
			if _, there := os.LookupEnv(name); there {
				t.Errorf("%s is still there for whoever connects next", name)
			}
		})
	}
}

func TestStopReturnsWhenTheServerIsGone(t *testing.T) {
	t.Parallel()
	opt := private(madeHome(t))
	mustOpen(t, opt)
	s, err := Look(t.Context(), opt)
	if err != nil || s.PID == 0 {
		t.Fatalf("%+v, %v", s, err)
	}
	if was, err := Stop(t.Context(), opt); err != nil || !was {
		t.Fatalf("%v, %v", was, err)
	}
	if !gone(s.PID) {
		t.Errorf("process %d is still there, as %s", s.PID, processState(s.PID))
	}
}

// A server that takes a connection and says nothing is left when the context
// ends, as it does with Ctrl-C.
func TestASilentServerIsLeft(t *testing.T) {
	t.Parallel()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	accepted := make(chan net.Conn, 10)
	go func() {
		for {
			c, err := l.Accept()
			if err != nil {
				return
			}
			accepted <- c
		}
	}()
	ctx, cancel := context.WithCancel(t.Context())
	go func() {
		c := <-accepted
		defer c.Close()
		cancel()
		<-t.Context().Done()
	}()
	left := make(chan error, 1)
	go func() {
		_, err := Open(ctx, Options{URL: "postgres://painter@" + l.Addr().String() + "/pots?sslmode=disable"})
		left <- err
	}()
	select {
	case err := <-left:
		if !errors.Is(err, context.Canceled) {
			t.Errorf("got %v", err)
		}
	case <-time.After(5 * time.Second):
		t.Error("still waiting")
	}
}

// A server that was stopped in its tracks is told, with what to do about it.
func TestAServerHeldStillIsTold(t *testing.T) {
	t.Parallel()
	opt := private(madeHome(t))
	mustOpen(t, opt)
	s, err := Look(t.Context(), opt)
	if err != nil || s.PID == 0 {
		t.Fatalf("%+v, %v", s, err)
	}
	if err := syscall.Kill(s.PID, syscall.SIGSTOP); err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithTimeout(t.Context(), 10*time.Second) // as long as anybody should wait
	defer cancel()
	_, err = Open(ctx, opt)
	mustBeWords(t, err, "held still", "kill -CONT")
	_, err = Stop(t.Context(), opt)
	mustBeWords(t, err, "held still")
	if err := syscall.Kill(s.PID, syscall.SIGCONT); err != nil {
		t.Fatal(err)
	}
	mustOpen(t, opt)
}

// A command that finds all places taken waits for one, and says so.
func TestTooManyClientsAreWaitedFor(t *testing.T) {
	t.Parallel()
	db := mustOpen(t, private(madeHome(t)))
	do(t, db, "alter database halfpot connection limit 1")
	holder, err := pgx.Connect(t.Context(), db.URL)
	if err != nil {
		t.Fatal(err)
	}
	var said []string
	open := func() error {
		other, err := Open(t.Context(), Options{URL: db.URL})
		if err != nil || other == nil {
			return err
		}
		return nil
	}
	err = patiently(t.Context(), 200*time.Millisecond, func(s string) { said = append(said, s) }, open)
	mustBeWords(t, err, "as many commands at once as it may", "nothing was changed")
	if len(said) != 1 {
		t.Errorf("announced %q", said)
	}
	tries := 0
	err = patiently(t.Context(), time.Minute, nil, func() error {
		if tries++; tries == 2 {
			_ = holder.Close(t.Context())
		}
		return open()
	})
	if err != nil || tries < 2 {
		t.Errorf("%d tries, %v", tries, err)
	}
	// The private cluster counts as running.
}

// Whoever removes a home removes its server too: within two minutes it notices
// by itself that its data are gone.
func TestAServerWithoutAHomeStops(t *testing.T) {
	if os.Getenv("HALFPOT_LONG") == "" {
		t.Skip("waits for two minutes; HALFPOT_LONG=1 runs it")
	}
	t.Parallel()
	dir := madeHome(t)
	opt := private(dir)
	mustOpen(t, opt)
	s, err := Look(t.Context(), opt)
	if err != nil || s.PID == 0 {
		t.Fatalf("%+v, %v", s, err)
	}
	if err := os.RemoveAll(dir); err != nil {
		t.Fatal(err)
	}
	for end := time.Now().Add(150 * time.Second); !gone(s.PID); time.Sleep(time.Second) {
		if time.Now().After(end) {
			_ = syscall.Kill(s.PID, syscall.SIGKILL)
			t.Fatal("it still runs")
		}
	}
}
