package main

import (
	"fmt"
	"sync"
	"time"

	"halfpot/cmd/halfpot/view"
	"halfpot/inventory"
	"halfpot/optimize"
)

// How long a search stays silent, and how often it speaks after that.
const (
	progressAfter = 2 * time.Second
	progressEvery = time.Second
)

// progress reports how a long search stands, on one line of a terminal that it
// rewrites. It says nothing in a pipe or with --quiet.
type progress struct {
	a        *app
	currency string
	begun    time.Time

	mu   sync.Mutex // the solver may call from any of its goroutines
	last time.Time
	open bool // a line stands on the terminal, unfinished
}

func (a *app) newProgress(currency string) *progress {
	now := a.now()
	return &progress{a: a, currency: currency, begun: now, last: now}
}

// report is the solver's callback; nil where nobody would read it.
func (p *progress) report() func(optimize.Progress) {
	if !p.a.errTerm || p.a.quiet {
		return nil
	}
	return func(s optimize.Progress) {
		p.mu.Lock()
		defer p.mu.Unlock()
		now := p.a.now()
		if now.Sub(p.begun) < progressAfter || p.open && now.Sub(p.last) < progressEvery {
			return
		}
		p.last, p.open = now, true
		fmt.Fprintf(p.a.err, "\r\x1b[K%s", view.Clean(p.line(s, now)))
	}
}

// line says how the search stands, in as many words as the terminal has room for: a line
// that went on to the next could not be written over.
func (p *progress) line(s optimize.Progress, now time.Time) string {
	took := now.Sub(p.begun).Round(time.Second)
	bound := inventory.MoneyOfMinor(s.Bound, p.currency)
	if !s.Found {
		return p.fitting(
			fmt.Sprintf("%s: no plan yet; none can cost less than %s (Ctrl-C stops)", took, bound),
			fmt.Sprintf("%s: no plan yet (Ctrl-C stops)", took))
	}
	best, apart := inventory.MoneyOfMinor(s.Best, p.currency), gap(s.Best, s.Bound)
	rough, short := "", ""
	if s.Troubles > 0 {
		rough = fmt.Sprintf("; %d sums came out rough and were done another way", s.Troubles)
		short = fmt.Sprintf("; %d rough", s.Troubles)
	}
	return p.fitting(
		fmt.Sprintf("%s: best so far %s, none can cost less than %s (%s apart; Ctrl-C takes it)%s", took, best, bound, apart, rough),
		fmt.Sprintf("%s: best so far %s, none below %s (%s; Ctrl-C takes it)%s", took, best, bound, apart, short),
		fmt.Sprintf("%s: %s, none below %s%s", took, best, bound, short),
		fmt.Sprintf("%s: %s", took, best))
}

// fitting is the first of the texts that fits into a line of the terminal, or the last, cut.
func (p *progress) fitting(texts ...string) string {
	room := p.a.errWidth - 1 // some terminals go on to the next line after the last column
	for _, text := range texts {
		if room < 0 || len(text) <= room {
			return text
		}
	}
	last := texts[len(texts)-1]
	return last[:max(0, min(len(last), room))]
}

// end leaves the terminal's line clean.
func (p *progress) end() {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.open {
		fmt.Fprint(p.a.err, "\r\x1b[K")
		p.open = false
	}
}

// gap is how far a plan can be from cheapest at most, in percent of the plan.
func gap(best, bound int64) string {
	if best <= 0 {
		return "unknown share"
	}
	return fmt.Sprintf("%.2g %%", 100*float64(best-bound)/float64(best))
}
