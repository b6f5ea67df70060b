// Package mesh measures the surface of a figure, vehicle or terrain piece from
// an STL or OBJ file. It is arithmetic only and imports no other room.
//
// Neither format stores a unit: coordinates are taken as millimetres (common
// practice). Files are read in one pass. STL is streamed; OBJ keeps its vertices
// (24 bytes each). Finding duplicate faces and open edges keeps 8 bytes for each
// face and for each edge still waiting for its partner: about 35 MB of tables for
// two million triangles in the order modelling programs write them, 135 MB when
// no edge has a partner, and never more than about 400 MB: past that limit the
// report says that it gave up looking.
package mesh

import (
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"strings"
)

// Vec is a point in mm.
type Vec [3]float64

// Report is what was measured.
type Report struct {
	Format    string  // "binary STL", "ASCII STL" or "OBJ"
	Triangles int     // polygons of an OBJ count as the triangles of their fan
	AreaMM2   float64 // sum of the triangles' areas, duplicates included
	VolumeMM3 float64 // signed; meaningful where OpenEdges is 0, below 0 when turned inside out
	Min, Max  Vec     // bounding box in mm; both zero without triangles

	Degenerate int // triangles without area: points that fall together or in a line

	// The rest is known only where TopologyChecked is true.
	TopologyChecked  bool
	Duplicates       int     // faces on the same three points as an earlier one
	DuplicateAreaMM2 float64 // their part of AreaMM2
	OpenEdges        int     // edges with an odd number of faces; 0 in a closed mesh
}

// Options of a measurement; the zero value checks everything.
type Options struct {
	SkipTopology bool // do not look for duplicate faces and open edges: faster, no tables
}

// Size is the extent of the bounding box in mm.
func (r Report) Size() Vec {
	return Vec{r.Max[0] - r.Min[0], r.Max[1] - r.Min[1], r.Max[2] - r.Min[2]}
}

// PaintedCM2 is the area in cm2 with every duplicate face counted once.
func (r Report) PaintedCM2() float64 { return (r.AreaMM2 - r.DuplicateAreaMM2) / 100 }

// Closed reports whether the mesh was checked and has no open edge.
func (r Report) Closed() bool { return r.TopologyChecked && r.OpenEdges == 0 && r.Triangles > 0 }

// Axis is an axis of the file.
type Axis int

// Axes; figures for printing mostly stand along Z, others along Y.
const (
	X Axis = iota
	Y
	Z
)

// ParseAxis reads "x", "y" or "z".
func ParseAxis(s string) (Axis, error) {
	if i := strings.Index("xyz", strings.ToLower(s)); i >= 0 && len(s) == 1 {
		return Axis(i), nil
	}
	return 0, fmt.Errorf("axis %q: expected x, y or z", s)
}

// Scaled is the report of the same mesh made factor times as large (above 0).
func (r Report) Scaled(factor float64) (Report, error) {
	if !(factor > 0) || math.IsInf(factor, 0) {
		return Report{}, fmt.Errorf("scale factor %g: expected a number above 0", factor)
	}
	r.AreaMM2 *= factor * factor
	r.DuplicateAreaMM2 *= factor * factor
	r.VolumeMM3 *= factor * factor * factor
	for i := range 3 {
		r.Min[i] *= factor
		r.Max[i] *= factor
	}
	return r, nil
}

// ScaledTo is the report of the mesh scaled so that it is mm high along an
// axis, and the factor that takes. mm is above 0 and at most 10,000; a mesh
// without extent along the axis is an error.
func (r Report) ScaledTo(mm float64, axis Axis) (Report, float64, error) {
	if !(mm > 0 && mm <= 10_000) {
		return Report{}, 0, fmt.Errorf("height %g mm: expected above 0 and at most 10000 mm", mm)
	}
	extent := r.Size()[axis]
	if !(extent > 0) {
		return Report{}, 0, fmt.Errorf("the mesh has no extent along %c: choose another axis", "xyz"[axis])
	}
	f := mm / extent
	out, err := r.Scaled(f)
	return out, f, err
}

// MeasureFile measures the file at path, by its ending: .stl or .obj.
func MeasureFile(path string, o Options) (Report, error) {
	f, err := os.Open(path)
	if err != nil {
		return Report{}, err
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return Report{}, err
	}
	var r Report
	switch ext := strings.ToLower(filepath.Ext(path)); ext {
	case ".stl":
		r, err = MeasureSTL(f, info.Size(), o)
	case ".obj":
		r, err = MeasureOBJ(f, o)
	default:
		return Report{}, fmt.Errorf("%s: a file ending in %q cannot be measured: expected .stl or .obj", path, ext)
	}
	if err != nil {
		return Report{}, fmt.Errorf("%s: %w", path, err)
	}
	return r, nil
}

// PlaceError is a fault of a file at a place in it.
type PlaceError struct {
	Line int   // of a text file, from 1; 0 for a binary file
	Byte int64 // position in a binary file, from 0
	What string
}

// Error names line or byte and the fault.
func (e *PlaceError) Error() string {
	if e.Line > 0 {
		return fmt.Sprintf("line %d: %s", e.Line, e.What)
	}
	return fmt.Sprintf("byte %d: %s", e.Byte, e.What)
}

func atLine(line int, format string, args ...any) error {
	return &PlaceError{Line: line, What: fmt.Sprintf(format, args...)}
}

func atByte(pos int64, format string, args ...any) error {
	return &PlaceError{Byte: pos, What: fmt.Sprintf(format, args...)}
}

// sum adds up triangles.
type sum struct {
	Report
	topology *topology
}

func newSum(format string, o Options, triangles int) *sum {
	s := &sum{Report: Report{Format: format}}
	for i := range 3 {
		s.Min[i], s.Max[i] = math.Inf(1), math.Inf(-1)
	}
	if !o.SkipTopology {
		s.topology = newTopology(triangles)
	}
	return s
}

func (s *sum) add(a, b, c *Vec) {
	s.Triangles++
	ux, uy, uz := b[0]-a[0], b[1]-a[1], b[2]-a[2]
	vx, vy, vz := c[0]-a[0], c[1]-a[1], c[2]-a[2]
	nx, ny, nz := uy*vz-uz*vy, uz*vx-ux*vz, ux*vy-uy*vx
	double := math.Sqrt(nx*nx + ny*ny + nz*nz)
	area := double / 2
	s.AreaMM2 += area
	s.VolumeMM3 += (a[0]*(b[1]*c[2]-b[2]*c[1]) + a[1]*(b[2]*c[0]-b[0]*c[2]) + a[2]*(b[0]*c[1]-b[1]*c[0])) / 6
	for i := range 3 {
		s.Min[i] = min(s.Min[i], a[i], b[i], c[i])
		s.Max[i] = max(s.Max[i], a[i], b[i], c[i])
	}
	// A height below a millionth of the longest side counts as none.
	if longest := max(ux*ux+uy*uy+uz*uz, vx*vx+vy*vy+vz*vz); double <= 1e-6*longest {
		s.Degenerate++
	}
	if s.topology != nil {
		s.topology.add(hash(a), hash(b), hash(c), area)
	}
}

func (s *sum) report() Report {
	r := s.Report
	if r.Triangles == 0 {
		r.Min, r.Max = Vec{}, Vec{}
	}
	if s.topology != nil {
		s.topology.finish(&r)
	}
	return r
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

// readFull is io.ReadFull with one kind of error for every short file.
func readFull(r io.Reader, b []byte) (int, error) {
	n, err := io.ReadFull(r, b)
	if err == io.EOF {
		err = io.ErrUnexpectedEOF
	}
	return n, err
}
