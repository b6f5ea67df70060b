package postgres

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"strings"
	"syscall"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
)

// ErrorKind sorts errors by what the caller can do about them.
type ErrorKind string

// The kinds of error.
const (
	Invalid     ErrorKind = "invalid"     // the values break a rule of the tables
	NotFound    ErrorKind = "not found"   // what was asked for is not there
	Conflict    ErrorKind = "conflict"    // it is there already, or was undone already
	Unavailable ErrorKind = "unavailable" // the database went away; nothing is half-written
	Full        ErrorKind = "full"        // the database's disk is full
	Unknown     ErrorKind = "unknown"     // the connection was lost at the end: it may have been written
	Internal    ErrorKind = "internal"    // anything else
)

// Error is trouble with what was to be kept, in words.
type Error struct {
	Kind       ErrorKind
	Text       string
	Constraint string // the rule that was broken, where one was
	Err        error  // the cause
}

func (e *Error) Error() string {
	// A constraint's words say it all; of others the cause tells more.
	if e.Err == nil || e.Constraint != "" {
		return e.Text
	}
	return e.Text + ": " + e.Err.Error()
}

func (e *Error) Unwrap() error { return e.Err }

func thereAlready(kind, id string) error {
	return &Error{Kind: Conflict, Text: fmt.Sprintf("there is a %s %q already", kind, id)}
}

func notFound(kind, id string) error {
	return &Error{Kind: NotFound, Text: fmt.Sprintf("there is no %s %q", kind, id)}
}

// translate is the one place where what pgx and PostgreSQL report becomes an
// *Error. It looks at SQLSTATE and the constraint's name, never at messages.
// What is an *Error already, or the context's, passes through.
func translate(err error) error {
	if err == nil {
		return nil
	}
	if _, ok := errors.AsType[*Error](err); ok {
		return err
	}
	if errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded) {
		return err
	}
	if pg, ok := errors.AsType[*pgconn.PgError](err); ok {
		return fromServer(pg, err)
	}
	if lost(err) {
		return &Error{Kind: Unavailable, Err: err,
			Text: "the connection to the database was lost; what was not finished was not written, " +
				"so run the same command again"}
	}
	return &Error{Kind: Internal, Text: "the database could not be used", Err: err}
}

// ofChange translates what ended a change, where it came from the database; what
// the change itself found wrong passes through.
func ofChange(err error) error {
	_, fromServer := errors.AsType[*pgconn.PgError](err)
	if err == nil || !fromServer && !lost(err) {
		return err
	}
	return translate(err)
}

// lost tells errors of the connection from others.
func lost(err error) bool {
	_, isConnect := errors.AsType[*pgconn.ConnectError](err)
	_, isNet := errors.AsType[net.Error](err)
	return isConnect || isNet || pgconn.SafeToRetry(err) || errors.Is(err, io.EOF) ||
		errors.Is(err, io.ErrUnexpectedEOF) ||
		errors.Is(err, net.ErrClosed) || errors.Is(err, syscall.EPIPE) || errors.Is(err, syscall.ECONNRESET) ||
		errors.Is(err, pgx.ErrTxClosed)
}

func fromServer(pg *pgconn.PgError, err error) error {
	e := &Error{Kind: Internal, Text: "the database refused", Constraint: pg.ConstraintName, Err: err}
	switch class := pg.Code[:2]; {
	case pg.ConstraintName != "" && class == "23":
		e.Kind, e.Text = broken(pg)
	case pg.Code == "23502": // not null
		e.Kind, e.Text = Invalid, fmt.Sprintf("%s of %s is missing",
			plain(pg.ColumnName), article(plain(pg.TableName)))
		e.Constraint = pg.TableName + "." + pg.ColumnName
	case pg.Code == "22003": // numeric value out of range
		e.Kind, e.Text = Invalid, "a number is larger than the database keeps (money: below 1000000000)"
	case pg.Code == "22021" || pg.Code == "22P05": // bad encoding
		e.Kind, e.Text = Invalid, "a text holds what the database can't keep (a zero byte, or broken UTF-8)"
	case class == "22":
		e.Kind, e.Text = Invalid, "a value is not one the database keeps"
	case pg.Code == "53100": // disk full
		e.Kind, e.Text = Full, "the database's disk is full; nothing was written"
	case pg.Code == "25006": // read-only
		e.Text = "the database may only be read"
	case pg.Code == "42501": // insufficient privilege
		e.Text = "the database's user lacks a right"
	case class == "08" || pg.Code == "57P01" || pg.Code == "57P02" || pg.Code == "57P03" || pg.Code == "53300":
		e.Kind = Unavailable
		e.Text = "the database went away; what was not finished was not written, so run the same command again"
	case pg.Code == "55P03":
		e.Kind, e.Text = Unavailable, "another command has been writing all the while; "+
			"nothing was written, so run this one again later"
	case pg.Code == "25P03":
		e.Kind, e.Text = Unavailable, "this command slept for so long that the database let go of it; "+
			"nothing was written, so run it again"
	case pg.Code == "40001" || pg.Code == "40P01":
		e.Kind, e.Text = Unavailable, "another command changed the same things at the same time; "+
			"nothing was written, so run this one again"
	}
	return e
}

// broken says which rule a row broke.
func broken(pg *pgconn.PgError) (ErrorKind, string) {
	kind := Invalid
	if pg.Code == "23505" || pg.Code == "23001" { // unique, append-only
		kind = Conflict
	}
	text := rule(pg.TableName, pg.ConstraintName)
	if text == "" {
		text = fmt.Sprintf("%s breaks the rule %q", article(plain(pg.TableName)), pg.ConstraintName)
	}
	if pg.Detail != "" && (pg.Code == "23503" || pg.Code == "23505") {
		text += " (" + strings.TrimSuffix(pg.Detail, ".") + ")"
	}
	return kind, text
}

// rule puts a constraint into words. Migrations name constraints so that the
// name says it: TABLE_WHAT_range and so on.
func rule(table, constraint string) string {
	if said, ok := specialRules[constraint]; ok {
		return said
	}
	about := strings.TrimPrefix(constraint, table+"_")
	thing := article(plain(table))
	for _, form := range []struct{ prefix, suffix, words string }{
		{"has_", "", "%s has no %s"},
		{"of_", "", "%s belongs to a %s that is not there"},
		{"", "_range", "%s has an impossible %s"},
		{"", "_is_paint", "%s names as %s a paint that is not there"},
		{"", "_exists", "%s names a %s that is not there"},
		{"", "_once", "%s with the same %s is there already"},
		{"", "_form", "%s has a %s of the wrong form"},
		{"", "_known", "%s is of no known %s"},
		{"", "_is_time", "%s has an endless %s"},
		{"", "_is_number", "%s has a %s that is not a number"},
	} {
		if what, ok := strings.CutPrefix(about, form.prefix); ok {
			if what, ok = strings.CutSuffix(what, form.suffix); ok && (form.prefix != "" || form.suffix != "") {
				return fmt.Sprintf(form.words, thing, plain(what))
			}
		}
	}
	if about == "once" {
		return fmt.Sprintf("the same %s is there already", plain(table))
	}
	if about == "is_paint" {
		return thing + " names a paint that is not there"
	}
	return ""
}

// specialRules are the constraints whose names alone would not speak clearly.
var specialRules = map[string]string{
	"slug_form":                     "an id is not of lower-case letters, digits and single hyphens, 80 at most",
	"currency_form":                 "a currency is not three capital letters, like EUR",
	"spectrum_pairs":                "a measured colour has not as many wavelengths as reflectances",
	"spectrum_range":                "a measured colour has a wavelength or a reflectance that can't be",
	"stand_in_is_another":           "a paint stands in for itself",
	"offer_in_shop_currency":        "an offer's price is in another currency than the shop's",
	"figure_body_whole":             "a figure's body is given only in part",
	"figure_has_area":               "a figure has neither an area nor a body with a scale to reckon it from",
	"figure_region_share_or_area":   "a figure's region needs a share or an area of its own, and not both",
	"step_choice_thinning_whole":    "a step's thinning needs the parts of paint and of what thins it",
	"match_unit_is_unit":            "a match rule names a unit that the force does not have",
	"job_undone_once":               "the job has been undone already",
	"job_undoes_another":            "a job undoes itself",
	"job_append_only":               "the work log is append-only: undo a job instead",
	"work_append_only":              "the work log is append-only: undo a job instead",
	"work_unit_exists":              "there is work logged on a unit that the force does not have",
	"pot_cost_whole":                "a pot's cost needs an amount and a currency",
	"pot_event_undone_once":         "the event has been undone already",
	"pot_event_undoes_same_pot":     "a correction undoes an event that this pot does not have",
	"pot_event_undoes_earlier":      "a correction undoes an event that comes after it",
	"pot_event_correction_undoes":   "a correction, and nothing else, says which event it undoes",
	"pot_event_measure":             "an event lacks the measure that its kind needs, or has one too many",
	"pot_event_append_only":         "a pot's events are append-only: add a correction instead",
	"pot_event_key_once":            "an event with the same key is there already",
	"change_append_only":            "the list of changes is append-only",
	"shop_order_append_only":        "orders are append-only: call off what will not come",
	"order_line_append_only":        "orders are append-only: call off what will not come",
	"order_event_append_only":       "what happened to an order is append-only: add a correction instead",
	"order_pot_append_only":         "what happened to an order is append-only: add a correction instead",
	"order_event_undone_once":       "the entry has been undone already",
	"order_event_undoes_same_order": "a correction undoes an entry that this order does not have",
	"order_event_undoes_earlier":    "a correction undoes an entry that comes after it",
	"order_event_is_of_line":        "an entry is of a product that the order does not have",
	"order_event_measure":           "an entry of an order lacks what its kind needs, or has something too many",
	"order_pot_came_once":           "a pot came with another order already",
	"merged_into_another":           "a paint is merged into itself",
	"merged_append_only":            "that paints were merged stays: go back to the backup made before",
	"factor_history_append_only":    "the history of factors is append-only: pin or reset the factor instead",
}

func plain(name string) string { return strings.ReplaceAll(name, "_", " ") }

func article(thing string) string {
	if thing != "" && strings.ContainsRune("aeio", rune(thing[0])) {
		return "an " + thing
	}
	return "a " + thing
}
