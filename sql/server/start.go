package server

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"strings"
	"syscall"
	"time"

	"github.com/jackc/pgx/v5/pgconn"
)

const (
	pollEvery     = 5 * time.Millisecond
	connectWithin = 5 * time.Second
	// sayAfter is how long a start may take before the user is told why.
	sayAfter = 3 * time.Second
	// deafFor is how long a server that runs may refuse connections without
	// saying that it is starting, before it is restarted.
	deafFor = 3 * time.Second
	// lingerFor is how long the children of a killed server may take to go.
	lingerFor = 20 * time.Second
	maxLog    = 1 << 20 // bytes of log kept before it is set aside
)

// answers connects once, and makes halfpot's database within the cluster where
// it is missing.
func (c *cluster) answers(ctx context.Context) error {
	err := c.try(ctx, databaseName)
	if !hasCode(err, "3D000") { // no such database
		return err
	}
	url, err := c.ownerURL("postgres")
	if err != nil {
		return err
	}
	conn, err := c.connect(ctx, url)
	if err != nil {
		return err
	}
	defer conn.Close(ctx)
	_, err = conn.Exec(ctx, createDatabase).ReadAll()
	if hasCode(err, "42P04") || hasCode(err, "23505") { // another command was quicker
		err = nil
	}
	return err
}

// try connects as commands do. That they would be superuser is errUndivided.
func (c *cluster) try(ctx context.Context, database string) error {
	conn, err := c.connect(ctx, c.url(database))
	if err != nil {
		return err
	}
	if conn.ParameterStatus("is_superuser") == "on" {
		err = errUndivided
	}
	return errors.Join(err, conn.Close(ctx))
}

func (c *cluster) connect(ctx context.Context, url string) (*pgconn.PgConn, error) {
	ctx, cancel := context.WithTimeout(ctx, connectWithin)
	defer cancel()
	return pgconn.Connect(ctx, url)
}

func hasCode(err error, code string) bool {
	pg, ok := errors.AsType[*pgconn.PgError](err)
	return ok && pg.Code == code
}

// start brings the server of an existing data folder to where it answers. The
// lock must be held.
func (c *cluster) start(ctx context.Context, progs programs) error {
	began := time.Now()
	deafSince := began
	told, restarted := false, false
	var child *process
	for {
		err := c.answers(ctx)
		if err == nil || hasCode(err, tooMany) { // the latter: it runs
			return nil
		}
		if undivided(err) {
			return err
		}
		if ctx.Err() != nil {
			return ctx.Err() // it goes on starting, and the next command finds it
		}
		switch pid := c.runningPID(); {
		case child != nil && child.exited():
			if said := child.said(); !lingering(said) || time.Since(began) > lingerFor {
				return c.failure("PostgreSQL did not start", child.err, said)
			}
			child = nil
			time.Sleep(20 * pollEvery)
		case pid == 0 && child == nil:
			if child, err = c.launch(progs); err != nil {
				return err
			}
			deafSince = time.Now()
		case hasCode(err, "57P03"): // starting, recovering or stopping
			deafSince = time.Now()
		case pid != 0 && time.Since(deafSince) > deafFor:
			if held := c.heldStill(pid); held != nil {
				return held
			}
			if !closed(err) {
				return errSilent(pid, c.log)
			}
			// Its socket is gone, as when something has cleaned /tmp.
			if restarted {
				return &Error{
					Text: fmt.Sprintf("the server (process %d) runs but can't be reached through %s",
						pid, c.socketFile()),
					Err: plainCause(err),
				}
			}
			c.announce("the database runs but can't be reached; starting it again")
			if err := c.halt(ctx, pid); err != nil {
				return err
			}
			child, restarted = nil, true
		}
		if !told && time.Since(began) > sayAfter {
			told = true
			c.announce("the database is still starting; after a crash it first mends itself")
		}
		time.Sleep(pollEvery)
	}
}

// closed tells a socket that is gone or leads nowhere from a server that is
// slow to answer, which a restart would only hold up more.
func closed(err error) bool {
	return errors.Is(err, syscall.ENOENT) || errors.Is(err, syscall.ECONNREFUSED)
}

func errSilent(pid int, log string) error {
	return &Error{
		Text: fmt.Sprintf("the server (process %d) does not answer; the machine may be very busy", pid),
		Hints: []string{
			"try again, or look into its log: " + log,
			"halfpot database stop, and the next command starts it anew",
		},
	}
}

// lingering tells a start that failed only because children of a killed
// server have not ended yet.
func lingering(said string) bool {
	return strings.Contains(said, "pre-existing shared memory block")
}

// launch starts the server program, which outlives this one. The lock must be
// held and no server be running.
func (c *cluster) launch(progs programs) (*process, error) {
	if err := c.writeFile(c.access, []byte(whoMayComeIn)); err != nil {
		return nil, errUnwritable(c.access, err)
	}
	return c.launchWith(progs, c.settings())
}

func (c *cluster) launchWith(progs programs, settings []string) (*process, error) {
	c.announce("starting the database")
	if err := c.clearRemains(); err != nil {
		return nil, err
	}
	if info, err := os.Lstat(c.log); err == nil && info.Size() > maxLog {
		_ = c.as(func() error {
			return os.Rename(c.log, c.log+".old")
		}) // a log that can't be set aside just grows
	}
	log, err := c.openFile(c.log, os.O_CREATE|os.O_RDWR|os.O_APPEND)
	if err != nil {
		return nil, errUnwritable(c.log, err)
	}
	defer log.Close()
	from, err := log.Seek(0, io.SeekEnd)
	if err != nil {
		return nil, errUnwritable(c.log, err)
	}
	cmd := exec.Command(progs.path("postgres"), "-D", c.data)
	for _, s := range settings {
		cmd.Args = append(cmd.Args, "-c", s)
	}
	c.runs(cmd, c.dir)
	cmd.SysProcAttr.Setsid = true // Ctrl-C ends the command, not the server
	cmd.Stdout, cmd.Stderr = log, log
	if err := cmd.Start(); err != nil {
		return nil, c.failure("PostgreSQL did not start", err, "")
	}
	p := &process{done: make(chan struct{}), cluster: c, from: from}
	go func() {
		p.err = cmd.Wait()
		close(p.done)
	}()
	return p, nil
}

// settings are given on the command line, so that the files in the data
// folder stay as initdb wrote them and every start uses the present ones.
func (c *cluster) settings() []string {
	s := []string{
		"listen_addresses=",
		"hba_file=" + c.access,
		"max_connections=200",
		fmt.Sprintf("port=%d", port),
		`unix_socket_directories="` + c.socket + `"`, // quoted: it is a list
		"unix_socket_permissions=0700",
		"timezone=UTC",
		"log_timezone=UTC",
		"lc_messages=C",
		"logging_collector=off",
		"log_destination=stderr",
		"shared_buffers=64MB",
		"max_wal_size=256MB",
		"work_mem=16MB",
		"random_page_cost=1.1", // the data of one painter are in memory or on a disk without heads
		"jit=off",              // its warm-up costs more than the small queries here take
	}
	return append(s, c.careful()...)
}

// careful are the settings that say how much the server takes care of its data. Its
// own cleaning up would be in the way of dropping a database of a test: the cleaner
// is a superuser, whom the owner may not end.
func (c *cluster) careful() []string {
	if c.volatile {
		return []string{"fsync=off", "synchronous_commit=off", "full_page_writes=off", "autovacuum=off"}
	}
	return nil
}

// clearRemains removes what a dead server left where PostgreSQL itself would
// stumble over it: a pid file or a socket's lock whose number now belongs to
// some other program. The lock must be held and no server be running. Should
// one be after all, PostgreSQL's shared memory still keeps a second one out.
func (c *cluster) clearRemains() error {
	remains := []string{c.socketFile(), c.socketFile() + ".lock"}
	if pid := c.writtenPID(); pid == 0 || processExists(pid) {
		remains = append(remains, c.pidFile())
	}
	for _, path := range remains {
		if err := c.as(func() error { return os.RemoveAll(path) }); err != nil {
			return errUnwritable(path, err)
		}
	}
	return nil
}

// process is a server program that was started.
type process struct {
	done chan struct{}
	err  error // valid once done is closed
	*cluster
	from int64 // where in the log its words begin
}

func (p *process) exited() bool {
	select {
	case <-p.done:
		return true
	default:
		return false
	}
}

// said is what the process wrote into the log.
func (p *process) said() string {
	f, err := p.openFile(p.log, os.O_RDONLY)
	if err != nil {
		return ""
	}
	defer f.Close()
	if _, err := f.Seek(p.from, io.SeekStart); err != nil {
		return ""
	}
	text, _ := io.ReadAll(io.LimitReader(f, maxLog)) // what can be read is shown
	return string(text)
}

// halt stops a running server: first it may finish what it writes, then it is
// made to. It returns when the process is gone. The lock must be held.
func (c *cluster) halt(ctx context.Context, pid int) error {
	if held := c.heldStill(pid); held != nil {
		return held
	}
	for _, step := range []struct {
		signal syscall.Signal
		wait   time.Duration
	}{{syscall.SIGINT, 60 * time.Second}, {syscall.SIGQUIT, 10 * time.Second}} {
		if err := syscall.Kill(pid, step.signal); err != nil && !errors.Is(err, syscall.ESRCH) {
			return &Error{Text: fmt.Sprintf("the server (process %d) can't be stopped", pid), Err: err}
		}
		for end := time.Now().Add(step.wait); time.Now().Before(end); time.Sleep(pollEvery) {
			if gone(pid) {
				return nil
			}
			if ctx.Err() != nil {
				return ctx.Err()
			}
		}
	}
	return &Error{Text: fmt.Sprintf("the server (process %d) does not stop; its log is %s", pid, c.log)}
}
