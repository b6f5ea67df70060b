package postgres

import (
	"context"
	"errors"
	"io"
	"net"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/jackc/pgx/v5/pgxpool"

	"halfpot/inventory"
)

// cutter stands between a store and its server and cuts the connection around a
// commit: before the server has heard of it, or before its answer is heard.
type cutter struct {
	mu   sync.Mutex
	cut  string // "before", "after", or "" for none
	dead atomic.Bool
}

func (c *cutter) dial(
	d func(context.Context, string, string) (net.Conn, error),
) func(context.Context, string, string) (net.Conn, error) {
	return func(ctx context.Context, network, addr string) (net.Conn, error) {
		if c.dead.Load() {
			return nil, errors.New("no way through")
		}
		conn, err := d(ctx, network, addr)
		if err != nil {
			return nil, err
		}
		return &cutConn{Conn: conn, cutter: c}, nil
	}
}

type cutConn struct {
	net.Conn
	*cutter
	deaf atomic.Bool
}

func (c *cutConn) Write(b []byte) (int, error) {
	if strings.Contains(string(b), "Q\x00\x00\x00\x0bcommit\x00") { // the protocol's simple query
		c.mu.Lock()
		cut := c.cut
		c.cut = ""
		c.mu.Unlock()
		switch cut {
		case "before":
			_ = c.Conn.Close()
			return 0, net.ErrClosed
		case "after":
			c.deaf.Store(true)
		}
	}
	return c.Conn.Write(b)
}

func (c *cutConn) Read(b []byte) (int, error) {
	n, err := c.Conn.Read(b)
	if c.deaf.Load() { // the answer was on its way
		_ = c.Conn.Close()
		return 0, io.ErrUnexpectedEOF
	}
	return n, err
}

// throughCutter gives a store the connections of which can be cut.
func throughCutter(t *testing.T, s *Store) *cutter {
	t.Helper()
	c := &cutter{}
	conf := s.pool.Config()
	conf.ConnConfig.DialFunc = c.dial(conf.ConnConfig.DialFunc)
	pool, err := pgxpool.NewWithConfig(t.Context(), conf)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(pool.Close)
	s.pool = pool
	return c
}

func opened() []NewEvent {
	return []NewEvent{{Pot: "black-1", Event: inventory.PotEvent{Kind: inventory.Judged, Fraction: ptr(0.5)}}}
}

// What became of a change whose connection was cut around the commit is found
// out: it is done, or it is said that it was not, and so it is.
func TestACutCommitIsFoundOut(t *testing.T) {
	s := stocked(t)
	c := throughCutter(t, s)
	stored := 0
	for i := range 12 {
		c.mu.Lock()
		c.cut = []string{"before", "after"}[i%2]
		want := c.cut
		c.mu.Unlock()
		_, err := s.AddEvents(t.Context(), opened())
		if err == nil {
			stored++
		} else {
			mustFail(t, err, Unavailable, "nothing was written")
		}
		if want == "after" && err != nil {
			t.Errorf("an acknowledged commit was reported as %v", err)
		}
		if got := len(mustPot(t, s, "black-1").Events); got != stored {
			t.Fatalf("%d events are stored, %d were said to be", got, stored)
		}
	}
	if stored != 6 {
		t.Errorf("%d of 6 were stored", stored)
	}
}

// Where the database can't be asked, that is said; and the same command with its
// key is done once.
func TestAnUnknownOutcomeIsSaid(t *testing.T) {
	s := stocked(t)
	s.askFor = time.Second
	c := throughCutter(t, s)
	command := NewCommand("a judgement")
	again := func() error {
		return s.Change(t.Context(), command, func(tx *Tx) error {
			_, err := tx.AddEvents(t.Context(), opened())
			return err
		})
	}
	mustShelf(t, s)
	c.mu.Lock()
	c.cut = "after"
	c.mu.Unlock()
	err := s.Change(t.Context(), command, func(tx *Tx) error {
		c.dead.Store(true)
		_, err := tx.AddEvents(t.Context(), opened())
		return err
	})
	mustFail(t, err, Unknown, "may have been written")
	c.dead.Store(false)
	if err := again(); !errors.As(err, new(*RepeatedError)) {
		t.Errorf("got %v", err)
	}
	if n := len(mustPot(t, s, "black-1").Events); n != 1 {
		t.Errorf("%d events", n)
	}
}

// A caller who stops at any moment is told the truth.
func TestStoppingIsToldTruly(t *testing.T) {
	s := stocked(t)
	stored := 0
	for i := range 40 {
		ctx, cancel := context.WithCancel(t.Context())
		timer := time.AfterFunc(time.Duration(i)*700*time.Microsecond, cancel)
		_, err := s.AddEvents(ctx, opened())
		timer.Stop()
		cancel()
		if err == nil {
			stored++
		} else if !errors.Is(err, context.Canceled) {
			mustFail(t, err, Unavailable)
		}
	}
	if got := len(mustPot(t, s, "black-1").Events); got != stored {
		t.Errorf("%d events are stored, %d were said to be", got, stored)
	}
}

// What is wrong already stops no other change, and can be mended.
func TestAnInvalidDatabaseCanBeMended(t *testing.T) {
	s := stocked(t)
	do(t, s, "insert into halfpot.stand_in (asked, use, compromise, either_way, "+
		"note) values ('zest-black', 'ako-chalk', 1, false, ''), ('ako-chalk', 'zest-black', 1, false, '')")
	c := mustLoad(t, s)
	if c.Validate().Err() == nil {
		t.Fatal("the cycle is no fault")
	}
	if _, err := s.AddEvents(t.Context(), opened()); err != nil {
		t.Error(err)
	}
	mustSave(t, s, Load{Catalogue: inventory.Catalogue{Paints: []inventory.Paint{{
		ID:   "new",
		Name: "New",
		Type: inventory.Ink,
	}}}})
	_, err := s.Save(t.Context(), Load{Catalogue: inventory.Catalogue{Paints: []inventory.Paint{{
		ID:   "bad",
		Name: "Bad",
		Type: "nothing",
	}}}})
	if !errors.As(err, new(inventory.Faults)) {
		t.Errorf("a new fault passed: %v", err)
	}
	mustSave(t, s, Load{Catalogue: inventory.Catalogue{StandIns: []inventory.StandIn{{
		For:       "zest-black",
		Use:       "ako-chalk",
		EitherWay: true,
	}}}})
	c = mustLoad(t, s)
	if err := c.Validate().Err(); err != nil {
		t.Error(err)
	}
}
