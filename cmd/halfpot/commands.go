package main

import "github.com/spf13/cobra"

// commands lists every command by the part of the job it serves, in the order
// help shows them.
func (a *app) commands() []commandsIn {
	return []commandsIn{
		{"start", []*cobra.Command{a.databaseCommand()}},
	}
}

type opened struct{}

func (a *app) close()         {}
func badInput(err error) bool { return false }
