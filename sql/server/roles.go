package server

import (
	"bytes"
	"context"
	"crypto/rand"
	_ "embed" // for the statements
	"encoding/hex"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"strings"
	"time"
)

//go:embed create_database.sql
var createDatabase string

//go:embed divide_roles.sql
var divideRoles string

const (
	commandRole = databaseName // so that "psql -h SOCKET -U halfpot" needs no more
	ownerRole   = "halfpot_owner"
	makerRole   = "halfpot_maker"
)

// whoMayComeIn is what PostgreSQL reads instead of the pg_hba.conf in the data
// folder, which stays as a way in for a person who starts the server by hand.
const whoMayComeIn = `# Who may come in through the socket. Written anew at every start.
# Commands work as a role that may read, add and do what they need:
local all ` + commandRole + ` trust
# Tables are made and changed by their owner, whose key lies beside this file:
local all ` + ownerRole + ` scram-sha-256
# The superuser and all others stay out.
local all all reject
`

// errUndivided says that commands would work as superuser, or that no role for
// them is there: the cluster was made by a halfpot of before December 2026.
var errUndivided = errors.New("the roles of this cluster have not been divided")

// undivided tells a connection's error, or success as a superuser, that calls
// for divide.
func undivided(err error) bool {
	return errors.Is(err, errUndivided) || hasCode(err, "28000") ||
		hasCode(err, "28P01") // no such role or rule; wrong key
}

// url is what pgx connects with. Keywords, not a URL: paths need no escaping.
func (p place) url(database string) string { return p.urlAs(commandRole, database) }

func (p place) urlAs(role, database string) string {
	// The passfile would be looked into for want of a password.
	return fmt.Sprintf("host='%s' port=%d user=%s dbname=%s passfile='' sslmode=disable "+
		"target_session_attrs=any", p.socket, port, role, database)
}

var keyForm = pattern(`^[0-9a-f]{32,}$`)

// ownerURL is url for the role that owns the tables.
func (p place) ownerURL(database string) (string, error) {
	text, err := p.readFile(p.key)
	if err != nil {
		return "", errUnwritable(p.key, err)
	}
	key := strings.TrimSpace(string(text))
	if !keyForm().MatchString(key) {
		return "", &Error{Text: "the key in " + p.key + " is damaged",
			Hints: []string{"remove that file and run halfpot database stop; the next command makes a new key"}}
	}
	return p.urlAs(ownerRole, database) + " password=" + key, nil
}

// keyed tells whether there is a key; without one, divide makes another.
func (c *cluster) keyed() bool { return c.has(c.key) }

// divide gives commands and the owner of the tables roles of their own, in the
// data folder given, on which no server may be running. within is the database
// whose tables, if any, change hands. The lock must be held.
func (c *cluster) divide(ctx context.Context, progs programs, data, within string) error {
	secret := make([]byte, 24)
	_, _ = rand.Read(secret) // never fails
	key := hex.EncodeToString(secret)
	// First the key, so that a kill can't leave a cluster whose key nobody has.
	if err := c.writeFile(c.key, []byte(key+"\n")); err != nil {
		return errUnwritable(c.key, err)
	}
	// In single-user mode an empty line ends a statement (-j), and nothing tells
	// an error but the exit status.
	args := []string{
		"--single", "-j", "-D", data, "-c", "exit_on_error=on", "-c", "password_encryption=scram-sha-256",
		"-c", "log_statement=none",
	}
	for _, s := range c.careful() {
		args = append(args, "-c", s)
	}
	// The reason is in what it printed, so a halt by the context is all that counts here.
	cmd := exec.CommandContext(ctx, progs.path("postgres"), append(args, within)...)
	cmd.Cancel = func() error { return cmd.Process.Signal(os.Interrupt) }
	cmd.WaitDelay = 10 * time.Second
	c.runs(cmd, c.dir)
	cmd.Stdin = strings.NewReader(fmt.Sprintf(divideRoles, key))
	var out bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &out
	if err := cmd.Run(); err != nil {
		if ctx.Err() != nil {
			return ctx.Err()
		}
		return c.failure("PostgreSQL could not set up the roles of its database", err, out.String())
	}
	return nil
}

// divideMade divides the roles of a cluster that has its tables already, and
// starts it again. The lock must be held.
func (c *cluster) divideMade(ctx context.Context, progs programs) error {
	c.announce("giving commands rights of their own in the database (only this once)")
	if pid := c.runningPID(); pid != 0 {
		if err := c.halt(ctx, pid); err != nil {
			return err
		}
	}
	if err := c.clearRemains(); err != nil {
		return err
	}
	return c.divide(ctx, progs, c.data, databaseName)
}
