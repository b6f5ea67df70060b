package server

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"syscall"

	"github.com/adrg/xdg"
)

const (
	databaseName = "halfpot"
	port         = 5432 // only names the socket file; nothing listens on TCP
	// A socket's path must fit sockaddr_un: 108 bytes on Linux, 104 on BSD and
	// macOS, the final zero included.
	maxSocketPath = 103
)

// place is where a private cluster lives.
type place struct {
	dir    string // holds all below
	data   string // PostgreSQL's data folder
	socket string // the folder of the socket
	log    string // what the server has to say
	lock   string // held while making, starting or stopping
	access string // who may come in, and as whom
	key    string // what the owner of the tables comes in with
	making string // names of data folders being made
	moved  string // why dir is not the folder that was asked for, or ""
	owner
}

// findPlace says where the cluster of a home folder lives. It creates nothing.
func findPlace(home string) (place, error) {
	if home == "" {
		xdg.Reload() // the package reads the environment only once
		home = filepath.Join(xdg.DataHome, "halfpot")
	}
	home, err := filepath.Abs(home)
	if err != nil {
		return place{}, &Error{Text: "the home folder can't be found", Err: err}
	}
	wanted := resolve(filepath.Join(home, "database"))
	if os.Geteuid() != 0 {
		return newPlace(wanted,
			owner{uid: os.Geteuid(), gid: os.Getegid(), name: userName(os.Geteuid())}, ""), nil
	}
	if err := othersLink(filepath.Join(home, "database")); err != nil {
		return place{}, err
	}
	// PostgreSQL refuses to run as root.
	o, err := serverOwner(wanted)
	if err != nil {
		return place{}, err
	}
	barrier := unreachable(wanted, o)
	if barrier == "" {
		return newPlace(wanted, o, ""), nil
	}
	elsewhere := "/var/lib/halfpot-" + shortHash(wanted)
	if o, err = serverOwner(elsewhere); err != nil {
		return place{}, err
	}
	return newPlace(elsewhere, o, fmt.Sprintf("PostgreSQL refuses to run as root, "+
		"so it runs as the user %s, whom %s shuts out", o.name, barrier)), nil
}

func newPlace(dir string, o owner, moved string) place {
	p := place{
		dir:    dir,
		data:   filepath.Join(dir, "data"),
		socket: filepath.Join(dir, "socket"),
		log:    filepath.Join(dir, "server.log"),
		lock:   filepath.Join(dir, "lock"),
		access: filepath.Join(dir, "access"),
		key:    filepath.Join(dir, "owner-key"),
		making: filepath.Join(dir, "making"),
		moved:  moved,
		owner:  o,
	}
	// pgx takes a comma as the next host, and quotes serve nobody here.
	if len(p.socketFile()) > maxSocketPath || strings.ContainsAny(p.socket, ",\"'\\") {
		// Not XDG_RUNTIME_DIR: it is absent in some sessions (cron, su), and all
		// must agree on the place.
		p.socket = fmt.Sprintf("/tmp/halfpot-%d-%s", o.uid, shortHash(dir))
	}
	return p
}

func (p place) socketFile() string {
	return filepath.Join(p.socket, fmt.Sprintf(".s.PGSQL.%d", port))
}

// socketApart tells a socket that lies outside the place's own folder.
func (p place) socketApart() bool { return filepath.Dir(p.socket) != p.dir }

// othersLink refuses a path on which root would be led away by a link of
// another user's: such a link may lead only to what is that user's too.
func othersLink(path string) error {
	at, rest := "/", strings.Split(strings.Trim(path, "/"), "/")
	for links := 0; len(rest) > 0 && links < 40; {
		next := filepath.Join(at, rest[0])
		info, err := os.Lstat(next)
		if err != nil {
			return nil // the rest is not there yet
		}
		if info.Mode()&os.ModeSymlink == 0 {
			at, rest = next, rest[1:]
			continue
		}
		links++
		by := info.Sys().(*syscall.Stat_t).Uid
		if to, ok := stat(next); by != 0 && ok && to.Uid != by {
			return &Error{
				Text: fmt.Sprintf("%s is a link that the user %s made to what is not theirs, "+
					"so root does not follow it", next, userName(int(by))),
				Hints: []string{"name the folder itself with --home DIR"},
			}
		}
		target, err := os.Readlink(next)
		if err != nil {
			return nil // gone meanwhile
		}
		if filepath.IsAbs(target) {
			at = "/"
		}
		// Not cleaned: ".." after a link means the folder above where it leads.
		rest = append(strings.FieldsFunc(target, func(r rune) bool { return r == '/' }), rest[1:]...)
	}
	return nil
}

// unreachable is the first folder on the way to dir that shuts the owner out,
// or "". Folders that do not exist yet will be made so that they do not.
func unreachable(dir string, o owner) string {
	for at := filepath.Dir(dir); ; at = filepath.Dir(at) {
		if info, err := os.Stat(at); err == nil {
			st := info.Sys().(*syscall.Stat_t)
			need := os.FileMode(0o001)
			switch {
			case int(st.Uid) == o.uid:
				need = 0o100
			case int(st.Gid) == o.gid:
				need = 0o010
			}
			if info.Mode()&need == 0 {
				return at
			}
		}
		if at == filepath.Dir(at) {
			return ""
		}
	}
}

func errUnwritable(path string, err error) error {
	if errors.Is(err, syscall.ENOSPC) || errors.Is(err, syscall.EDQUOT) {
		return errDiskFull(path)
	}
	if said, ok := errors.AsType[*Error](err); ok {
		return said
	}
	var reason error = err
	if pe, ok := errors.AsType[*os.PathError](err); ok {
		path, reason = pe.Path, pe.Err
	}
	return &Error{Text: "can't write to " + path, Err: reason,
		Hints: []string{"choose a folder you may write to with --home DIR, " +
			"or give a database with --database URL"}}
}

func errDiskFull(path string) error {
	return &Error{Text: "the disk that holds " + path + " is full",
		Hints: []string{"free about 100 MB, or choose a folder on another disk with --home DIR; " +
			"then run the same command again"}}
}

// resolve follows the links in the part of a path that exists, so that one
// place has one name.
func resolve(path string) string {
	rest := ""
	for at := path; ; at = filepath.Dir(at) {
		if real, err := filepath.EvalSymlinks(at); err == nil {
			return filepath.Join(real, rest)
		}
		if at == filepath.Dir(at) {
			return path
		}
		rest = filepath.Join(filepath.Base(at), rest)
	}
}

func shortHash(s string) string {
	sum := sha256.Sum256([]byte(s))
	return hex.EncodeToString(sum[:4])
}
