package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// A day is the painter's own, wherever that is. The zones are the ends of the
// world's clocks and both sides of a change of the clock; their names and offsets
// are those of the IANA time zone database.
func TestADayIsThePaintersOwn(t *testing.T) {
	for _, tt := range []struct {
		zone  string
		now   string // by the clock on the wall
		today string
		past  string
		long  bool // of the long dose only
	}{
		{"Pacific/Kiritimati", "2026-03-09 00:30", "2026-03-09", "2026-03-08", false},
		{"Pacific/Kiritimati", "2026-03-09 23:30", "2026-03-09", "2026-02-28", true},
		{"Pacific/Niue", "2026-03-09 00:30", "2026-03-09", "2026-03-08", true},
		{"Pacific/Niue", "2026-03-09 23:30", "2026-03-09", "2025-12-31", false},
		{"Europe/Berlin", "2026-03-29 00:30", "2026-03-29", "2026-03-28", true}, // put forward at 2
		{"Europe/Berlin", "2026-03-29 23:30", "2026-03-29", "2026-03-28", true},
		{"Europe/Berlin", "2026-10-25 00:30", "2026-10-25", "2026-10-24", false}, // put back at 3
		{"Europe/Berlin", "2026-10-26 00:30", "2026-10-26", "2026-10-25", true},
	} {
		if tt.long && os.Getenv("HALFPOT_LONG") == "" {
			continue
		}
		t.Run(tt.zone+" "+tt.now, func(t *testing.T) {
			zone, err := time.LoadLocation(tt.zone)
			if err != nil {
				if os.Getenv("HALFPOT_LONG") != "" {
					t.Fatal("no time zone database: ", err)
				}
				t.Skip("no time zone database: ", err)
			}
			at, err := time.ParseInLocation("2006-01-02 15:04", tt.now, zone)
			if err != nil {
				t.Fatal(err)
			}
			d := newBench(t)
			since := time.Now()
			d.now = func() time.Time { return at.Add(time.Since(since)) }
			d.must("load", d.file("paints.csv", "name,type\nBone,base\n"),
				d.file("pots.csv",
					"id,paint,size,bought,opened,full,judged\np,bone,17 ml,2025-06-01,"+tt.past+
						",1/2,"+tt.today+"\n"))
			d.must("pot", "judge", "p", "half", "--at", tt.past)
			d.must("pot", "use", "p", "1ml", "--at", tt.today)
			tomorrow := at.AddDate(0, 0, 1).Format(time.DateOnly)
			d.refuses("not in the future", "pot", "judge", "p", "half", "--at", tomorrow)
			d.refuses("not in the future", "add", "pot", "bone", "--size", "17ml", "--bought", tomorrow)
			d.refuses("not in the future", "add", "pot", "bone", "--size", "17ml", "--opened", tomorrow)
			d.refuses("not in the future", "load", d.file("pots.csv",
				"id,paint,size,opened\nq,bone,17 ml,"+tomorrow+"\n"))
			want := []string{
				"bought 2025-06-01", "opened " + tt.past, "judged " + tt.today, "judged " + tt.past,
				"used " + tt.today,
			}
			check := func(d *bench) {
				t.Helper()
				var got []string
				for _, line := range strings.Split(strings.TrimSpace(d.must("pot", "events", "p",
					"--format", "csv")),
					"\n")[1:] {
					f := strings.Split(line, ",")
					got = append(got, f[2]+" "+f[1])
				}
				if strings.Join(got, "; ") != strings.Join(want, "; ") {
					t.Errorf("got  %v\nwant %v", got, want)
				}
			}
			check(d)
			// The day stays the day at the other ends of the world.
			copied := filepath.Join(t.TempDir(), "copy")
			d.must("save", copied)
			for _, offset := range []int{14, -11} {
				far := *d
				far.now = func() time.Time { return d.now().In(time.FixedZone("far", offset*3600)) }
				check(&far)
				files, _ := filepath.Glob(filepath.Join(copied, "*"))
				if out := far.must(append([]string{"load"}, files...)...); !strings.Contains(out,
					"Nothing has changed") {
					t.Error(out)
				}
				other := newBench(t)
				other.now = func() time.Time {
					return d.now().Add(48 * time.Hour).In(time.FixedZone("far", offset*3600))
				}
				other.must(append([]string{"load"}, files...)...)
				check(other)
			}
		})
	}
}

// What can't count is refused, by hand and from files alike.
func TestAnEventThatCannotCountIsRefused(t *testing.T) {
	d := newBench(t)
	d.must("add", "paint", "Bone", "--type", "base")
	d.must("add", "pot", "bone", "--size", "17ml", "--id", "p", "--bought", "2026-02-01")
	d.refuses("it came on 2026-02-01", "pot", "judge", "p", "half", "--at", "2026-01-31")
	d.refuses("a day since 1950", "pot", "open", "p", "--at", "1026-03-01")
	d.refuses("not in the future", "pot", "judge", "p", "half", "--at", "2062-03-01")
	d.must("pot", "judge", "p", "half", "--at", "2026-02-01")
	d.refuses("it came on 2026-02-01", "load", d.file("pots.csv", "id,paint,size\nq,bone,17 ml\n"),
		d.file("pot-events.csv", "pot,kind,at,fraction\nq,bought,2026-02-01,\nq,judged,2026-01-01,0.5\n"))
	// Logged work is not drawn from a pot that came later, and that is said.
	d = newBench(t)
	d.must(append([]string{"load"}, smallSet(t)...)...)
	out := d.must("log", "harbour-watch", "rifles", "prime", "--at", "2019-01-01")
	if !strings.Contains(out, "after that day") {
		t.Error(out)
	}
	d.refuses("a day since 1950", "log", "harbour-watch", "rifles", "drybrush", "--at", "1019-01-01")
	d.refuses("not in the future", "log", "harbour-watch", "rifles", "drybrush", "--at", "2026-03-10")
}

// A clock that ran a year fast and was put right: its copy still loads, and what
// does not count yet is said.
func TestACopyOfAFastClockLoads(t *testing.T) {
	d := newBench(t)
	right := d.now
	d.now = func() time.Time { return right().AddDate(1, 0, 0) }
	d.must("add", "paint", "Bone", "--type", "base")
	d.must("add", "pot", "bone", "--size", "17ml", "--id", "p", "--opened", "2027-01-01")
	d.must("pot", "judge", "p", "half")
	d.now = right
	d.must("add", "pot", "bone", "--size", "17ml", "--id", "q")
	copied := filepath.Join(t.TempDir(), "copy")
	d.must("save", copied)
	files, _ := filepath.Glob(filepath.Join(copied, "*"))
	for _, to := range []*bench{d, newBench(t)} {
		out := to.must(append([]string{"load"}, files...)...)
		if !strings.Contains(out, "p: 3 entries lie in the future by this computer's clock") {
			t.Error(out)
		}
		to.must("shelf")
	}
}
