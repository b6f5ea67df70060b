package server

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"os/user"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"

	"github.com/adrg/xdg"
)

const (
	// databaseName is also the name of the cluster's one user, so that
	// "psql -h SOCKET -U halfpot" needs no more.
	databaseName = "halfpot"
	port         = 5432 // only names the socket file; nothing listens on TCP
	// A socket's path must fit sockaddr_un: 108 bytes on Linux, 104 on BSD and
	// macOS, the final zero included.
	maxSocketPath = 103
)

// owner is the user whom the server runs as, and whom the data belong to.
type owner struct {
	uid, gid int
	name     string
	drop     bool // this process is root and must become that user
}

// runs makes a command run as the owner, in a folder that it can enter, and
// apart from anything that the caller's environment says about PostgreSQL.
func (o owner) runs(cmd *exec.Cmd, dir string) {
	cmd.Dir = dir
	for _, kv := range os.Environ() {
		name, _, _ := strings.Cut(kv, "=")
		if strings.HasPrefix(name, "PG") || strings.HasPrefix(name, "LC_") || name == "LANG" || name == "LANGUAGE" {
			continue
		}
		cmd.Env = append(cmd.Env, kv)
	}
	cmd.Env = append(cmd.Env, "LC_ALL=C") // messages are looked into, and shown beside English words
	if cmd.SysProcAttr == nil {
		cmd.SysProcAttr = &syscall.SysProcAttr{}
	}
	if o.drop {
		cmd.SysProcAttr.Credential = &syscall.Credential{Uid: uint32(o.uid), Gid: uint32(o.gid)}
		cmd.Env = append(cmd.Env, "HOME="+dir)
	}
}

// place is where a private cluster lives.
type place struct {
	dir    string // holds all below
	data   string // PostgreSQL's data folder
	socket string // the folder of the socket
	log    string // what the server has to say
	lock   string // held while making, starting or stopping
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
		return newPlace(wanted, owner{uid: os.Geteuid(), gid: os.Getegid(), name: userName(os.Geteuid())}, ""), nil
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
	return newPlace(elsewhere, o, fmt.Sprintf("PostgreSQL refuses to run as root, so it runs as the user %s, whom %s shuts out", o.name, barrier)), nil
}

func newPlace(dir string, o owner, moved string) place {
	p := place{
		dir:    dir,
		data:   filepath.Join(dir, "data"),
		socket: filepath.Join(dir, "socket"),
		log:    filepath.Join(dir, "server.log"),
		lock:   filepath.Join(dir, "lock"),
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

// url is what pgx connects with. Keywords, not a URL: paths need no escaping.
func (p place) url(database string) string {
	return fmt.Sprintf("host='%s' port=%d user=%s dbname=%s sslmode=disable target_session_attrs=any", p.socket, port, databaseName, database)
}

// serverOwner is the user whom root runs the server as: whoever owns the place
// already, else postgres, else nobody.
func serverOwner(dir string) (owner, error) {
	if info, err := os.Stat(dir); err == nil {
		if st := info.Sys().(*syscall.Stat_t); st.Uid != 0 {
			return owner{uid: int(st.Uid), gid: int(st.Gid), name: userName(int(st.Uid)), drop: true}, nil
		}
	}
	for _, name := range []string{"postgres", "nobody"} {
		u, err := user.Lookup(name)
		if err != nil {
			continue
		}
		uid, err1 := strconv.Atoi(u.Uid)
		gid, err2 := strconv.Atoi(u.Gid)
		if err1 == nil && err2 == nil && uid != 0 {
			return owner{uid: uid, gid: gid, name: name, drop: true}, nil
		}
	}
	return owner{}, &Error{Text: "PostgreSQL refuses to run as root, and there is neither a user postgres nor nobody to run it as",
		Hints: []string{"run halfpot as an ordinary user, or give a database with --database URL"}}
}

func userName(uid int) string {
	if u, err := user.LookupId(strconv.Itoa(uid)); err == nil {
		return u.Username
	}
	return "number " + strconv.Itoa(uid)
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

// prepare makes the place's own folders, so that the owner can use them.
func (p place) prepare() error {
	if err := p.makeParents(filepath.Dir(p.dir)); err != nil {
		return err
	}
	for _, dir := range []string{p.dir, p.socket} {
		if err := p.ownFolder(dir); err != nil {
			return err
		}
	}
	return nil
}

// makeParents makes the folders on the way that are missing. Under root they
// let the owner pass, whatever root's umask is.
func (p place) makeParents(dir string) error {
	if exists(dir) || dir == filepath.Dir(dir) {
		return nil
	}
	if err := p.makeParents(filepath.Dir(dir)); err != nil {
		return err
	}
	err := os.Mkdir(dir, 0o700)
	if errors.Is(err, os.ErrExist) { // another command was quicker
		return nil
	}
	if err == nil && p.drop {
		err = os.Chmod(dir, 0o711)
	}
	if err != nil {
		return errUnwritable(dir, err)
	}
	return nil
}

// ownFolder makes a folder that only the owner may enter, or checks one that
// is there: in /tmp another user may have put one up first.
func (p place) ownFolder(dir string) error {
	err := os.Mkdir(dir, 0o700)
	if err == nil {
		return p.give(dir)
	}
	if !errors.Is(err, os.ErrExist) {
		return errUnwritable(dir, err)
	}
	info, err := os.Lstat(dir)
	if err != nil {
		return errUnwritable(dir, err)
	}
	st := info.Sys().(*syscall.Stat_t)
	if p.drop && st.Uid == 0 && info.IsDir() {
		// A kill fell between making it and giving it away.
		return p.give(dir)
	}
	if !info.IsDir() || int(st.Uid) != p.uid {
		return &Error{Text: fmt.Sprintf("%s does not belong to the user %s", dir, p.name),
			Hints: []string{"it may have been made by another user; give it back with chown, move it away, or choose another folder with --home"}}
	}
	if info.Mode().Perm()&0o077 != 0 {
		if err := os.Chmod(dir, 0o700); err != nil {
			return errUnwritable(dir, err)
		}
	}
	return nil
}

// give hands a file or folder that root made to the owner.
func (p place) give(path string) error {
	if !p.drop {
		return nil
	}
	if err := os.Lchown(path, p.uid, p.gid); err != nil {
		return errUnwritable(path, err)
	}
	return nil
}

func errUnwritable(path string, err error) error {
	if errors.Is(err, syscall.ENOSPC) || errors.Is(err, syscall.EDQUOT) {
		return errDiskFull(path)
	}
	var reason error = err
	if pe, ok := errors.AsType[*os.PathError](err); ok {
		path, reason = pe.Path, pe.Err
	}
	return &Error{Text: "can't write to " + path, Err: reason,
		Hints: []string{"choose a folder you may write to with --home DIR, or give a database with --database URL"}}
}

func errDiskFull(path string) error {
	return &Error{Text: "the disk that holds " + path + " is full",
		Hints: []string{"free about 100 MB, or choose a folder on another disk with --home DIR; then run the same command again"}}
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
