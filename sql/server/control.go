package server

import (
	"context"
	"errors"
	"os"
	"time"

	"github.com/jackc/pgx/v5/pgconn"
)

// Status describes the database without changing anything.
type Status struct {
	Private bool   // a cluster of halfpot's own, or one that was given
	Running bool   // it answers
	Where   string // data folder, or host and name without password
	Trouble string // why it does not answer, or ""

	// The rest is about a private cluster only.
	Folder   string // holds data, log and lock
	Socket   string // what psql takes as host
	Log      string
	User     string // whom the server runs as
	Moved    string // why Folder is not below the home folder, or ""
	Made     bool   // the data folder exists
	Major    int    // major version that made it
	PID      int    // 0 when not running
	Programs string // where its server programs are
	Version  string // of the programs
}

// Look reports on the database that Open would open, and starts nothing.
func Look(ctx context.Context, opt Options) (Status, error) {
	if url, given := givenURL(opt); given {
		return lookGiven(ctx, url)
	}
	forgetEnvironment()
	c, err := findCluster(opt)
	if err != nil {
		return Status{}, err
	}
	s := Status{
		Private: true,
		Where:   c.data,
		Folder:  c.dir,
		Socket:  c.socket,
		Log:     c.log,
		User:    c.name,
		Moved:   c.moved,
		PID:     c.runningPID(),
	}
	if err := c.closedToMe(); err != nil {
		s.Trouble = err.Error()
		return s, nil
	}
	s.Major, err = c.dataVersion()
	if err != nil {
		s.Trouble = err.Error()
		return s, nil
	}
	s.Made = s.Major != 0
	progs, err := pick(c.search.find(ctx, c.owner), s.Major, c.data)
	if err != nil {
		s.Trouble = err.Error()
		return s, nil
	}
	s.Programs, s.Version = progs.dir, progs.version
	if s.PID != 0 {
		if err := c.try(ctx, databaseName); err != nil && !errors.Is(err, errUndivided) {
			s.Trouble = plainCause(err).Error()
			if held := c.heldStill(s.PID); held != nil {
				s.Trouble = held.Error()
			}
		}
		s.Running = s.Trouble == ""
	}
	return s, nil
}

func lookGiven(ctx context.Context, url string) (Status, error) {
	conf, err := parseGiven(url)
	if err != nil {
		return Status{}, err
	}
	s := Status{Where: placeOf(conf)}
	conf.ConnectTimeout = 10 * time.Second
	conn, err := pgconn.ConnectConfig(ctx, conf)
	if err != nil {
		s.Trouble = plainCause(err).Error()
		return s, nil
	}
	s.Running = true
	s.Version = conn.ParameterStatus("server_version")
	return s, conn.Close(ctx)
}

// Path is the folder where the private cluster of a home folder lives, made or
// not. Under root it may lie outside the home folder; Status.Moved says why.
func Path(opt Options) (string, error) {
	p, err := findPlace(opt.Home)
	return p.dir, err
}

// Stop ends the private cluster's server after it has written everything, and
// reports whether it was running. A database that was given is not halfpot's
// to stop: that is an error.
func Stop(ctx context.Context, opt Options) (was bool, err error) {
	if _, given := givenURL(opt); given {
		return false, &Error{Text: "the database was given by URL or environment, " +
			"so halfpot neither starts nor stops it"}
	}
	forgetEnvironment()
	c, err := findCluster(opt)
	if err != nil {
		return false, err
	}
	if err := c.closedToMe(); err != nil {
		return false, err
	}
	if !exists(c.dir) {
		return false, nil
	}
	err = c.locked(ctx, func() error {
		if pid := c.runningPID(); pid != 0 {
			was = true
			if err := c.halt(ctx, pid); err != nil {
				return err
			}
		}
		if c.socketApart() {
			// Nothing stays in the temporary folder. What is not empty stays.
			_ = c.as(func() error { return os.Remove(c.socket) })
		}
		return nil
	})
	return was, err
}
