package problemfile

import (
	"errors"
	"fmt"
	"io"
	"os"
	"strings"
	"unicode/utf8"

	"halfpot/optimize"
)

// MaxFile is the most bytes Read takes. A problem of thousands of
// needs and tens of shops has two million; from 16 MB the worst that a text can
// ask for is answered in 10 s and 300 MB.
const MaxFile = 16 << 20

// Read reads a purchase problem as JSON and validates it. It is
// strict: unknown, repeated and missing keys, wrong types, fractions, broken
// UTF-8 and anything after the problem are faults. A fault is an
// *InvalidError that lists every place with line, column and path; other
// errors are those of r.
func Read(r io.Reader) (*optimize.Problem, error) {
	var b strings.Builder
	b.Grow(sizeOf(r))
	n, err := io.CopyBuffer(&b, io.LimitReader(r, MaxFile+1), make([]byte, 4<<10))
	if err != nil {
		return nil, err
	}
	if n > MaxFile {
		return nil, &optimize.InvalidError{Faults: []optimize.Fault{
			{Text: fmt.Sprintf("the file has more than %d MiB, expected a purchase problem of at most that",
				MaxFile>>20)},
		}}
	}
	return parseProblem(b.String())
}

// sizeOf is how many bytes an ordinary file has, up to MaxFile; 0 where nobody knows.
func sizeOf(r io.Reader) int {
	if f, ok := r.(*os.File); ok {
		if info, err := f.Stat(); err == nil && info.Mode().IsRegular() {
			return int(min(info.Size(), MaxFile))
		}
	}
	return 0
}

func parseProblem(s string) (*optimize.Problem, error) {
	d := &problemReader{scanner: scanner{s: s}}
	if err := d.read(); err != nil {
		return nil, err
	}
	err := d.p.Validate()
	var invalid *optimize.InvalidError
	if errors.As(err, &invalid) {
		for i := range invalid.Faults {
			f := &invalid.Faults[i]
			f.Line, f.Column = place(s, locate(s, f.Path))
		}
	}
	if err != nil {
		return nil, err
	}
	return &d.p, nil
}

type problemReader struct {
	scanner
	p optimize.Problem
}

func (d *problemReader) read() (err error) {
	defer func() {
		if e := recover(); e != nil {
			if _, ok := e.(syntaxError); !ok {
				panic(e)
			}
		}
		err = d.err.OrNil()
	}()
	if !utf8.ValidString(d.s) {
		d.stop(invalidAt(d.s), "found bytes that are not UTF-8")
	}
	d.s = strings.TrimPrefix(d.s, "\uFEFF") // a byte order mark is harmless
	d.problem()
	if d.peek(); d.i < len(d.s) {
		d.stop(d.i, "%s after the end of the problem, expected nothing more", d.found())
	}
	return nil
}

// invalidAt is the first byte that is not UTF-8.
func invalidAt(s string) int {
	for i, r := range s {
		if r == utf8.RuneError && !strings.HasPrefix(s[i:], "\uFFFD") {
			return i
		}
	}
	return len(s)
}

var (
	problemKeys  = []string{"currency", "paints", "needs", "products", "shops", "offers", "groups", "rules"}
	paintKeys    = []string{"id", "have_ul"}
	groupKeys    = []string{"id", "worth"}
	needKeys     = []string{"id", "options", "group", "match", "figures"}
	optionKeys   = []string{"id", "uses", "compromise"}
	useKeys      = []string{"paint", "ul"}
	productKeys  = []string{"id", "contents"}
	contentKeys  = []string{"paint", "ul", "count"}
	shopKeys     = []string{"id", "delivery", "min_order"}
	deliveryKeys = []string{"from", "fee"}
	offerKeys    = []string{"product", "shop", "price", "limit"}
	ruleKeys     = []string{"compromise_price", "max_shops", "budget"}
)

// each reads a list into a slice, item by item.
func each[T any](d *problemReader, to *[]T, item func(*T)) {
	d.list(func() {
		var v T
		item(&v)
		if !d.err.Full() { // nothing will come of it
			*to = append(*to, v)
		}
	})
}

func (d *problemReader) problem() {
	d.object(problemKeys, 6, func(key int) {
		switch key {
		case 0:
			d.string(&d.p.Currency)
		case 1:
			each(d, &d.p.Paints, func(v *optimize.Paint) {
				d.object(paintKeys, 1, func(key int) {
					if key == 0 {
						d.string(&v.ID)
					} else {
						d.integer(&v.HaveUL)
					}
				})
			})
		case 2:
			each(d, &d.p.Needs, d.need)
		case 3:
			each(d, &d.p.Products, d.product)
		case 4:
			each(d, &d.p.Shops, d.shop)
		case 5:
			each(d, &d.p.Offers, d.offer)
		case 6:
			each(d, &d.p.Groups, func(v *optimize.Group) {
				d.object(groupKeys, 2, func(key int) {
					if key == 0 {
						d.string(&v.ID)
					} else {
						d.integer(&v.Worth)
					}
				})
			})
		case 7:
			d.rules()
		}
	})
}

func (d *problemReader) need(v *optimize.Need) {
	d.object(needKeys, 2, func(key int) {
		switch key {
		case 0:
			d.string(&v.ID)
		case 1:
			each(d, &v.Options, d.option)
		case 2:
			d.string(&v.Group)
		case 3:
			d.string(&v.Match)
		case 4:
			d.integer(&v.Figures)
		}
	})
}

func (d *problemReader) option(v *optimize.Option) {
	d.object(optionKeys, 2, func(key int) {
		switch key {
		case 0:
			d.string(&v.ID)
		case 1:
			each(d, &v.Uses, func(v *optimize.Use) {
				d.object(useKeys, 2, func(key int) {
					if key == 0 {
						d.string(&v.Paint)
					} else {
						d.integer(&v.UL)
					}
				})
			})
		case 2:
			d.integer(&v.Compromise)
		}
	})
}

func (d *problemReader) product(v *optimize.Product) {
	d.object(productKeys, 2, func(key int) {
		if key == 0 {
			d.string(&v.ID)
			return
		}
		each(d, &v.Contents, func(v *optimize.Content) {
			d.object(contentKeys, 2, func(key int) {
				switch key {
				case 0:
					d.string(&v.Paint)
				case 1:
					d.integer(&v.UL)
				case 2:
					d.space()
					at := d.i
					if d.integer(&v.Count) && v.Count == 0 { // in a Content 0 stands for an absent key
						d.faultAt(at, "found 0, expected a whole number of 1 or more")
					}
				}
			})
		})
	})
}

func (d *problemReader) shop(v *optimize.Shop) {
	d.object(shopKeys, 2, func(key int) {
		switch key {
		case 0:
			d.string(&v.ID)
		case 1:
			each(d, &v.Delivery, func(v *optimize.Band) {
				d.object(deliveryKeys, 2, func(key int) {
					if key == 0 {
						d.integer(&v.From)
					} else {
						d.integer(&v.Fee)
					}
				})
			})
		case 2:
			d.integer(&v.MinOrder)
		}
	})
}

func (d *problemReader) offer(v *optimize.Offer) {
	d.object(offerKeys, 3, func(key int) {
		switch key {
		case 0:
			d.string(&v.Product)
		case 1:
			d.string(&v.Shop)
		case 2:
			d.integer(&v.Price)
		case 3:
			v.Limit = new(int64)
			d.integer(v.Limit)
		}
	})
}

func (d *problemReader) rules() {
	r := &d.p.Rules
	d.object(ruleKeys, 0, func(key int) {
		switch key {
		case 0:
			d.integer(&r.CompromisePrice)
		case 1:
			r.MaxShops = new(int64)
			d.integer(r.MaxShops)
		case 2:
			r.Budget = new(int64)
			d.integer(r.Budget)
		}
	})
}
