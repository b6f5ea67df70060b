package postgres

import (
	"bufio"
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"hash"
	"io"
	"time"

	"github.com/jackc/pgx/v5"

	queries "halfpot/sql"
)

// A record is the whole of a database in one file of JSON lines (UTF-8, a value
// a line): what it is, then every row of every table but that of migrations, in an
// order in which each finds what it refers to, then how many there were and a
// checksum of all before. Tables and columns are those the database has.

// RecordEdition is the form of the records written here.
const RecordEdition = 1

// recordHead is the first line.
type recordHead struct {
	Halfpot string    `json:"halfpot"` // "record"
	Edition int       `json:"edition"`
	Tables  int       `json:"tables"` // the version of the tables
	Made    time.Time `json:"made"`
	Why     string    `json:"why,omitempty"`
}

// recordFoot is the last line.
type recordFoot struct {
	Rows   int    `json:"rows"`
	SHA256 string `json:"sha256"`
}

// Record is a record that was read.
type Record struct {
	Name   string // of the file
	Tables int    // the version of the tables it was made of
	Made   time.Time
	Why    string
	rows   map[string][]recordRow // by table
	count  int
}

// Rows is how many rows it holds.
func (r *Record) Rows() int { return r.count }

type recordRow struct {
	line   int
	values json.RawMessage // an object by columns
}

// WriteRecord writes a record of all there is.
func (r *Reader) WriteRecord(ctx context.Context, w io.Writer, made time.Time, why string) error {
	var failed error
	err := r.read(ctx, func(tx pgx.Tx) error {
		failed = writeRecord(ctx, tx, w, made, why)
		return failed
	})
	if failed != nil && err != nil {
		return ofChange(failed)
	}
	return err
}

func writeRecord(ctx context.Context, tx pgx.Tx, w io.Writer, made time.Time, why string) error {
	if _, err := tx.Exec(ctx, queries.WritePlainly); err != nil {
		return err
	}
	version, err := tablesVersion(ctx, tx)
	if err != nil {
		return err
	}
	tables, err := readTables(ctx, tx)
	if err != nil {
		return err
	}
	out := &recordWriter{w: bufio.NewWriter(w), sum: sha256.New()}
	head, err := json.Marshal(recordHead{
		Halfpot: "record",
		Edition: RecordEdition,
		Tables:  version,
		Made:    made.UTC().Truncate(time.Second),
		Why:     why,
	})
	if err != nil {
		return err
	}
	if err := out.line(string(head)); err != nil {
		return err
	}
	n := 0
	for _, t := range tables {
		name, err := json.Marshal(t.name)
		if err != nil {
			return err
		}
		err = eachRow(ctx, tx, t, func(row string) error {
			n++
			return out.line("{" + string(name) + ":" + row + "}")
		})
		if err != nil {
			return err
		}
	}
	foot, err := json.Marshal(recordFoot{n, hex.EncodeToString(out.sum.Sum(nil))})
	if err != nil {
		return err
	}
	return errors.Join(out.line(string(foot)), out.w.Flush())
}

type recordWriter struct {
	w   *bufio.Writer
	sum hash.Hash
}

func (w *recordWriter) line(s string) error {
	w.sum.Write([]byte(s + "\n")) // a hash never fails
	_, err := w.w.WriteString(s + "\n")
	return err
}

func eachRow(ctx context.Context, tx pgx.Tx, t *table, f func(string) error) error {
	rows, err := tx.Query(ctx, queries.ListRows(t.name, t.order()))
	if err != nil {
		return err
	}
	var row string
	_, err = pgx.ForEachRow(rows, []any{&row}, func() error { return f(row) })
	return err
}

// The largest record read, in bytes, and its longest line.
const (
	MaxRecordBytes = 512 << 20
	maxRecordLine  = 4 << 20
)

// BadRecordError says what is wrong with a record.
type BadRecordError struct {
	Name string
	Line int // 0: the whole
	Text string
}

func (e *BadRecordError) Error() string {
	if e.Line == 0 {
		return e.Name + ": " + e.Text
	}
	return fmt.Sprintf("%s:%d: %s", e.Name, e.Line, e.Text)
}

// ReadRecord reads a record and makes sure that it is whole and as it was
// written. name is the file's, for errors, which are *BadRecordError or the reader's.
func ReadRecord(r io.Reader, name string) (*Record, error) {
	rec := &Record{Name: name, rows: map[string][]recordRow{}}
	bad := func(line int, format string, args ...any) error {
		return &BadRecordError{name, line, fmt.Sprintf(format, args...)}
	}
	limited := &io.LimitedReader{R: r, N: MaxRecordBytes + 1}
	lines := bufio.NewScanner(limited)
	lines.Buffer(make([]byte, 64<<10), maxRecordLine)
	sum := sha256.New()
	n := 0
	var last []byte // a line is a row only when another follows
	for lines.Scan() {
		n++
		switch {
		case n == 1:
		case n == 2:
			if err := rec.head(last, bad); err != nil {
				return nil, err
			}
		default:
			if err := rec.row(n-1, last, bad); err != nil {
				return nil, err
			}
		}
		if n > 1 {
			sum.Write(last)
			sum.Write([]byte{'\n'})
		}
		last = bytes.Clone(lines.Bytes())
	}
	if err := lines.Err(); errors.Is(err, bufio.ErrTooLong) {
		return nil, bad(n+1, "a line of more than %d MB; "+
			"expected a file that halfpot save or a backup wrote", maxRecordLine>>20)
	} else if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	if limited.N <= 0 {
		return nil, bad(0, "larger than %d MB; expected a file that halfpot save or a backup wrote",
			MaxRecordBytes>>20)
	}
	if n < 2 {
		return nil, bad(0,
			"not a record, or only its beginning; expected a file that halfpot save or a backup wrote")
	}
	var foot recordFoot
	if err := strict(last, &foot); err != nil || foot.SHA256 == "" {
		return nil, bad(n, "the end is missing: the file was cut off; take another copy")
	}
	if foot.Rows != rec.count || foot.SHA256 != hex.EncodeToString(sum.Sum(nil)) {
		return nil, bad(0, "changed since it was written, or damaged: its checksum does not fit; "+
			"change the CSV and TOML files beside it instead, or take another copy")
	}
	return rec, nil
}

func (r *Record) head(line []byte, bad func(int, string, ...any) error) error {
	var h recordHead
	if err := strict(line, &h); err != nil || h.Halfpot != "record" {
		return bad(1, "not a record; expected a file that halfpot save or a backup wrote")
	}
	if h.Edition > RecordEdition {
		return bad(1, "written by a newer halfpot (edition %d of records, this one reads up to %d); "+
			"use the newer one", h.Edition, RecordEdition)
	}
	r.Tables, r.Made, r.Why = h.Tables, h.Made, h.Why
	return nil
}

func (r *Record) row(line int, data []byte, bad func(int, string, ...any) error) error {
	var row map[string]json.RawMessage
	if err := json.Unmarshal(data, &row); err != nil || len(row) != 1 {
		return bad(line, "not a row of a record; the file is damaged")
	}
	for t, values := range row {
		r.rows[t] = append(r.rows[t], recordRow{line, values})
	}
	r.count++
	return nil
}

func strict(data []byte, v any) error {
	d := json.NewDecoder(bytes.NewReader(data))
	d.DisallowUnknownFields()
	return d.Decode(v)
}
