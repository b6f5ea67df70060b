package inventory

import "time"

// MinYear is the first year that anything can have happened in; a date before it
// is a slip.
const MinYear = 1950

// Noon is the moment that a day is reckoned with where nothing but its date is
// known: noon where now's clock stands, or now where that is earlier on the same
// day.
func Noon(day, now time.Time) time.Time {
	noon := time.Date(day.Year(), day.Month(), day.Day(), 12, 0, 0, 0, now.Location())
	if sameDay(noon, now) && noon.After(now) {
		return now
	}
	return noon
}

// Dawn is the first moment of a day where it stands, with which a pot that came on
// that day is reckoned: whatever happened to it on the day came after.
func Dawn(day time.Time) time.Time {
	t := time.Date(day.Year(), day.Month(), day.Day(), 0, 0, 0, 0, day.Location())
	for !sameDay(t, day) { // the clock was put forward at midnight
		t = t.Add(30 * time.Minute)
	}
	return t
}

// Settled is an event with the moment it is reckoned with on its pot, where only
// its day is known: a purchase at dawn, anything else at noon, but after what was
// noted of that day before.
func (p Pot) Settled(e PotEvent) PotEvent {
	if !e.DayOnly {
		return e
	}
	if e.Kind == Bought {
		e.At = Dawn(e.At)
	}
	for _, o := range p.Events {
		if o.At.After(e.At) && sameDay(o.At.In(e.At.Location()), e.At) {
			e.At = o.At.In(e.At.Location())
		}
	}
	return e
}

// OnDay gives an instant in the zone of day where that is the same calendar date,
// else in the zone where it is; false where it is that date nowhere on Earth.
func OnDay(t, day time.Time) (time.Time, bool) {
	if here := t.In(day.Location()); sameDay(here, day) {
		return here, true
	}
	noon := time.Date(day.Year(), day.Month(), day.Day(), 12, 0, 0, 0, time.UTC)
	offset := noon.Sub(t)
	if offset < -26*time.Hour || offset > 26*time.Hour {
		return t, false
	}
	return t.In(time.FixedZone("", int(offset.Seconds()))), true
}

func sameDay(a, b time.Time) bool { return a.Year() == b.Year() && a.YearDay() == b.YearDay() }

// ahead tells a time that lies in the future: a day that has not begun where
// now's clock stands, or an instant further ahead than clocks differ.
func ahead(t time.Time, dayOnly bool, now time.Time) bool {
	if dayOnly {
		return dateNumber(t) > dateNumber(now)
	}
	return t.After(now.Add(ClockSkew))
}

func dateNumber(t time.Time) int { return t.Year()*1000 + t.YearDay() }
