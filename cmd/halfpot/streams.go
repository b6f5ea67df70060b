package main

import (
	"io"
	"os"
	"strconv"
	"strings"

	"golang.org/x/term"
)

// streams are the places a run reads from and writes to, and what is known
// about them.
type streams struct {
	in               io.Reader
	out, err         io.Writer
	outTerm, errTerm bool
	inTerm           bool
	width            int // of the terminal behind out, or as COLUMNS says; 0: no limit
	errWidth         int // of the one behind err; 0: not known
	env              func(string) string
	self             string // how the user started the program, for commands to paste
}

func systemStreams() streams {
	s := streams{
		in: os.Stdin, out: os.Stdout, err: os.Stderr,
		outTerm: term.IsTerminal(int(os.Stdout.Fd())),
		inTerm:  term.IsTerminal(int(os.Stdin.Fd())),
		errTerm: term.IsTerminal(int(os.Stderr.Fd())),
		env:     os.Getenv,
		self:    "halfpot",
	}
	if strings.Contains(os.Args[0], "/go-build") {
		s.self = "go run ./cmd/halfpot"
	}
	if s.outTerm {
		if w, _, err := term.GetSize(int(os.Stdout.Fd())); err == nil {
			s.width = w
		}
	}
	if s.errTerm {
		if w, _, err := term.GetSize(int(os.Stderr.Fd())); err == nil {
			s.errWidth = w
		}
	}
	// POSIX lets COLUMNS say how wide output is to be; no shell sets it for a pipe by itself.
	if w, err := strconv.Atoi(s.env("COLUMNS")); err == nil && w > 0 {
		s.width = w
	}
	return s
}
