package mesh

import "math"

// maxSlots bounds each table: 2^24 slots of 8 bytes are 128 MB.
const maxSlots = 1 << 24

// set is a set of 64-bit keys with linear probing. Keys are hashes already; 0
// marks a free slot, and the key 0 is kept as 1. With n keys of 64 bits two
// different ones fall together with a chance below n^2 / 2^65: one in a million
// for the six million edges of two million triangles.
type set struct {
	slots []uint64
	n     int
	full  bool // the limit was met; the set is no longer right
}

func newSet(expected int) set {
	size := 1 << 10
	for size < maxSlots && size < expected*2 {
		size *= 2
	}
	return set{slots: make([]uint64, size)}
}

// insert adds a key and reports whether it was there already.
func (s *set) insert(k uint64) bool {
	i, found := s.find(&k)
	if !found {
		s.put(i, k)
	}
	return found
}

// toggle adds a key that is not there and takes away one that is.
func (s *set) toggle(k uint64) {
	i, found := s.find(&k)
	if !found {
		s.put(i, k)
		return
	}
	// Close the gap, so that later keys of the run are still found.
	mask := uint64(len(s.slots) - 1)
	j := i
	for {
		j = (j + 1) & mask
		moved := s.slots[j]
		if moved == 0 {
			break
		}
		if home := moved & mask; (j-home)&mask >= (j-i)&mask {
			s.slots[i] = moved
			i = j
		}
	}
	s.slots[i] = 0
	s.n--
}

func (s *set) find(k *uint64) (uint64, bool) {
	if *k == 0 {
		*k = 1
	}
	mask := uint64(len(s.slots) - 1)
	i := *k & mask
	for s.slots[i] != 0 {
		if s.slots[i] == *k {
			return i, true
		}
		i = (i + 1) & mask
	}
	return i, false
}

func (s *set) put(i, k uint64) {
	if s.n >= len(s.slots)/4*3 {
		if len(s.slots) >= maxSlots {
			s.full = true
			return
		}
		old := s.slots
		s.slots = make([]uint64, 2*len(old))
		for _, o := range old {
			if o != 0 {
				j, _ := s.find(&o)
				s.slots[j] = o
			}
		}
		i, _ = s.find(&k)
	}
	s.slots[i] = k
	s.n++
}

// hash mixes the bits of a point; +0 and -0 are the same place.
func hash(v *Vec) uint64 {
	h := uint64(0x9e3779b97f4a7c15)
	for i := range 3 {
		h = mix(h ^ math.Float64bits(v[i]+0))
	}
	return h
}

// mix is the finishing step of SplitMix64 (Steele, Lea and Flood, "Fast
// splittable pseudorandom number generators", OOPSLA 2014, from memory).
func mix(z uint64) uint64 {
	z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9
	z = (z ^ (z >> 27)) * 0x94d049bb133111eb
	return z ^ (z >> 31)
}

// pair is the key of two points without order.
func pair(a, b uint64) uint64 {
	if a > b {
		a, b = b, a
	}
	return mix(a*0x9fb21c651e98df25 + b)
}

// way is the key of an edge with its direction.
func way(a, b uint64) uint64 { return mix(a*0x9fb21c651e98df25 ^ mix(b)) }

// corner is one triangle on its way to the tables.
type corner struct {
	a, b, c uint64
	area    float64
}

const batch = 4096

// topology finds duplicate faces and open edges in a goroutine of its own, so
// that reading goes on meanwhile. An edge is open when an odd number of
// (different) faces meets in it: every edge is put into a set the first time
// and taken out the second.
type topology struct {
	in    chan []corner
	spare chan []corner
	done  chan struct{}
	next  []corner

	faces, edges set
	duplicates   int
	duplicate    float64
	turned       uint64 // 0 where every edge is passed once each way
}

func newTopology(triangles int) *topology {
	t := &topology{in: make(chan []corner, 4), spare: make(chan []corner, 6), done: make(chan struct{}),
		next: make([]corner, 0, batch), faces: newSet(triangles), edges: newSet(0)}
	go t.run()
	return t
}

func (t *topology) add(a, b, c uint64, area float64) {
	t.next = append(t.next, corner{a, b, c, area})
	if len(t.next) == batch {
		t.in <- t.next
		select {
		case t.next = <-t.spare:
		default:
			t.next = make([]corner, 0, batch)
		}
	}
}

func (t *topology) run() {
	defer close(t.done)
	for corners := range t.in {
		for _, c := range corners {
			if t.faces.full || t.edges.full {
				break
			}
			t.face(c)
		}
		select {
		case t.spare <- corners[:0]:
		default:
		}
	}
}

func (t *topology) face(c corner) {
	low, high := min(c.a, c.b, c.c), max(c.a, c.b, c.c)
	mid := c.a ^ c.b ^ c.c ^ low ^ high
	if t.faces.insert(mix(pair(low, high) ^ mid)) {
		t.duplicates++
		t.duplicate += c.area
		return
	}
	for _, e := range [3][2]uint64{{c.a, c.b}, {c.b, c.c}, {c.c, c.a}} {
		if e[0] != e[1] {
			t.edges.toggle(pair(e[0], e[1]))
			t.turned += way(e[0], e[1]) - way(e[1], e[0])
		}
	}
}

// stop ends the goroutine; it must be called once, also after a fault.
func (t *topology) stop() {
	t.in <- t.next
	close(t.in)
	<-t.done
}

func (t *topology) finish(r *Report) {
	t.stop()
	if t.faces.full || t.edges.full {
		return
	}
	r.TopologyChecked = true
	r.Duplicates, r.DuplicateAreaMM2, r.OpenEdges = t.duplicates, t.duplicate, t.edges.n
	r.MixedFaces = r.OpenEdges == 0 && t.turned != 0
}
