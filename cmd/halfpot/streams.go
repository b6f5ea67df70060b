package main

import (
	"io"
	"os"

	"golang.org/x/term"
)

// streams are the places a run reads from and writes to, and what is known
// about them.
type streams struct {
	in               io.Reader
	out, err         io.Writer
	outTerm, errTerm bool
	width            int // of the terminal behind out; 0: none
	env              func(string) string
}

func systemStreams() streams {
	s := streams{
		in: os.Stdin, out: os.Stdout, err: os.Stderr,
		outTerm: term.IsTerminal(int(os.Stdout.Fd())),
		errTerm: term.IsTerminal(int(os.Stderr.Fd())),
		env:     os.Getenv,
	}
	if s.outTerm {
		if w, _, err := term.GetSize(int(os.Stdout.Fd())); err == nil {
			s.width = w
		}
	}
	return s
}
