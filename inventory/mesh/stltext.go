package mesh

import (
	"io"
)

// asciiSTL reads the text form: solid NAME, then facets of normal, outer loop,
// three vertices, endloop, endfacet, then endsolid NAME; several solids may
// follow each other. Words count in any case, line ends as any blank. The
// normal is read and not used.
func asciiSTL(r io.Reader, o Options) (rep Report, err error) {
	t := newWords(r)
	s := newSum("ASCII STL", o, 0)
	defer func() {
		if err != nil && s.topology != nil {
			s.topology.stop()
		}
	}()
	solids := 0
	for {
		w, err := t.word()
		if err == io.EOF && solids > 0 {
			return s.report()
		}
		if err != nil {
			return Report{}, t.ended(err, "solid")
		}
		if !equalFold(w, "solid") {
			return Report{}, t.unexpected(w, "solid")
		}
		solids++
		if err := t.skipLine(); err != nil {
			return Report{}, err
		}
		if err := t.facets(s); err != nil {
			return Report{}, err
		}
	}
}

func (t *words) facets(s *sum) error {
	for {
		w, err := t.word()
		switch {
		case err != nil:
			return t.ended(err, "facet or endsolid")
		case equalFold(w, "endsolid"):
			return t.skipLine()
		case !equalFold(w, "facet"):
			return t.unexpected(w, "facet or endsolid")
		}
		if err := t.facet(s); err != nil {
			return err
		}
	}
}

func (t *words) facet(s *sum) error {
	if err := t.want("normal"); err != nil {
		return err
	}
	for range 3 {
		// A normal that is not a number is common for slivers and does no harm.
		if _, err := t.word(); err != nil {
			return t.ended(err, "the normal of a facet")
		}
	}
	if err := t.want("outer", "loop"); err != nil {
		return err
	}
	var p [3]Vec
	for i := range p {
		if err := t.want("vertex"); err != nil {
			return err
		}
		for j := range p[i] {
			v, err := t.number()
			if err != nil {
				return err
			}
			p[i][j] = v
		}
	}
	if err := t.want("endloop", "endfacet"); err != nil {
		return err
	}
	s.add(&p[0], &p[1], &p[2])
	return nil
}
