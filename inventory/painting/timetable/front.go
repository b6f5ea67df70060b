package timetable

// front keeps, of moments with the same steps done and the same mixes open, those
// that no other beats in time and releases. The releases of the steps to come lie
// side by side in one list, since nearly all the time goes into comparing them.
type front struct {
	dim  int
	kept []ahead
	rel  []int32 // dim for each kept
}

// ahead is a kept moment and what tells most others apart at a glance: none beats
// another that is earlier or whose releases sum up to less.
type ahead struct {
	now int32
	sum int64
	of  *moment
}

// add keeps n where nothing beats it, and drops what it beats.
func (f *front) add(s *search, n *moment) bool {
	from := len(f.rel)
	for b := range s.m.b {
		f.rel = append(f.rel, s.rest(n, b)...)
	}
	mine := f.rel[from:]
	f.dim = len(mine)
	var sum int64
	for _, r := range mine {
		sum += int64(r)
	}
	s.held += len(f.kept)
	for i, o := range f.kept {
		if o.now <= n.now && o.sum <= sum && noLater(f.rel[i*f.dim:], mine) {
			f.rel = f.rel[:from]
			return false
		}
	}
	to := 0
	for i, o := range f.kept {
		if n.now <= o.now && sum <= o.sum && noLater(mine, f.rel[i*f.dim:]) {
			o.of.beaten = true
			continue
		}
		if to < i {
			f.kept[to] = o
			copy(f.rel[to*f.dim:(to+1)*f.dim], f.rel[i*f.dim:])
		}
		to++
	}
	copy(f.rel[to*f.dim:], mine)
	f.kept = append(f.kept[:to], ahead{n.now, sum, n})
	f.rel = f.rel[:(to+1)*f.dim]
	return true
}

// noLater reports whether no release in a is later than its fellow in b; the
// shorter list counts.
func noLater(a, b []int32) bool {
	n := min(len(a), len(b))
	a, b = a[:n], b[:n]
	for i := range a {
		if a[i] > b[i] {
			return false
		}
	}
	return true
}

// settle lifts the releases of a batch's steps to come to when they can really
// start: not before now, in a sitting later than k if what is left of k is too
// short, and behind the steps that come first. Moments that differ in nothing else
// become the same, and those that are better show it.
func (s *search) settle(b, count int, rel []int32, now int32, k int) {
	steps := s.m.b[b].steps
	if count == len(steps) {
		return
	}
	end, next := int32(s.m.sit[k].End), int32(MaxTime)
	if k+1 < len(s.m.sit) {
		next = int32(s.m.sit[k+1].Start)
	}
	if at := rel[count]; at >= next || at >= now && at+int32(steps[count].work) <= end {
		return // nothing moves: the steps behind it were settled before
	}
	for i := count; i < len(steps); i++ {
		at := max(rel[i], now)
		if at+int32(steps[i].work) > end {
			at = max(at, next)
		}
		rel[i] = at
		for j := i + 1; j < len(steps); j++ {
			rel[j] = max(rel[j], at+int32(steps[i].work+s.m.b[b].lag[i][j]))
		}
	}
}
