package mesh

import (
	"bytes"
	"encoding/binary"
	"io"
	"math"
)

const (
	stlHead   = 84 // 80 bytes of text and the count
	stlRecord = 50 // normal, three points, two spare bytes
	stlBlock  = 1200
)

// MeasureSTL measures a binary or ASCII STL file of size bytes. A file of
// exactly 84 + 50 n bytes with n in its header is binary, whatever its first
// word, because binary files that begin with "solid" are common. Errors are a
// [PlaceError]: a file cut short, a count that does not fit the size, a
// coordinate that is not a number.
func MeasureSTL(r io.Reader, size int64, o Options) (Report, error) {
	head := make([]byte, stlHead)
	n, err := io.ReadFull(r, head)
	if err != nil && err != io.EOF && err != io.ErrUnexpectedEOF {
		return Report{}, err
	}
	head = head[:n]
	if n == 0 {
		return Report{}, atByte(0, "the file is empty: expected an STL mesh")
	}
	var count int64
	if n == stlHead {
		count = int64(binary.LittleEndian.Uint32(head[80:]))
		if size == stlHead+stlRecord*count {
			return binarySTL(r, int(count), o)
		}
	}
	if word := bytes.TrimLeft(head, " \t\r\n"); len(word) >= 5 &&
		bytes.EqualFold(word[:5], []byte("solid")) && bytes.IndexByte(head, 0) < 0 {
		return asciiSTL(io.MultiReader(bytes.NewReader(head), r), o)
	}
	if n < stlHead {
		return Report{}, atByte(int64(n), "the file ends within the header: "+
			"expected 84 bytes of a binary STL, or text that begins with solid")
	}
	want := stlHead + stlRecord*count
	if size < want {
		return Report{}, atByte(size,
			"the file ends after %d whole triangles of the %d in its header: expected %d bytes, found %d",
			(size-stlHead)/stlRecord, count, want, size)
	}
	return Report{}, atByte(80,
		"the header counts %d triangles, but the file has room for %g: expected %d bytes, found %d",
		count, float64(size-stlHead)/stlRecord, want, size)
}

func binarySTL(r io.Reader, count int, o Options) (rep Report, err error) {
	s := newSum("binary STL", o, count)
	defer func() {
		if err != nil && s.topology != nil {
			s.topology.stop()
		}
	}()
	block := make([]byte, stlBlock*stlRecord)
	for done := 0; done < count; {
		want := min(stlBlock, count-done)
		b := block[:want*stlRecord]
		if n, err := readFull(r, b); err != nil {
			return Report{}, atByte(int64(stlHead+done*stlRecord+n), "the file ends within triangle "+
				"%d of %d: %v", done+n/stlRecord+1, count, err)
		}
		for i := range want {
			var p [3]Vec
			rec := b[i*stlRecord+12 : i*stlRecord+48]
			bad := false
			for j := range 9 {
				u := binary.LittleEndian.Uint32(rec[4*j:])
				bad = bad || u&0x7f800000 == 0x7f800000 // not a number, or infinite
				p[j/3][j%3] = float64(math.Float32frombits(u))
			}
			if bad {
				return Report{}, badRecord(rec, done+i)
			}
			s.add(&p[0], &p[1], &p[2])
		}
		done += want
	}
	return s.report()
}

// badRecord names the first coordinate of a record that is not finite.
func badRecord(rec []byte, triangle int) error {
	for j := range 9 {
		if v := float64(math.Float32frombits(binary.LittleEndian.Uint32(rec[4*j:]))); !finite(v) {
			return atByte(int64(stlHead+triangle*stlRecord+12+4*j),
				"triangle %d, point %d, %c is %g: expected a finite number",
				triangle+1, j/3+1, "xyz"[j%3], v)
		}
	}
	return nil
}
