package textfile

import (
	"bytes"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"halfpot/inventory"
)

// The largest files read, in bytes: a CSV file of 8 MB has some 150,000 rows,
// a TOML file of 2 MB some 3,000 recipes. What is larger is refused unread.
const (
	MaxCSVBytes  = 8 << 20
	MaxTOMLBytes = 2 << 20
)

// maxSlips bounds how many slips are kept of a file that is wrong all over;
// the rest are counted.
const maxSlips = 1000

// Options of a load.
type Options struct {
	// Now dates events whose file gives no date, and its zone is the one in which
	// days are the painter's own. It must be given.
	Now time.Time
	// Shops gives the shops that were loaded before, for files that name them
	// without holding them: their currency, and their delivery charges. It is asked at
	// most where there are such; nil means none.
	Shops func() []inventory.Shop
}

// Source is one file to read.
type Source struct {
	Name   string // as it is to be shown; its ending says CSV (.csv) or TOML (.toml)
	Reader io.Reader
	Size   int64 // in bytes; below 0 where it is not known
}

// Bundle is what some files hold together.
type Bundle struct {
	Catalogue inventory.Catalogue
	// Pots have their events numbered from 1 within the pot; a store gives its
	// own numbers.
	Pots []inventory.Pot
	// Undated holds the ids of pots whose first events were made of a row
	// without dates and so carry [Options].Now: on a second load they are not new.
	Undated map[string]bool
	// Told holds the ids of pots whose events were made of their row.
	Told map[string]bool

	made        map[string]bool // ids of paints made from their names
	files       []string
	csv         map[int]*csvText   // by index of the file
	places      map[string]place   // by the path Validate names, such as "paints.bone-tone.type"
	eventPlaces map[string][]place // of the rows of a list of events, by pot
	slips       Slips
	more        int             // slips beyond maxSlips
	bad         map[string]bool // paths of records with slips
	holes       bool            // something could not be read at all, so references may lead nowhere
	now         time.Time
	shops       func() []inventory.Shop
	only        *kind               // what the rows are, where the caller knows
	keys        map[string][]string // not nil: what is asked for is noted, see [Keys]
	spectra     map[string]int      // by paint: where in the catalogue
	joins
}

// ReadFiles reads the files at the paths as one bundle. Where something is wrong
// in them the error is [Slips] and the bundle is there all the same, but only for
// [Bundle.Check], which finds what else is wrong; for any other error (opening,
// reading) it is nil.
func ReadFiles(o Options, paths ...string) (*Bundle, error) {
	sources := make([]Source, 0, len(paths))
	for _, p := range paths {
		f, err := os.Open(p)
		if err != nil {
			return nil, err
		}
		defer f.Close()
		info, err := f.Stat()
		if err != nil {
			return nil, err
		}
		if info.IsDir() {
			return nil, fmt.Errorf("%s is a folder: expected a .csv or .toml file", p)
		}
		size := info.Size()
		if !info.Mode().IsRegular() {
			size = -1
		}
		sources = append(sources, Source{p, f, size})
	}
	return Read(o, sources...)
}

// ReadFS reads files of a file system, such as an embedded one, as one bundle.
// Names are slash-separated; errors as for [ReadFiles].
func ReadFS(o Options, fsys fs.FS, names ...string) (*Bundle, error) {
	sources := make([]Source, 0, len(names))
	for _, n := range names {
		b, err := fs.ReadFile(fsys, n)
		if err != nil {
			return nil, err
		}
		sources = append(sources, Source{n, bytes.NewReader(b), int64(len(b))})
	}
	return Read(o, sources...)
}

func newBundle(o Options) *Bundle {
	return &Bundle{
		Undated:     map[string]bool{},
		Told:        map[string]bool{},
		csv:         map[int]*csvText{},
		places:      map[string]place{},
		eventPlaces: map[string][]place{},
		spectra:     map[string]int{},
		bad:         map[string]bool{},
		made:        map[string]bool{},
		now:         o.Now,
		shops:       o.Shops,
		joins:       newJoins(),
	}
}

// Read reads the files as one bundle; errors as for [ReadFiles].
func Read(o Options, sources ...Source) (*Bundle, error) {
	b := newBundle(o)
	for _, s := range sources {
		b.files = append(b.files, s.Name)
	}
	for i, s := range sources {
		read, most := (*Bundle).readCSV, int64(MaxCSVBytes)
		switch ext := strings.ToLower(filepath.Ext(s.Name)); ext {
		case ".csv":
		case ".toml":
			read, most = (*Bundle).readTOML, MaxTOMLBytes
		default:
			b.holes = true
			b.slip(Slip{File: s.Name, Found: "a file ending in " + show(ext), Expected: ".csv or .toml"})
			continue
		}
		data, err := readAll(s, most)
		if err != nil {
			if slip, ok := err.(Slip); ok {
				b.slip(slip)
				b.holes = true
				continue
			}
			return nil, fmt.Errorf("%s: %w", s.Name, err)
		}
		read(b, i, data)
	}
	b.join()
	b.sort(b.slips)
	if b.more > 0 {
		b.slips[0].more = b.more
	}
	return b, b.slips.Err()
}

// Check lays the bundle over what is stored and gives the catalogue that would
// result, or every slip of the bundle: those of reading it and, with file and
// line, those that inventory's Validate finds in the whole. A record that is
// wrong in itself is not judged a second time, and what was wrong with what is
// stored before is not held against the bundle.
func (b *Bundle) Check(stored inventory.Catalogue) (inventory.Catalogue, error) {
	all := b.Over(stored)
	slips := append(Slips(nil), b.slips...)
	if b.holes || b.more > 0 {
		return inventory.Catalogue{}, slips.Err()
	}
	shelf := inventory.Shelf{Pots: b.Pots}
	faults := all.Validate()
	if len(faults) > 0 {
		faults = faults.Except(stored.Validate())
	}
	for _, f := range append(faults, shelf.Validate(all.Index(), b.now)...) {
		if !b.known(f.Path) {
			slips = append(slips, b.slipOf(f))
		}
	}
	slips = append(slips, b.twins(stored)...)
	b.sort(slips)
	if err := slips.Err(); err != nil {
		return inventory.Catalogue{}, err
	}
	return all, nil
}

// known reports whether a path lies in a record that has slips already.
func (b *Bundle) known(path string) bool {
	for path != "" {
		if b.bad[path] {
			return true
		}
		path = path[:max(strings.LastIndexByte(path, '.'), 0)]
	}
	return false
}

func (b *Bundle) slip(s Slip) {
	if len(b.slips) >= maxSlips {
		b.more++
		return
	}
	b.slips = append(b.slips, s)
}

// readAll gives a file's text without its byte order mark, or a Slip that
// says why it is no text to read.
func readAll(s Source, most int64) ([]byte, error) {
	tooLarge := func(size string) error {
		return Slip{
			File:     s.Name,
			Found:    size,
			Expected: fmt.Sprintf("at most %d MB: split the file, or check that it is the right one", most>>20),
		}
	}
	if s.Size > most {
		return nil, tooLarge(fmt.Sprintf("a file of %d MB", (s.Size+1<<20-1)>>20))
	}
	data, err := io.ReadAll(io.LimitReader(s.Reader, most+1))
	if err != nil {
		return nil, err
	}
	if int64(len(data)) > most {
		return nil, tooLarge(fmt.Sprintf("more than %d MB", most>>20))
	}
	if bytes.HasPrefix(data, []byte{0xff, 0xfe}) || bytes.HasPrefix(data, []byte{0xfe, 0xff}) {
		return nil, Slip{File: s.Name, Found: "a file in UTF-16", Expected: "UTF-8: " + saveAs(s.Name)}
	}
	data = bytes.TrimPrefix(data, []byte("\xef\xbb\xbf"))
	if pos := invalidUTF8(data); pos >= 0 {
		line := 1 + bytes.Count(data[:pos], []byte{'\n'})
		column := pos - bytes.LastIndexByte(data[:pos], '\n')
		return nil, Slip{File: s.Name, Line: line, Column: column,
			Found:    fmt.Sprintf("byte %#02x at position %d of the text, which is not UTF-8", data[pos], pos),
			Expected: "text in UTF-8: " + saveAs(s.Name)}
	}
	if len(bytes.TrimSpace(data)) == 0 {
		return nil, Slip{File: s.Name, Found: "an empty file", Expected: "a header row or a table"}
	}
	return data, nil
}

// saveAs is what programs that write such files call the form they are wanted in.
func saveAs(name string) string {
	if strings.EqualFold(filepath.Ext(name), ".csv") {
		return "save it as CSV UTF-8"
	}
	return "save it with that encoding"
}

// invalidUTF8 is the position of the first byte that is not UTF-8, or -1.
func invalidUTF8(data []byte) int {
	if utf8.Valid(data) {
		return -1
	}
	pos := 0
	for {
		r, n := utf8.DecodeRune(data[pos:])
		if r == utf8.RuneError && n <= 1 {
			return pos
		}
		pos += n
	}
}

// Over is the catalogue c with the bundle laid over it: things with an id, an
// offer or a stand-in that c has already are replaced, others added. c stays
// as it was.
func (b *Bundle) Over(c inventory.Catalogue) inventory.Catalogue {
	n := b.Catalogue
	return inventory.Catalogue{
		Paints: over(c.Paints, n.Paints, func(p inventory.Paint) string { return p.ID }),
		StandIns: over(withoutReverse(c.StandIns, n.StandIns), n.StandIns,
			func(s inventory.StandIn) [2]string { return [2]string{s.For, s.Use} }),
		Spectra:    over(c.Spectra, n.Spectra, func(s inventory.Spectrum) string { return s.Paint }),
		TrialMixes: over(c.TrialMixes, n.TrialMixes, inventory.TrialMix.Key),
		Products:   over(c.Products, n.Products, func(p inventory.Product) string { return p.ID }),
		Shops:      over(c.Shops, n.Shops, func(s inventory.Shop) string { return s.ID }),
		Offers: over(c.Offers, n.Offers, func(o inventory.Offer) [2]string {
			return [2]string{o.Product, o.Shop}
		}),
		Figures: over(c.Figures, n.Figures, func(f inventory.FigureType) string { return f.ID }),
		Recipes: over(c.Recipes, n.Recipes, func(r inventory.Recipe) string { return r.ID }),
		Forces:  over(c.Forces, n.Forces, func(f inventory.Force) string { return f.ID }),
	}
}

// withoutReverse is a list of stand-ins without those that one of the new ones,
// holding either way, says already.
func withoutReverse(old, new []inventory.StandIn) []inventory.StandIn {
	said := map[[2]string]bool{}
	for _, s := range new {
		if s.EitherWay {
			said[[2]string{s.Use, s.For}] = true
		}
	}
	return slices.DeleteFunc(slices.Clone(old), func(s inventory.StandIn) bool {
		return said[[2]string{s.For, s.Use}]
	})
}

func over[T any, K comparable](old, new []T, key func(T) K) []T {
	out := append(make([]T, 0, len(old)+len(new)), old...)
	at := make(map[K]int, len(out))
	for i, t := range out {
		at[key(t)] = i
	}
	for _, t := range new {
		if i, ok := at[key(t)]; ok {
			out[i] = t
			continue
		}
		at[key(t)] = len(out)
		out = append(out, t)
	}
	return out
}
