// Package flat helps to keep arrays between uses.
package flat

// Resize is s with n elements, of which those that were there before keep
// their values and the others have any.
func Resize[T any](s []T, n int) []T {
	if cap(s) < n {
		return make([]T, n, n+n/4+8)
	}
	return s[:n]
}
