package hand

import "math/bits"

// directions are the direction numbers of a Sobol dimension, 0 to 63.
func directions(dim int) (v [32]uint32) {
	if dim == 0 {
		for i := range v {
			v[i] = 1 << (31 - i)
		}
		return v
	}
	j := &joeKuo[dim-1]
	s := int(j.degree)
	for i := range v {
		if i < s {
			v[i] = j.first[i] << (31 - i)
			continue
		}
		v[i] = v[i-s] ^ v[i-s]>>s
		for k := 1; k < s; k++ {
			if j.poly>>(s-1-k)&1 == 1 {
				v[i] ^= v[i-k]
			}
		}
	}
	return v
}

// sobol fills u with the points of one dimension, scrambled (Owen 1997, by
// hashing as in Burley, "Practical hash-based Owen scrambling", 2020; both from
// memory), each inside (0, 1).
func sobol(dim int, seed uint32, u []float64) {
	v := directions(dim)
	for i := range u {
		x := uint32(0)
		for k := uint32(i); k != 0; k &= k - 1 {
			x ^= v[bits.TrailingZeros32(k)]
		}
		u[i] = unit(scramble(x, seed))
	}
}

// padded fills u with one more dimension: the first one with its order
// shuffled by the seed, for all that goes beyond the dimensions of the table.
func padded(seed uint32, u []float64) {
	shuffle := hash32(seed ^ 0x68bc21eb)
	mask := uint32(len(u) - 1) // len(u) is a power of two
	for i := range u {
		index := scramble(uint32(i), shuffle) & mask
		u[i] = unit(scramble(bits.Reverse32(index), seed))
	}
}

func unit(x uint32) float64 { return (float64(x) + .5) / (1 << 32) }

// scramble is a nested uniform scramble of the bits of x from the top: every
// bit is flipped by a hash of those above it.
func scramble(x, seed uint32) uint32 {
	x = bits.Reverse32(x)
	x += seed
	x ^= x * 0x6c50b47c
	x ^= x * 0xb82f1e52
	x ^= x * 0xc7afe638
	x ^= x * 0x8d22f6e6
	return bits.Reverse32(x)
}

func hash32(x uint32) uint32 {
	x ^= x >> 16
	x *= 0x7feb352d
	x ^= x >> 15
	x *= 0x846ca68b
	return x ^ x>>16
}

// seedOf is a fixed seed for a name (FNV-1a).
func seedOf(name string) uint32 {
	h := uint32(2166136261)
	for i := range len(name) {
		h = (h ^ uint32(name[i])) * 16777619
	}
	return hash32(h)
}
