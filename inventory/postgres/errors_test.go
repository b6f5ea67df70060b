package postgres

import (
	"context"
	"errors"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"halfpot/sql/server"
	"halfpot/sql/server/servertest"
)

// The server ends the connection while a load is half-way; nothing of it stays,
// and the same load works when it is run again.
func TestConnectionLostMidway(t *testing.T) {
	s := open(t)
	before := dump(t, s)
	err := s.Change(t.Context(), NewCommand("test"), func(change *Tx) error {
		tx := change.tx
		c := example()
		if _, err := savePaints(t.Context(), tx, nil, c.Paints); err != nil {
			return err
		}
		do(t, s, "select pg_terminate_backend($1::int)", int(tx.Conn().PgConn().PID()))
		_, err := saveStandIns(t.Context(), tx, nil, c.StandIns)
		return err
	})
	mustFail(t, err, Unavailable, "run the same command again")
	if dump(t, s) != before {
		t.Error("something was written")
	}
	mustSave(t, s, Load{Catalogue: example()})
}

// The private server is killed outright in the middle of a load. The next
// command starts it again, and finds all of what was there and none of the load.
func TestServerKilledMidway(t *testing.T) {
	opt := server.Options{Private: true, Home: servertest.Home(t)}
	reopen := func() *Store {
		db, err := server.Open(t.Context(), opt)
		if err != nil {
			t.Fatal(err)
		}
		s, err := Open(t.Context(), db.URL, Options{Owner: db.Owner, Now: func() time.Time { return noon }})
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(s.Close)
		return s
	}
	s := reopen()
	mustSave(t, s, Load{Catalogue: example()})
	before := dump(t, s)
	status, err := server.Look(t.Context(), opt)
	if err != nil {
		t.Fatal(err)
	}
	err = s.Change(t.Context(), NewCommand("test"), func(change *Tx) error {
		tx := change.tx
		if _, err := change.savePots(t.Context(), examplePots(), false); err != nil {
			return err
		}
		for _, pid := range []int{status.PID, int(tx.Conn().PgConn().PID())} {
			if err := syscall.Kill(pid, syscall.SIGKILL); err != nil {
				t.Fatal(err)
			}
		}
		_, err := change.saveEvents(t.Context(), examplePots())
		return err
	})
	mustFail(t, err, Unavailable, "run the same command again")
	s = reopen()
	if dump(t, s) != before {
		t.Error("the tables are not as they were")
	}
	mustSave(t, s, Load{Pots: examplePots()})
}

func TestServerGoneBetweenCommands(t *testing.T) {
	s := stocked(t)
	ended := 0
	for range 3 { // every pooled connection
		err := s.read(t.Context(), func(tx pgx.Tx) error { return tx.Conn().PgConn().Conn().Close() })
		if err == nil {
			continue
		}
		ended++
		mustFail(t, err, Unavailable)
	}
	if ended == 0 {
		t.Error("no connection was lost")
	}
	mustShelf(t, s) // the pool makes new ones
}

func TestMissingRightsAndReadOnlySpeak(t *testing.T) {
	s := stocked(t)
	// A role is the whole cluster's, but this one lasts no longer than the transaction.
	err := s.Change(t.Context(), NewCommand("test"), func(change *Tx) error {
		tx := change.tx
		for _, sql := range []string{
			"create role onlooker",
			"set local role onlooker",
			"select * from halfpot.paint",
		} {
			if _, err := tx.Exec(t.Context(), sql); err != nil {
				return err
			}
		}
		return nil
	})
	mustFail(t, err, Internal, "lacks a right")
	err = s.read(t.Context(), func(tx pgx.Tx) error {
		_, err := tx.Exec(t.Context(), "insert into halfpot.setting values ('a', 'b', now())")
		return err
	})
	mustFail(t, err, Internal, "may only be read")
}

// Whoever tries to rewrite what was recorded is told what to do instead.
func TestAppendOnlySpeaks(t *testing.T) {
	s := stocked(t)
	if _, err := s.AddJob(t.Context(), exampleJob("j")); err != nil {
		t.Fatal(err)
	}
	owner := openAt(t, servertest.AsOwner(s.pool.Config().ConnString())) // commands lack the right to begin with
	for table, words := range map[string]string{
		"pot_event": "add a correction", "job": "undo a job", "work": "undo a job",
		"factor_history": "pin or reset", "change": "list of changes", "shop_order": "call off",
		"order_line": "call off", "order_event": "add a correction", "order_pot": "add a correction",
	} {
		_, err := owner.pool.Exec(t.Context(), "delete from halfpot."+table)
		mustFail(t, translate(err), Conflict, "append-only", words)
	}
}

func TestErrorsPassThroughOnce(t *testing.T) {
	own := &Error{Kind: NotFound, Text: "x"}
	if got := translate(own); got != error(own) {
		t.Errorf("got %v", got)
	}
	if got := translate(context.Canceled); !errors.Is(got, context.Canceled) {
		t.Errorf("got %v", got)
	}
	strange := errors.New("strange")
	if got := translate(strange); !errors.Is(got, strange) {
		t.Errorf("the cause is lost: %v", got)
	}
	if translate(nil) != nil {
		t.Error("an error of nothing")
	}
}

// Every rule of the tables has words of its own, but for the list of migrations,
// which nobody writes to by hand.
func TestEveryConstraintHasWords(t *testing.T) {
	s := open(t)
	names, err := collectRows(t, s, `
		select coalesce(r.relname, '') || ' ' || c.conname
		from pg_constraint c left join pg_class r on r.oid = c.conrelid
		where c.connamespace = 'halfpot'::regnamespace and c.contype in ('c', 'f', 'p', 'u')
		union select r.relname || ' ' || i.relname from pg_index x join pg_class i on i.oid = x.indexrelid join pg_class r on r.oid = x.indrelid
		where x.indisunique and r.relnamespace = 'halfpot'::regnamespace
		union select r.relname || ' ' || t.tgname from pg_trigger t join pg_class r on r.oid = t.tgrelid
		where not t.tgisinternal and r.relnamespace = 'halfpot'::regnamespace`)
	if err != nil || len(names) < 100 {
		t.Fatalf("%d constraints, %v", len(names), err)
	}
	said := map[string]bool{}
	for _, n := range names {
		table, constraint, _ := strings.Cut(n, " ")
		if table == "migration" {
			continue
		}
		words := rule(table, constraint)
		if words == "" {
			t.Errorf("%s has no words", n)
		}
		said[constraint] = true
	}
	for constraint := range specialRules {
		if !said[constraint] {
			t.Errorf("there are words for %s, which is no constraint", constraint)
		}
	}
	if got := rule("offer", "offer_price_range"); got != "an offer has an impossible price" {
		t.Errorf("got %q", got)
	}
}
