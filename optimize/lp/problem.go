package lp

import (
	"fmt"
	"math"
)

// Inf stands for the absence of an upper bound, -Inf of a lower one.
const Inf int64 = 1 << 62

// Largest magnitudes of the data; within them all exact sums fit 128 bits.
const (
	MaxCost  int64 = 1 << 53
	MaxCoef  int64 = 1 << 40
	MaxBound int64 = 1 << 40
)

// Column is one unknown.
type Column struct {
	Cost         int64 // of one unit, at most MaxCost in size
	Lower, Upper int64 // at most MaxBound in size, or -Inf, Inf
}

// Row keeps the sum of Coefs[k] * x[Cols[k]] between two bounds. Each column
// stands in it at most once.
type Row struct {
	Cols         []int32
	Coefs        []int64
	Lower, Upper int64
}

// Status is how a solve ended.
type Status uint8

const (
	Unknown    Status = iota
	Optimal           // the basis is optimal within the tolerances
	Infeasible        // no point is within all bounds
	Unbounded         // the objective falls without end
	Cut               // the objective passed the cutoff
	Stopped           // by the limit of iterations or the caller
	Trouble           // the arithmetic gave out; see Solver.Trouble
)

func (s Status) String() string {
	return [...]string{
		"unknown", "optimal", "infeasible", "unbounded", "cut off", "stopped", "numerical trouble",
	}[s]
}

func validBounds(lo, hi int64) bool {
	return (lo == -Inf || lo >= -MaxBound && lo <= MaxBound) && (hi == Inf || hi >= -MaxBound && hi <= MaxBound)
}

func (c Column) validate() error {
	if c.Cost > MaxCost || c.Cost < -MaxCost || !validBounds(c.Lower, c.Upper) {
		return fmt.Errorf("lp: column out of range: %+v", c)
	}
	return nil
}

func (r Row) validate(columns int) error {
	if len(r.Cols) != len(r.Coefs) || !validBounds(r.Lower, r.Upper) {
		return fmt.Errorf("lp: row of %d columns and %d coefficients, bounds %d to %d",
			len(r.Cols), len(r.Coefs), r.Lower, r.Upper)
	}
	for k, j := range r.Cols {
		if j < 0 || int(j) >= columns {
			return fmt.Errorf("lp: row names column %d of %d", j, columns)
		}
		if a := r.Coefs[k]; a > MaxCoef || a < -MaxCoef {
			return fmt.Errorf("lp: coefficient %d out of range", a)
		}
	}
	return nil
}

func float(v int64) float64 {
	switch v {
	case Inf:
		return math.Inf(1)
	case -Inf:
		return math.Inf(-1)
	}
	return float64(v)
}
