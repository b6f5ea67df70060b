package server

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
)

// prepare makes the place's own folders, so that the owner can use them.
func (p place) prepare() error {
	if err := p.makeParents(filepath.Dir(p.dir)); err != nil {
		return err
	}
	if err := p.ownFolder(p.dir, p.foreign); err != nil {
		return err
	}
	return p.ownFolder(p.socket, nil)
}

// makeParents makes the folders on the way that are missing. Those within the
// owner's own folders are the owner's; those that root makes let the owner pass,
// whatever root's umask is.
func (p place) makeParents(dir string) error {
	if exists(dir) || dir == filepath.Dir(dir) {
		return nil
	}
	if err := p.makeParents(filepath.Dir(dir)); err != nil {
		return err
	}
	if p.owns(filepath.Dir(dir)) {
		return p.mkdir(dir)
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

func (p place) owns(dir string) bool {
	st, ok := stat(dir)
	return ok && int(st.Uid) == p.uid
}

// mkdir makes a folder with the owner's rights; that it is there already is no error.
func (p place) mkdir(dir string) error {
	err := p.as(func() error { return os.Mkdir(dir, 0o700) })
	if errors.Is(err, os.ErrExist) {
		return nil
	}
	if err != nil {
		return errUnwritable(dir, err)
	}
	if err := p.handOver(dir); err != nil {
		return errUnwritable(dir, err)
	}
	return nil
}

// ownFolder makes a folder that only the owner may enter, or checks one that
// is there: in /tmp another user may have put one up first, and a home may hold
// a folder of the user's that only bears the name. foreign tells such a one.
func (p place) ownFolder(dir string, foreign func() error) error {
	info, err := os.Lstat(dir)
	if errors.Is(err, os.ErrNotExist) {
		if err := p.makeOwn(dir); err != nil {
			return err
		}
		info, err = os.Lstat(dir)
	}
	if err != nil {
		return errUnwritable(dir, err)
	}
	if err := p.mustOwn(dir, info); err != nil {
		return err
	}
	if foreign != nil {
		if err := foreign(); err != nil {
			return err
		}
	}
	if info.Mode().Perm()&0o077 != 0 {
		if err := p.as(func() error { return os.Chmod(dir, 0o700) }); err != nil {
			return errUnwritable(dir, err)
		}
	}
	return nil
}

// makeOwn makes a folder of the owner's. Where root has to do it, the folder
// gets its name only once it is handed over: a kill in between leaves nothing
// that could be taken for somebody else's.
func (p place) makeOwn(dir string) error {
	if !p.drop || p.owns(filepath.Dir(dir)) {
		return p.mkdir(dir)
	}
	aside, err := os.MkdirTemp(filepath.Dir(dir), ".halfpot-")
	if err != nil {
		return errUnwritable(dir, err)
	}
	defer os.Remove(aside) // gone already when all went well
	if err := p.give(aside); err != nil {
		return err
	}
	if err := os.Rename(aside, dir); err != nil && !exists(dir) {
		return errUnwritable(dir, err)
	}
	return nil
}

// mustOwn refuses what another user has put where the owner's folder belongs.
func (p place) mustOwn(dir string, info os.FileInfo) error {
	by := int(info.Sys().(*syscall.Stat_t).Uid)
	switch {
	case !info.IsDir():
		return &Error{Text: fmt.Sprintf("%s is there already and no folder; nothing was touched", dir),
			Hints: []string{"move it away, or choose another folder with --home DIR"}}
	case by == p.uid:
		return nil
	case by == 0:
		return &Error{
			Text: fmt.Sprintf("%s belongs to root, not to the user %s; nothing was touched", dir, p.name),
			Hints: []string{fmt.Sprintf("if it is halfpot's, hand it over: sudo chown -R %s %s", p.name, dir),
				"otherwise choose another folder with --home DIR"},
		}
	}
	return errAnothers(dir, by, p.owner)
}

// errAnothers is what a second user of a private database reads.
func errAnothers(dir string, by int, me owner) error {
	their := userName(by)
	return &Error{
		Text: fmt.Sprintf("%s belongs to the user %s, and you are %s: "+
			"a private database serves one user; nothing was touched", dir, their, me.name),
		Hints: []string{
			fmt.Sprintf("work on it as %s: sudo -u %s halfpot ...", their, their),
			"or have a database of your own: --home DIR, or no --home at all",
			"to share one, give everybody a PostgreSQL by URL: --database URL",
		},
	}
}

// closedToMe tells a user from whom the place is shut because it is another
// user's. It touches nothing.
func (p place) closedToMe() error {
	if p.drop {
		return nil
	}
	for at := p.dir; at != filepath.Dir(at); at = filepath.Dir(at) {
		info, err := os.Lstat(at)
		if err != nil {
			continue // not there, or not to be seen from here
		}
		by := int(info.Sys().(*syscall.Stat_t).Uid)
		if at == p.dir && by != p.uid {
			return p.mustOwn(at, info)
		}
		if _, err := os.Lstat(p.dir); errors.Is(err, os.ErrPermission) && by != p.uid && by != 0 {
			return errAnothers(at, by, p.owner)
		}
		return nil
	}
	return nil
}

// Names that halfpot itself puts into its folder. The lock comes first.
var ownNames = []string{
	"data", "socket", "server.log", "server.log.old", "lock", "access", "owner-key", "making", "programs",
}

// foreign refuses a folder of the owner's that holds something but no sign of
// halfpot, such as photographs in a folder that happens to bear this name.
func (p place) foreign() error {
	entries, err := p.list(p.dir)
	if err != nil {
		return errUnwritable(p.dir, err)
	}
	if p.has(p.lock) {
		return nil
	}
	for _, e := range entries {
		if name := e.Name(); !slices.Contains(ownNames, name) && !strings.HasPrefix(name, makingPrefix) {
			return &Error{
				Text: fmt.Sprintf("%s is not a folder of halfpot's: it holds %q; nothing was touched",
					p.dir, name),
				Hints: []string{"choose another folder with --home DIR, or move this one away"},
			}
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
