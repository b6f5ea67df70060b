// Package server finds the PostgreSQL database that halfpot keeps its data in.
//
// A database that was asked for is taken first: a URL, then DATABASE_URL, then
// the standard PG variables. Without one, Open makes and starts a private
// cluster: server programs found on the machine, a data folder of halfpot's
// own, and a Unix socket as the only way in. The cluster keeps running between
// commands, so that all but the first find it ready; Stop ends it.
//
// Every step is made so that a kill -9 at any moment leaves nothing that the
// next Open does not mend: a cluster is made under another name and renamed
// when it is whole, one lock serialises making, starting and stopping, and
// process ids and sockets that were left behind are recognised as such.
//
// Commands come in as a role that may read, add and do what they need; the
// tables belong to another, whose key lies beside the data; and the superuser
// that PostgreSQL cannot be without has no way in while the server runs. Under
// root all files in the place are touched with its owner's rights only. The PG
// variables are for databases that were given: opening a private one takes them
// out of the process.
package server

import (
	"context"

	"github.com/jackc/pgx/v5/pgconn"
)

// Options say which database is wanted. The zero value asks for the one named
// by the environment, or else the private cluster in its usual place.
type Options struct {
	// URL is a PostgreSQL URL or keyword string; it comes before all else.
	URL string
	// Private passes over DATABASE_URL and the PG variables.
	Private bool
	// Home is the folder that holds the private cluster. Empty means the
	// folder "halfpot" under the XDG data folder.
	Home string
	// Announce is told, in one sentence, about each step that takes a while.
	// nil means silence.
	Announce func(string)
	// Volatile trades safety for speed: the server does not wait for the disk,
	// so a crash of the machine may lose everything, and never cleans up by itself.
	// For throw-away clusters.
	Volatile bool
	// Fetch allows server programs to be downloaded when none are found.
	Fetch bool

	search    *search // where programs are looked for; nil means the usual places
	fetchFrom string  // where programs are downloaded from; empty means the library's usual place
}

// Database is a database that answers.
type Database struct {
	// URL is what pgx connects with. It is empty where the PG variables say
	// all there is to say.
	URL string
	// Owner is what pgx connects with to make and change tables; URL's user may
	// only do what commands need. It is empty where URL's user does it all.
	Owner string
	// Private tells a cluster of halfpot's own from a database that was given.
	Private bool
	// Where names the database for people, without any password.
	Where string
}

// Error is trouble with the database, in words for the person at the keyboard.
type Error struct {
	Text  string   // what is wrong
	Hints []string // what can be done about it, one line each
	Err   error    // the cause, or nil
}

func (e *Error) Error() string {
	s := e.Text
	if e.Err != nil {
		s += ": " + e.Err.Error()
	}
	for _, h := range e.Hints {
		s += "\n  " + h
	}
	return s
}

func (e *Error) Unwrap() error { return e.Err }

// Likely is the database that Open would find, without asking whether it answers, for
// callers who connect at once: a connection costs more than most commands do. ok is
// false where Open has something to do first, or something to say. Who can't connect,
// or finds with Trust that he should not, calls Open.
func Likely(opt Options) (db *Database, ok bool) {
	if url, given := givenURL(opt); given {
		conf, err := parseGiven(url)
		if err != nil {
			return nil, false
		}
		return &Database{URL: url, Where: placeOf(conf)}, true
	}
	forgetEnvironment()
	c, err := findCluster(opt)
	if err != nil || !c.whole() || c.closedToMe() != nil {
		return nil, false
	}
	if pid := c.runningPID(); pid == 0 || c.heldStill(pid) != nil {
		return nil, false
	}
	owner, err := c.ownerURL(databaseName)
	if err != nil {
		return nil, false
	}
	return &Database{URL: c.url(databaseName), Owner: owner, Private: true, Where: c.data}, true
}

// Trust looks at a connection to a database that is only likely: as superuser
// nobody is to work in a private one.
func (db *Database) Trust(conn *pgconn.PgConn) error {
	if db.Private && conn.ParameterStatus("is_superuser") == "on" {
		return errUndivided
	}
	return nil
}

// Open finds the database and makes sure that it answers, making and starting
// the private cluster where that is what is wanted. Several processes may call
// it at once. The error is an *Error, or the context's.
func Open(ctx context.Context, opt Options) (*Database, error) {
	if url, given := givenURL(opt); given {
		return openGiven(ctx, url)
	}
	forgetEnvironment()
	c, err := findCluster(opt)
	if err != nil {
		return nil, err
	}
	if err := c.open(ctx); err != nil {
		return nil, err
	}
	owner, err := c.ownerURL(databaseName)
	if err != nil {
		return nil, err
	}
	return &Database{URL: c.url(databaseName), Owner: owner, Private: true, Where: c.data}, nil
}
