package server

import (
	"context"
	"errors"
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
// under root): only the unpacked programs count. Root does this in a temporary
// folder, out of reach for the owner of the place.
func (c *cluster) fetchPrograms(ctx context.Context) error {
	scratch, err := c.fetchInto()
	if err != nil {
		return err
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
	// Its log goes to the temporary folder and stays there, whatever it is told.
	defer inTemporary(scratch)()
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
		e.Text = fmt.Sprintf("PostgreSQL's server programs could not be downloaded (%v); "+
			"any one of these mends it:", err)
		return e
	}
	return c.settle(unpacked)
}

// fetchInto makes the folder that is downloaded into. The lock must be held.
func (c *cluster) fetchInto() (string, error) {
	if !c.drop {
		return c.scratch()
	}
	dir, err := os.MkdirTemp("", "halfpot-programs-")
	if err == nil {
		err = os.Chmod(dir, 0o711) // the owner is to copy from it
	}
	if err != nil {
		return "", errUnwritable(dir, err)
	}
	return dir, nil
}

// inTemporary lets dir be the temporary folder until the function it gives is called.
func inTemporary(dir string) (back func()) {
	const name = "TMPDIR"
	old, was := os.LookupEnv(name)
	_ = os.Setenv(name, dir) // fails for a bad name only
	return func() {
		if was {
			_ = os.Setenv(name, old)
		} else {
			_ = os.Unsetenv(name)
		}
	}
}

// settle puts the programs where they are looked for.
func (c *cluster) settle(unpacked string) error {
	aside, err := c.scratch()
	if err != nil {
		return err
	}
	defer c.sweep() // of aside, which is gone already when all went well; else the next Open sweeps again
	err = c.as(func() error {
		fresh := filepath.Join(aside, "programs")
		return errors.Join(os.CopyFS(fresh, os.DirFS(unpacked)), os.RemoveAll(c.fetchedRoot()),
			os.Rename(fresh, c.fetchedRoot()))
	})
	if err != nil {
		return errUnwritable(c.fetchedRoot(), err)
	}
	if runtime.GOOS == "linux" {
		return nil
	}
	return filepath.WalkDir(c.fetchedRoot(), func(path string, _ fs.DirEntry, err error) error {
		if err == nil {
			err = c.handOver(path)
		}
		if err != nil {
			return errUnwritable(path, err)
		}
		return nil
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
