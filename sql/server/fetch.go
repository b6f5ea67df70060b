package server

import (
	"context"
	"fmt"
	"io"
	"io/fs"
	"net"
	"os"
	"path/filepath"
	"runtime"

	embeddedpostgres "github.com/fergusstrange/embedded-postgres"
)

// fetchVariable, set to "yes", allows the download that Options.Fetch allows.
const fetchVariable = "HALFPOT_FETCH_POSTGRES"

// canFetch tells whether ready-made server programs exist for this system.
func canFetch() bool {
	switch runtime.GOOS + "/" + runtime.GOARCH {
	case "linux/amd64", "linux/arm64", "darwin/amd64", "darwin/arm64":
		return true
	}
	return false
}

func (c *cluster) fetchedRoot() string { return filepath.Join(c.dir, "programs") }
func (c *cluster) fetchedDir() string  { return filepath.Join(c.fetchedRoot(), "bin") }

// fetchPrograms downloads server programs for this cluster's own use. The
// library's only way to do so is to start a server of its own; that one runs
// on a scratch folder, is stopped at once, and may even fail to start (it does
// under root): only the unpacked programs count.
func (c *cluster) fetchPrograms(ctx context.Context) error {
	scratch, err := os.MkdirTemp(c.dir, makingPrefix)
	if err != nil {
		return errUnwritable(c.dir, err)
	}
	defer os.RemoveAll(scratch)
	free, err := freePort()
	if err != nil {
		return &Error{Text: "no free network port for the downloaded server's first start", Err: err}
	}
	unpacked := filepath.Join(scratch, "programs")
	conf := embeddedpostgres.DefaultConfig().Port(free).Logger(io.Discard).
		CachePath(filepath.Join(scratch, "cache")).RuntimePath(filepath.Join(scratch, "run")).
		DataPath(filepath.Join(scratch, "data")).BinariesPath(unpacked)
	if c.fetchFrom != "" {
		conf = conf.BinaryRepositoryURL(c.fetchFrom)
	}
	scratchServer := embeddedpostgres.NewDatabase(conf)
	started := make(chan error, 1)
	go func() { started <- scratchServer.Start() }()
	select {
	case err = <-started:
	case <-ctx.Done():
		return ctx.Err()
	}
	if err == nil {
		err = scratchServer.Stop()
	}
	if !exists(filepath.Join(unpacked, "bin", "postgres")) || !exists(filepath.Join(unpacked, "bin", "initdb")) {
		e := errNoPrograms(false)
		e.Text = fmt.Sprintf("PostgreSQL's server programs could not be downloaded (%v); any one of these mends it:", err)
		return e
	}
	if err := os.RemoveAll(c.fetchedRoot()); err != nil {
		return errUnwritable(c.fetchedRoot(), err)
	}
	if err := os.Rename(unpacked, c.fetchedRoot()); err != nil {
		return errUnwritable(c.fetchedRoot(), err)
	}
	return filepath.WalkDir(c.fetchedRoot(), func(path string, _ fs.DirEntry, err error) error {
		if err != nil {
			return errUnwritable(path, err)
		}
		return c.give(path)
	})
}

func freePort() (uint32, error) {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return 0, err
	}
	defer l.Close()
	return uint32(l.Addr().(*net.TCPAddr).Port), nil
}
