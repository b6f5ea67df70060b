package mesh

import "math"

// ears cuts a polygon of an OBJ file into triangles by clipping ears (Meisters,
// "Polygons have ears", American Mathematical Monthly 82, 1975, from memory), so
// that a concave face keeps its own area whatever corner it begins with. The
// face is looked at along its Newell normal. A polygon that crosses itself is
// cut as far as it goes, and what is left as a fan; so is one of more than
// 3,000 corners.
func ears(corners []*Vec, give func(a, b, c *Vec)) {
	n := len(corners)
	if n < 4 {
		give(corners[0], corners[1], corners[2])
		return
	}
	u, v := plane(corners)
	flat := make([][2]float64, n)
	left := make([]int, n)
	for i, c := range corners {
		flat[i] = [2]float64{c[u], c[v]}
		left[i] = i
	}
	turn := func(a, b, c int) float64 {
		return (flat[b][0]-flat[a][0])*(flat[c][1]-flat[a][1]) - (flat[b][1]-flat[a][1])*(flat[c][0]-flat[a][0])
	}
	area := 0.0
	for i := range flat {
		j := (i + 1) % n
		area += flat[i][0]*flat[j][1] - flat[j][0]*flat[i][1]
	}
	way := 1.0
	if area < 0 {
		way = -1
	}
	ear := func(i int) bool {
		m := len(left)
		a, b, c := left[(i+m-1)%m], left[i], left[(i+1)%m]
		if way*turn(a, b, c) <= 0 {
			return false
		}
		for _, p := range left {
			if p == a || p == b || p == c || flat[p] == flat[a] || flat[p] == flat[b] || flat[p] == flat[c] {
				continue
			}
			if way*turn(a, b, p) >= 0 && way*turn(b, c, p) >= 0 && way*turn(c, a, p) >= 0 {
				return false
			}
		}
		return true
	}
	for len(left) > 3 && n <= 3000 {
		found := -1
		for i := range left {
			if ear(i) {
				found = i
				break
			}
		}
		if found < 0 { // corners in a line, or a face that crosses itself
			for i := range left {
				m := len(left)
				if turn(left[(i+m-1)%m], left[i], left[(i+1)%m]) == 0 {
					found = i
					break
				}
			}
		}
		if found < 0 {
			break
		}
		m := len(left)
		give(corners[left[(found+m-1)%m]], corners[left[found]], corners[left[(found+1)%m]])
		left = append(left[:found], left[found+1:]...)
	}
	for i := 2; i < len(left); i++ {
		give(corners[left[0]], corners[left[i-1]], corners[left[i]])
	}
}

// plane names the two axes a polygon is seen best along: all but the one in
// which its normal is longest.
func plane(corners []*Vec) (u, v int) {
	var n Vec
	for i, a := range corners {
		b := corners[(i+1)%len(corners)]
		for k := range 3 {
			p, q := (k+1)%3, (k+2)%3
			n[k] += (a[p] - b[p]) * (a[q] + b[q])
		}
	}
	most := 0
	for k := 1; k < 3; k++ {
		if math.Abs(n[k]) > math.Abs(n[most]) {
			most = k
		}
	}
	return (most + 1) % 3, (most + 2) % 3
}
