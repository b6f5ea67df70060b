package shelf

import (
	"math"

	"halfpot/inventory/coverage"
)

// normal is a normal distribution in ml; sd 0 is exact. Lognormal quantities
// are coverage.Estimate, whose Sum is that of Fenton and Wilkinson.
type normal struct{ mean, sd float64 }

// phi and cdf are density and distribution of the standard normal; erfc keeps
// the tails exact.
func phi(z float64) float64 { return math.Exp(-z*z/2) / math.Sqrt(2*math.Pi) }
func cdf(z float64) float64 { return math.Erfc(-z/math.Sqrt2) / 2 }

// loss is the standard normal loss E[max(Z - z, 0)] = phi(z) - z (1 - cdf(z)).
func loss(z float64) float64 { return phi(z) - z*cdf(-z) }

// quantile is the value not passed with probability p.
func (n normal) quantile(p float64) float64 {
	if n.sd == 0 {
		return n.mean
	}
	return n.mean + n.sd*coverage.Normal(p)
}

// above is the chance to be v or more.
func (n normal) above(v float64) float64 {
	switch {
	case n.sd > 0:
		return cdf((n.mean - v) / n.sd)
	case n.mean >= v:
		return 1
	}
	return 0
}

// atLeastZero conditions the normal on not being below 0, because no pot
// holds less than nothing: mean and deviation of the truncated normal (Johnson,
// Kotz and Balakrishnan, Continuous Univariate Distributions 1, 1994, section
// 13.10; on a filter's state: Simon, Optimal State Estimation, 2006, section
// 7.5; both from memory).
func (n normal) atLeastZero() normal {
	if n.sd == 0 {
		return normal{mean: math.Max(0, n.mean)}
	}
	a := -n.mean / n.sd
	switch {
	case a < -6:
		return n
	case a > 8: // far below, the tail is exponential
		return normal{n.sd / a, n.sd / a}
	}
	l := phi(a) / cdf(-a)
	return normal{n.mean + n.sd*l, n.sd * math.Sqrt(math.Max(0, 1-l*(l-a)))}
}

// clamped is mean and deviation of the quantity held between 0 and top: what
// lies below counts as 0, what lies above as top.
func (n normal) clamped(top float64) normal {
	if n.sd == 0 {
		return normal{mean: math.Min(math.Max(n.mean, 0), top)}
	}
	a, b := -n.mean/n.sd, (top-n.mean)/n.sd
	mean := n.sd * (loss(a) - loss(b))
	square := (n.mean*n.mean+n.sd*n.sd)*(cdf(b)-cdf(a)) + n.sd*(n.mean*phi(a)-(n.mean+top)*phi(b)) +
		top*top*cdf(-b)
	return normal{mean, math.Sqrt(math.Max(0, square-mean*mean))}
}

// cuts is how finely chance cuts a distribution.
const cuts = 64

// sliceZ are the middles of slices of equal probability of a standard normal.
var sliceZ = func() (z [cuts]float64) {
	for i := range z {
		z[i] = coverage.Normal((float64(i) + 0.5) / cuts)
	}
	return z
}()

// chance is the probability that a stock covers an independent need, both in
// ml. It cuts the sharper of the two into slices of equal probability and
// takes the other's distribution at their middles, which are smooth there:
// the error stays below half a percent.
func (n normal) chance(need coverage.Estimate) float64 {
	switch {
	case need.Median <= 0:
		return 1
	case need.LogSD == 0:
		return n.above(need.Median)
	case n.sd == 0:
		return belowLog(need, n.mean)
	}
	sum := 0.0
	if n.sd < need.Median*need.LogSD {
		for _, z := range sliceZ {
			sum += belowLog(need, n.mean+n.sd*z)
		}
	} else {
		for _, z := range sliceZ {
			sum += n.above(need.Median * math.Exp(need.LogSD*z))
		}
	}
	return sum / cuts
}

// belowLog is the chance that a lognormal quantity is at most v.
func belowLog(e coverage.Estimate, v float64) float64 {
	switch {
	case e.Median <= 0:
		return 1
	case v <= 0:
		return 0
	case e.LogSD == 0:
		if e.Median <= v {
			return 1
		}
		return 0
	}
	return cdf(math.Log(v/e.Median) / e.LogSD)
}
