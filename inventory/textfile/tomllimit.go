package textfile

import (
	"bytes"
	"fmt"
)

// What a TOML file may hold at most. None of it is in the way of a file that a
// painter or a program writes for a purpose; each keeps some short text from
// taking minutes or gigabytes.
const (
	mostTOMLDepth  = 16            // brackets within brackets
	mostTOMLParts  = 16            // of a key with points in it
	mostTOMLValues = 20_000        // values in the brackets of one key
	mostTOMLPaths  = 48 << 20      // bytes of all full names together
	mostTOMLWork   = 2_000_000_000 // comparisons of keys: the decoder looks for a name among all that are open
)

// tooMuch is a limit of the above that a file passes.
type tooMuch struct {
	at              int // byte
	found, expected string
}

func (t *tooMuch) Error() string { return t.found + ", expected " + t.expected }

// tomlTooMuch looks at the bytes alone, before anything is built from them,
// and finds the first place that no decoder should be given.
func tomlTooMuch(data []byte) *tooMuch {
	depth, parts, values := 0, 1, 1
	for i := 0; i < len(data); i++ {
		switch data[i] {
		case '#':
			if n := bytes.IndexByte(data[i:], '\n'); n >= 0 {
				i += n - 1
			} else {
				return nil
			}
		case '"', '\'':
			i = tomlTextEnd(data, i)
		case '[', '{':
			if depth++; depth > mostTOMLDepth {
				return &tooMuch{
					at:       i,
					found:    fmt.Sprintf("brackets more than %d deep", mostTOMLDepth),
					expected: "a list of tables, as halfpot help files shows",
				}
			}
		case ']', '}':
			depth = max(0, depth-1)
		case ',':
			parts = 1
			if values++; values > mostTOMLValues {
				return &tooMuch{
					at:       i,
					found:    fmt.Sprintf("more than %d values in one list", mostTOMLValues),
					expected: "fewer: put each thing under a [[heading]] of its own",
				}
			}
		case '.':
			if parts++; parts > mostTOMLParts {
				return &tooMuch{
					at:       i,
					found:    fmt.Sprintf("a key of more than %d parts", mostTOMLParts),
					expected: "a key, as halfpot help files shows",
				}
			}
		case '=':
			parts = 1
		case '\n':
			parts = 1
			if depth == 0 {
				values = 1
			}
		}
	}
	return nil
}

// tomlTextEnd is the last byte of the text that begins at byte i.
func tomlTextEnd(data []byte, i int) int {
	quote := data[i]
	long := bytes.HasPrefix(data[i:], []byte{quote, quote, quote})
	if long {
		i += 2
	}
	for i++; i < len(data); i++ {
		switch c := data[i]; {
		case c == '\\' && quote == '"':
			i++
		case c == '\n' && !long:
			return i - 1
		case c == quote && !long:
			return i
		case c == quote && bytes.HasPrefix(data[i:], []byte{quote, quote, quote}):
			for i += 2; i+1 < len(data) && data[i+1] == quote; i++ { // up to two more belong to the text
			}
			return i
		}
	}
	return i
}

// tally reckons what the decoder will have to do for the keys seen so far: it
// keeps all names that are open in one list, and lets go of those under a
// [[heading]] when the next one of its kind begins.
type tally struct {
	open  int            // names in the list
	under map[string]int // by the path of an array of tables
	chain []string       // those of the current table, outermost first
	paths int            // bytes
	work  int
}

// names counts n more names.
func (t *tally) names(n int) {
	for range n {
		t.open++
		t.work += t.open
	}
	for _, p := range t.chain {
		t.under[p] += n
	}
}

// again begins one more element of an array of tables.
func (t *tally) again(array string) {
	n := t.under[array]
	t.open -= n
	t.work += t.open + n
	for _, p := range t.chain {
		t.under[p] -= n
	}
	t.under[array] = 0
}

// tooMuch says which limit is passed by now.
func (t *tally) tooMuch(at int) *tooMuch {
	switch {
	case t.paths > mostTOMLPaths:
		return &tooMuch{at, "keys that are too long, or too many", "short names, as halfpot help files shows"}
	case t.work > mostTOMLWork:
		return &tooMuch{
			at:       at,
			found:    "too many keys that belong together",
			expected: "fewer: put each thing under a [[heading]] of its own",
		}
	}
	return nil
}
