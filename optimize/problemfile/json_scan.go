package problemfile

import (
	"fmt"
	"strconv"
	"strings"
	"unicode/utf16"
	"unicode/utf8"

	"halfpot/optimize"
	"halfpot/optimize/internal/words"
)

// A scanner reads RFC 8259 JSON strictly and keeps track of where it is, for
// the sake of messages that name line, column and path. It is here because
// encoding/json knows neither the place of a wrong value nor duplicate keys.
type scanner struct {
	s    string
	i    int       // next byte
	path []segment // of the value being read
	err  optimize.InvalidError
}

// A segment is a key, or with an empty key the index of an array.
type segment struct {
	key   string
	index int
}

// A syntaxError ends a scan: after it nothing in the file can be trusted.
type syntaxError struct{}

// stop notes what is wrong at byte i and ends the scan.
func (d *scanner) stop(i int, format string, args ...any) {
	d.faultAt(i, fmt.Sprintf(format, args...))
	panic(syntaxError{})
}

// faultAt notes something wrong at byte i. The file may go on.
func (d *scanner) faultAt(i int, text string) {
	if d.err.Full() { // finding the place takes time
		if d.err.More++; d.err.More >= optimize.MostCounted {
			panic(syntaxError{})
		}
		return
	}
	line, column := place(d.s, i)
	d.err.Add(optimize.Fault{Line: line, Column: column, Path: d.where(), Text: text})
}

// place is the line and column of byte i, both from 1, columns in characters.
func place(s string, i int) (line, column int) {
	before := s[:min(i, len(s))]
	start := strings.LastIndexByte(before, '\n') + 1
	return strings.Count(before, "\n") + 1, utf8.RuneCountInString(before[start:]) + 1
}

func (d *scanner) where() string {
	var b strings.Builder
	for _, p := range d.path {
		switch {
		case p.key == "":
			fmt.Fprintf(&b, "[%d]", p.index)
		case b.Len() > 0:
			b.WriteString("." + p.key)
		default:
			b.WriteString(p.key)
		}
	}
	return b.String()
}

func (d *scanner) space() {
	for d.i < len(d.s) {
		switch d.s[d.i] {
		case ' ', '\t', '\n', '\r':
			d.i++
		default:
			return
		}
	}
}

// peek is the first byte of the next token, 0 at the end.
func (d *scanner) peek() byte {
	d.space()
	if d.i == len(d.s) {
		return 0
	}
	return d.s[d.i]
}

// found describes the next token for a message.
func (d *scanner) found() string {
	switch c := d.peek(); {
	case c == 0 && d.i >= len(d.s):
		return "found the end of the file"
	case c == '{':
		return "found an object"
	case c == '[':
		return "found a list"
	case c == '"':
		return "found text"
	case c == '-' || '0' <= c && c <= '9':
		return "found a number"
	case c == 't' || c == 'f':
		return "found true or false"
	case c == 'n':
		return "found null"
	}
	r, _ := utf8.DecodeRuneInString(d.s[d.i:])
	return fmt.Sprintf("found %q", r)
}

// want reads one punctuation mark.
func (d *scanner) want(c byte, context string) {
	if d.peek() != c || d.i == len(d.s) {
		d.stop(d.i, "%s, expected %q %s", d.found(), c, context)
	}
	d.i++
}

// is says whether the next value starts with c; if not it is a misfit.
func (d *scanner) is(c byte, expected string) bool {
	if d.peek() == c {
		return true
	}
	d.misfit(expected)
	return false
}

// misfit notes that the next value is not of the type expected and steps over it.
func (d *scanner) misfit(expected string) {
	at, found := d.i, d.found()
	d.skip()
	d.faultAt(at, found+", expected "+expected)
}

// object reads an object of known keys. set reads the value of key i. The
// first needed keys must be there.
func (d *scanner) object(keys []string, needed int, set func(key int)) bool {
	if !d.is('{', "an object") {
		return false
	}
	start := d.i
	d.i++
	seen := uint32(0)
	for first := true; ; first = false {
		c := d.peek()
		if c == '}' && first {
			d.i++
			break
		}
		if c != '"' {
			d.stop(d.i, "%s, expected a key in quotes", d.found())
		}
		at := d.i
		name := d.text()
		d.want(':', "after a key")
		key := -1
		for k := range keys {
			if keys[k] == name {
				key = k
			}
		}
		switch {
		case key < 0:
			d.faultAt(at, "unknown key "+words.Quote(name)+", expected one of "+strings.Join(keys, ", "))
			d.skip()
		case seen&(1<<key) != 0:
			d.faultAt(at, "key "+words.Quote(name)+" is there twice, expected once")
			d.skip()
		default:
			seen |= 1 << key
			d.path = append(d.path, segment{key: keys[key]})
			set(key)
			d.path = d.path[:len(d.path)-1]
		}
		if d.peek() == '}' {
			d.i++
			break
		}
		d.want(',', "or '}' after a value")
	}
	for k := range needed {
		if seen&(1<<k) == 0 {
			d.faultAt(start, "key "+words.Quote(keys[k])+" is missing")
		}
	}
	return true
}

// list reads an array; item reads its next value.
func (d *scanner) list(item func()) {
	if !d.is('[', "a list") {
		return
	}
	d.i++
	if d.peek() == ']' {
		d.i++
		return
	}
	d.path = append(d.path, segment{})
	for {
		item()
		if d.peek() == ']' {
			d.i++
			break
		}
		d.want(',', "or ']' after a value")
		d.path[len(d.path)-1].index++
	}
	d.path = d.path[:len(d.path)-1]
}

// string reads a text value.
func (d *scanner) string(to *string) {
	if d.is('"', "text in quotes") {
		*to = d.text()
	}
}

// text reads the string that starts here. The file is known to be UTF-8.
func (d *scanner) text() string {
	start := d.i
	for d.i++; d.i < len(d.s); d.i++ {
		switch c := d.s[d.i]; {
		case c == '"':
			d.i++
			return d.s[start+1 : d.i-1]
		case c == '\\':
			return d.escaped(start)
		case c < ' ':
			d.stop(d.i, "found a line break or control character inside text, "+
				"expected it written as \\n or \\u%04x", c)
		}
	}
	d.stop(start, "found text without an end, expected a closing quote")
	return ""
}

// escaped reads on from the first backslash of a string.
func (d *scanner) escaped(start int) string {
	b := []byte(d.s[start+1 : d.i])
	for d.i < len(d.s) {
		c := d.s[d.i]
		switch {
		case c == '"':
			d.i++
			return string(b)
		case c < ' ':
			d.stop(d.i, "found a line break or control character inside text, "+
				"expected it written as \\n or \\u%04x", c)
		case c != '\\':
			b = append(b, c)
			d.i++
		default:
			b = d.escape(b)
		}
	}
	d.stop(start, "found text without an end, expected a closing quote")
	return ""
}

func (d *scanner) escape(b []byte) []byte {
	at := d.i
	if d.i+1 >= len(d.s) {
		d.stop(at, "found a backslash at the end of the file")
	}
	c := d.s[d.i+1]
	d.i += 2
	if k := strings.IndexByte(`"\/bfnrt`, c); k >= 0 {
		return append(b, "\"\\/\b\f\n\r\t"[k])
	}
	if c != 'u' {
		r, _ := utf8.DecodeRuneInString(d.s[at+1:])
		d.stop(at, "found the escape \\%c, expected one of \\\" \\\\ \\/ \\b \\f \\n \\r \\t \\u", r)
	}
	r := d.hex(at)
	if utf16.IsSurrogate(r) {
		low := rune(-1)
		if strings.HasPrefix(d.s[d.i:], `\u`) {
			d.i += 2
			low = d.hex(at)
		}
		if r = utf16.DecodeRune(r, low); r == utf8.RuneError {
			d.stop(at, "found half a surrogate pair, expected a whole character")
		}
	}
	return utf8.AppendRune(b, r)
}

func (d *scanner) hex(at int) rune {
	if d.i+4 <= len(d.s) {
		if r, err := strconv.ParseUint(d.s[d.i:d.i+4], 16, 16); err == nil {
			d.i += 4
			return rune(r)
		}
	}
	d.stop(at, "found a broken \\u escape, expected four hexadecimal digits")
	return 0
}

// skip steps over one value of any kind. It keeps no stack of its own beyond
// one byte for each open bracket, so depth is no danger.
func (d *scanner) skip() {
	var open []byte
	for {
		switch c := d.peek(); {
		case c == '{' || c == '[':
			d.i++
			open = append(open, c)
			if c == '{' && d.peek() == '"' {
				d.key()
				continue
			}
			if next := d.peek(); next != '}' && next != ']' {
				if c == '{' {
					d.stop(d.i, "%s, expected a key in quotes", d.found())
				}
				continue
			}
		case c == '"':
			d.text()
		case c == '-' || '0' <= c && c <= '9':
			d.number()
		default:
			d.literal()
		}
		for len(open) > 0 && (d.peek() == '}' || d.peek() == ']') {
			if d.peek() != open[len(open)-1]+2 { // in ASCII a bracket's partner comes two after it
				d.stop(d.i, "found %q, expected %q", d.peek(), open[len(open)-1]+2)
			}
			d.i++
			open = open[:len(open)-1]
		}
		if len(open) == 0 {
			return
		}
		d.want(',', "or a closing bracket after a value")
		if open[len(open)-1] == '{' {
			if d.peek() != '"' {
				d.stop(d.i, "%s, expected a key in quotes", d.found())
			}
			d.key()
		}
	}
}

func (d *scanner) key() {
	d.text()
	d.want(':', "after a key")
}

func (d *scanner) literal() {
	for _, word := range []string{"true", "false", "null"} {
		if strings.HasPrefix(d.s[d.i:], word) {
			d.i += len(word)
			return
		}
	}
	d.stop(d.i, "%s, expected a value", d.found())
}
