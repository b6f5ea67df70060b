package paper

import (
	"io"
	"time"

	ical "github.com/arran4/golang-ical"
)

// Sitting is an evening for a calendar.
type Sitting struct {
	UID        string
	Start, End time.Time
	Summary    string
	Text       string
}

// Calendar writes sittings as an iCalendar file (RFC 5545), times in UTC. made is
// when it was made.
func Calendar(w io.Writer, name string, made time.Time, sittings []Sitting) error {
	cal := ical.NewCalendar()
	cal.SetMethod(ical.MethodPublish)
	cal.SetProductId("-//halfpot//sittings//EN")
	cal.SetName(name)
	for _, s := range sittings {
		e := cal.AddEvent(s.UID)
		e.SetDtStampTime(made.UTC())
		e.SetStartAt(s.Start.UTC())
		e.SetEndAt(s.End.UTC())
		e.SetSummary(s.Summary)
		e.SetDescription(s.Text)
	}
	return cal.SerializeTo(w, ical.WithNewLine("\r\n"))
}
