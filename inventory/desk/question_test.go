package desk

import (
	"context"
	"errors"
	"testing"
	"time"

	"halfpot/optimize"
)

// A search that only explains ends by its own limit and is then no answer,
// although the caller's context goes on.
func TestExplainingSearchHasALimit(t *testing.T) {
	slow := func(ctx context.Context, _ *optimize.Problem) (*optimize.Result, error) {
		if _, limited := ctx.Deadline(); !limited {
			t.Fatal("the search was given no limit")
		}
		<-ctx.Done()
		return &optimize.Result{Status: optimize.Feasible}, nil
	}
	ctx := t.Context()
	if _, err := proven(patient(slow, time.Millisecond))(ctx, nil); !errors.Is(err, ErrTimeUp) {
		t.Errorf("got %v, want %v", err, ErrTimeUp)
	}
	if ctx.Err() != nil {
		t.Error("the limit ended the caller's context too")
	}
}
