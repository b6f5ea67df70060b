package desk

import (
	"context"
	"errors"
	"testing"
	"time"

	"halfpot/optimize"
)

// A search that only explains ends by its own limit and is then no answer,
// although the caller's context goes on. That of a small problem is longer than any
// machine takes that is not overrun.
func TestExplainingSearchHasALimit(t *testing.T) {
	ctx := t.Context()
	large, small := &optimize.Problem{Needs: make([]optimize.Need, quickNeeds+1)}, &optimize.Problem{
		Needs: make([]optimize.Need, quickNeeds),
	}
	slow := func(ctx context.Context, _ *optimize.Problem) (*optimize.Result, error) {
		if _, limited := ctx.Deadline(); !limited {
			t.Fatal("the search was given no limit")
		}
		<-ctx.Done()
		return &optimize.Result{Status: optimize.Feasible}, nil
	}
	if _, err := proven(patient(slow, time.Millisecond))(ctx, large); !errors.Is(err, ErrTimeUp) {
		t.Errorf("got %v, want %v", err, ErrTimeUp)
	}
	if ctx.Err() != nil {
		t.Error("the limit ended the caller's context too")
	}
	quick := func(ctx context.Context, _ *optimize.Problem) (*optimize.Result, error) {
		if until, limited := ctx.Deadline(); !limited || time.Until(until) < levelPatience/2 {
			t.Errorf("a small problem is left after %s", time.Until(until))
		}
		return &optimize.Result{Status: optimize.Optimal}, nil
	}
	if _, err := proven(patient(quick, time.Millisecond))(ctx, small); err != nil {
		t.Error(err)
	}
}
