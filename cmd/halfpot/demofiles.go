package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"halfpot/testdata"
)

// demoList is the file in which the demo keeps the names of the files it has
// made. It never touches any others.
const demoList = "made-by-halfpot-demo.txt"

const demoListHead = "# Made by halfpot demo, and taken away by halfpot demo --clear:\n"

func (a *app) demoFiles() string { return filepath.Join(a.homeFolder(), "files") }

// madeByDemo are the names on the demo's own list; false where there is none.
func (a *app) madeByDemo() ([]string, bool, error) {
	data, err := os.ReadFile(filepath.Join(a.demoFiles(), demoList))
	if errors.Is(err, fs.ErrNotExist) || errors.Is(err, fs.ErrInvalid) {
		return nil, false, nil
	}
	if err != nil {
		return nil, false, fmt.Errorf("the demo's files: %w", err)
	}
	text, ours := strings.CutPrefix(string(data), demoListHead)
	if !ours {
		return nil, false, nil
	}
	// Whatever somebody may have written into the list: only the demo's names.
	names := slices.DeleteFunc(strings.Fields(text), func(n string) bool {
		return !slices.Contains(testdata.DemoFiles(), n)
	})
	return names, true, nil
}

// demoMayWrite refuses a folder of files that is not the demo's own.
func (a *app) demoMayWrite() error {
	if _, ours, err := a.madeByDemo(); err != nil || ours {
		return err
	}
	dir := a.demoFiles()
	entries, err := os.ReadDir(dir)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil
	case err != nil:
		return usagef("%s is in the way of the demo's files: nothing was touched", dir)
	case len(entries) == 0 || a.oldDemo(entries):
		return nil
	}
	return usagef("the folder %s holds files that are not the demo's: nothing was touched; "+
		"give the demo another place, like --home /tmp/demo", dir)
}

// oldDemo tells the folder of a demo made before there was a list: in the demo's
// own place, with the demo's files and no others.
func (a *app) oldDemo(entries []fs.DirEntry) bool {
	return a.homeFolder() == demoHome() && !slices.ContainsFunc(entries, func(e fs.DirEntry) bool {
		return !e.Type().IsRegular() || !slices.Contains(testdata.DemoFiles(), e.Name())
	})
}

// writeDemoFiles puts the scenario's files where the user can change them;
// files that are there already stay as they are.
func (a *app) writeDemoFiles() ([]string, error) {
	dir := a.demoFiles()
	failed := func(err error) error { return fmt.Errorf("put the demo's files into %s: %w", dir, err) }
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return nil, failed(err)
	}
	root, err := os.OpenRoot(dir) // no link leads out of it
	if err != nil {
		return nil, failed(err)
	}
	defer root.Close()
	names := testdata.DemoFiles()
	// The list first: what it names may be missing, but nothing may be there that it does not name.
	if err := writeNew(root, demoList, []byte(demoListHead+strings.Join(names, "\n")+"\n")); err != nil {
		return nil, failed(err)
	}
	var paths []string
	for _, name := range names {
		data, err := fs.ReadFile(testdata.Demo(), name)
		if err != nil {
			return nil, err
		}
		if err := writeNew(root, name, data); err != nil {
			return nil, failed(err)
		}
		paths = append(paths, filepath.Join(dir, name))
	}
	return paths, nil
}

// writeNew writes a file unless there is one of that name.
func writeNew(root *os.Root, name string, data []byte) error {
	f, err := root.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if errors.Is(err, fs.ErrExist) {
		return nil
	}
	if err != nil {
		return err
	}
	_, err = f.Write(data)
	if err = errors.Join(err, f.Close()); err != nil {
		_ = root.Remove(name) // not half a file
	}
	return err
}

// removeDemoFiles takes the files on the demo's list away, and the folder where
// it is then empty.
func (a *app) removeDemoFiles() error {
	names, ours, err := a.madeByDemo()
	if err != nil {
		return err
	}
	dir := a.demoFiles()
	if entries, err := os.ReadDir(dir); err == nil && !ours && a.oldDemo(entries) {
		names, ours = testdata.DemoFiles(), true
	}
	if !ours {
		return nil
	}
	root, err := os.OpenRoot(dir)
	if err != nil {
		return fmt.Errorf("take the demo away: %w", err)
	}
	defer root.Close()
	for _, name := range append(names, demoList) {
		if err := root.Remove(name); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return fmt.Errorf("take the demo away: %w", err)
		}
	}
	_ = os.Remove(dir) // stays where it holds anything else
	return nil
}
