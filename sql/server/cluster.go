package server

import (
	"bytes"
	"context"
	"crypto/rand"
	"encoding/hex"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
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
	// First made with all care; the lock's own opening then finds it.
	file, err := c.openFile(c.lock, os.O_CREATE|os.O_RDWR)
	if err != nil {
		return errUnwritable(c.lock, err)
	}
	defer file.Close()
	lock := flock.New(c.lock, flock.SetFlag(os.O_RDWR|syscall.O_NOFOLLOW))
	defer lock.Close()
	ok := false
	err = c.as(func() error {
		ok, err = lock.TryLockContext(ctx, 10*time.Millisecond)
		return err
	})
	if ctx.Err() != nil {
		return fmt.Errorf("waiting for another halfpot to start or stop the database: %w", ctx.Err())
	}
	if err != nil || !ok {
		return errUnwritable(c.lock, err)
	}
	return f()
}

// open makes sure that the cluster exists and answers.
func (c *cluster) open(ctx context.Context) error {
	err := c.found(ctx)
	if err == nil || hasCode(err, tooMany) { // it runs; whoever connects next waits for a place
		return nil
	}
	if ctx.Err() != nil {
		return ctx.Err()
	}
	if err := c.closedToMe(); err != nil {
		return err
	}
	if err := c.heldStill(c.runningPID()); err != nil {
		return err
	}
	return c.locked(ctx, func() error {
		if err := c.sweep(); err != nil {
			return err
		}
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
		if !c.keyed() {
			if err := c.divideMade(ctx, progs); err != nil {
				return err
			}
		}
		err = c.start(ctx, progs)
		if undivided(err) {
			if err := c.divideMade(ctx, progs); err != nil {
				return err
			}
			err = c.start(ctx, progs)
		}
		return err
	})
}

// found is answers for a cluster that looks whole: of one whose folder has been
// removed, the server may linger for a minute behind a socket that lies apart.
func (c *cluster) found(ctx context.Context) error {
	if !c.whole() {
		return errUndivided
	}
	return c.answers(ctx)
}

func (c *cluster) whole() bool { return c.keyed() && (!c.socketApart() || c.has(c.data)) }

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
	entries, err := c.list(c.data)
	if errors.Is(err, os.ErrNotExist) {
		return 0, nil
	}
	if err != nil {
		return 0, errUnwritable(c.data, err)
	}
	if len(entries) == 0 {
		return 0, nil // rename replaces an empty folder
	}
	text, err := c.readFile(filepath.Join(c.data, "PG_VERSION"))
	major, parseErr := strconv.Atoi(strings.TrimSpace(string(text)))
	if err != nil || parseErr != nil {
		return 0, &Error{
			Text: fmt.Sprintf("the data folder %s is damaged: it has no readable PG_VERSION; "+
				"nothing was touched", c.data),
			Hints: []string{"put the folder back from a copy, or move it away to start with an empty database"},
		}
	}
	return major, nil
}

// makingPrefix begins the name of a data folder that is being made. It gets
// its real name only when it is whole, so what bears such a name, and stands in
// the list of them, has never held data.
const makingPrefix = "making-"

// scratch makes a folder for something that gets its real name later, once its
// own name is written down for sweep. The lock must be held.
func (c *cluster) scratch() (string, error) {
	var random [6]byte
	_, _ = rand.Read(random[:]) // never fails
	name := makingPrefix + hex.EncodeToString(random[:])
	names, err := c.unfinished()
	if err != nil {
		return "", err
	}
	if err := c.writeFile(c.making, []byte(strings.Join(append(names, name), "\n")+"\n")); err != nil {
		return "", errUnwritable(c.making, err)
	}
	dir := filepath.Join(c.dir, name)
	return dir, c.mkdir(dir)
}

// unfinished lists the folders that halfpot began to make and did not finish,
// by their names.
func (c *cluster) unfinished() (names []string, err error) {
	text, err := c.readFile(c.making)
	if errors.Is(err, os.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, errUnwritable(c.making, err)
	}
	for _, name := range strings.Fields(string(text)) {
		if madeName().MatchString(name) {
			names = append(names, name)
		}
	}
	return names, nil
}

var madeName = pattern(`^` + makingPrefix + `[0-9a-f]{12}$`)

// sweep removes what a killed maker left, and nothing that only bears such a
// name. The lock must be held.
func (c *cluster) sweep() error {
	names, err := c.unfinished()
	if err != nil || len(names) == 0 {
		return err
	}
	var stays []string
	for _, name := range names {
		dir := filepath.Join(c.dir, name)
		// An initdb that outlived its halfpot may still be adding files; what
		// it leaves is swept the next time.
		_ = c.as(func() error { return os.RemoveAll(dir) })
		if c.has(dir) {
			stays = append(stays, name+"\n")
		}
	}
	if len(stays) > 0 {
		err = c.writeFile(c.making, []byte(strings.Join(stays, "")))
	} else {
		err = c.as(func() error { return os.Remove(c.making) })
	}
	if err != nil {
		return errUnwritable(c.making, err)
	}
	return nil
}

// make makes the data folder. The lock must be held.
func (c *cluster) make(ctx context.Context, progs programs) error {
	c.announce("making a database of your own in " + c.dir + " (only this once)")
	half, err := c.scratch()
	if err != nil {
		return err
	}
	defer c.sweep() // of half, which is gone already when all went well; else the next Open sweeps again
	// The C locale sorts alike on every machine. Small log segments make a
	// small folder: 30 MB instead of 40.
	args := []string{"--pgdata", half, "--username", makerRole, "--auth", "trust", "--encoding", "UTF8",
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
	if err := c.divide(ctx, progs, half, "postgres"); err != nil {
		return err
	}
	if err := c.as(func() error { return os.Rename(half, c.data) }); err != nil {
		return errUnwritable(c.data, err)
	}
	if c.volatile {
		return nil
	}
	return c.syncFolder(c.dir)
}

// syncFolder makes a rename in a folder last through a power cut.
func (c *cluster) syncFolder(dir string) error {
	err := c.as(func() error {
		f, err := os.Open(dir)
		if err != nil {
			return err
		}
		return errors.Join(f.Sync(), f.Close())
	})
	if err != nil {
		return errUnwritable(dir, err)
	}
	return nil
}

var badLine = pattern(`\b(ERROR|FATAL|PANIC): `)

// failure turns what a server program printed into words.
func (c *cluster) failure(text string, err error, output string) error {
	if strings.Contains(output, syscall.ENOSPC.Error()) ||
		strings.Contains(strings.ToLower(output), "no space left on device") ||
		strings.Contains(output, "Disk quota exceeded") {
		return errDiskFull(c.dir)
	}
	if errors.Is(err, syscall.EPERM) && c.drop {
		return &Error{
			Text: fmt.Sprintf("this process is root but may not become the user %s, "+
				"and PostgreSQL refuses to run as root", c.name),
			Hints: []string{"run halfpot as an ordinary user, or give a database with --database URL"},
		}
	}
	e := &Error{Text: text, Err: err}
	lines := strings.Split(strings.TrimSpace(output), "\n")
	// What went wrong matters most, wherever it stands.
	if wrong := slices.DeleteFunc(slices.Clone(lines), func(line string) bool {
		return !badLine().MatchString(line)
	}); len(wrong) > 0 {
		lines = wrong
	}
	for _, line := range lines[max(0, len(lines)-5):] {
		if line = strings.TrimSpace(line); line != "" {
			e.Hints = append(e.Hints, "it says: "+line)
		}
	}
	return e
}
