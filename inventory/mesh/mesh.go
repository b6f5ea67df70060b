// Package mesh measures the surface of a figure, vehicle or terrain piece from
// an STL or OBJ file. It is arithmetic only and imports no other room.
//
// Neither format stores a unit: coordinates are taken as millimetres (common
// practice). Files are read in one pass. STL is streamed; OBJ keeps its vertices
// (24 bytes each). Finding duplicate faces and open edges keeps 8 bytes for each
// face and for each edge still waiting for its partner: about 35 MB of tables for
// two million triangles in the order modelling programs write them, 135 MB when
// no edge has a partner, and never more than about 400 MB: past that limit the
// report says that it gave up looking. To tell what lies inside, and to cut a
// base off, the triangles are kept too: 36 bytes each, up to eight million.
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
	Triangles int     // polygons of an OBJ count as the triangles they are cut into
	AreaMM2   float64 // sum of the triangles' areas, duplicates included
	VolumeMM3 float64 // signed; meaningful where OpenEdges is 0, below 0 when turned inside out
	Min, Max  Vec     // bounding box in mm; both zero without triangles

	Degenerate int // triangles without area: points that fall together or in a line

	// The rest is known only where TopologyChecked is true.
	TopologyChecked  bool
	Duplicates       int     // faces on the same three points as an earlier one
	DuplicateAreaMM2 float64 // their part of AreaMM2
	OpenEdges        int     // edges with an odd number of faces; 0 in a closed mesh
	MixedFaces       bool    // neighbouring faces point to different sides
	InsideOut        bool    // closed, and all faces point inward

	// Of a closed mesh whose faces point one way, unless it is too large.
	HiddenChecked bool
	Shells        int     // connected parts
	HiddenAreaMM2 float64 // inside another part, or the wall of a hollow; by winding numbers at sample points

	BaseMM      float64 // height of the base that was cut off, mm; 0: none
	BaseAreaMM2 float64 // what lay in it, hidden or not
	Factor      float64 // by which it was scaled
}

// Options of a measurement; the zero value checks everything.
type Options struct {
	SkipTopology bool // do not look for duplicate faces, open edges and inner parts: faster, no tables

	Up       Axis    // the axis that points up
	HeightMM float64 // scale it so that what stands on the base is this high; 0: as it is
	BaseMM   float64 // cut the lowest mm off, after scaling: the base; 0: keep all
}

func (o Options) keep() bool { return !o.SkipTopology || o.BaseMM > 0 }

// check refuses heights that nothing is printed in.
func (o Options) check() error {
	if !(o.HeightMM >= 0 && o.HeightMM <= 10_000) {
		return fmt.Errorf("height %g mm: expected above 0 and at most 10000 mm", o.HeightMM)
	}
	if !(o.BaseMM >= 0 && o.BaseMM <= 1000) {
		return fmt.Errorf("base %g mm: expected 0 to 1000 mm", o.BaseMM)
	}
	return nil
}

// Size is the extent of the bounding box in mm.
func (r Report) Size() Vec {
	return Vec{r.Max[0] - r.Min[0], r.Max[1] - r.Min[1], r.Max[2] - r.Min[2]}
}

// OutsideCM2 is the surface in cm2 that can be seen: every duplicate face
// counted once, inner parts and a base that was cut off left out. Where both
// overlap (a base with inner parts), the base is counted out whole.
func (r Report) OutsideCM2() float64 {
	return math.Max(0, r.AreaMM2-r.DuplicateAreaMM2-r.HiddenAreaMM2-r.BaseAreaMM2) / 100
}

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
	r.HiddenAreaMM2 *= factor * factor
	r.BaseAreaMM2 *= factor * factor
	r.Factor *= factor
	r.VolumeMM3 *= factor * factor * factor
	for i := range 3 {
		r.Min[i] *= factor
		r.Max[i] *= factor
	}
	return r, nil
}

// stand scales the report to the height asked for and cuts the base off.
func (s *sum) stand(r *Report) error {
	o := s.options
	r.Factor = 1
	extent := r.Size()[o.Up]
	if (o.HeightMM > 0 || o.BaseMM > 0) && !(extent > 0) {
		return fmt.Errorf("the mesh has no extent along %c: choose another axis", "xyz"[o.Up])
	}
	factor := 1.0
	if o.HeightMM > 0 {
		factor = (o.HeightMM + o.BaseMM) / extent
	}
	if o.BaseMM > 0 {
		switch {
		case s.kept.full:
			return fmt.Errorf("more than %d triangles: a base can't be cut off", maxKept)
		case o.BaseMM >= extent*factor:
			return fmt.Errorf("base %g mm: the mesh is %.4g mm high", o.BaseMM, extent*factor)
		}
		r.BaseMM = o.BaseMM
		r.BaseAreaMM2 = s.kept.below(o.Up, r.Min[o.Up]+o.BaseMM/factor*(1+1e-6))
	}
	out, err := r.Scaled(factor)
	*r = out
	return err
}

// MeasureFile measures the file at path, by its ending: .stl or .obj.
func MeasureFile(path string, o Options) (Report, error) {
	f, err := os.Open(path)
	if err != nil {
		return Report{}, err
	}
	defer f.Close()
	if err := o.check(); err != nil {
		return Report{}, err
	}
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
		return Report{}, fmt.Errorf("%s: a file ending in %q cannot be measured: expected .stl or .obj",
			path, ext)
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
	kept     *kept
	options  Options
}

func newSum(format string, o Options, triangles int) *sum {
	s := &sum{Report: Report{Format: format, Factor: 1}, options: o}
	for i := range 3 {
		s.Min[i], s.Max[i] = math.Inf(1), math.Inf(-1)
	}
	if !o.SkipTopology {
		s.topology = newTopology(triangles)
	}
	if o.keep() {
		s.kept = &kept{t: make([][9]float32, 0, min(triangles, maxKept))}
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
	if s.kept != nil {
		s.kept.add(a, b, c)
	}
}

func (s *sum) report() (Report, error) {
	r := s.Report
	if r.Triangles == 0 {
		r.Min, r.Max = Vec{}, Vec{}
	}
	if s.topology != nil {
		s.topology.finish(&r)
		s.topology = nil // its goroutine has ended
	}
	if r.Closed() && !r.MixedFaces {
		r.InsideOut = r.VolumeMM3 < 0
		if !s.kept.full && !r.InsideOut && r.Duplicates == 0 {
			s.kept.hidden(&r)
		}
	}
	err := s.stand(&r)
	return r, err
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
