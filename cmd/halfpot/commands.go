package main

// commands lists every command by the part of the job it serves, in the order
// help shows them.
func (a *app) commands() []commandsIn {
	return []commandsIn{}
}

type opened struct{}

func (a *app) close()         {}
func badInput(err error) bool { return false }
