package main

import (
	"fmt"
	"slices"
	"strings"

	"halfpot/cmd/halfpot/view"
	"halfpot/inventory/textfile"
	"halfpot/optimize/problemfile"
)

// filesPage is the help page of the files that are read. Its lists of CSV
// columns are the reader's own; its keys are compared with the reader's by a test.
func filesPage() string {
	var b strings.Builder
	b.WriteString(filesIntro)
	for _, l := range textfile.Lists() {
		columns := slices.Clone(l.Columns)
		for i, c := range columns {
			if slices.Contains(l.Required, c) {
				columns[i] += "*"
			}
		}
		keyLine(&b, l.Name, strings.Join(columns, " "))
	}
	fmt.Fprintf(&b, filesMiddle, filesExample, textfile.MaxCSVBytes>>20, textfile.MaxRows,
		textfile.MaxTOMLBytes>>20, problemfile.MaxFile>>20)
	for _, t := range fileTables {
		fmt.Fprintf(&b, "\n%s\n", t.heading())
		for _, k := range t.keys {
			name, means := k[0], k[1]
			if must, ok := strings.CutPrefix(means, "* "); ok {
				name, means = name+"*", must
			}
			keyLine(&b, name, means)
		}
	}
	return strings.TrimRight(b.String(), "\n")
}

// keyLine writes a name and what it means at 80 columns.
func keyLine(b *strings.Builder, name, means string) {
	for _, line := range view.Wrap(means, 62) {
		fmt.Fprintf(b, "  %-14s  %s\n", name, line)
		name = ""
	}
}

const filesIntro = `Halfpot reads CSV for lists and TOML for what nests. halfpot demo leaves a full
set of files that you can look into and change.

CSV: a header row, columns in any order, UTF-8. What a file holds is told by its
name where that is one of these ("pots.csv"), else by its header. A star marks
what must be there:

`

const filesMiddle = `
A set of several pots is several rows of products with one id. In pots, full is
how full the pot is ("half", "60 %%", "3/4" or "10 ml") and judged the day you
looked; size is what the label says.

TOML: the same things as arrays of tables ([[paints]], [[pots]] and so on), and
figures, recipes and forces, which only TOML can hold:

%s

How large a file may be: CSV %d MB and %d rows, TOML %d MB, a purchase problem
(JSON) %d MB. What is larger is refused as it is opened; split it, several
files can be loaded at once.

Values carry their unit: "17 ml", "38.4 g", "4.9 cm2", "35 um", "30 min"; money
its currency, "12.50 EUR" or "2.95EUR", or the shop's where the shop is in the
same load. Shares are "35 %%" or 0.35, dates 2026-11-25. Pencils and dry pigments
are counted: "1 item". An id is lower-case letters, digits and hyphens.

Kinds of pot events: bought, opened, judged (volume or fraction), weighed
(gross, tare), used (volume), spilled, thinned (volume of water; none: back to
its strength), dried-out, given-away, corrected (undoes a number).

Types of paint: primer-spray, primer-brush, dry-brush, one-coat, base, layer,
wash, glaze, ink, highlight, metallic, texture, varnish, varnish-spray, medium,
pigment, pencil, supply (transfers, tufts, by the piece).

All that a TOML file may hold; in CSV the same names mean the same:
`

const filesExample = `  [[figures]]
  id = "sentry"
  name = "Sentry"
  body = { stature = "174 cm", scale = "28 mm to eye" }
  regions = [
    { name = "jacket", share = "30 %" },
    { name = "webbing", share = "8 %" },
  ]

  [[recipes]]
  id = "sand-uniform"
  name = "Sand uniform"
  steps = [
    { id = "jacket", name = "Jacket", regions = ["jacket"], paint = "sand" },
    { id = "straps", name = "Straps", regions = ["webbing"],
      mix = [{ paint = "leather", parts = 2 }, { paint = "black", parts = 1 }],
      alternatives = [{ paint = "leather", compromise = 2 }] },
  ]`
