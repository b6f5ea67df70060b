package server

import (
	"bytes"
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
	text, err := c.readFile(c.pidFile())
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

// gone tells whether a server's process has ended, waited for or not.
func gone(pid int) bool {
	state := processState(pid)
	return state == "" || state == "Z" || state == "X"
}

// heldStill says so, where a process has been stopped in its tracks by a signal
// or a debugger: it would answer nobody however long one waits.
func (c *cluster) heldStill(pid int) error {
	if state := processState(pid); state != "T" && state != "t" {
		return nil
	}
	return &Error{
		Text: fmt.Sprintf("the server (process %d) has been held still by a signal or a debugger, "+
			"so it answers nobody", pid),
		Hints: []string{
			fmt.Sprintf("let it go on: kill -CONT %d", pid),
			fmt.Sprintf("or end it, which loses nothing: kill -KILL %d", pid),
		},
	}
}

// processState is the letter that ps shows for a process: R for running, T for
// stopped, Z for ended but not waited for. It is "" for none.
func processState(pid int) string {
	if runtime.GOOS == "linux" {
		text, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", pid))
		if err != nil {
			return ""
		}
		// After the name, which is in brackets and may hold any character.
		rest := text[bytes.LastIndexByte(text, ')')+1:]
		state, _, _ := strings.Cut(strings.TrimSpace(string(rest)), " ")
		return state
	}
	out, err := exec.Command("ps", "-p", strconv.Itoa(pid), "-o", "state=").Output()
	if err != nil || len(bytes.TrimSpace(out)) == 0 {
		return ""
	}
	return string(bytes.TrimSpace(out)[:1])
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
