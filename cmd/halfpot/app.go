package main

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"halfpot/cmd/halfpot/view"
)

// app is what commands share: where to read and write, the global flags, the
// clock, and the database once a command has asked for it.
type app struct {
	streams
	now func() time.Time

	home     string
	database string
	demo     bool
	format   string
	quiet    bool
	noColour bool

	makesDemo bool // this run is halfpot demo

	opened *opened // nil until store is called

	onceKey string // of a command that writes, where it was given
	stored  bool   // what this run was to write is written, whatever becomes of showing it
}

// printer writes results in the form the user asked for.
func (a *app) printer() (*view.Printer, error) {
	f, err := view.ParseFormat(a.format)
	if err != nil {
		return nil, usagef("%v", err)
	}
	return &view.Printer{
		Out: a.out, Format: f, Width: a.width, Terminal: a.outTerm,
		Style: view.DetectStyle(a.outTerm, a.noColour, a.env),
	}, nil
}

// note tells a person at a terminal what is going on; scripts never see it.
func (a *app) note(format string, args ...any) {
	if a.errTerm && !a.quiet {
		fmt.Fprintln(a.err, view.Clean(fmt.Sprintf(format, args...)))
	}
}

// done confirms a change: on standard output in text, so that a script that
// asks for JSON gets the result struct instead.
func (a *app) done(doc any, format string, args ...any) error {
	return a.doneAs(doc, func(page *view.Page) { page.Line(format, args...) })
}

// doneAs is done with more to say than a line.
func (a *app) doneAs(doc any, text func(*view.Page)) error {
	p, err := a.printer()
	if err != nil {
		return err
	}
	if p.Format == view.Text && a.quiet {
		return nil
	}
	return p.One(doc, text)
}

// wantsJSON tells whether errors should be JSON, even where the flags could
// not be read.
func (a *app) wantsJSON(args []string) bool {
	if a.format == string(view.JSON) {
		return true
	}
	i := slices.Index(args, "--format")
	return slices.ContainsFunc(args, func(s string) bool { return strings.EqualFold(s, "--format=json") }) ||
		i >= 0 && i+1 < len(args) && strings.EqualFold(args[i+1], "json")
}

// list prints rows; empty says in text what an empty list means.
func (a *app) list(rows any, empty string) error {
	p, err := a.printer()
	if err != nil {
		return err
	}
	return p.List(rows, empty)
}

// show prints one result in the form asked for; see view.Printer.Show.
func (a *app) show(doc, rows any, text func(*view.Page)) error {
	p, err := a.printer()
	if err != nil {
		return err
	}
	return p.Show(doc, rows, text)
}

// showOne prints a single struct; see view.Printer.One.
func (a *app) showOne(doc any, text func(*view.Page)) error {
	p, err := a.printer()
	if err != nil {
		return err
	}
	return p.One(doc, text)
}
