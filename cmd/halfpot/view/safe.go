package view

import (
	"bytes"
	"fmt"
	"io"
	"strings"
	"unicode"
	"unicode/utf16"
	"unicode/utf8"
)

// This file is the one place where text from files and people is made safe to
// print. Controls (C0, DEL, C1 of ISO 6429) command a terminal, and the bidi
// controls of Unicode's annex 9 let a line read other than it is.

// commands reports whether a character steers what shows it: controls, bidi
// controls, line and paragraph separators, and the invisible tag characters.
func commands(r rune) bool {
	switch {
	case r < 0x7f:
		return r < ' '
	case r < 0x300:
		return r < 0xa0
	}
	return unicode.Is(unicode.Bidi_Control, r) || r == 0x2028 || r == 0x2029 || r >= 0xe0000 && r <= 0xe007f
}

// Clean is one line of text for a terminal: what would steer it, a line break
// too, and what is no UTF-8 shows as U+FFFD.
func Clean(s string) string {
	return strings.Map(func(r rune) rune {
		if commands(r) {
			return utf8.RuneError
		}
		return r
	}, s)
}

// cleanCell is Clean for a cell of CSV, where line breaks and tabs are text.
func cleanCell(s string) string {
	return strings.Map(func(r rune) rune {
		if commands(r) && r != '\n' && r != '\t' {
			return utf8.RuneError
		}
		return r
	}, s)
}

// SafeJSON passes JSON on to w with every character that steers a terminal
// written as \uXXXX, which a reader of JSON takes for the same (RFC 8259,
// section 7). Encoders leave DEL, C1 and bidi controls as they are.
func SafeJSON(w io.Writer) io.Writer { return &jsonFilter{w: w} }

type jsonFilter struct {
	w    io.Writer
	tail []byte // the beginning of a character whose end is still to come
}

func (f *jsonFilter) Write(b []byte) (int, error) {
	data := b
	if len(f.tail) > 0 {
		data = append(f.tail, b...)
		f.tail = nil
	}
	var out bytes.Buffer
	from := 0 // what is not yet passed on
	for i := 0; i < len(data); {
		if c := data[i]; c < 0x7f {
			i++
			continue
		}
		if !utf8.FullRune(data[i:]) {
			f.tail = append([]byte(nil), data[i:]...)
			data = data[:i]
			break
		}
		r, n := utf8.DecodeRune(data[i:])
		if commands(r) {
			out.Write(data[from:i])
			for _, unit := range utf16.Encode([]rune{r}) {
				fmt.Fprintf(&out, `\u%04x`, unit)
			}
			from = i + n
		}
		i += n
	}
	if out.Len() > 0 {
		out.Write(data[from:])
		data = out.Bytes()
	}
	if _, err := f.w.Write(data); err != nil {
		return 0, err
	}
	return len(b), nil
}
