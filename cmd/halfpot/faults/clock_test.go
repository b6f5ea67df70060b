package faults

import (
	"context"
	"path/filepath"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"halfpot/sql/server/servertest"
)

// Commands run while the machine's clock is wrong by this much. What they say is
// so, and a copy of all of it loads elsewhere, whole.
func TestClocksThatRunWrong(t *testing.T) {
	t.Parallel()
	r := chance(t)
	d := &desk{url: servertest.Kept(t)}
	d.where = []string{"--database", d.url}
	d.load(t)
	l := newLedger()
	shifts := []time.Duration{
		0, -time.Hour, time.Hour, 4 * time.Minute, -20 * time.Hour, 26 * time.Hour, -40 * 24 * time.Hour,
		400 * 24 * time.Hour, -30 * 365 * 24 * time.Hour, 20 * 365 * 24 * time.Hour,
	}
	for range dose(1, 20) {
		for _, by := range shifts {
			d.env = []string{
				"HALFPOT_TEST_NOW=" + time.Now().Add(by).UTC().Format(time.RFC3339),
				"HALFPOT_TEST_SINCE=" + time.Now().Format(time.RFC3339Nano),
			}
			c := l.next(r)
			l.record(c, d.run(t.Context(), c.args...))
		}
	}
	d.env = nil
	found := l.check(t, d)
	t.Logf("%d wrong clocks: %v", len(shifts), found)
	if found.unknown > 0 {
		t.Errorf("%d commands do not know what became of them, though nothing went wrong", found.unknown)
	}
	copyOf := filepath.Join(t.TempDir(), "copy")
	if o := d.run(t.Context(), "save", copyOf); o.status != 0 {
		t.Fatalf("no copy: %v", o)
	}
	again := func(d *desk) int {
		t.Helper()
		names, err := filepath.Glob(filepath.Join(copyOf, "*"))
		if err != nil {
			t.Fatal(err)
		}
		if o := d.run(t.Context(), append([]string{"load"}, names...)...); o.status != 0 {
			t.Fatalf("the copy does not load: %v", o)
		}
		conn, err := pgx.Connect(t.Context(), d.url)
		if err != nil {
			t.Fatal(err)
		}
		defer conn.Close(context.Background())
		var events int
		if err := conn.QueryRow(t.Context(), "select count(*) from halfpot.pot_event").Scan(&events); err != nil {
			t.Fatal(err)
		}
		return events
	}
	elsewhere := &desk{url: servertest.Kept(t)}
	elsewhere.where = []string{"--database", elsewhere.url}
	moved := again(elsewhere)
	if same := again(d); same != moved {
		t.Errorf("the copy makes %d events elsewhere, and here, loaded into where it came from, "+
			"there are %d", moved, same)
	}
	l.checkOnly(t, elsewhere, "event", "pot") // a copy holds what happened to pots, and no jobs
}
