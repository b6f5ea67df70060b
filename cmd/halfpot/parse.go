package main

import (
	"math"
	"strconv"
	"strings"
	"time"

	"halfpot/inventory"
)

// levelWords are the levels a painter says without a number.
var levelWords = map[string]float64{
	"full": 1, "half": 0.5, "third": 1.0 / 3, "quarter": 0.25, "empty": 0,
}

// level is how full a pot is: a part of it, or a volume.
type level struct {
	fraction *float64
	volume   *inventory.Volume
}

// parseLevel reads "half", "1/3", "40%" or "12 ml". Counted things are levels
// in items: "half" of a pencil.
func parseLevel(s string) (level, error) {
	t := strings.ToLower(strings.TrimSpace(s))
	if f, ok := levelWords[t]; ok {
		return level{fraction: &f}, nil
	}
	wrong := usagef("level %q: expected full, half, third, quarter or empty, a part like 2/3 or 40%%, or a volume like 12ml", s)
	if percent, ok := strings.CutSuffix(t, "%"); ok {
		f, err := strconv.ParseFloat(strings.TrimSpace(percent), 64)
		if err != nil || !(f >= 0 && f <= 100) {
			return level{}, wrong
		}
		f /= 100
		return level{fraction: &f}, nil
	}
	if f, ok := inventory.ParsePart(t); ok {
		return level{fraction: &f}, nil
	}
	if !strings.ContainsAny(t, "0123456789") || !strings.ContainsAny(t, "ulµμ") {
		return level{}, wrong
	}
	v, err := inventory.ParseVolume(s)
	if err != nil {
		return level{}, usagef("%v", err)
	}
	return level{volume: &v}, nil
}

// parseAmount reads a volume, or a number of items for what is counted.
func parseAmount(s string, p *inventory.Paint) (inventory.Volume, error) {
	if p != nil && p.Type.Counted() {
		num := strings.TrimSpace(strings.TrimSuffix(strings.TrimSuffix(strings.TrimSpace(s), "items"), "item"))
		f, err := strconv.ParseFloat(num, 64)
		if err != nil || !(f >= 0 && f < 1e6) {
			return 0, usagef("%q: %s is counted by the piece; expected a number of items, like 0.5", s, p.Type.Words())
		}
		return inventory.Volume(math.Round(f * float64(inventory.Item))), nil
	}
	v, err := inventory.ParseVolume(s)
	if err != nil {
		return 0, usagef("%v", err)
	}
	return v, nil
}

// parseGrams reads "31.4", "31.4g" or "31.4 g".
func parseGrams(flag, s string) (float64, error) {
	f, err := strconv.ParseFloat(strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(s), "g")), 64)
	if err != nil || !(f > 0 && f < 1e5) {
		return 0, usagef("%s %q: expected a weight in grams, like 31.4g", flag, s)
	}
	return f, nil
}

// parseWhen reads a day ("2026-03-01", noon of it), a moment (RFC 3339, or
// "2026-03-01 18:30" by the clock on the wall), "today" or "yesterday". An
// empty text is now.
func parseWhen(s string, now time.Time) (time.Time, error) {
	t := strings.ToLower(strings.TrimSpace(s))
	switch t {
	case "", "now", "today":
		return now, nil
	case "yesterday":
		return now.AddDate(0, 0, -1), nil
	}
	if at, err := time.Parse(time.RFC3339, strings.TrimSpace(s)); err == nil {
		return at, nil
	}
	if at, err := time.ParseInLocation("2006-01-02 15:04", t, now.Location()); err == nil {
		return at, nil
	}
	day, err := time.ParseInLocation(time.DateOnly, t, now.Location())
	if err != nil {
		return time.Time{}, usagef("date %q: expected a day like %s, or today or yesterday", s, now.Format(time.DateOnly))
	}
	noon := day.Add(12 * time.Hour)
	if noon.After(now) && !day.After(now) {
		return now, nil // today, before noon
	}
	return noon, nil
}
