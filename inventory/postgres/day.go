package postgres

import (
	"time"
)

// stored is a time as two columns keep it: the instant, and the day where only
// that is known.
func stored(t time.Time, dayOnly bool) (at time.Time, day *time.Time) {
	if !dayOnly {
		return instant(t), nil
	}
	d := time.Date(t.Year(), t.Month(), t.Day(), 0, 0, 0, 0, time.UTC)
	return instant(t), &d
}

// given is a time as the columns have it, in a zone. One of which only the day is
// known keeps its calendar date wherever it is looked at: it stays in the zone
// where that instant is on that day.
func given(at time.Time, day *time.Time, zone *time.Location) (t time.Time, dayOnly bool) {
	t = at.In(zone)
	if day == nil {
		return t, false
	}
	if t.Year() == day.Year() && t.YearDay() == day.YearDay() {
		return t, true
	}
	noon := day.Add(12 * time.Hour)
	return at.In(time.FixedZone("", int(noon.Sub(at).Seconds()))), true
}
