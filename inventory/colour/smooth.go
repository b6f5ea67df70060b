package colour

import (
	"fmt"
	"math"
)

// darkest and lightest hold a colour, as a part of white, where a smooth
// spectrum can be found for it; pure black and pure white have none.
const (
	darkest  = 0.0035
	lightest = 0.97
)

// Smooth is a spectrum of the given colour: of all with that colour, the one
// whose slope, on the scale of tanh, is least, so that every band lies between
// 0 and 1. It is one spectrum that looks so under D65, not the paint's own.
// Black and white are moved in a little (0.35 and 97 % of white). A colour that
// no surface can have under this light is an error.
//
// Source: S. A. Burns, "Numerical methods for smoothest reflectance
// reconstruction", arXiv:1710.05732 (hyperbolic tangent, least slope).
func Smooth(want XYZ) (Spectrum, error) {
	goal := [3]float64{
		white.X * clamp(want.X/white.X, darkest, lightest),
		white.Y * clamp(want.Y/white.Y, darkest, lightest),
		white.Z * clamp(want.Z/white.Z, darkest, lightest),
	}
	var s Spectrum
	var z [Bands]float64
	var price [3]float64 // Lagrange multipliers of X, Y and Z
	for range 40 {
		residual := smoothStep(&z, &price, goal)
		if math.IsNaN(residual) {
			break
		}
		if residual < 1e-10 {
			for i := range s {
				s[i] = (math.Tanh(z[i]) + 1) / 2
			}
			return s, nil
		}
	}
	return s, fmt.Errorf("no surface has the colour X %.4f, Y %.4f, Z %.4f under daylight: "+
		"expected one that paint can have", want.X, want.Y, want.Z)
}

func clamp(v, lo, hi float64) float64 { return math.Max(lo, math.Min(hi, v)) }

// unknowns of the smoothest spectrum: the bands and a price each for X, Y, Z.
const unknowns = Bands + 3

// smoothStep makes one Newton step on z and price, held to 4 in any band, and
// gives the largest residual before it (NaN where the system is singular).
func smoothStep(z *[Bands]float64, price *[3]float64, goal [3]float64) float64 {
	var m [unknowns][unknowns + 1]float64
	for i := range z {
		t := math.Tanh(z[i])
		slope := (1 - t*t) / 2 // of the reflectance
		bend := -2 * t * slope
		var pull float64
		for c, p := range price {
			pull += weights[i][c] * p
			m[i][Bands+c] = slope * weights[i][c]
			m[Bands+c][i] = slope * weights[i][c]
			m[Bands+c][unknowns] -= weights[i][c] * (t + 1) / 2
		}
		m[i][i] = bend * pull
		m[i][unknowns] = -slope * pull
		for _, j := range [2]int{i - 1, i + 1} {
			if j >= 0 && j < Bands {
				m[i][i] += 2
				m[i][j] -= 2
				m[i][unknowns] -= 2 * (z[i] - z[j])
			}
		}
	}
	var residual float64
	for c := range goal {
		m[Bands+c][unknowns] += goal[c]
	}
	for i := range m {
		residual = math.Max(residual, math.Abs(m[i][unknowns]))
	}
	step, ok := solve(&m)
	if !ok {
		return math.NaN()
	}
	longest := 0.0
	for i := range z {
		longest = math.Max(longest, math.Abs(step[i]))
	}
	cut := 1.0
	if longest > 4 {
		cut = 4 / longest
	}
	for i := range z {
		z[i] += cut * step[i]
	}
	for c := range price {
		price[c] += cut * step[Bands+c]
	}
	return residual
}

// solve is Gaussian elimination with partial pivoting on a matrix whose last
// column is the right-hand side.
func solve(m *[unknowns][unknowns + 1]float64) (x [unknowns]float64, ok bool) {
	for k := range m {
		best := k
		for i := k + 1; i < unknowns; i++ {
			if math.Abs(m[i][k]) > math.Abs(m[best][k]) {
				best = i
			}
		}
		if !(math.Abs(m[best][k]) > 1e-14) {
			return x, false
		}
		m[k], m[best] = m[best], m[k]
		for i := k + 1; i < unknowns; i++ {
			f := m[i][k] / m[k][k]
			if f == 0 {
				continue
			}
			for j := k + 1; j <= unknowns; j++ {
				m[i][j] -= f * m[k][j]
			}
		}
	}
	for k := unknowns - 1; k >= 0; k-- {
		v := m[k][unknowns]
		for j := k + 1; j < unknowns; j++ {
			v -= m[k][j] * x[j]
		}
		x[k] = v / m[k][k]
	}
	return x, true
}
