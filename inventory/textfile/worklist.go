package textfile

// ListedWork is a row of a list of what was painted. Texts are as they stand there.
type ListedWork struct {
	Line             int
	Day, Force, Unit string // Day and Force "": not said
	Step             string // one or several, with blanks or commas between
	Figures          int    // 0: all that are left
	With             string // what it was done with, where not as planned
	Minutes          int
	Note             string
}

// ReadWorkList reads a CSV list of work: the columns unit and step, and day, force,
// figures, with, minutes, note where they are known. What is wrong in it is [Slips].
func ReadWorkList(o Options, s Source) ([]ListedWork, error) {
	var out []ListedWork
	b := newBundle(o)
	b.files = []string{s.Name}
	b.only = &kind{
		name:     "a work list",
		columns:  []string{"day", "force", "unit", "step", "figures", "with", "minutes", "note"},
		required: []string{"unit", "step"},
		read: func(b *Bundle, r *record) {
			w := ListedWork{
				Line:    r.source.(*csvRow).line,
				Day:     r.text("day"),
				Force:   r.text("force"),
				Unit:    r.text("unit"),
				Step:    r.text("step"),
				Figures: r.count("figures"),
				With:    r.text("with"),
				Minutes: r.count("minutes"),
				Note:    r.text("note"),
			}
			r.need("unit", "step")
			if r.has("figures") && w.Figures < 1 {
				r.slip("figures", show(r.text("figures")), "at least 1 figure, or nothing for all that are left")
			}
			out = append(out, w)
		},
	}
	err := b.readList(s)
	return out, err
}
