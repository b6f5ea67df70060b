package mesh

import (
	"bufio"
	"io"
	"math"
	"strconv"
)

// maxWord is the longest word of a text file, in bytes; no number or keyword
// comes near it, so a longer one means that the file is not text.
const maxWord = 256

// words cuts a text file into words between blanks, counting lines, without
// allocating for each.
type words struct {
	r    *bufio.Reader
	line int // of the word given last
	next int // line the reader stands on
	buf  [maxWord]byte
}

func newWords(r io.Reader) *words {
	return &words{r: bufio.NewReaderSize(r, 1<<16), line: 1, next: 1}
}

// word gives the next word; it is good until the following call.
func (t *words) word() ([]byte, error) {
	n := 0
	for {
		c, err := t.r.ReadByte()
		if err != nil {
			if err == io.EOF && n > 0 {
				break
			}
			t.line = t.next
			return nil, err
		}
		if c == ' ' || c == '\n' || c == '\r' || c == '\t' {
			if n == 0 {
				if c == '\n' {
					t.next++
				}
				continue
			}
			// Left for skipLine, which must see the end of this line.
			if err := t.r.UnreadByte(); err != nil {
				return nil, err
			}
			break
		}
		if c < ' ' {
			t.line = t.next
			return nil, atLine(t.next, "control character %#02x: expected text", c)
		}
		if n == maxWord {
			return nil, atLine(t.next, "a word of more than %d characters: "+
				"expected text of an STL or OBJ file", maxWord)
		}
		t.buf[n] = c
		n++
	}
	t.line = t.next
	return t.buf[:n], nil
}

// skipLine passes over the rest of the line, such as the name of a solid.
func (t *words) skipLine() error {
	for {
		_, err := t.r.ReadSlice('\n')
		switch err {
		case nil:
			t.next++
			return nil
		case bufio.ErrBufferFull:
		case io.EOF:
			return nil
		default:
			return err
		}
	}
}

func (t *words) want(expected ...string) error {
	for _, e := range expected {
		w, err := t.word()
		if err != nil {
			return t.ended(err, e)
		}
		if !equalFold(w, e) {
			return t.unexpected(w, e)
		}
	}
	return nil
}

func (t *words) number() (float64, error) {
	w, err := t.word()
	if err != nil {
		return 0, t.ended(err, "a coordinate")
	}
	return parseNumber(w, t.line)
}

// parseNumber reads a finite decimal number.
func parseNumber(w []byte, line int) (float64, error) {
	v, err := strconv.ParseFloat(string(w), 64)
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) || math.Abs(v) > math.MaxFloat32 {
		return 0, atLine(line, "%q: expected a finite coordinate", clip(w))
	}
	return v, nil
}

// ended turns the end of the file, in the middle of something, into its place.
func (t *words) ended(err error, expected string) error {
	if err == io.EOF {
		return atLine(t.line, "the file ends here: expected %s", expected)
	}
	return err
}

func (t *words) unexpected(found []byte, expected string) error {
	return atLine(t.line, "found %q: expected %s", clip(found), expected)
}

// clip copies a word for a message, cut to a readable length.
func clip(w []byte) string {
	if len(w) > 40 {
		return string(w[:40]) + "..."
	}
	return string(w)
}

// equalFold compares ASCII keywords; cheaper than Unicode folding.
func equalFold(w []byte, lower string) bool {
	if len(w) != len(lower) {
		return false
	}
	for i := range len(w) {
		c := w[i]
		if 'A' <= c && c <= 'Z' {
			c += 'a' - 'A'
		}
		if c != lower[i] {
			return false
		}
	}
	return true
}
