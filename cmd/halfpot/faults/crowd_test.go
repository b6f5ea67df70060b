package faults

import (
	"math/rand/v2"
	"testing"

	"halfpot/sql/server/servertest"
)

// Many write at once, each its mixed commands one after the other.
func TestCrowd(t *testing.T) {
	t.Parallel()
	r := chance(t)
	d := crowded(t)
	l := newLedger()
	writers, each := dose(5, 100), dose(2, 20)
	seeds := make([]uint64, writers)
	for i := range seeds {
		seeds[i] = r.Uint64()
	}
	crowd(writers, func(writer int) {
		own := rand.New(rand.NewPCG(seeds[writer], 2))
		for range each {
			c := l.next(own)
			l.record(c, d.run(t.Context(), c.args...))
		}
	})
	found := l.check(t, d)
	t.Logf("%d writers x %d commands: %v", writers, each, found)
	if found.unknown > 0 {
		t.Errorf("%d commands do not know what became of them, though nothing went wrong", found.unknown)
	}
}

// All log the last figures of one squad at once: no more are painted than there are.
func TestNoSquadIsPaintedTwice(t *testing.T) {
	t.Parallel()
	d := crowded(t)
	l := newLedger()
	crowd(dose(6, 100), func(writer int) {
		c := l.next(rand.New(rand.NewPCG(1, 1)))
		c.kind, c.args = "job", []string{
			"log", "harbour-watch", "scouts", "prime", "--note", c.token, "--format", "json",
		}
		l.record(c, d.run(t.Context(), c.args...))
	})
	found := l.check(t, d)
	t.Logf("all at one squad: %v", found)
	if found.acked != 1 {
		t.Errorf("%d commands each say they painted the squad", found.acked)
	}
}

// crowded is a desk for many: in the whole dose with a server of its own, as a
// painter has it.
func crowded(t *testing.T) *desk {
	t.Helper()
	d := &desk{}
	if long() {
		d = private(t, servertest.Home(t))
	} else {
		d.url = servertest.Kept(t)
		d.where = []string{"--database", d.url}
	}
	d.load(t)
	return d
}
