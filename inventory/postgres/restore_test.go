package postgres

import (
	"bytes"
	"errors"
	"io"
	"strings"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"halfpot/inventory"
	queries "halfpot/sql"
	"halfpot/sql/server/servertest"
)

func readBack(t *testing.T, data []byte) *Record {
	t.Helper()
	rec, err := ReadRecord(bytes.NewReader(data), "backup.jsonl")
	if err != nil {
		t.Fatal(err)
	}
	return rec
}

func TestRestoreGoesBackToWhatWas(t *testing.T) {
	t.Parallel()
	url := servertest.New(t)
	s := openAt(t, url)
	lived(t, s)
	was, record := rowsOf(t, s), writtenRecord(t, s)
	mustSave(t, s, Load{Catalogue: inventory.Catalogue{Paints: []inventory.Paint{{
		ID:   "later",
		Name: "Later",
		Type: inventory.Base,
	}}}})
	if err := Restore(t.Context(), servertest.AsOwner(url), true, readBack(t, record)); err != nil {
		t.Fatal(err)
	}
	again := openAt(t, url)
	if got := rowsOf(t, again); got != was {
		t.Errorf("got\n%s\nwant\n%s", got, was)
	}
	if _, err := again.AddJob(t.Context(), exampleJob("")); err != nil { // with the rights commands have
		t.Error(err)
	}
	// One of a newer halfpot, and one with a row that breaks a rule, change nothing.
	was = rowsOf(t, again)
	newer := readBack(t, record)
	newer.Tables = 9999
	err := Restore(t.Context(), servertest.AsOwner(url), true, newer)
	if _, ok := errors.AsType[*BadRecordError](err); !ok || !strings.Contains(err.Error(), "another version") {
		t.Errorf("a newer one: %v", err)
	}
	broken := readBack(t, record)
	broken.rows["pot"] = broken.rows["pot"][1:]
	if err := Restore(t.Context(), servertest.AsOwner(url), true, broken); err == nil {
		t.Error("events without their pot were taken")
	}
	if got := rowsOf(t, again); got != was {
		t.Error("something was changed")
	}
}

// Before tables of an older halfpot are brought up to date, all that was in them is kept,
// and can be gone back to.
func TestBackupBeforeMigration(t *testing.T) {
	t.Parallel()
	url := servertest.New(t)
	owner, err := pgx.Connect(t.Context(), servertest.AsOwner(url))
	if err != nil {
		t.Fatal(err)
	}
	defer owner.Close(t.Context())
	if err := queries.Rebuild(t.Context(), owner, 7, true, func(tx pgx.Tx) error {
		_, err := tx.Conn().PgConn().Exec(t.Context(), `
			insert into halfpot.paint (id, maker, range, name, code, type) values ('bone', '', '', 'Bone', '', 'base');
			insert into halfpot.pot (id, paint, nominal_ul, place) values ('bone-1', 'bone', 17000, 'drawer');
			insert into halfpot.pot_event (pot, at, kind, fraction, estimated, note) values (1, '2025-03-09', 'judged', 0.5, false, '')`).ReadAll()
		return err
	}); err != nil {
		t.Fatal(err)
	}
	var kept bytes.Buffer
	up := func() *Store {
		t.Helper()
		s, err := Open(t.Context(), url, Options{
			Now:   func() time.Time { return noon },
			Owner: servertest.AsOwner(url),
			Backup: func(why string, write func(io.Writer) error) error {
				kept.Reset()
				return write(&kept)
			},
		})
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(s.Close)
		return s
	}
	look := func(s *Store) {
		t.Helper()
		shelf, err := s.Shelf(t.Context())
		if err != nil || len(shelf.Pots) != 1 || len(shelf.Pots[0].Events) != 1 ||
			*shelf.Pots[0].Events[0].Fraction != 0.5 {
			t.Errorf("%+v, %v", shelf, err)
		}
	}
	look(up())
	rec := readBack(t, kept.Bytes())
	if rec.Tables != 7 || rec.Rows() != 3 {
		t.Errorf("kept %d rows of version %d, want 3 of 7", rec.Rows(), rec.Tables)
	}
	if err := Restore(t.Context(), servertest.AsOwner(url), true, rec); err != nil {
		t.Fatal(err)
	}
	look(up())
	// No backup, no migration.
	if err := Restore(t.Context(), servertest.AsOwner(url), true, rec); err != nil {
		t.Fatal(err)
	}
	full := errors.New("the disk is full")
	if _, err := Open(t.Context(), url, Options{
		Owner:  servertest.AsOwner(url),
		Backup: func(string, func(io.Writer) error) error { return full },
	}); !errors.Is(err, full) {
		t.Errorf("got %v", err)
	}
	var version int
	if err := owner.QueryRow(t.Context(), queries.SchemaVersion).Scan(&version); err != nil || version != 7 {
		t.Errorf("version %d, %v", version, err)
	}
}
