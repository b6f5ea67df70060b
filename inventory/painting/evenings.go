package painting

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"
)

// Evenings is when the painter is at the bench: stretches of some weekdays.
type Evenings struct{ spans []span }

type span struct {
	days       [7]bool // by time.Weekday
	start, end int     // minutes after midnight; end may lie past the next one
}

// UsualEvenings is what is taken where the painter has not said: an assumption.
const UsualEvenings = "daily 19:00-21:00"

var dayNames = []string{"sun", "mon", "tue", "wed", "thu", "fri", "sat"}

// ParseEvenings reads stretches set apart by commas: "Tue Thu 19:00-21:30, Sat
// 14-18". Days are the first three letters or more, "daily", "weekdays" or
// "weekends"; a stretch of no days is daily. One may run past midnight.
func ParseEvenings(s string) (Evenings, error) {
	var out Evenings
	for part := range strings.SplitSeq(s, ",") {
		sp, err := parseSpan(strings.Fields(part))
		if err != nil {
			return Evenings{}, fmt.Errorf("evenings %q: %w", strings.TrimSpace(part), err)
		}
		out.spans = append(out.spans, sp)
	}
	return out, nil
}

func parseSpan(words []string) (span, error) {
	var sp span
	if len(words) == 0 {
		return sp, fmt.Errorf("nothing there; expected days and hours, like Tue Thu 19:00-21:30")
	}
	for _, w := range words[:len(words)-1] {
		if err := sp.day(strings.ToLower(w)); err != nil {
			return sp, err
		}
	}
	if sp.days == [7]bool{} {
		sp.days = [7]bool{true, true, true, true, true, true, true}
	}
	from, to, ok := strings.Cut(words[len(words)-1], "-")
	var err1, err2 error
	sp.start, err1 = clock(from)
	sp.end, err2 = clock(to)
	if !ok || err1 != nil || err2 != nil {
		return sp, fmt.Errorf("%q is no stretch of hours; expected one like 19:00-21:30", words[len(words)-1])
	}
	if sp.end == sp.start {
		return sp, fmt.Errorf("it ends when it starts")
	}
	if sp.end < sp.start {
		sp.end += 24 * 60
	}
	if sp.end-sp.start > 16*60 {
		return sp, fmt.Errorf("%d hours at a stretch; expected at most 16", (sp.end-sp.start)/60)
	}
	return sp, nil
}

func (s *span) day(w string) error {
	switch w {
	case "daily":
		s.days = [7]bool{true, true, true, true, true, true, true}
	case "weekdays":
		for i := 1; i <= 5; i++ {
			s.days[i] = true
		}
	case "weekends":
		s.days[0], s.days[6] = true, true
	default:
		i := -1
		if len(w) >= 3 {
			i = slices.Index(dayNames, w[:3])
		}
		if i < 0 {
			return fmt.Errorf("%q is no day; expected one like Tue, or daily, weekdays, weekends", w)
		}
		s.days[i] = true
	}
	return nil
}

func clock(s string) (int, error) {
	h, m, _ := strings.Cut(s, ":")
	hours, err := strconv.Atoi(h)
	minutes := 0
	if m != "" && err == nil {
		minutes, err = strconv.Atoi(m)
	}
	if err != nil || hours < 0 || hours > 24 || minutes < 0 || minutes > 59 || hours == 24 && minutes > 0 ||
		strings.HasSuffix(s, ":") {
		return 0, fmt.Errorf("%q is no time of day", s)
	}
	return hours*60 + minutes, nil
}

// Slot is one sitting to come.
type Slot struct{ Start, End time.Time }

// Minutes is how long it lasts.
func (s Slot) Minutes() float64 { return s.End.Sub(s.Start).Minutes() }

// Slots are the next n sittings from a moment on, in its zone; one that is
// going on begins at the moment. Stretches that run into each other are one.
func (e Evenings) Slots(from time.Time, n int) []Slot {
	var out []Slot
	day := time.Date(from.Year(), from.Month(), from.Day()-1, 0, 0, 0, 0, from.Location())
	for range 8*n + 16 {
		var today []Slot
		for _, sp := range e.spans {
			if sp.days[day.Weekday()] {
				at := func(m int) time.Time {
					return time.Date(day.Year(), day.Month(), day.Day(), 0, m, 0, 0, day.Location())
				}
				today = append(today, Slot{at(sp.start), at(sp.end)})
			}
		}
		slices.SortFunc(today, func(a, b Slot) int { return a.Start.Compare(b.Start) })
		for _, s := range today {
			if s.Start.Before(from) {
				s.Start = from
			}
			if !s.End.After(s.Start) {
				continue
			}
			if k := len(out) - 1; k >= 0 && !s.Start.After(out[k].End) {
				if s.End.After(out[k].End) {
					out[k].End = s.End
				}
				continue
			}
			if len(out) == n {
				return out
			}
			out = append(out, s)
		}
		day = time.Date(day.Year(), day.Month(), day.Day()+1, 0, 0, 0, 0, day.Location())
	}
	return out
}

// String writes what ParseEvenings reads.
func (e Evenings) String() string {
	var parts []string
	for _, s := range e.spans {
		days := "daily"
		if s.days != [7]bool{true, true, true, true, true, true, true} {
			var names []string
			for i := 1; i <= 7; i++ {
				if s.days[i%7] {
					names = append(names, strings.ToUpper(dayNames[i%7][:1])+dayNames[i%7][1:])
				}
			}
			days = strings.Join(names, " ")
		}
		end := s.end % (24 * 60)
		parts = append(parts, fmt.Sprintf("%s %02d:%02d-%02d:%02d",
			days, s.start/60, s.start%60, end/60, end%60))
	}
	return strings.Join(parts, ", ")
}
