package server

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"time"

	"github.com/gofrs/flock"
)

// cluster is a private PostgreSQL cluster and how to handle it.
type cluster struct {
	place
	search    *search
	announce  func(string)
	volatile  bool
	fetch     bool
	fetchFrom string
}

func findCluster(opt Options) (*cluster, error) {
	p, err := findPlace(opt.Home)
	if err != nil {
		return nil, err
	}
	c := &cluster{place: p, search: opt.search, announce: opt.Announce, volatile: opt.Volatile,
		fetch: opt.Fetch || os.Getenv(fetchVariable) == "yes", fetchFrom: opt.fetchFrom}
	if c.search == nil {
		c.search = usualPlaces()
	}
	// Programs that were downloaded earlier serve again.
	c.search = &search{dirs: append(append([]string{}, c.search.dirs...), c.fetchedDir()), globs: c.search.globs}
	if c.announce == nil {
		c.announce = func(string) {}
	}
	return c, nil
}

// locked runs f while no other process makes, starts or stops this cluster.
// The kernel lets go of the lock when a process dies, however it dies.
func (c *cluster) locked(ctx context.Context, f func() error) error {
	if err := c.prepare(); err != nil {
		return err
	}
	lock := flock.New(c.lock, flock.SetPermissions(0o644))
	ok, err := lock.TryLockContext(ctx, 10*time.Millisecond)
	if ctx.Err() != nil {
		return fmt.Errorf("waiting for another halfpot to start or stop the database: %w", ctx.Err())
	}
	if err != nil || !ok {
		return errUnwritable(c.lock, err)
	}
	defer lock.Close()
	if err := c.give(c.lock); err != nil {
		return err
	}
	return f()
}

// open makes sure that the cluster exists and answers.
func (c *cluster) open(ctx context.Context) error {
	if c.answers(ctx) == nil {
		return nil
	}
	if ctx.Err() != nil {
		return ctx.Err()
	}
	return c.locked(ctx, func() error {
		c.sweep()
		major, err := c.dataVersion()
		if err != nil {
			return err
		}
		progs, err := c.programs(ctx, major)
		if err != nil {
			return err
		}
		if major == 0 {
			if err := c.make(ctx, progs); err != nil {
				return err
			}
		}
		return c.start(ctx, progs)
	})
}

// programs finds the programs for a data folder made by the given major
// version, or by none yet (0), fetching some where that is allowed.
func (c *cluster) programs(ctx context.Context, major int) (programs, error) {
	found := c.search.find(ctx, c.owner)
	if len(found) == 0 && c.fetch && canFetch() {
		c.announce("downloading PostgreSQL's server programs into " + c.fetchedDir())
		if err := c.fetchPrograms(ctx); err != nil {
			return programs{}, err
		}
		found = c.search.find(ctx, c.owner)
	}
	if err := ctx.Err(); err != nil {
		return programs{}, err // a search cut short finds too little
	}
	return pick(found, major, c.data)
}

// dataVersion is the major version that made the data folder; 0 where there is
// no data folder.
func (c *cluster) dataVersion() (int, error) {
	entries, err := os.ReadDir(c.data)
	if errors.Is(err, os.ErrNotExist) {
		return 0, nil
	}
	if err != nil {
		return 0, errUnwritable(c.data, err)
	}
	if len(entries) == 0 {
		return 0, nil // rename replaces an empty folder
	}
	text, err := os.ReadFile(filepath.Join(c.data, "PG_VERSION"))
	major, parseErr := strconv.Atoi(strings.TrimSpace(string(text)))
	if err != nil || parseErr != nil {
		return 0, &Error{
			Text:  fmt.Sprintf("the data folder %s is damaged: it has no readable PG_VERSION; nothing was touched", c.data),
			Hints: []string{"put the folder back from a copy, or move it away to start with an empty database"},
		}
	}
	return major, nil
}

// makingPrefix begins the name of a data folder that is being made. It gets
// its real name only when it is whole, so whatever bears this name has never
// held data.
const makingPrefix = "making-"

// sweep removes what a killed maker left. The lock must be held.
func (c *cluster) sweep() {
	half, _ := filepath.Glob(filepath.Join(c.dir, makingPrefix+"*"))
	for _, dir := range half {
		// An initdb that outlived its halfpot may still be adding files; what
		// it leaves is swept the next time.
		_ = os.RemoveAll(dir)
	}
}

// make makes the data folder. The lock must be held.
func (c *cluster) make(ctx context.Context, progs programs) error {
	c.announce("making a database of your own in " + c.dir + " (only this once)")
	half, err := os.MkdirTemp(c.dir, makingPrefix)
	if err != nil {
		return errUnwritable(c.dir, err)
	}
	defer os.RemoveAll(half) // gone already when all went well
	if err := c.give(half); err != nil {
		return err
	}
	// The C locale sorts alike on every machine. Small log segments make a
	// small folder: 30 MB instead of 40.
	args := []string{"--pgdata", half, "--username", databaseName, "--auth", "trust", "--encoding", "UTF8",
		"--locale", "C", "--data-checksums", "--wal-segsize", "1"}
	if c.volatile {
		args = append(args, "--no-sync")
	}
	cmd := exec.CommandContext(ctx, progs.path("initdb"), args...)
	c.runs(cmd, c.dir)
	var out bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &out
	if err := cmd.Run(); err != nil {
		if ctx.Err() != nil {
			return ctx.Err()
		}
		return c.failure("PostgreSQL could not make its data folder", err, out.String())
	}
	if err := os.Rename(half, c.data); err != nil {
		return errUnwritable(c.data, err)
	}
	if c.volatile {
		return nil
	}
	return syncFolder(c.dir)
}

// syncFolder makes a rename in a folder last through a power cut.
func syncFolder(dir string) error {
	f, err := os.Open(dir)
	if err != nil {
		return errUnwritable(dir, err)
	}
	defer f.Close()
	if err := f.Sync(); err != nil {
		return errUnwritable(dir, err)
	}
	return nil
}

// failure turns what a server program printed into words.
func (c *cluster) failure(text string, err error, output string) error {
	if strings.Contains(output, syscall.ENOSPC.Error()) || strings.Contains(strings.ToLower(output), "no space left on device") ||
		strings.Contains(output, "Disk quota exceeded") {
		return errDiskFull(c.dir)
	}
	if errors.Is(err, syscall.EPERM) && c.drop {
		return &Error{Text: fmt.Sprintf("this process is root but may not become the user %s, and PostgreSQL refuses to run as root", c.name),
			Hints: []string{"run halfpot as an ordinary user, or give a database with --database URL"}}
	}
	e := &Error{Text: text, Err: err}
	lines := strings.Split(strings.TrimSpace(output), "\n")
	for _, line := range lines[max(0, len(lines)-5):] {
		if line = strings.TrimSpace(line); line != "" {
			e.Hints = append(e.Hints, "it says: "+line)
		}
	}
	return e
}
