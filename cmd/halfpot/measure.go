package main

import (
	"context"
	"errors"
	"os"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"halfpot/cmd/halfpot/view"
	"halfpot/inventory/coverage"
	"halfpot/inventory/mesh"
)

type measureOptions struct {
	file    string
	scaleTo string
	cutBase string
	axis    string
	fast    bool
}

func (a *app) figureMeasure() *cobra.Command {
	var o measureOptions
	c := &cobra.Command{
		Use: "measure FILE", Short: "painted area of an STL or OBJ file",
		Long: `Measures the surface of a figure, vehicle or terrain piece on its mesh file (STL,
binary or text, or OBJ). Coordinates are taken as millimetres. --scale-to makes
the figure that high first, as you would print it: "28mm" is from sole to eye, as
everywhere in halfpot, "31mm to top" the whole height. A base in the mesh counts
into height and area unless --cut-base leaves its height out. Faces that stand
there twice are counted once, parts inside others not at all; holes and faces
turned inside out are named. A brush reaches some nine tenths of what is left.
Nothing is stored: put the area into the figure type's file.`,
		Example: "  halfpot figure measure rifleman.stl\n" +
			"  halfpot figure measure rifleman.stl --scale-to 28mm --cut-base 3mm\n" +
			"  halfpot figure measure cart.obj --scale-to \"31mm to top\" --axis y",
		Args: cobra.ExactArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			o.file = args[0]
			return a.measure(c.Context(), o)
		},
	}
	c.Flags().StringVar(&o.scaleTo, "scale-to", "", "`HEIGHT` to scale it to: 28mm (to the eyes) or '31mm to top'")
	c.Flags().StringVar(&o.cutBase, "cut-base", "", "leave the lowest `HEIGHT` out, after scaling: a base, like 3mm")
	enum(c, c.Flags(), &o.axis, "axis", "z", "axis of the file that points up", "x", "y", "z")
	c.Flags().BoolVar(&o.fast, "fast", false, "don't look for holes and double faces")
	return c
}

// measureRow is what a mesh measures.
type measureRow struct {
	File       string     `json:"file"`
	Kind       string     `json:"format"`
	PaintedCM2 view.Num   `json:"painted_cm2"`
	TotalCM2   view.Num   `json:"total_cm2"`
	WidthMM    view.Num   `json:"x_mm"`
	DepthMM    view.Num   `json:"y_mm"`
	HeightMM   view.Num   `json:"z_mm"`
	Factor     view.Num   `json:"scaled_by"`
	Triangles  view.Count `json:"triangles"`
	Degenerate view.Count `json:"faces_without_area"`
	Checked    bool       `json:"topology_checked"`
	Duplicates view.Count `json:"double_faces"`
	OpenEdges  view.Count `json:"open_edges"`
	OutsideCM2 view.Num   `json:"outside_cm2"`
	HiddenCM2  view.Num   `json:"inside_cm2"`
	BaseCM2    view.Num   `json:"base_cut_cm2"`
	Reached    view.Num   `json:"reached_by_the_brush"`
	Parts      view.Count `json:"parts"`
	InsideOut  bool       `json:"inside_out"`
	Mixed      bool       `json:"faces_mixed"`
	ToEye      bool       `json:"scaled_to_eye"`
}

func (a *app) measure(ctx context.Context, o measureOptions) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	collectMore()
	how := mesh.Options{SkipTopology: o.fast}
	var err error
	if how.Up, err = mesh.ParseAxis(o.axis); err != nil {
		return usagef("%v", err)
	}
	toEye := false
	if o.scaleTo != "" {
		if how.HeightMM, toEye, err = parseHeight(o.scaleTo); err != nil {
			return err
		}
	}
	if o.cutBase != "" {
		if how.BaseMM, err = parseMM(o.cutBase); err != nil {
			return err
		}
	}
	r, err := await(ctx, func() (mesh.Report, error) { return mesh.MeasureFile(o.file, how) })
	if ctx.Err() != nil {
		return ctx.Err()
	}
	if err != nil {
		var pathErr *os.PathError
		if errors.As(err, &pathErr) {
			return usagef("%s: %v", pathErr.Path, pathErr.Err)
		}
		return usagef("%v", err)
	}
	size := r.Size()
	reached := coverage.Reached.Value
	row := measureRow{
		File:       o.file,
		Kind:       r.Format,
		PaintedCM2: view.Num(r.OutsideCM2() * reached),
		TotalCM2:   view.Num(r.AreaMM2 / 100),
		WidthMM:    view.Num(size[0]),
		DepthMM:    view.Num(size[1]),
		HeightMM:   view.Num(size[2]),
		Factor:     view.Num(r.Factor),
		Triangles:  view.Count(r.Triangles),
		Degenerate: view.Count(r.Degenerate),
		Checked:    r.TopologyChecked,
		Duplicates: view.Count(r.Duplicates),
		OpenEdges:  view.Count(r.OpenEdges),
		OutsideCM2: view.Num(r.OutsideCM2()),
		HiddenCM2:  view.Num(r.HiddenAreaMM2 / 100),
		BaseCM2:    view.Num(r.BaseAreaMM2 / 100),
		Reached:    view.Num(reached),
		Parts:      view.Count(r.Shells),
		InsideOut:  r.InsideOut,
		Mixed:      r.MixedFaces,
		ToEye:      toEye,
	}
	return a.showOne(row, func(page *view.Page) { showMeasure(page, row, r, o) })
}

func showMeasure(page *view.Page, m measureRow, r mesh.Report, o measureOptions) {
	page.Line("%s: %s cm2 to paint", m.File, m.PaintedCM2)
	page.Line("  %s cm2 of surface times %s: a brush never reaches %.0f to %.0f %% of it (assumption)",
		m.OutsideCM2, m.Reached, 100*(1-coverage.Reached.High), 100*(1-coverage.Reached.Low))
	page.Line("  %s, %d triangles, %s x %s x %s mm (x, y, z)",
		m.Kind, m.Triangles, m.WidthMM, m.DepthMM, m.HeightMM)
	if o.scaleTo != "" {
		how := "from sole to crown"
		if m.ToEye {
			how = "from sole to eye, taken as 93 % of the height"
		}
		page.Line("  scaled by %s to %s, %s; what rises above the head (a raised arm, "+
			"a plume) makes it too small", m.Factor, o.scaleTo, how)
	}
	switch {
	case r.BaseMM > 0:
		page.Line("  without the lowest %g mm, %s cm2 of base", r.BaseMM, m.BaseCM2)
	case o.scaleTo != "":
		page.Note("  a base in the mesh counts into height and area: --cut-base 3mm leaves it out")
	}
	if m.Degenerate > 0 {
		page.Line("  %d faces without area: points that fall together; they count as nothing", m.Degenerate)
	}
	if m.Duplicates > 0 {
		page.Line("  %d double faces, counted once", m.Duplicates)
	}
	switch {
	case !m.Checked:
		page.Note("  not checked for holes, double faces and inner parts")
	case !r.Closed():
		page.Line("  the mesh is open: %d edges with a face on one side only; "+
			"the area is that of the faces there are, inner ones too", m.OpenEdges)
	case m.Mixed:
		page.Line("  some faces are turned inside out; the area is right, " +
			"but inner parts can't be told from outer ones")
	case m.InsideOut:
		page.Line("  the mesh is turned inside out: its faces look inward; the area is right, " +
			"but inner parts can't be told from outer ones")
	case !r.HiddenChecked:
		page.Note("  closed; inner parts were not looked for")
	case r.HiddenAreaMM2 > 0:
		page.Line("  closed, in %d parts: %s cm2 lie inside others and don't count (by winding number)",
			m.Parts, m.HiddenCM2)
	case m.Duplicates == 0:
		page.Note("  the mesh is closed and every face stands once")
	}
}

// parseHeight reads a height as [coverage.ParseScale] does: "28mm" and "28mm to
// eye" are to the eyes, "31mm to top" is all of it. It gives the whole height.
func parseHeight(s string) (mm float64, toEye bool, err error) {
	const stature = coverage.UsualStature
	scale, err := coverage.ParseScale(s, stature)
	if err != nil || strings.ContainsAny(s, ":/") {
		if v, e := strconv.ParseFloat(strings.TrimSpace(s), 64); e == nil && v > 0 { // "28"
			return parseHeight(strings.TrimSpace(s) + " mm")
		}
		return 0, false, usagef("%q: expected a height of 5 to 300 mm, "+
			"like 28mm (to the eyes) or '31mm to top'", s)
	}
	toEye = !strings.Contains(s, "top") && !strings.Contains(s, "crown")
	return scale.ModelLength(stature), toEye, nil
}

// parseMM reads "28mm", "28 mm" or "28".
func parseMM(s string) (float64, error) {
	v, err := strconv.ParseFloat(strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(s), "mm")), 64)
	if err != nil || !(v > 0) {
		return 0, usagef("%q: expected a height in millimetres, like 28mm", s)
	}
	return v, nil
}
