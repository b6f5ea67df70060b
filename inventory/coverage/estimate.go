package coverage

import "math"

// z90 is the standard normal quantile of 0.95, half-width of a central 90 % range.
const z90 = 1.6448536269514722

// Estimate is a positive quantity that is not known exactly: its median and the
// standard deviation of its natural logarithm (lognormal). LogSD 0 is exact.
// A median of 0 is exactly nothing.
type Estimate struct {
	Median float64
	LogSD  float64
}

// Exact is a quantity taken as known.
func Exact(v float64) Estimate { return Estimate{Median: v} }

// FromRelative is a median v with a relative standard deviation (0.2 for 20 %):
// log-sd = sqrt(ln(1 + rel^2)), the exact relation for a lognormal.
func FromRelative(v, rel float64) Estimate {
	return Estimate{v, math.Sqrt(math.Log1p(rel * rel))}
}

// FromRange is a median v whose central 90 % lies between low and high, both
// above 0: log-sd = ln(high/low) / (2 x 1.645). The middle of a lopsided range
// is not moved: v stays the median and only the ratio high/low sets the spread.
func FromRange(v, low, high float64) (Estimate, error) {
	if err := firstError(aboveZero("low end", low, math.MaxFloat64, ""),
		within("high end", high, low, math.MaxFloat64, ""), within("value", v, low, high, "")); err != nil {
		return Estimate{}, err
	}
	return Estimate{v, math.Log(high/low) / (2 * z90)}, nil
}

// Mean is median x exp(s^2/2), above the median because use is lopsided.
func (e Estimate) Mean() float64 { return e.Median * math.Exp(e.LogSD*e.LogSD/2) }

// SD is the standard deviation of the quantity itself, in its own unit.
func (e Estimate) SD() float64 { return e.Mean() * math.Sqrt(math.Expm1(e.LogSD*e.LogSD)) }

// Quantile is the value not passed with probability p (above 0, below 1);
// p outside that gives NaN.
func (e Estimate) Quantile(p float64) float64 {
	if e.LogSD == 0 {
		return e.Median
	}
	if !(p > 0 && p < 1) {
		return math.NaN()
	}
	return e.Median * math.Exp(e.LogSD*Normal(p))
}

// Range is the central 90 %.
func (e Estimate) Range() (low, high float64) {
	f := math.Exp(e.LogSD * z90)
	return e.Median / f, e.Median * f
}

// Times multiplies two independent estimates: medians multiply, log variances add.
func (e Estimate) Times(o Estimate) Estimate {
	return Estimate{e.Median * o.Median, math.Hypot(e.LogSD, o.LogSD)}
}

// Over divides by an independent estimate whose median is not 0.
func (e Estimate) Over(o Estimate) Estimate {
	return Estimate{e.Median / o.Median, math.Hypot(e.LogSD, o.LogSD)}
}

// Scale multiplies by a number known exactly.
func (e Estimate) Scale(f float64) Estimate { return Estimate{e.Median * f, e.LogSD} }

// Sum adds estimates whose errors go together with correlation rho between
// every two of them (0: independent, 1: one common cause, as when every step
// rests on the same figure area). Mean and variance of the sum are exact for
// the given moments; its shape is taken as lognormal again (Fenton, "The sum of
// log-normal probability distributions in scatter transmission systems", IRE
// Transactions on Communications Systems 8(1), 1960, from memory).
// rho is limited to 0 to 1.
func Sum(rho float64, es ...Estimate) Estimate {
	rho = math.Max(0, math.Min(1, rho))
	var mean, sds, squares float64
	for _, e := range es {
		mean += e.Mean()
		sds += e.SD()
		squares += e.SD() * e.SD()
	}
	if mean == 0 {
		return Estimate{}
	}
	variance := (1-rho)*squares + rho*sds*sds
	s2 := math.Log1p(variance / (mean * mean))
	return Estimate{mean * math.Exp(-s2/2), math.Sqrt(s2)}
}

// SumOfTwo adds two estimates whose logs have a covariance; shape as for [Sum].
func SumOfTwo(a, b Estimate, covariance float64) Estimate {
	ma, mb := a.Mean(), b.Mean()
	mean := ma + mb
	if mean <= 0 {
		return Estimate{}
	}
	variance := ma*ma*math.Expm1(a.LogSD*a.LogSD) + mb*mb*math.Expm1(b.LogSD*b.LogSD) +
		2*ma*mb*math.Expm1(covariance)
	s2 := math.Log1p(math.Max(0, variance) / (mean * mean))
	return Estimate{mean * math.Exp(-s2/2), math.Sqrt(s2)}
}

// Normal is the standard normal quantile of p: -Inf at 0, +Inf at 1, NaN outside.
func Normal(p float64) float64 { return -math.Sqrt2 * math.Erfcinv(2*p) }

// Origin says where a number comes from.
type Origin string

const (
	Given      Origin = "given"      // the painter said so
	Learned    Origin = "learned"    // from the painter's own logged work
	Measured   Origin = "measured"   // from a mesh, a scale, a ruler
	Published  Origin = "published"  // a standard, paper or data sheet, named
	Practice   Origin = "practice"   // common practice, no source
	Assumption Origin = "assumption" // a guess with a range, to be changed or learned
)

// Default is a number of a table with its range (the central 90 %) and source.
type Default struct {
	Value, Low, High float64
	Unit             string // empty for a fraction or factor
	Origin           Origin
	Source           string
}

// Estimate reads the default as a median with its range; a default without a
// range is exact.
func (d Default) Estimate() Estimate {
	e, err := FromRange(d.Value, d.Low, d.High)
	if err != nil {
		return Exact(d.Value)
	}
	return e
}

// Quantity is one number of a sum that can be shown to the painter: what it is,
// how sure, and where it comes from.
type Quantity struct {
	Name string
	Estimate
	Unit   string
	Origin Origin
	Source string
	// Low and High are the source's own range, which need not lie evenly about
	// the middle; both 0: none but that of the estimate.
	Low, High float64
}

// Shown is the range to show: the source's own, else the central 90 %.
func (f Quantity) Shown() (low, high float64) {
	if f.Low > 0 && f.High > 0 {
		return f.Low, f.High
	}
	return f.Range()
}

// Quantity names a default as part of a sum.
func (d Default) Quantity(name string) Quantity {
	return Quantity{
		Name:     name,
		Estimate: d.Estimate(),
		Unit:     d.Unit,
		Origin:   d.Origin,
		Source:   d.Source,
		Low:      d.Low,
		High:     d.High,
	}
}
