package main

import (
	"strconv"
	"strings"
	"time"

	"halfpot/inventory"
)

// parseLevel reads how full a pot is: "half", "1/3", "40%" or "12 ml". What is
// counted by the piece has its level in items.
func parseLevel(s string, p *inventory.Paint) (inventory.Amount, error) {
	counted := p != nil && p.Type.Counted()
	bare := inventory.BareNothing
	if counted {
		bare = inventory.BarePieces
	}
	a, err := inventory.ParseAmount(s, bare)
	switch {
	case counted && (err != nil || a.Volume != nil && !a.Pieces):
		return a, usagef("%q: %s is counted by the piece; expected a number of items, like 0.5",
			s, p.Type.Words())
	case err == nil && a.Pieces && !counted:
		return a, usagef("level %q: it is no pencil or pigment, which are counted by the piece; "+
			"expected a volume like 12ml", s)
	case err != nil && strings.HasPrefix(err.Error(), "expected"):
		return a, usagef("level %q: %v", s, err)
	case err != nil:
		return a, usagef("%v", err)
	}
	return a, nil
}

// parseAmount reads a volume, or a number of items, or a part of one, for what
// is counted.
func parseAmount(s string, p *inventory.Paint) (inventory.Volume, error) {
	if p == nil || !p.Type.Counted() {
		v, err := inventory.ParseVolume(s)
		if err != nil {
			return 0, usagef("%v", err)
		}
		return v, nil
	}
	a, err := parseLevel(s, p)
	if err != nil {
		return 0, err
	}
	return a.Quantity(inventory.Item), nil
}

// parseGrams reads "31.4", "31.4g" or "31.4 g".
func parseGrams(flag, s string) (float64, error) {
	f, err := strconv.ParseFloat(strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(s), "g")), 64)
	if err != nil || !(f > 0 && f < 1e5) {
		return 0, usagef("%s %q: expected a weight in grams, like 31.4g", flag, s)
	}
	return f, nil
}

// when is a time as the painter gave it: an instant, or only a day, of which at
// is then a moment.
type when struct {
	at      time.Time
	dayOnly bool
}

// parseWhen reads a day ("2026-03-01", or yesterday), a moment (RFC 3339, or
// "2026-03-01 18:30" by the clock on the wall), "today" or "now". An empty text is
// now, and so is today.
func parseWhen(s string, now time.Time) (when, error) {
	t := strings.ToLower(strings.TrimSpace(s))
	switch t {
	case "", "now", "today":
		return when{at: now}, nil
	case "yesterday":
		return when{inventory.Noon(now.AddDate(0, 0, -1), now), true}, nil
	}
	if at, err := time.Parse(time.RFC3339, strings.ToUpper(t)); err == nil {
		return when{at: at.In(now.Location())}, nil
	}
	if at, err := time.ParseInLocation("2006-01-02 15:04", t, now.Location()); err == nil {
		return when{at: at}, nil
	}
	day, err := time.Parse(time.DateOnly, t)
	if err != nil {
		return when{}, usagef("date %q: expected a day like %s, or today or yesterday",
			s, now.Format(time.DateOnly))
	}
	return when{inventory.Noon(day, now), true}, nil
}
