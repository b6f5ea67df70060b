// Package pseudocost keeps what branching and trials have done to a bound so far
// (Benichou et al., Math. Programming 1, 1971; reliability branching: Achterberg,
// Koch & Martin, Oper. Res. Lett. 33, 2005).
package pseudocost

// Cost is the pseudocost of one candidate: the rises of the bound seen on each of
// its two sides.
type Cost struct {
	sum, times [2]float64
}

// Observe adds a rise of the bound on a side, 0 or 1.
func (c *Cost) Observe(side int, rise float64) {
	c.sum[side] += rise
	c.times[side]++
}

// Times is how often a side was observed.
func (c *Cost) Times(side int) float64 { return c.times[side] }

// Mean is the mean rise on a side, 0 where it was never observed.
func (c *Cost) Mean(side int) float64 {
	if c.times[side] == 0 {
		return 0
	}
	return c.sum[side] / c.times[side]
}
