// Package whole is arithmetic on whole numbers that may be large.
package whole

import "math"

// GCD is the greatest common divisor, and 1 where both are 0. The sign of a
// and b does not matter.
func GCD(a, b int64) int64 {
	for b != 0 {
		a, b = b, a%b
	}
	if a < 0 {
		return -a
	}
	return max(a, 1)
}

// CeilDiv is a / b rounded up, for a >= 0 and b > 0.
func CeilDiv(a, b int64) int64 { return (a + b - 1) / b }

// SatAdd is a + b for a, b >= 0, or the largest number there is.
func SatAdd(a, b int64) int64 {
	if a > math.MaxInt64-b {
		return math.MaxInt64
	}
	return a + b
}

// SatMul is a * b for a, b >= 0, or the largest number there is.
func SatMul(a, b int64) int64 {
	if b != 0 && a > math.MaxInt64/b {
		return math.MaxInt64
	}
	return a * b
}
