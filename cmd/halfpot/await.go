package main

import "context"

// await does work that can't be told to stop, such as opening a pipe that
// nobody writes to, and waits no longer than ctx lasts. Work that is left
// behind ends with the program.
func await[T any](ctx context.Context, work func() (T, error)) (T, error) {
	type outcome struct {
		value T
		err   error
	}
	done := make(chan outcome, 1)
	go func() {
		v, err := work()
		done <- outcome{v, err}
	}()
	select {
	case o := <-done:
		return o.value, o.err
	case <-ctx.Done():
		var none T
		return none, ctx.Err()
	}
}
