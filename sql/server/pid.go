package server

import (
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"syscall"
)

func (c *cluster) pidFile() string { return filepath.Join(c.data, "postmaster.pid") }

// writtenPID is the process that the data folder's pid file names, 0 for none.
func (c *cluster) writtenPID() int {
	text, err := os.ReadFile(c.pidFile())
	if err != nil {
		return 0
	}
	line, _, _ := strings.Cut(string(text), "\n")
	pid, err := strconv.Atoi(strings.TrimSpace(line))
	if err != nil {
		return 0
	}
	return max(pid, -pid) // a single-user server writes it negative
}

// runningPID is the server that runs on the data folder, 0 for none. A number
// in a stale pid file may meanwhile belong to any program, so the process must
// show that it works on this folder.
func (c *cluster) runningPID() int {
	pid := c.writtenPID()
	if pid == 0 || !processExists(pid) || !worksOn(pid, c.data) {
		return 0
	}
	return pid
}

func processExists(pid int) bool {
	err := syscall.Kill(pid, 0)
	return err == nil || errors.Is(err, syscall.EPERM)
}

// worksOn tells whether a process is a server on a data folder: a PostgreSQL
// server makes its data folder its working directory.
func worksOn(pid int, data string) bool {
	if runtime.GOOS == "linux" {
		at, err := os.Readlink(fmt.Sprintf("/proc/%d/cwd", pid))
		return err == nil && at == data
	}
	out, err := exec.Command("ps", "-p", strconv.Itoa(pid), "-o", "command=").Output()
	return err == nil && strings.Contains(string(out), data)
}
