package server

import (
	"context"
	"errors"
	"os"
	"os/exec"
	"os/user"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
)

// runAs runs a program as the owner of a place.
func runAs(t *testing.T, c *cluster, program string, args ...string) {
	t.Helper()
	cmd := exec.Command(program, args...)
	c.runs(cmd, c.dir)
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
}

// asUser runs opener as another user, from a copy that this user can reach.
func asUser(t *testing.T, name, dir string) (string, error) {
	t.Helper()
	u, err := user.Lookup(name)
	if err != nil {
		t.Fatal(err)
	}
	uid, err1 := strconv.Atoi(u.Uid)
	gid, err2 := strconv.Atoi(u.Gid)
	if err := errors.Join(err1, err2); err != nil {
		t.Fatal(err)
	}
	program := filepath.Join(openFolder(t), "opener")
	self, err := os.ReadFile(os.Args[0])
	if err == nil {
		err = writeProgram(program, self)
	}
	if err != nil {
		t.Fatal(err)
	}
	cmd := opener(t, dir)
	cmd.Path, cmd.Dir = program, "/"
	cmd.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: uint32(uid), Gid: uint32(gid)}}
	out, err := cmd.CombinedOutput()
	return string(out), err
}

// writeProgram writes a file that is run afterwards. Meanwhile no other test may
// start a process: it would hold the file open for writing until its own program
// runs, and what is held so can't be run ("text file busy").
func writeProgram(path string, content []byte) error {
	syscall.ForkLock.RLock()
	defer syscall.ForkLock.RUnlock()
	return os.WriteFile(path, content, 0o755)
}

// openFolder is a folder that every user can look into.
func openFolder(t *testing.T) string {
	t.Helper()
	dir, err := os.MkdirTemp("", "halfpot-server-")
	if err == nil {
		err = os.Chmod(dir, 0o755)
	}
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = os.RemoveAll(dir) })
	return dir
}

func needsRoot(t *testing.T) {
	t.Helper()
	if os.Geteuid() != 0 {
		t.Skip("needs root")
	}
}

// Whatever link the owner of a home puts where halfpot keeps a file, root does
// not write through it, nor hand over what it points at.
func TestRootFollowsNoLinkOfTheOwners(t *testing.T) {
	needsRoot(t)
	t.Parallel()
	for _, name := range []string{
		"server.log", "lock", "access.new", "owner-key", "owner-key.new", "making", "making.new",
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			opt := private(madeHome(t))
			c, err := findCluster(opt)
			if err != nil {
				t.Fatal(err)
			}
			victim := filepath.Join(t.TempDir(), "victim")
			if err := os.WriteFile(victim, []byte("root's own\n"), 0o600); err != nil {
				t.Fatal(err)
			}
			link := filepath.Join(c.dir, name)
			if err := os.RemoveAll(link); err != nil {
				t.Fatal(err)
			}
			if name == "owner-key.new" { // written when there is none
				if err := os.Remove(c.key); err != nil {
					t.Fatal(err)
				}
			}
			if err := os.Symlink(victim, link); err != nil {
				t.Fatal(err)
			}
			if err := os.Lchown(link, c.uid, c.gid); err != nil {
				t.Fatal(err)
			}
			if _, err := Open(t.Context(), opt); err != nil && name != "making.new" {
				mustBeWords(t, err, "")
			}
			text, err := os.ReadFile(victim)
			if err != nil || string(text) != "root's own\n" {
				t.Errorf("the link's end now holds %q, %v", text, err)
			}
			if st, ok := stat(victim); !ok || st.Uid != 0 {
				t.Error("the link's end has another owner")
			}
			if err := os.Remove(link); err != nil && !errors.Is(err, os.ErrNotExist) { // so that home can clean up
				t.Fatal(err)
			}
		})
	}
}

// A link on the way to a home that leads root to what is not the linker's.
func TestRootIsNotLedAway(t *testing.T) {
	needsRoot(t)
	t.Parallel()
	base, treasure := openFolder(t), openFolder(t)
	u, err := user.Lookup("nobody")
	if err != nil {
		t.Fatal(err)
	}
	uid, err := strconv.Atoi(u.Uid)
	if err != nil {
		t.Fatal(err)
	}
	link := filepath.Join(base, "halfpot")
	if err := errors.Join(os.Symlink(treasure, link), os.Lchown(link, uid, uid)); err != nil {
		t.Fatal(err)
	}
	_, err = Open(t.Context(), private(link))
	mustBeWords(t, err, link, "a link that the user nobody made", "--home")
	if left, err := os.ReadDir(treasure); err != nil || len(left) > 0 {
		t.Errorf("made in there: %v, %v", left, err)
	}
	// Root's own links are followed.
	if err := os.Lchown(link, 0, 0); err != nil {
		t.Fatal(err)
	}
	if s, err := Look(t.Context(), private(link)); err != nil || !strings.HasPrefix(s.Folder, treasure) {
		t.Errorf("%+v, %v", s, err)
	}
}

// A folder of root's that bears the name keeps its owner, empty or not.
func TestRootsOwnFolderIsRefused(t *testing.T) {
	needsRoot(t)
	t.Parallel()
	dir := openFolder(t)
	folder := filepath.Join(dir, "database")
	if err := os.Mkdir(folder, 0o755); err != nil {
		t.Fatal(err)
	}
	for range 2 {
		_, err := Open(t.Context(), private(dir))
		mustBeWords(t, err, folder, "belongs to root", "nothing was touched", "chown", "--home")
		if info, err := os.Stat(folder); err != nil || info.Mode().Perm() != 0o755 ||
			info.Sys().(*syscall.Stat_t).Uid != 0 {
			t.Errorf("the folder has changed: %v, %v", info, err)
		}
		if err := os.WriteFile(filepath.Join(folder, "accounts.txt"), nil, 0o600); err != nil {
			t.Fatal(err)
		}
	}
}

// A folder of the user's own that bears the name but holds something else.
func TestAFolderThatIsNotHalfpotsIsRefused(t *testing.T) {
	t.Parallel()
	dir := home(t)
	c, err := findCluster(private(dir))
	if err != nil {
		t.Fatal(err)
	}
	if err := os.Mkdir(c.dir, 0o755); err != nil {
		t.Fatal(err)
	}
	photo := filepath.Join(c.dir, "squad.jpg")
	if err := os.WriteFile(photo, []byte("x"), 0o644); err != nil {
		t.Fatal(err)
	}
	if err := os.Chown(c.dir, c.uid, c.gid); err != nil {
		t.Fatal(err)
	}
	_, err = Open(t.Context(), private(dir))
	mustBeWords(t, err, c.dir, "not a folder of halfpot's", "squad.jpg", "nothing was touched")
	if info, err := os.Stat(c.dir); err != nil || info.Mode().Perm() != 0o755 {
		t.Errorf("the folder has changed: %v, %v", info, err)
	}
	if err := os.RemoveAll(c.dir); err != nil { // so that home can clean up
		t.Fatal(err)
	}
}

// Only what halfpot itself began to make is swept away.
func TestFoldersOfOthersAreNotSwept(t *testing.T) {
	t.Parallel()
	opt := private(madeHome(t))
	c, err := findCluster(opt)
	if err != nil {
		t.Fatal(err)
	}
	own, other := filepath.Join(c.dir, "making-0123456789ab"), filepath.Join(c.dir, "making-of-a-banner")
	err = c.as(func() error {
		return errors.Join(os.Mkdir(own, 0o700), os.Mkdir(other, 0o700),
			os.WriteFile(c.making, []byte("making-0123456789ab\n../../somewhere\nmaking-of-a-banner\n"), 0o600))
	})
	if err != nil {
		t.Fatal(err)
	}
	mustOpen(t, opt)
	if exists(own) || !exists(other) || exists(c.making) {
		t.Errorf("own there %t, other's there %t, list there %t", exists(own), exists(other), exists(c.making))
	}
}

// One command of root's in a user's home leaves the home the user's.
func TestRootDoesNotShutTheUserOut(t *testing.T) {
	needsRoot(t)
	t.Parallel()
	dir := home(t)
	u, err := user.Lookup("nobody")
	if err != nil {
		t.Fatal(err)
	}
	uid, err := strconv.Atoi(u.Uid)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.Chown(dir, uid, uid); err != nil {
		t.Fatal(err)
	}
	below := filepath.Join(dir, ".local", "share", "halfpot")
	t.Cleanup(func() { _, _ = Stop(context.Background(), private(below)) })
	mustOpen(t, private(below))
	if out, err := asUser(t, "nobody", below); err != nil {
		t.Errorf("%v: %s", err, out)
	}
	if _, err := Stop(t.Context(), private(below)); err != nil {
		t.Fatal(err)
	}
	if out, err := asUser(t, "nobody", below); err != nil {
		t.Errorf("starting it again: %v: %s", err, out)
	}
	if _, err := Stop(t.Context(), private(below)); err != nil {
		t.Fatal(err)
	}
}

// A second user reads whose it is and what to do.
func TestASecondUserIsHelped(t *testing.T) {
	needsRoot(t)
	t.Parallel()
	dir := madeHome(t)
	for _, mode := range []os.FileMode{0o711, 0o755} {
		if err := os.Chmod(dir, mode); err != nil {
			t.Fatal(err)
		}
		out, err := asUser(t, "nobody", dir)
		for _, want := range []string{
			"belongs to the user postgres, and you are nobody",
			"sudo -u postgres",
			"--home DIR",
			"--database URL",
		} {
			if err == nil || !strings.Contains(out, want) {
				t.Errorf("mode %o: %v: %q does not mention %q", mode, err, out, want)
			}
		}
	}
}
