package optimize

import (
	"context"
	"errors"
)

// SolveOptions tune a solve; the zero value is ready to use. A time limit is
// the context's deadline.
type SolveOptions struct {
	Threads  int            // goroutines that search; 0 means one for each core. The answer does not depend on it.
	Progress func(Progress) // called from time to time with what is known so far; nil: not called
}

// Progress is what a running solve knows.
type Progress struct {
	Best  int64 // objective of the best plan so far
	Found bool  // whether there is one
	Bound int64 // proven lower bound
	Nodes int64 // parts of the search looked at
}

// Solve finds a plan of least objective and proves it. When the context ends
// first, the status is Feasible or Unsolved. It returns an error only for a
// problem that Validate refuses, or when its own answer fails Check.
func Solve(ctx context.Context, p *Problem, opt SolveOptions) (*Result, error) {
	return nil, errors.New("not yet")
}
