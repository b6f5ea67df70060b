package server

import (
	"fmt"
	"runtime"
	"syscall"
)

// as does something to files with the owner's rights and no more, so that root
// can be led nowhere that the owner could not go. f must stay on its goroutine.
func (o owner) as(f func() error) error {
	if !o.drop {
		return f()
	}
	// The rights to files are a thread's own here.
	runtime.LockOSThread()
	become(o.uid, o.gid)
	now, _, _ := syscall.RawSyscall(syscall.SYS_SETFSUID, ^uintptr(0), 0, 0) // sets nothing, tells what is set
	defer func() {
		become(0, 0)
		runtime.UnlockOSThread()
	}()
	if int(now) != o.uid {
		return &Error{
			Text: fmt.Sprintf("this process is root but may not become the user %s, "+
				"and PostgreSQL refuses to run as root", o.name),
			Hints: []string{"run halfpot as an ordinary user, or give a database with --database URL"},
		}
	}
	return f()
}

// become sets whose files this thread may touch. The group goes first: the
// right to change it is root's.
func become(uid, gid int) {
	_ = syscall.Setfsgid(gid) // these two never say whether they did
	_ = syscall.Setfsuid(uid)
}

// handOver gives the owner what as has made; here it is the owner's already.
func (o owner) handOver(string) error { return nil }
