package problemfile

import (
	"strconv"
	"strings"
)

// locate finds the byte at which the value of a path such as
// needs[3].options[0].id starts in a JSON text that has been read before. A
// key that is absent gives the place of the object that lacks it.
func locate(s, path string) int {
	d := scanner{s: s}
	d.s = strings.TrimPrefix(d.s, "\uFEFF")
	shift := len(s) - len(d.s)
	d.space()
	for path != "" {
		at := d.i
		var found bool
		if strings.HasPrefix(path, "[") {
			end := strings.IndexByte(path, ']')
			n, _ := strconv.Atoi(path[1:end])
			path = path[end+1:]
			found = d.enterItem(n)
		} else {
			path = strings.TrimPrefix(path, ".")
			end := strings.IndexAny(path, ".[")
			if end < 0 {
				end = len(path)
			}
			key := path[:end]
			path = path[end:]
			found = d.enterKey(key)
		}
		if !found {
			return at + shift
		}
	}
	return d.i + shift
}

// enterKey moves from the start of an object to the value of a key.
func (d *scanner) enterKey(key string) bool {
	for d.i++; d.peek() == '"'; d.i++ {
		name := d.text()
		d.want(':', "")
		d.space()
		if name == key {
			return true
		}
		if d.skip(); d.peek() != ',' {
			return false
		}
	}
	return false
}

// enterItem moves from the start of a list to its nth value.
func (d *scanner) enterItem(n int) bool {
	d.i++
	for range n {
		if d.skip(); d.peek() != ',' {
			return false
		}
		d.i++
	}
	d.space()
	return true
}
