package faults

import (
	"context"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/jackc/pgx/v5"
)

// The states of what a command was to enter.
type state int

const (
	refused state = iota // it says that nothing was written
	acked                // it says that it is done
	unknown              // it was killed, or says that it does not know
)

// entry is what one command was to enter, by the token in its note.
type entry struct {
	kind   string // "event", "job" or "pot"
	state  state
	amount int64 // microlitres that the acknowledgement speaks of
	said   outcome
}

// ledger keeps what commands said.
type ledger struct {
	mu      sync.Mutex
	entries map[string]entry
	number  int
}

func newLedger() *ledger { return &ledger{entries: map[string]entry{}} }

// command is something to enter, chosen at random.
type command struct {
	token, kind string
	args        []string
}

// next makes up a command with a token of its own.
func (l *ledger) next(r *rand.Rand) command {
	l.mu.Lock()
	l.number++
	token := fmt.Sprintf("token-%05d", l.number)
	choice, pick := r.IntN(10), r.IntN(1000)
	l.mu.Unlock()
	pot := []string{"saddle-1", "soot-wash-1", "pale-bone-1"}[pick%3]
	switch {
	case choice < 3:
		return command{token, "event", []string{"pot", "use", pot, "0.001ml", "--note", token}}
	case choice < 4:
		return command{token, "event", []string{"pot", "judge", pot, "50%", "--note", token}}
	case choice < 5:
		return command{token, "event", []string{"pot", "spill", pot, "0.001ml", "--note", token}}
	case choice < 8:
		unit := []string{"rifles", "scouts"}[pick%2]
		step := []string{"prime", "drybrush", "cloth", "straps", "boots", "shade", "edges", "seal"}[pick/2%8]
		return command{
			token,
			"job",
			[]string{"log", "harbour-watch", unit, step, "--figures", "1", "--note", token, "--format", "json"},
		}
	}
	return command{token, "pot", []string{"add", "pot", "saddle-leather", "--place", token}}
}

var owns = regexp.MustCompile(`(?i)may have been written|may have been (noted|logged|added|done)|not known whether`)

// record judges by what a command said in which state its entry is.
func (l *ledger) record(c command, o outcome) {
	e := entry{kind: c.kind, said: o}
	switch {
	case o.status == 0:
		e.state = acked
		if c.kind == "job" {
			e.amount = drawn(o.out)
		}
	case o.status < 0 || owns.MatchString(o.err):
		e.state = unknown
	default:
		e.state = refused
	}
	l.mu.Lock()
	defer l.mu.Unlock()
	l.entries[c.token] = e
}

// drawn is what the acknowledgement of a job says it drew, in microlitres.
func drawn(text string) (sum int64) {
	var doc struct {
		Draws []struct {
			Amount struct {
				ML json.Number `json:"ml"`
			} `json:"amount"`
		} `json:"draws"`
	}
	if err := json.Unmarshal([]byte(text), &doc); err != nil {
		return -1
	}
	for _, d := range doc.Draws {
		f, err := d.Amount.ML.Float64()
		if err != nil {
			return -1
		}
		sum += int64(f*1000 + 0.5)
	}
	return sum
}

// What the oracle asks of the tables: each token with how often it is stored,
// and, for jobs, what their work and their events come to.
const (
	askEvents = "select note, count(*), 0::bigint, true from halfpot.pot_event where job is null and " +
		"note like 'token-%' group by note"
	askPots = "select place, count(*), 0::bigint, bool_and(exists (select from halfpot.pot_event e where " +
		"e.pot = p.number)) from halfpot.pot p where place like 'token-%' group by place"
	askJobs = `select note, count(*), coalesce(sum((select sum(volume_ul)::bigint from halfpot.pot_event e where e.job = j.id and e.kind = 'used')), 0)::bigint,
		bool_and(exists (select from halfpot.work w where w.job = j.id)) from halfpot.job j where note like 'token-%' group by note`
	askTooMany = `select w.unit || ' ' || w.step || ': ' || sum(w.figures) || ' of ' || min(u.figures)
		from halfpot.work w join halfpot.unit u on u.force = w.force and u.id = w.unit
		where not exists (select from halfpot.job j where j.undoes = w.job)
		group by w.force, w.unit, w.step having sum(w.figures) > min(u.figures)`
)

// tally is what was found.
type tally struct{ acked, refused, unknown, stored int }

// check holds what was said against what is stored.
func (l *ledger) check(t *testing.T, d *desk) tally {
	t.Helper()
	return l.checkOnly(t, d, "event", "pot", "job")
}

// checkOnly looks at entries of some kinds only.
func (l *ledger) checkOnly(t *testing.T, d *desk, kinds ...string) tally {
	t.Helper()
	ctx := t.Context()
	conn, err := pgx.Connect(ctx, d.database(t))
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(context.Background())
	l.mu.Lock()
	defer l.mu.Unlock()
	var n tally
	found := map[string]bool{}
	asked := map[string]string{"event": askEvents, "pot": askPots, "job": askJobs}
	for _, kind := range kinds {
		sql := asked[kind]
		rows, err := conn.Query(ctx, sql)
		if err != nil {
			t.Fatal(err)
		}
		for rows.Next() {
			var token string
			var times int
			var amount int64
			var whole bool
			if err := rows.Scan(&token, &times, &amount, &whole); err != nil {
				t.Fatal(err)
			}
			e, known := l.entries[token]
			switch {
			case !known || e.kind != kind:
				t.Errorf("%s is stored as %s, and nobody entered it so", token, kind)
			case e.state == refused:
				t.Errorf("%s is stored, though it was said not to be: %v", token, e.said)
			case times != 1:
				t.Errorf("%s is stored %d times: %v", token, times, e.said)
			case !whole:
				t.Errorf("%s is stored in part: %v", token, e.said)
			case e.state == acked && kind == "job" && e.amount != amount:
				t.Errorf("%s drew %d ul, and said %d: %v", token, amount, e.amount, e.said)
			}
			found[token] = true
			n.stored++
		}
		if err := rows.Err(); err != nil {
			t.Fatal(err)
		}
	}
	for token, e := range l.entries {
		if !slices.Contains(kinds, e.kind) {
			continue
		}
		switch e.state {
		case acked:
			n.acked++
			if !found[token] {
				t.Errorf("%s was acknowledged and is not stored: %v", token, e.said)
			}
		case refused:
			n.refused++
		case unknown:
			n.unknown++
		}
	}
	rows, err := conn.Query(ctx, askTooMany)
	if err != nil {
		t.Fatal(err)
	}
	over, err := pgx.CollectRows(rows, pgx.RowTo[string])
	if err != nil || len(over) > 0 {
		t.Errorf("more figures painted than there are: %s, %v", strings.Join(over, "; "), err)
	}
	// And the program itself still reads it all.
	if o := d.run(ctx, "shelf", "--format", "json"); o.status != 0 {
		t.Errorf("the shelf can't be read: %v", o)
	}
	if o := d.run(ctx, "log", "--format", "json"); o.status != 0 {
		t.Errorf("the log can't be read: %v", o)
	}
	return n
}

func (n tally) String() string {
	return fmt.Sprintf("%d acknowledged, %d refused, %d not known; %d stored, each once",
		n.acked, n.refused, n.unknown, n.stored)
}
