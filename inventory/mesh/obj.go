package mesh

import (
	"bufio"
	"bytes"
	"io"
	"strconv"
)

// Limits on an OBJ file, against hostile ones.
const (
	maxLine     = 1 << 20
	maxVertices = 50_000_000 // 1.2 GB
)

// MeasureOBJ measures a Wavefront OBJ file: v and f lines; every other line is
// passed over. Polygons of more than three corners are cut into triangles,
// concave ones too. Indices count from 1, or back from the last vertex when below 0,
// and stand alone or as i/t, i//n, i/t/n. A backslash joins a line to the next.
// Errors are a [PlaceError] with the line: an index without a vertex, a
// coordinate that is not a number, a face of fewer than three corners.
func MeasureOBJ(r io.Reader, o Options) (rep Report, err error) {
	s := newSum("OBJ", o, 0)
	defer func() {
		if err != nil && s.topology != nil {
			s.topology.stop()
		}
	}()
	p := objReader{r: bufio.NewReaderSize(r, 1<<16), sum: s}
	for {
		line, err := p.logicalLine()
		if err == io.EOF {
			break
		}
		if err != nil {
			return Report{}, err
		}
		if err := p.statement(line); err != nil {
			return Report{}, err
		}
	}
	if p.vertices.n == 0 {
		return Report{}, atLine(p.first, "no vertex in the file: expected v and f lines of an OBJ mesh")
	}
	return s.report()
}

type objReader struct {
	r        *bufio.Reader
	sum      *sum
	vertices vecs
	first    int // first physical line of the statement
	lines    int
	joined   []byte
	corners  []*Vec
}

// logicalLine gives the next line with its continuations; it holds until the
// following call.
func (p *objReader) logicalLine() ([]byte, error) {
	p.joined = p.joined[:0]
	p.first = p.lines + 1
	for {
		part, err := p.r.ReadSlice('\n')
		full := err == bufio.ErrBufferFull
		if err != nil && !full && err != io.EOF {
			return nil, err
		}
		if err == io.EOF && len(part) == 0 && len(p.joined) == 0 {
			return nil, io.EOF
		}
		if len(p.joined)+len(part) > maxLine {
			return nil, atLine(p.first, "a line of more than %d bytes: expected text of an OBJ file", maxLine)
		}
		if full {
			p.joined = append(p.joined, part...)
			continue
		}
		p.lines++
		text := bytes.TrimRight(part, "\r\n")
		if err == nil && bytes.HasSuffix(text, []byte{'\\'}) {
			p.joined = append(append(p.joined, text[:len(text)-1]...), ' ')
			continue
		}
		if len(p.joined) == 0 {
			return text, nil
		}
		p.joined = append(p.joined, text...)
		return p.joined, nil
	}
}

func (p *objReader) statement(line []byte) error {
	if i := bytes.IndexByte(line, 0); i >= 0 {
		return atLine(p.first, "a zero byte: expected text of an OBJ file")
	}
	word, rest := cut(line)
	if len(word) != 1 {
		return nil
	}
	switch word[0] {
	case 'v':
		return p.vertex(rest)
	case 'f':
		return p.face(rest)
	}
	return nil
}

func (p *objReader) vertex(rest []byte) error {
	var v Vec
	for i := range v {
		var w []byte
		if w, rest = cut(rest); len(w) == 0 {
			return atLine(p.first, "a vertex with %d coordinates: expected three", i)
		}
		x, err := parseNumber(w, p.first)
		if err != nil {
			return err
		}
		v[i] = x
	}
	if p.vertices.n == maxVertices {
		return atLine(p.first, "more than %d vertices", maxVertices)
	}
	p.vertices.add(v)
	return nil
}

func (p *objReader) face(rest []byte) error {
	p.corners = p.corners[:0]
	for {
		var w []byte
		if w, rest = cut(rest); len(w) == 0 {
			break
		}
		v, err := p.corner(w)
		if err != nil {
			return err
		}
		p.corners = append(p.corners, v)
	}
	if len(p.corners) < 3 {
		return atLine(p.first, "a face with %d corners: expected three or more", len(p.corners))
	}
	ears(p.corners, p.sum.add)
	return nil
}

func (p *objReader) corner(w []byte) (*Vec, error) {
	index := w
	if i := bytes.IndexByte(w, '/'); i >= 0 {
		index = w[:i]
	}
	n, err := strconv.Atoi(string(index))
	if err != nil || n == 0 {
		return nil, atLine(p.first, "corner %q: expected the number of a vertex, like 7, 7/1 or -1", clip(w))
	}
	i := n - 1
	if n < 0 {
		i = p.vertices.n + n
	}
	if i < 0 || i >= p.vertices.n {
		return nil, atLine(p.first, "a face names vertex %d: expected one of the %d before it", n, p.vertices.n)
	}
	return p.vertices.at(i), nil
}

// cut gives the first word of a line and what follows it.
func cut(b []byte) (word, rest []byte) {
	i := 0
	for i < len(b) && (b[i] == ' ' || b[i] == '\t') {
		i++
	}
	j := i
	for j < len(b) && b[j] != ' ' && b[j] != '\t' {
		j++
	}
	return b[i:j], b[j:]
}

// vecs is a long list that grows block by block: a slice would be copied to one
// of another size again and again, and for a while take twice the memory.
type vecs struct {
	blocks [][]Vec
	n      int
}

const vecBlock = 1 << 14

func (l *vecs) add(v Vec) {
	if l.n%vecBlock == 0 {
		l.blocks = append(l.blocks, make([]Vec, 0, vecBlock))
	}
	last := &l.blocks[len(l.blocks)-1]
	*last = append(*last, v)
	l.n++
}

func (l *vecs) at(i int) *Vec { return &l.blocks[i/vecBlock][i%vecBlock] }
