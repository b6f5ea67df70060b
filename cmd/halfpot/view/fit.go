package view

import "slices"

const (
	easyText  = 14 // cells below which a text column is not made narrower while others can be left out
	leastText = 8  // and below which it never is
	phone     = 60 // pages narrower than that
	tallest   = 4  // give no row more lines than that while they stand side by side
)

// table is columns as they are to be laid out.
type table struct {
	cols   []column
	room   int      // cells; 0: no limit
	apart  bool     // a row's name has a line of its own, the rest stands under it
	labels bool     // the rest stands as "heading: value"
	out    []string // headings of the columns left out
}

// fit makes a table fit the page without cutting a word or hiding a column
// unsaid. In turn: what only a wide page shows goes, headings go over several
// lines, ranges go, long texts go over several lines, spare columns go; then rows
// take two lines, and in the end each cell stands after its heading. What went is
// told below the page.
func (p *Page) fit(cols []column) table {
	t := table{cols: slices.Clone(cols), room: p.width}
	if t.room <= 0 {
		return t
	}
	if !p.full {
		t.leaveOut(func(c column) bool { return c.wide > t.room })
	}
	if t.fits() {
		return t
	}
	t.wrapHeads()
	if t.fits() {
		return t
	}
	t.dropRanges()
	all := t
	if t.squeeze() && (t.room >= phone || t.height() <= tallest || len(t.cols) == t.lead()) {
		return t
	}
	t = all
	t.cols = slices.Clone(all.cols)
	t.apart = len(t.cols) > t.lead()
	if t.squeeze() || !t.apart {
		return t
	}
	all.apart, all.labels = true, true
	return all
}

// squeeze narrows texts and leaves out spare columns until the table fits.
func (t *table) squeeze() bool {
	t.cols = slices.Clone(t.cols)
	t.out = slices.Clone(t.out)
	t.narrow(easyText)
	for !t.fits() {
		worst := 0
		for _, c := range t.cols {
			worst = max(worst, c.spare)
		}
		if worst == 0 {
			break
		}
		t.leaveOut(func(c column) bool { return c.spare == worst })
		t.narrow(easyText)
	}
	t.narrow(leastText)
	return t.fits()
}

// height is how many lines the highest row takes.
func (t *table) height() int {
	n := 1
	for _, c := range t.cols {
		for _, raw := range c.raw {
			if c.text && cells.StringWidth(raw) > c.width {
				n = max(n, len(Wrap(raw, c.width)))
			}
		}
	}
	return n
}

func (t *table) fits() bool {
	if !t.apart {
		return width(t.cols) <= t.room
	}
	n := t.lead()
	return width(t.cols[:n]) <= t.room && len(gutter)+width(t.cols[n:]) <= t.room
}

func width(cols []column) int {
	total := max(0, len(cols)-1) * len(gutter)
	for _, c := range cols {
		total += c.width
	}
	return total
}

// lead is how many columns name a row: all up to the first of words.
func (t *table) lead() int {
	return 1 + max(0, slices.IndexFunc(t.cols, func(c column) bool { return c.words }))
}

func (t *table) leaveOut(which func(column) bool) {
	t.cols = slices.DeleteFunc(slices.Clone(t.cols), func(c column) bool {
		if which(c) {
			t.out = append(t.out, c.head)
		}
		return which(c)
	})
}

func (t *table) wrapHeads() {
	t.cols = slices.Clone(t.cols)
	for i, c := range t.cols {
		c.heads = 0
		c.heads = max(longestWord(c.head), min(cells.StringWidth(c.head), c.measured().width))
		t.cols[i] = c.measured()
	}
}

func (t *table) dropRanges() {
	for i, c := range t.cols {
		if c.short != nil {
			c.cells, c.raw = c.short, c.short
			c.heads = longestWord(c.head)
			t.cols[i] = c.measured()
			t.out = append(t.out, "ranges")
		}
	}
}

// narrow lets the widest text columns go over several lines, each no narrower
// than least or its longest word, until the table fits.
func (t *table) narrow(least int) {
	from := 0
	if t.apart {
		from = t.lead()
	}
	for !t.fits() {
		widest := -1
		for i := from; i < len(t.cols); i++ {
			c := t.cols[i]
			if c.text && c.width > max(least, c.least()) && (widest < 0 || c.width > t.cols[widest].width) {
				widest = i
			}
		}
		if widest < 0 {
			return
		}
		t.cols[widest].width--
	}
}
