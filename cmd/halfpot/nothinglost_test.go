package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"halfpot/sql/server/servertest"
)

// bench runs commands within this process, each as one of its own: with its own
// connections, on one database and with one clock.
type bench struct {
	t    *testing.T
	url  string
	home string
	now  func() time.Time
}

func newBench(t *testing.T) *bench {
	start := time.Date(2026, 3, 9, 12, 0, 0, 0, time.UTC)
	since := time.Now()
	return &bench{t: t, url: servertest.Kept(t), now: func() time.Time { return start.Add(time.Since(since)) }}
}

func (d *bench) try(args ...string) (status int, out, errs string) {
	var o, e bytes.Buffer
	s := streams{in: strings.NewReader(""), out: &o, err: &e, self: "halfpot", env: func(name string) string {
		if name == "HOME" || name == "XDG_DATA_HOME" {
			return d.home
		}
		return ""
	}}
	if d.url != "" {
		args = append([]string{"--database", d.url}, args...)
	}
	status = run(context.Background(), args, s, d.now)
	return status, o.String(), e.String()
}

func (d *bench) must(args ...string) string {
	d.t.Helper()
	status, out, errs := d.try(args...)
	if status != 0 {
		d.t.Fatalf("halfpot %s: status %d\n%s%s", strings.Join(args, " "), status, out, errs)
	}
	return out
}

func (d *bench) refuses(want string, args ...string) {
	d.t.Helper()
	status, _, errs := d.try(args...)
	if status != exitBadInput || !strings.Contains(errs, want) {
		d.t.Errorf("halfpot %s: status %d, want 2 and %q in\n%s", strings.Join(args, " "), status, want, errs)
	}
}

// number asks the database for one number.
func (d *bench) number(sql string) (n int) {
	d.t.Helper()
	conn, err := pgx.Connect(context.Background(), d.url)
	if err != nil {
		d.t.Fatal(err)
	}
	defer conn.Close(context.Background())
	if err := conn.QueryRow(context.Background(), sql).Scan(&n); err != nil {
		d.t.Fatal(err)
	}
	return n
}

func (d *bench) file(name, text string) string {
	path := filepath.Join(d.t.TempDir(), name)
	if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
		d.t.Fatal(err)
	}
	return path
}

func smallSet(t *testing.T) []string {
	var files []string
	for _, name := range []string{
		"paints.csv", "products.csv", "shops.csv", "delivery.csv", "offers.csv", "pots.csv", "force.toml",
	} {
		files = append(files, filepath.Join("testdata", "small", name))
	}
	return files
}

// What two people mean as two things are two things.
func TestAddsAtOnceAreAllKept(t *testing.T) {
	d := newBench(t)
	d.must("add", "paint", "Pale Bone", "--type", "base")
	const n = 12
	var wg sync.WaitGroup
	for range n {
		wg.Go(func() {
			if status, out, errs := d.try("add", "pot", "pale-bone", "--size", "17ml", "--again"); status != 0 || !strings.Contains(out, "Added") {
				t.Errorf("status %d: %s%s", status, out, errs)
			}
			if status, out, errs := d.try("add", "shop", "Quay", "--currency", "EUR", "--again"); status != 0 {
				t.Errorf("status %d: %s%s", status, out, errs)
			}
		})
	}
	wg.Wait()
	if pots, shops := d.number("select count(*) from halfpot.pot"), d.number("select count(*) from halfpot.shop"); pots != n || shops != n {
		t.Errorf("%d pots and %d shops, each added %d times", pots, shops, n)
	}
}

// A step is logged once on each figure, however many log it at once.
func TestLogsAtOnceNeverExceedTheUnit(t *testing.T) {
	d := newBench(t)
	d.must(append([]string{"load"}, smallSet(t)...)...)
	var wg sync.WaitGroup
	var mu sync.Mutex
	done := 0
	for range 8 {
		wg.Go(func() {
			status, _, errs := d.try("log", "harbour-watch", "rifles", "prime")
			mu.Lock()
			defer mu.Unlock()
			switch {
			case status == 0:
				done++
			case status != exitBadInput || !strings.Contains(errs, "done on all 10 figures"):
				t.Errorf("status %d: %s", status, errs)
			}
		})
	}
	wg.Wait()
	if n := d.number("select sum(figures) from halfpot.work"); done != 1 || n != 10 {
		t.Errorf("%d were logged: %d figures of a unit of 10", done, n)
	}
}

// Two loads that are fine one by one, and a cycle together: one is refused. A
// cycle that is there all the same stops nothing else and can be mended.
func TestLoadsAtOnceStoreNoCycle(t *testing.T) {
	d := newBench(t)
	d.must("add", "paint", "Bone", "--type", "base")
	d.must("add", "paint", "Chalk", "--type", "base")
	files := []string{
		d.file("a.csv", "for,use,compromise\nbone,chalk,1\n"),
		d.file("b.csv", "for,use,compromise\nchalk,bone,1\n"),
	}
	var wg sync.WaitGroup
	statuses := make([]int, 2)
	for i, f := range files {
		wg.Go(func() { statuses[i], _, _ = d.try("load", f) })
	}
	wg.Wait()
	if statuses[0]+statuses[1] != exitBadInput {
		t.Errorf("statuses %v, want one 0 and one 2", statuses)
	}
	if n := d.number("select count(*) from halfpot.stand_in"); n != 1 {
		t.Fatalf("%d stand-ins", n)
	}
	conn, err := pgx.Connect(t.Context(), d.url)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(t.Context())
	if _, err := conn.Exec(t.Context(), "insert into halfpot.stand_in (asked, use, compromise, "+
		"either_way, note) select use, asked, 1, false, '' from halfpot.stand_in"); err != nil {
		t.Fatal(err)
	}
	d.must("shelf")
	d.must("add", "pot", "bone", "--size", "17ml")
	d.must("load", d.file("paints.csv", "name,type\nDusk,base\n"))
	d.must("save", filepath.Join(t.TempDir(), "copy"))
	d.must("load", d.file("mend.csv", "for,use,compromise,either-way\nbone,chalk,1,yes\n"))
	if n := d.number("select count(*) from halfpot.stand_in where either_way"); n != 1 ||
		d.number("select count(*) from halfpot.stand_in") != 1 {
		t.Error("the cycle is not mended")
	}
}

// A copy changes nothing where it was made, and makes the same elsewhere.
func TestACopyIsKnownAgain(t *testing.T) {
	d := newBench(t)
	d.must(append([]string{"load"}, smallSet(t)...)...)
	d.must("add", "pot", "pale-bone", "--id", "mine", "--size", "17ml", "--opened", "2026-01-10", "--level",
		"half")
	d.must("pot", "use", "mine", "1.5ml")
	d.must("pot", "use", "mine", "1.5ml")
	d.must("pot", "judge", "mine", "40%", "--at", "2026-03-09", "--note", "=1+1")
	d.must("pot", "spill", "mine", "1ml")
	d.must("pot", "correct", "mine", fmt.Sprint(d.number("select max(id) from halfpot.pot_event")))
	d.must("log", "harbour-watch", "rifles", "prime", "--at", "yesterday")
	shelf := d.must("shelf", "--format", "json")
	copied := filepath.Join(t.TempDir(), "copy")
	d.must("save", copied)
	files, err := filepath.Glob(filepath.Join(copied, "*"))
	if err != nil || len(files) < 8 {
		t.Fatal(files, err)
	}
	load := append([]string{"load"}, files...)
	events := "select count(*) from halfpot.pot_event"
	before := d.number(events)
	for range 2 {
		if out := d.must(load...); !strings.Contains(out, "Nothing has changed") || d.number(events) != before {
			t.Errorf("%d events, then %d:\n%s", before, d.number(events), out)
		}
	}
	d.must("load", filepath.Join(copied, "pots.csv"))
	if n := d.number(events); n != before {
		t.Errorf("the pots alone made %d events of %d", n, before)
	}
	other := newBench(t)
	other.now = d.now
	other.must(load...)
	if got := other.must("shelf", "--format", "json"); len(got) != len(shelf) || got[:200] != shelf[:200] {
		t.Errorf("elsewhere:\n%s\nwas:\n%s", got, shelf)
	}
	if out := other.must(load...); !strings.Contains(out, "Nothing has changed") {
		t.Error(out)
	}
	again := filepath.Join(t.TempDir(), "again")
	other.must("save", again)
	for _, f := range files {
		a, _ := os.ReadFile(f)
		b, _ := os.ReadFile(filepath.Join(again, filepath.Base(f)))
		if filepath.Base(f) == "record.jsonl" { // it tells the changes that made this database, and when; other tests compare it
			continue
		}
		if filepath.Base(f) == "pot-events.csv" { // numbers are each database's own
			if bytes.Count(a, []byte("\n")) != bytes.Count(b, []byte("\n")) {
				t.Errorf("%s: %s\n%s", f, a, b)
			}
			continue
		}
		if !bytes.Equal(a, b) {
			t.Errorf("%s differs:\n%s\n%s", f, a, b)
		}
	}
	// What happened is never changed, also not in a copy.
	text, err := os.ReadFile(filepath.Join(copied, "pot-events.csv"))
	if err != nil {
		t.Fatal(err)
	}
	changed := filepath.Join(t.TempDir(), "pot-events.csv")
	if err := os.WriteFile(changed,
		bytes.Replace(text, []byte("judged,2026-03-09,,0.4,"), []byte("judged,2026-03-09,,0.5,"), 1),
		0o644); err != nil {
		t.Fatal(err)
	}
	d.refuses("pot-events.csv:", "load", filepath.Join(copied, "pots.csv"), changed)
}

// The same key is done once, and a key used for something else is refused.
func TestACommandRepeatedWithItsKeyIsDoneOnce(t *testing.T) {
	d := newBench(t)
	d.must("add", "paint", "Bone", "--type", "base")
	key := uuid.New().String()
	d.must("add", "pot", "bone", "--size", "17ml", "--once", key)
	if out := d.must("add", "pot", "bone", "--size", "17ml", "--once", key); !strings.Contains(out,
		"Done already") {
		t.Error(out)
	}
	d.must("pot", "use", "bone-1", "1ml", "--once", uuid.New().String())
	if n := d.number("select count(*) from halfpot.pot"); n != 1 {
		t.Errorf("%d pots", n)
	}
	d.refuses("was used for something else", "add", "pot", "bone", "--size", "18ml", "--once", key)
	d.refuses("expected a UUID", "add", "pot", "bone", "--size", "18ml", "--once", "7")
}

// full is a place that nothing can be written to.
type full struct{}

func (full) Write([]byte) (int, error) { return 0, errors.New("no space left on device") }

// The status says what is stored, whatever becomes of the words.
func TestStatusFollowsWhatIsStored(t *testing.T) {
	d := newBench(t)
	d.must("add", "paint", "Bone", "--type", "base")
	var errs bytes.Buffer
	s := streams{
		in:   strings.NewReader(""),
		out:  full{},
		err:  &errs,
		self: "halfpot",
		env:  func(string) string { return "" },
	}
	if status := run(t.Context(), []string{"--database", d.url, "add", "pot", "bone", "--size", "17ml"}, s,
		d.now); status != 0 {
		t.Errorf("status %d", status)
	}
	if n := d.number("select count(*) from halfpot.pot"); n != 1 ||
		!strings.Contains(errs.String(), "the change is written") {
		t.Errorf("%d pots: %s", n, errs.String())
	}
	if status := run(t.Context(), []string{"--database", d.url, "shelf"}, s, d.now); status != exitOther {
		t.Errorf("of what writes nothing: status %d", status)
	}
}

// One rule for text, by hand as in files.
func TestOneRuleForText(t *testing.T) {
	d := newBench(t)
	d.must("add", "paint", "  Bone  ", "--type", "base", "--maker", " Zest ", "--id", "zest-bone")
	if out := d.must("paint", "list", "--format", "json"); !strings.Contains(out, `"name": "Bone"`) {
		t.Error(out)
	}
	d.must("add", "pot", "zest-bone", "--size", "17ml", "--id", "p")
	long := strings.Repeat("x", 5000)
	for _, bad := range []string{"a\x1bb", "a\u009bb", "a\x00b", long, "a\xffb"} {
		d.refuses("found", "add", "paint", bad, "--type", "base", "--id", "q")
		d.refuses("found", "add", "shop", bad, "--currency", "EUR", "--id", "q")
		d.refuses("found", "pot", "judge", "p", "half", "--note", bad)
		d.refuses("found", "add", "pot", "zest-bone", "--size", "17ml", "--place", bad)
		d.refuses("found", "load", d.file("paints.csv", "id,name,type\nq,\""+bad+"\",base\n"))
	}
	d.refuses("shop's name", "add", "shop", "", "--currency", "EUR", "--id", "q")
	d.refuses("name must be given", "load", d.file("shops.csv", "id,name,currency\nq,,EUR\n"))
	d.refuses("--home is empty", "--home", "", "shelf")
	d.url = ""
	d.refuses("--database is empty", "--database", "", "shelf")
}

// A name without a Latin letter: where it stands, and what to do.
func TestNamesWithoutALatinLetter(t *testing.T) {
	d := newBench(t)
	f := d.file("paints.csv", "id,name,type\n,Bone,base\n,漢字,base\n")
	d.refuses("paints.csv:3:2: name: found \"漢字\", expected an id beside this name", "load", f)
	d.refuses("give one with --id", "add", "paint", "漢字", "--type", "base")
	d.must("load", d.file("paints.csv", "id,name,type\nkanji,漢字,base\n"))
	d.refuses("force.toml:3:", "load", d.file("force.toml",
		"[[recipes]]\nid = \"r\"\nsteps = [{ name = \"漢字\", regions = \"all\", paint = \"kanji\" }]\n"))
}
