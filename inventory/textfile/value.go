package textfile

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"halfpot/inventory"
)

// units of a quantity: the first is the one written, the others are read.
type units struct {
	name  string
	units []unit
}

type unit struct {
	name string
	per  float64 // in the first unit
}

var (
	centimetres = units{"a length, like 174 cm", []unit{{"cm", 1}, {"m", 100}, {"mm", 0.1}}}
	millimetres = units{"a length, like 25 mm", []unit{{"mm", 1}, {"cm", 10}}}
	kilograms   = units{"a mass, like 70 kg", []unit{{"kg", 1}, {"g", 0.001}}}
	grams       = units{"a mass, like 38.4 g", []unit{{"g", 1}, {"kg", 1000}}}
	cm2         = units{"an area, like 4.9 cm2", []unit{{"cm2", 1}, {"cm²", 1}, {"mm2", 0.01}, {"mm²", 0.01}}}
	micrometres = units{"a film, like 35 um", []unit{{"um", 1}, {"µm", 1}, {"μm", 1}}}
)

// parse reads a number with one of the units.
func (u units) parse(s string) (float64, error) {
	cut := strings.IndexFunc(s, func(r rune) bool { return !strings.ContainsRune("0123456789.+-", r) })
	if cut < 0 {
		return 0, errors.New(u.name)
	}
	v, err := parseFloat(s[:cut])
	if err != nil {
		return 0, errors.New(u.name)
	}
	name := strings.TrimSpace(s[cut:])
	for _, k := range u.units {
		if name == k.name {
			return v * k.per, nil
		}
	}
	return 0, errors.New(u.name)
}

// format writes a value that parse reads back unchanged.
func (u units) format(v float64) string {
	return formatFloat(v) + " " + u.units[0].name
}

func formatFloat(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// parseFloat reads a plain decimal.
func parseFloat(s string) (float64, error) {
	v, err := inventory.ParseNumber(s)
	return v, expected(err)
}

// parseShare reads "35 %" or "0.35" as a fraction of 0 to 1.
func parseShare(s string) (float64, error) {
	v, err := inventory.ParseShare(s)
	return v, expected(err)
}

// expected is an error's text without its first word, which a [Slip] has
// already.
func expected(err error) error {
	if err == nil {
		return nil
	}
	return errors.New(strings.TrimPrefix(err.Error(), "expected "))
}

// parsePart reads how full a pot is as a fraction of 0 to 1.
func parsePart(s string) (float64, error) {
	a, err := inventory.ParseAmount(s, inventory.BarePart)
	if err != nil || a.Part == nil {
		return 0, errors.New("a part of the pot, like 60 %, 0.6 or 1/2")
	}
	return *a.Part, nil
}

// parseVolume reads a volume, or "1 item" for what is counted by the piece.
func parseVolume(s string) (inventory.Volume, error) {
	a, err := inventory.ParseAmount(s, inventory.BareNothing)
	if err == nil && a.Volume != nil {
		return *a.Volume, nil
	}
	if _, err := inventory.ParseVolume(s); err != nil { // says what is wrong with it
		return 0, fmt.Errorf("a volume with its unit, like 17 ml (%s)", err)
	}
	return 0, errors.New("a volume with its unit, like 17 ml")
}

// when is a time as a file gives it: an instant, or only a day, of which at is
// then a moment.
type when struct {
	at      time.Time
	dayOnly bool
}

// parseWhen reads a date or a date with a time and zone. Of a date inventory.Noon
// is the moment it is reckoned with.
func parseWhen(s string, now time.Time) (when, error) {
	if day, err := time.Parse(time.DateOnly, s); err == nil {
		return when{inventory.Noon(day, now), true}, nil
	}
	t, err := parseInstant(s)
	if err != nil {
		return when{}, errors.New("a date like 2026-11-25, or with a time like 2026-11-25T18:30:00Z")
	}
	return when{t.In(now.Location()), false}, nil
}

func parseInstant(s string) (time.Time, error) {
	t, err := time.Parse(time.RFC3339Nano, s)
	if err != nil || t.Year() < 1 || t.Year() > 9999 {
		return time.Time{}, errors.New("a time like 2026-11-25T18:30:00Z")
	}
	return t, nil
}

// formatWhen writes a day where only that is known, else the instant.
func formatWhen(t time.Time, dayOnly bool) string {
	if dayOnly {
		return t.Format(time.DateOnly)
	}
	return t.UTC().Format(time.RFC3339Nano)
}

// formatMoment writes the moment that a day is reckoned with, where it is not the
// one that a reader would take.
func formatMoment(e inventory.PotEvent) string {
	usual := inventory.Noon(e.At, time.Time{}.In(e.At.Location()))
	if e.Kind == inventory.Bought {
		usual = inventory.Dawn(e.At)
	}
	elsewhere := e.At.Location().String() == "" // that day was another one here
	if !e.DayOnly || !elsewhere && e.At.Equal(usual) {
		return ""
	}
	return e.At.UTC().Format(time.RFC3339Nano)
}

// parseWait reads "30 min", "2 h", "1 d" or a Go duration like "1h30m".
func parseWait(s string) (time.Duration, error) {
	const want = "a time, like 30 min, 2 h, 1 d or overnight"
	if s == "overnight" {
		return inventory.Overnight, nil
	}
	f := strings.Fields(s)
	if len(f) == 2 {
		v, err := parseFloat(f[0])
		per := map[string]time.Duration{
			"s": time.Second, "min": time.Minute, "minutes": time.Minute, "h": time.Hour,
			"hours": time.Hour, "hour": time.Hour, "d": 24 * time.Hour, "day": 24 * time.Hour,
			"days": 24 * time.Hour,
		}[f[1]]
		if err != nil || per == 0 || math.Abs(v) > 1e6 {
			return 0, errors.New(want)
		}
		return time.Duration(math.Round(v * float64(per))), nil
	}
	d, err := time.ParseDuration(s)
	if err != nil {
		return 0, errors.New(want)
	}
	return d, nil
}

func formatWait(d time.Duration) string {
	switch {
	case d%time.Hour == 0:
		return fmt.Sprintf("%d h", d/time.Hour)
	case d%time.Minute == 0:
		return fmt.Sprintf("%d min", d/time.Minute)
	}
	return d.String()
}
