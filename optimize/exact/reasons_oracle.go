package exact

import (
	"context"
	"errors"
	"math"

	"halfpot/optimize"
)

// infeasible says that no plan exists and why.
func infeasible(ctx context.Context, p *optimize.Problem) *optimize.Result {
	o := oracle{ctx: ctx, left: explainWork}
	return &optimize.Result{
		Status:       optimize.Infeasible,
		Currency:     p.Currency,
		ProvenLevels: 0,
		Reasons:      reasons(ctx, p, o.feasible),
	}
}

// oracle answers whether a problem has any plan, until its work is used up.
type oracle struct {
	ctx  context.Context
	left int64
}

// explainWork bounds what looking for reasons may cost, in options and offers
// gone through: a few seconds.
const explainWork = 200_000_000

var errExplainWork = errors.New("too much work to find out")

// feasible is the question that reasons asks. It returns an error when the
// context ends or too much work has been done.
func (o *oracle) feasible(p *optimize.Problem) (bool, error) {
	m, err := compile(p, nil)
	var none impossible
	if errors.As(err, &none) {
		return false, nil
	}
	if err != nil {
		return false, err
	}
	size := int64(len(m.useUL) + len(m.conUL) + len(m.offOrig) + 1)
	o.left -= 10 * size
	if m.quickPlan() != nil {
		return true, nil
	}
	ph := m.weighing(0, nil, 1)
	s := &search{m: m, w: ph.w, grain: ph.grain, upper: math.Inf(1), workers: []*worker{newWorker(m, ph.w)}}
	s.limit = o.left / (100 * size)
	if s.limit <= 0 {
		return false, errExplainWork
	}
	ctx, stop := context.WithCancel(o.ctx)
	defer stop()
	s.report = func(float64) {
		if s.incumbent != nil {
			stop() // any plan will do
		}
	}
	_, done := s.run(ctx)
	o.left -= 100 * size * s.nodes
	switch {
	case s.incumbent != nil:
		return true, nil
	case done && !m.rough() && !s.m.rough():
		return false, nil
	case o.ctx.Err() != nil:
		return false, o.ctx.Err()
	}
	return false, errExplainWork
}
