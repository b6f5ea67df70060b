//go:build !linux

package server

import "os"

// as does something to files for the owner. Only Linux lets one thread have
// other rights to files; elsewhere root stays root, follows no link in the last
// part of a path, and hands over what it has made.
func (o owner) as(f func() error) error { return f() }

// handOver gives the owner what as has made.
func (o owner) handOver(path string) error {
	if !o.drop {
		return nil
	}
	return os.Lchown(path, o.uid, o.gid)
}
