package optimize

import "context"

func solveBudget(ctx context.Context, p *Problem, opt SolveOptions) (*Result, error) {
	return solveWhole(ctx, p, opt)
}
