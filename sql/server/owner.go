package server

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"os/user"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
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
		if strings.HasPrefix(name, "PG") || strings.HasPrefix(name, "LC_") || name == "LANG" ||
			name == "LANGUAGE" {
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

// forgetEnvironment takes the PG variables out of this process: they speak of
// other databases, and pgx would read them whatever it is told.
func forgetEnvironment() {
	for _, kv := range os.Environ() {
		if name, _, _ := strings.Cut(kv, "="); strings.HasPrefix(name, "PG") {
			_ = os.Unsetenv(name) // fails for an empty name only
		}
	}
}

// serverOwner is the user whom root runs the server as: whoever owns the place
// or, before it is made, the folder it will lie in; where that is root, it is
// postgres, else nobody.
func serverOwner(dir string) (owner, error) {
	for at := dir; ; at = filepath.Dir(at) {
		if st, ok := stat(at); ok {
			if st.Uid != 0 {
				return owner{uid: int(st.Uid), gid: int(st.Gid), name: userName(int(st.Uid)), drop: true}, nil
			}
			break
		}
		if at == filepath.Dir(at) {
			break
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
	return owner{}, &Error{
		Text:  "PostgreSQL refuses to run as root, and there is neither a user postgres nor nobody to run it as",
		Hints: []string{"run halfpot as an ordinary user, or give a database with --database URL"},
	}
}

// stat tells what is at a path, at the end of links.
func stat(path string) (*syscall.Stat_t, bool) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, false
	}
	st, ok := info.Sys().(*syscall.Stat_t)
	return st, ok
}

func userName(uid int) string {
	if u, err := user.LookupId(strconv.Itoa(uid)); err == nil {
		return u.Username
	}
	return "number " + strconv.Itoa(uid)
}

// openFile opens a file of the owner's with the owner's rights. It follows no
// link in the last part of the path, which the owner may have put there, and
// opens nothing but plain files.
func (o owner) openFile(path string, flag int) (f *os.File, err error) {
	err = o.as(func() error {
		f, err = os.OpenFile(path, flag|syscall.O_NOFOLLOW|syscall.O_NONBLOCK, 0o600)
		if err == nil && flag&os.O_CREATE != 0 {
			err = o.handOver(path)
		}
		return err
	})
	if errors.Is(err, syscall.ELOOP) {
		return nil, errNotPlain(path, "a link")
	}
	if err != nil {
		return nil, err
	}
	info, err := f.Stat()
	if err == nil && !info.Mode().IsRegular() {
		err = errNotPlain(path, "no plain file")
	}
	if err != nil {
		return nil, errors.Join(err, f.Close())
	}
	return f, nil
}

func errNotPlain(path, what string) error {
	return &Error{
		Text:  fmt.Sprintf("%s is %s, where halfpot keeps a file of its own; nothing was touched", path, what),
		Hints: []string{"move it away, or choose another folder with --home DIR"},
	}
}

const maxSmallFile = 1 << 16 // bytes

// readFile reads a small file of the owner's.
func (o owner) readFile(path string) ([]byte, error) {
	f, err := o.openFile(path, os.O_RDONLY)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return io.ReadAll(io.LimitReader(f, maxSmallFile))
}

// writeFile puts a small file of the owner's in place, whole or not at all.
func (o owner) writeFile(path string, text []byte) error {
	aside := path + ".new"
	f, err := o.openFile(aside, os.O_CREATE|os.O_WRONLY|os.O_TRUNC)
	if err != nil {
		return err
	}
	_, err = f.Write(text)
	if err = errors.Join(err, f.Sync(), f.Close()); err != nil {
		return err
	}
	return o.as(func() error { return os.Rename(aside, path) })
}

// has tells whether something is at a path, as the owner sees it.
func (o owner) has(path string) (there bool) {
	_ = o.as(func() error {
		_, err := os.Lstat(path)
		there = err == nil
		return nil
	})
	return there
}

// list gives the names in a folder, as the owner sees it.
func (o owner) list(dir string) (entries []fs.DirEntry, err error) {
	err = o.as(func() error {
		entries, err = os.ReadDir(dir)
		return err
	})
	return entries, err
}
