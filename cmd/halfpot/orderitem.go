package main

import (
	"bufio"
	"errors"
	"io"
	"os"
	"regexp"
	"strconv"
	"strings"
	"sync"

	"github.com/spf13/cobra"

	"halfpot/inventory"
	"halfpot/inventory/textfile"
)

// itemFlags say where the boxes of an order stand besides the command line.
type itemFlags struct {
	from string
	scan bool
}

func (f *itemFlags) add(c *cobra.Command) {
	c.Flags().StringVar(&f.from, "from", "", "read the items from `FILE`, such as halfpot buy FORCE --format csv writes; - is standard input")
	c.Flags().BoolVar(&f.scan, "scan", false,
		"read one product or bar code a line from standard input, until an empty line")
}

// boxes is boxes of a product as typed, scanned or listed.
type boxes struct {
	where   string // file and line, for errors; ""
	product string
	count   int    // 0: not said
	price   string // "": not said
	money   *inventory.Money
	shop    string // "": not said
	instead string
}

const itemHelp = `An item is a product by id, name or bar code, or a paint that is sold alone in
one size. "2 PRODUCT" or 2xPRODUCT is two of it, PRODUCT@3.20 says what one costs.`

// read gives the boxes typed, or those of the list or scanner asked for.
func (f *itemFlags) read(a *app, words []string) ([]boxes, error) {
	sources := 0
	for _, given := range []bool{len(words) > 0, f.from != "", f.scan} {
		if given {
			sources++
		}
	}
	switch {
	case sources > 1:
		return nil, usagef("items are typed, or read with --from, or scanned with --scan: expected one of them")
	case f.from != "":
		return a.readBoxes(f.from)
	case f.scan:
		return a.scanBoxes()
	}
	return typedBoxes(words)
}

var timesForm = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`^([0-9]{1,5})\s*[xX×]\s*(.+)$`)
})

func typedBoxes(words []string) ([]boxes, error) {
	var out []boxes
	count := 0
	for i, w := range words {
		n, err := strconv.Atoi(w)
		if err == nil && len(w) <= 5 && count == 0 && i+1 < len(words) {
			if n < 1 || n > inventory.MaxBoxes {
				return nil, usagef("%s items: expected 1 to %d", w, inventory.MaxBoxes)
			}
			count = n
			continue
		}
		b := boxes{product: w, count: count}
		count = 0
		if before, after, ok := cutLast(w, "@"); ok {
			b.product, b.price = before, after
		}
		if m := timesForm().FindStringSubmatch(b.product); m != nil && b.count == 0 {
			b.count, _ = strconv.Atoi(m[1]) // at most five digits
			if b.product = m[2]; b.count < 1 || b.count > inventory.MaxBoxes {
				return nil, usagef("%s items: expected 1 to %d", m[1], inventory.MaxBoxes)
			}
		}
		out = append(out, b)
	}
	return out, nil
}

func (a *app) readBoxes(file string) ([]boxes, error) {
	source := textfile.Source{Name: "standard input", Reader: a.in, Size: -1}
	if file != "-" {
		opened, err := os.Open(file)
		if err != nil {
			cause := err
			if e, ok := errors.AsType[*os.PathError](err); ok {
				cause = e.Err
			}
			return nil, usagef("%s: %v", file, cause)
		}
		defer opened.Close()
		source = textfile.Source{Name: file, Reader: opened, Size: -1}
	}
	rows, err := textfile.ReadOrderList(textfile.Options{Now: a.now()}, source)
	if err != nil {
		return nil, err
	}
	var out []boxes
	for _, r := range rows {
		out = append(out, boxes{
			where:   source.Name + ":" + strconv.Itoa(r.Line) + ": ",
			product: r.Product,
			count:   max(r.Count, 1),
			money:   r.Price,
			shop:    r.Shop,
			instead: r.Instead,
		})
	}
	return out, nil
}

// maxScanned bounds what one sitting scans.
const maxScanned = 10_000

// scanBoxes reads what a scanner sends that types like a keyboard: a line each.
func (a *app) scanBoxes() ([]boxes, error) {
	a.note("Scan or type one product a line; an empty line ends.")
	in := bufio.NewScanner(io.LimitReader(a.in, 1<<20))
	var out []boxes
	for n := 1; in.Scan() && n <= maxScanned; n++ {
		line := strings.TrimSpace(in.Text())
		if line == "" {
			break
		}
		out = append(out, boxes{where: "line " + strconv.Itoa(n) + ": ", product: line, count: 1})
	}
	if len(out) == 0 {
		return nil, usagef("nothing was scanned: expected one product or bar code a line on standard input")
	}
	return out, in.Err()
}

// boxNames lets a product also be called by its paint, where that is sold alone.
func boxNames(cat *inventory.Catalogue, wanted func(id string) bool) []named {
	byID := cat.Index()
	var out []named
	for _, p := range cat.Products {
		if !wanted(p.ID) {
			continue
		}
		n := named{p.ID, []string{p.Name, p.Code}, cat.Retired.Has("product", p.ID)}
		if len(p.Contents) == 1 && p.Contents[0].Count == 1 {
			if paint := byID.Paints[p.Contents[0].Paint]; paint != nil {
				n.names = append(n.names, paint.ID, paint.Name, paint.Title())
			}
		}
		out = append(out, n)
	}
	return out
}

// find gives the product of a box: of those likely first, else of all.
func (b boxes) find(cat *inventory.Catalogue, typed string, likely func(id string) bool) (string, error) {
	if id, err := lookup("product", typed, "halfpot product list", boxNames(cat, likely)); err == nil {
		return id, nil
	}
	id, err := lookup("product", typed, "halfpot product list", boxNames(cat, func(string) bool { return true }))
	if err != nil {
		if u, ok := errors.AsType[*usageError](err); ok {
			if _, err := strconv.Atoi(typed); err == nil && len(typed) <= 5 {
				u.msg += "; how many goes before what it counts: 2 PRODUCT"
			}
			return "", &usageError{b.where + u.msg, u.hints}
		}
	}
	return id, err
}

// paid is the price of a box in a currency; nil where it was not said.
func (b boxes) paid(currency string) (*inventory.Money, error) {
	if b.price == "" {
		return b.money, nil
	}
	m, err := inventory.ParseMoney(b.price, currency)
	if err != nil {
		return nil, usagef("%s%s: %v", b.where, b.product, err)
	}
	return &m, nil
}
