package painting

import (
	"math"
	"slices"
	"time"

	"halfpot/inventory"
	"halfpot/inventory/coverage"
)

// checker holds passes, in the order they are done, against the rules.
type checker struct {
	fig     *inventory.FigureType
	list    []pass
	nominal bool // waits are the recipe's, not the clock's
	found   []Finding
	gaps    [][]time.Duration
}

// sameSitting is how close two steps are that are taken to be of one sitting.
const sameSitting = 4 * time.Hour

func (c *checker) run() []Finding {
	c.measure()
	for j := range c.list {
		b := &c.list[j]
		c.ground(j, b)
		for i := range j {
			if a := &c.list[i]; overlap(a, b) {
				c.pair(i, j, a, b)
			}
		}
		if c.nominal {
			c.later(j, b)
		}
	}
	if c.nominal {
		c.cleaned()
	}
	return c.found
}

// measure works out the least time from each step to each later one: the longest
// chain of waits between them, or what the clock says.
func (c *checker) measure() {
	n := len(c.list)
	c.gaps = make([][]time.Duration, n)
	for i := range n {
		c.gaps[i] = make([]time.Duration, n)
		for j := i + 1; j < n; j++ {
			if !c.nominal {
				c.gaps[i][j] = c.list[j].at.Sub(c.list[i].at)
				continue
			}
			for k := i; k < j; k++ {
				if g := c.gaps[i][k]; overlap(&c.list[k], &c.list[j]) {
					c.gaps[i][j] = max(c.gaps[i][j], g+c.list[k].wait)
				} else {
					c.gaps[i][j] = max(c.gaps[i][j], g)
				}
			}
		}
	}
}

func (c *checker) add(f Finding, steps ...*pass) {
	for _, p := range steps {
		if slices.Contains(p.step.Allow, f.Rule) {
			return
		}
	}
	c.found = append(c.found, f)
}

// about is a finding on step b after a.
func about(rule string, s Severity, a, b *pass) Finding {
	f := Finding{Rule: rule, Severity: s, Step: b.step.ID}
	if a != nil {
		f.After = a.step.ID
	}
	return f
}

// ground looks at what lies below a step.
func (c *checker) ground(j int, b *pass) {
	if !b.paints() || b.family == primer {
		return
	}
	if b.family != groundwork && b.family != other {
		var bare []string
		for n := range b.regions {
			covered := false
			for i := range j {
				a := &c.list[i]
				covers := a.family == primer || a.family == groundwork || a.step.Kind == inventory.Sand
				covered = covered || covers && a.regions[n]
			}
			// What no primer of the recipe reaches later either is bare all the same.
			if !covered {
				bare = append(bare, n)
			}
		}
		if len(bare) > 0 {
			slices.Sort(bare)
			f := about("primer-first", Wrong, nil, b)
			f.Regions = bare
			c.add(f, b)
		}
	}
	if b.family == sheer && (b.typ == inventory.OneCoat || b.typ == inventory.Glaze) {
		if a := c.below(j, b); a != nil {
			if l, known := a.light(); known && l < 45 {
				c.add(about("light-below", Risky, a, b), a, b)
			}
		}
	}
	c.strays(j, b)
}

// below is the darkest of what lies on top of b's regions before it.
func (c *checker) below(j int, b *pass) *pass {
	var dark *pass
	least := math.Inf(1)
	for n := range b.regions {
		for i := j - 1; i >= 0; i-- {
			a := &c.list[i]
			// A highlight or an edge is too little of a ground.
			if !a.regions[n] || a.share < 0.5 ||
				a.family != primer && a.family != solid &&
					!(a.family == rubbed && a.typ != inventory.Pencil && a.typ != inventory.PigmentType) {
				continue
			}
			if l, known := a.light(); known && l < least {
				dark, least = a, l
			}
			break
		}
	}
	return dark
}

// strays finds washes that run over the base, or over what another wash spares.
func (c *checker) strays(j int, b *pass) {
	if !b.wash() {
		return
	}
	var base, figure []string
	for n := range b.regions {
		if isBase(n, c.fig) {
			base = append(base, n)
		} else {
			figure = append(figure, n)
		}
	}
	if len(base) > 0 && len(figure) > 0 {
		slices.Sort(base)
		f := about("wash-strays", Mention, nil, b)
		f.Regions = base
		c.add(f, b)
		return
	}
	for i := range c.list {
		a := &c.list[i]
		if i == j || !a.wash() || !a.step.Regions.All {
			continue
		}
		for _, n := range a.step.Regions.Except {
			if b.regions[n] && !isBase(n, c.fig) {
				f := about("wash-strays", Mention, a, b)
				f.Regions = []string{n}
				c.add(f, a, b)
				return
			}
		}
	}
}

// pair looks at two steps that meet on a region, a before b.
func (c *checker) pair(i, j int, a, b *pass) {
	between := c.list[i+1 : j]
	gap := c.gaps[i][j]
	timed := func(rule string, s Severity, needs time.Duration) {
		if gap >= needs {
			return
		}
		f := about(rule, s, a, b)
		f.Wait, f.Needs = gap, needs
		c.add(f, a, b)
	}
	worse := Risky
	if gap < sameSitting && (!c.nominal || gap < time.Hour) {
		worse = Wrong
	}
	told := len(c.found)
	switch {
	case a.family == sheer && b.family == rubbed && !sealed(between, a):
		timed("rub-dry", Risky, Overnight)
	case a.wash() && b.family == varnished:
		timed("wash-dry", worse, Overnight)
	case a.family == solid && b.family == varnished:
		timed("varnish-dry", worse, DryDay)
	}
	if a.step.Kind == inventory.Setting {
		timed("transfer-set", Risky, Overnight)
	}
	if len(c.found) == told {
		c.wetCoat(a, b, gap)
	}
	if soon := a.step.NextWithin; soon > 0 && !c.nominal && b.number == a.number+1 &&
		gap > max(soon, sameSitting) {
		f := about("set-already", Risky, a, b)
		f.Wait, f.Needs = gap, soon
		c.add(f, a, b)
	}
	c.covered(a, b, between)
	c.finishes(a, b, between)
	if b.step.Kind == inventory.Transfer {
		c.transfer(i, j, a, b)
	}
	if a.step.Kind == inventory.Tuft && (b.paints() || b.step.Kind == inventory.Seal) &&
		b.typ != inventory.Supply {
		c.add(about("tuft-last", Wrong, a, b), a, b)
	}
	if carrier(a) == inventory.Water && carrier(b) == inventory.Solvent &&
		(!sealed(between, a) || gap < DryDay) &&
		a.family != varnished {
		c.add(about("solvent-over", Risky, a, b), a, b)
	}
}

// wetCoat finds coats that follow too soon. By the clock only waits of a night
// count, since sittings are noted late and all at once.
func (c *checker) wetCoat(a, b *pass, gap time.Duration) {
	needs := a.usual()
	if !c.nominal {
		needs = a.wait
		if needs < Overnight {
			return
		}
	}
	if gap >= needs || c.nominal && !a.given {
		return
	}
	f := about("coats-dry", Risky, a, b)
	f.Wait, f.Needs = gap, needs
	c.add(f, a, b)
}

func carrier(p *pass) inventory.Carrier {
	if p.paint == nil {
		return ""
	}
	return p.paint.Carrier
}

// covered finds work that a later coat hides or dulls.
func (c *checker) covered(a, b *pass, between []pass) {
	switch {
	case b.typ == inventory.OneCoat || b.family == sheer && b.typ != inventory.Wash && b.typ != inventory.Ink:
		// see below: what is under a see-through coat stays seen
	case a.typ == inventory.OneCoat && b.family == rubbed && b.typ != inventory.Pencil &&
		b.typ != inventory.PigmentType:
		if l, known := b.light(); known && l >= 75 && !c.lightBefore(a) {
			c.add(about("white-below", Mention, a, b), a, b)
		}
	case a.typ == inventory.Highlight && b.wash():
		c.add(about("wash-over-light", Risky, a, b), a, b)
	case a.typ == inventory.Highlight && b.typ == inventory.Base && b.share >= 0.9:
		c.add(about("highlight-last", Risky, a, b), a, b)
	case (a.family == sheer || a.family == solid) && b.family == solid && b.typ != inventory.Highlight &&
		b.share >= 0.9 && within(a, b) && !shows(a, b, between):
		c.add(about("hidden", Risky, a, b), a, b)
	}
	dust := a.typ == inventory.Pencil || a.typ == inventory.PigmentType
	if dust && b.paints() && (b.family == sheer || b.family == solid) && b.method != coverage.SprayCan &&
		b.method != coverage.Airbrush &&
		b.method != coverage.DryBrush {
		c.add(about("dust-smeared", Risky, a, b), a, b)
	}
}

// lightBefore is whether a light dry brush came before a one-coat.
func (c *checker) lightBefore(a *pass) bool {
	for i := range c.list {
		d := &c.list[i]
		if d.step == a.step {
			return false
		}
		if l, known := d.light(); d.family == rubbed && overlap(a, d) && known && l >= 75 {
			return true
		}
	}
	return false
}

// shows is whether a was worth doing: something see-through or a highlight came
// between, or b is but its second coat.
func shows(a, b *pass, between []pass) bool {
	if a.step.Mix.Key() == b.step.Mix.Key() {
		return true
	}
	for i := range between {
		if m := &between[i]; overlap(a, m) && (m.family == sheer || m.typ == inventory.Highlight) {
			return true
		}
	}
	return false
}

// finishes looks at shine.
func (c *checker) finishes(a, b *pass, between []pass) {
	matt := b.family == varnished && b.finish() == inventory.Matt
	if c.nominal && (a.typ == inventory.Metallic && (b.wash() || matt) || a.typ == inventory.Pencil && matt) {
		again := false
		for k := range c.list {
			p := &c.list[k]
			again = again ||
				p.number > b.number && overlap(a, p) &&
					(p.typ == inventory.Pencil || p.typ == inventory.Metallic)
		}
		if !again {
			c.add(about("metal-dulled", Mention, a, b), a, b)
		}
	}
	if a.family == varnished && b.family == varnished && a.finish() == inventory.Matt &&
		b.finish() == inventory.Gloss &&
		b.figure > 0.1 {
		c.add(about("matt-last", Risky, a, b), a, b)
	}
}

// transfer looks at the coat right below one.
func (c *checker) transfer(i, j int, a, b *pass) {
	if a.family != varnished && a.family != solid && a.family != sheer && a.family != primer {
		return
	}
	for k := i + 1; k < j; k++ { // only the last coat counts
		if p := &c.list[k]; overlap(p, b) &&
			(p.family == varnished || p.family == solid || p.family == sheer || p.family == primer) {
			return
		}
	}
	if a.finish() != inventory.Gloss {
		c.add(about("transfer-gloss", Risky, a, b), a, b)
	}
}

// later looks at what should follow a step.
func (c *checker) later(j int, b *pass) {
	var varnish, any, meets bool
	for i := j + 1; i < len(c.list); i++ {
		a := &c.list[i]
		varnish = varnish || a.family == varnished && overlap(a, b)
		meets = meets || overlap(a, b)
		any = any || overlap(a, b) && (a.family == varnished || a.step.Kind == inventory.Seal)
	}
	if b.step.Kind == inventory.Transfer && !varnish {
		c.add(about("transfer-sealed", Wrong, nil, b), b)
	}
	if b.typ == inventory.PigmentType && !any {
		c.add(about("dust-loose", Mention, nil, b), b)
	}
	if !b.given && b.wait > 0 && meets {
		f := about("wait-missing", Mention, nil, b)
		f.Needs = b.wait
		c.add(f, b)
	}
}

// cleaned asks for clean parts where it is known what they are made of.
func (c *checker) cleaned() {
	if c.fig == nil || c.fig.Material == "" {
		return
	}
	for i := range c.list {
		p := &c.list[i]
		if p.step.Kind == inventory.Prepare {
			return
		}
		if p.family == primer {
			c.add(about("clean-first", Mention, nil, p), p)
			return
		}
	}
}

// CheckAir holds a step that is sprayed against the weather.
func CheckAir(s *inventory.Step, idx *inventory.Index, air Air) []Finding {
	p := newPass(s, 1, nil, nil, idx)
	if p.method != coverage.SprayCan {
		return nil
	}
	surface := air.Celsius
	if air.Surface != nil {
		surface = *air.Surface
	}
	if air.Celsius >= 10 && air.Celsius <= 30 && air.Humidity <= 70 && surface >= DewPoint(air)+3 {
		return nil
	}
	c := &checker{}
	c.add(about("spray-weather", Risky, nil, &p), &p)
	return c.found
}

// DewPoint is the temperature in C at which the air's water settles, by the
// Magnus formula with the constants of Sonntag 1990 (17.62 and 243.12 C; good
// to 0.35 C from -45 to 60 C; from memory).
func DewPoint(a Air) float64 {
	g := math.Log(max(a.Humidity, 0.1)/100) + 17.62*a.Celsius/(243.12+a.Celsius)
	return 243.12 * g / (17.62 - g)
}
