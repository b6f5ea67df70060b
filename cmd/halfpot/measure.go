package main

import (
	"context"
	"errors"
	"os"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"halfpot/cmd/halfpot/view"
	"halfpot/inventory/mesh"
)

type measureOptions struct {
	file    string
	scaleTo string
	axis    string
	fast    bool
}

func (a *app) figureMeasure() *cobra.Command {
	var o measureOptions
	c := &cobra.Command{
		Use: "measure FILE", Short: "painted area of an STL or OBJ file",
		Long: `Measures the surface of a figure, vehicle or terrain piece on its mesh file (STL,
binary or text, or OBJ). Coordinates are taken as millimetres. --scale-to makes
the mesh that high first, as you would print it. Faces that stand there twice
are counted once; a mesh with holes is measured and said to have them. Nothing
is stored: put the area into the figure type's file.`,
		Example: "  halfpot figure measure rifleman.stl\n  halfpot figure measure rifleman.stl --scale-to 28mm\n  halfpot figure measure cart.obj --scale-to 31mm --axis y",
		Args:    cobra.ExactArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			o.file = args[0]
			return a.measure(c.Context(), o)
		},
	}
	c.Flags().StringVar(&o.scaleTo, "scale-to", "", "`HEIGHT` to scale it to, like 28mm")
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
}

func (a *app) measure(ctx context.Context, o measureOptions) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	collectMore()
	r, err := await(ctx, func() (mesh.Report, error) { return mesh.MeasureFile(o.file, mesh.Options{SkipTopology: o.fast}) })
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
	factor := 1.0
	if o.scaleTo != "" {
		mm, err := parseMM(o.scaleTo)
		if err != nil {
			return err
		}
		axis, err := mesh.ParseAxis(o.axis)
		if err != nil {
			return usagef("%v", err)
		}
		if r, factor, err = r.ScaledTo(mm, axis); err != nil {
			return usagef("%s: %v", o.file, err)
		}
	}
	size := r.Size()
	row := measureRow{o.file, r.Format, view.Num(r.PaintedCM2()), view.Num(r.AreaMM2 / 100), view.Num(size[0]), view.Num(size[1]), view.Num(size[2]),
		view.Num(factor), view.Count(r.Triangles), view.Count(r.Degenerate), r.TopologyChecked, view.Count(r.Duplicates), view.Count(r.OpenEdges)}
	return a.showOne(row, func(page *view.Page) { showMeasure(page, row, r.Closed()) })
}

func showMeasure(page *view.Page, m measureRow, closed bool) {
	page.Line("%s: %s cm2 to paint", m.File, m.PaintedCM2)
	page.Line("  %s, %d triangles, %s x %s x %s mm (x, y, z)", m.Kind, m.Triangles, m.WidthMM, m.DepthMM, m.HeightMM)
	if m.Factor != 1 {
		page.Line("  scaled by %s", m.Factor)
	}
	if m.Degenerate > 0 {
		page.Line("  %d faces without area: points that fall together; they count as nothing", m.Degenerate)
	}
	switch {
	case !m.Checked:
		page.Note("  not checked for holes and double faces")
	case closed && m.Duplicates == 0:
		page.Note("  the mesh is closed and every face stands once")
	default:
		if m.Duplicates > 0 {
			page.Line("  %d double faces, counted once", m.Duplicates)
		}
		if !closed {
			page.Line("  the mesh is open: %d edges with a face on one side only; the area is that of the faces there are", m.OpenEdges)
		}
	}
}

// parseMM reads "28mm", "28 mm" or "28".
func parseMM(s string) (float64, error) {
	v, err := strconv.ParseFloat(strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(s), "mm")), 64)
	if err != nil || !(v > 0) {
		return 0, usagef("%q: expected a height in millimetres, like 28mm", s)
	}
	return v, nil
}
