package postgres

import (
	"bytes"
	"context"
	"errors"
	"slices"
	"strings"
	"testing"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"halfpot/inventory"
)

// rowsOf is every row of every table in their order, found by the list of tables that the
// SQL standard has, and without the list of changes, to which a load adds itself.
func rowsOf(t testing.TB, s *Store) string {
	t.Helper()
	var b strings.Builder
	names, err := collectRows(t, s, "select table_name::text from information_schema.tables where "+
		"table_schema = 'halfpot' and table_type = 'BASE TABLE' and table_name not in ('migration', "+
		"'change') order by 1")
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range names {
		rows, err := collectRows(t, s, "select x::text from halfpot."+name+" as x order by x::text")
		if err != nil {
			t.Fatal(err)
		}
		b.WriteString(name + "\n" + strings.Join(rows, "\n") + "\n")
	}
	return b.String()
}

// lived fills a database with a bit of everything, slips and their corrections among it.
func lived(t testing.TB, s *Store) {
	t.Helper()
	mustSave(t, s, Load{Catalogue: example(), Pots: examplePots(), Jobs: []Job{exampleJob("job-a")}})
	ctx := t.Context()
	for name, value := range map[string]string{"pace": "1.5", "evenings": "mon 19:00-21:00"} {
		if err := s.SetSetting(ctx, name, value); err != nil {
			t.Fatal(err)
		}
	}
	pot := examplePots()[0].ID
	half := 0.5
	added, err := s.AddEvents(ctx, []NewEvent{{pot, inventory.PotEvent{Kind: inventory.Judged, Fraction: &half, Note: `"half", by eye ✓`}}})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := s.AddEvents(ctx, []NewEvent{{pot,
		inventory.PotEvent{Kind: inventory.Corrected, Undoes: added[0].ID}}}); err != nil {
		t.Fatal(err)
	}
	if _, err := s.UndoJob(ctx, "job-a", "not mine"); err != nil {
		t.Fatal(err)
	}
	j := exampleJob("job-b")
	if _, err := s.AddJob(ctx, j); err != nil {
		t.Fatal(err)
	}
	f := inventory.Factor{
		Level:        inventory.MethodLevel,
		Key:          "brush",
		LogMean:      0.1 + 0.2,
		LogSD:        1.0 / 3,
		Observations: 2,
	}
	if err := s.ChangeFactors(ctx, []inventory.FactorChange{
		{Factor: f, Change: inventory.FactorLearned, Observed: 1.25, Job: "job-b"},
		{Factor: f, Change: inventory.FactorPinned},
		{Factor: f, Change: inventory.FactorReset},
	}); err != nil {
		t.Fatal(err)
	}
}

func writtenRecord(t testing.TB, s *Store) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := s.WriteRecord(t.Context(), &b, noon, "test"); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func addRecord(t testing.TB, s *Store, data []byte) (map[string]Count, error) {
	t.Helper()
	rec, err := ReadRecord(bytes.NewReader(data), "record.jsonl")
	if err != nil {
		return nil, err
	}
	var counts map[string]Count
	err = s.Change(t.Context(), NewCommand("load"), func(tx *Tx) (err error) {
		counts, err = tx.AddRecord(context.Background(), rec)
		return err
	})
	return counts, err
}

func TestRecordComesBackAsItWas(t *testing.T) {
	t.Parallel()
	from, to := open(t), open(t)
	lived(t, from)
	record := writtenRecord(t, from)
	counts, err := addRecord(t, to, record)
	if err != nil {
		t.Fatal(err)
	}
	if n := counts["pot"]; n.New != len(examplePots()) || n.Same != 0 {
		t.Errorf("pots %+v", n)
	}
	if got, want := rowsOf(t, to), rowsOf(t, from); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
	if got, want := mustLoad(t, to), mustLoad(t, from); !same(got, want) {
		t.Errorf("got %+v\nwant %+v", got, want)
	}
	before := rowsOf(t, to)
	counts, err = addRecord(t, to, record)
	if err != nil {
		t.Fatal(err)
	}
	for table, n := range counts {
		if n.New != 0 || n.Changed != 0 {
			t.Errorf("a second time: %s %+v", table, n)
		}
	}
	if rowsOf(t, to) != before {
		t.Error("a second time changed something")
	}
	// What comes after gets numbers of its own.
	if _, err := to.AddJob(t.Context(), exampleJob("")); err != nil {
		t.Error(err)
	}
}

// Where other things are kept already, the record's come beside them, and what points at
// numbers points at the numbers here.
func TestRecordJoinsWhatIsThere(t *testing.T) {
	t.Parallel()
	from, to := open(t), open(t)
	lived(t, from)
	other := inventory.Catalogue{Paints: []inventory.Paint{{ID: "other", Name: "Other", Type: inventory.Base}}}
	half := 0.25
	mustSave(t, to, Load{
		Catalogue: other,
		Pots: []inventory.Pot{{ID: "other", Paint: "other", Nominal: 17000, Events: []inventory.PotEvent{
			{Kind: inventory.Bought}, {Kind: inventory.Judged, Fraction: &half}}}},
	})
	if err := to.SetSetting(t.Context(), "pace", "2"); err != nil {
		t.Fatal(err)
	}
	if _, err := addRecord(t, to, writtenRecord(t, from)); err != nil {
		t.Fatal(err)
	}
	shelf, err := to.Shelf(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	was, err := from.Shelf(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range was.Pots {
		got, _ := shelf.Pot(want.ID)
		a, b := got.Standing(), want.Standing()
		for i := range a {
			a[i].ID, b[i].ID = 0, 0
		}
		if !same(a, b) || len(got.Events) != len(want.Events) {
			t.Errorf("%s: standing\n%+v\nwant\n%+v", want.ID, a, b)
		}
	}
	if p, ok := shelf.Pot("other"); !ok || len(p.Events) != 2 {
		t.Errorf("what was there is %+v", p)
	}
	jobs, err := to.Jobs(t.Context(), "")
	if err != nil || len(jobs) != 3 {
		t.Errorf("%d jobs, %v", len(jobs), err)
	}
}

func TestBadRecordsAreNamedAndChangeNothing(t *testing.T) {
	t.Parallel()
	from, to := open(t), open(t)
	lived(t, from)
	record := writtenRecord(t, from)
	lines := bytes.SplitAfter(record, []byte{'\n'})
	before := rowsOf(t, to)
	for name, c := range map[string]struct {
		data []byte
		want string
	}{
		"empty":      {nil, "not a record"},
		"other":      {[]byte("id,name\na,b\nc,d\n"), "not a record"},
		"cut":        {bytes.Join(lines[:len(lines)-3], nil), "cut off"},
		"cut within": {record[:len(record)/2], ""},
		"changed":    {bytes.Replace(record, []byte("by eye"), []byte("by ear"), 1), "checksum"},
		"row gone":   {bytes.Join(slices.Delete(slices.Clone(lines), 3, 4), nil), "checksum"},
		"newer":      {bytes.Replace(record, []byte(`"edition":1`), []byte(`"edition":2`), 1), "newer halfpot"},
	} {
		_, err := addRecord(t, to, c.data)
		if _, ok := errors.AsType[*BadRecordError](err); !ok || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q", name, err, c.want)
		}
	}
	if rowsOf(t, to) != before {
		t.Error("something was changed")
	}
	// The same event, said otherwise.
	key := uuid.New()
	half := 0.5
	paint := inventory.Catalogue{Paints: []inventory.Paint{{ID: "x", Name: "X", Type: inventory.Base}}}
	for _, s := range []*Store{from, to} {
		mustSave(t, s, Load{
			Catalogue: paint,
			Pots: []inventory.Pot{{ID: "x", Paint: "x", Nominal: 17000,
				Events: []inventory.PotEvent{{Kind: inventory.Judged, Fraction: &half, Key: key}}}},
		})
		half = 0.75
	}
	before = rowsOf(t, to)
	if _, err := addRecord(t, to, writtenRecord(t, from)); err == nil ||
		!strings.Contains(err.Error(), "says something else") {
		t.Errorf("a clash: %v", err)
	}
	if rowsOf(t, to) != before {
		t.Error("something was changed")
	}
}

// Every table and column that there is, by the SQL standard's own lists, is carried.
func TestRecordForgetsNoColumn(t *testing.T) {
	t.Parallel()
	s := open(t)
	want, err := collectRows(t, s, "select table_name || '.' || column_name from "+
		"information_schema.columns join information_schema.tables using (table_schema, "+
		"table_name) where table_schema = 'halfpot' and table_type = 'BASE TABLE' and table_name <> "+
		"'migration' order by 1")
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	err = s.view(t.Context(), func(tx pgx.Tx) error {
		tables, err := readTables(t.Context(), tx)
		for _, tab := range tables {
			for _, c := range tab.columns {
				got = append(got, tab.name+"."+c)
			}
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	slices.Sort(got)
	slices.Sort(want)
	if !slices.Equal(got, want) {
		t.Errorf("carried %v\nthere are %v", got, want)
	}
}
