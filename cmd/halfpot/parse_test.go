package main

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"testing"
	"time"

	"halfpot/inventory"
	"halfpot/inventory/postgres"
	"halfpot/optimize"
	"halfpot/sql/server"
)

func TestParseLevel(t *testing.T) {
	for typed, want := range map[string]float64{
		"full":    1,
		"Half":    0.5,
		"1/3":     1.0 / 3,
		"40%":     0.4,
		" 2 / 3 ": 2.0 / 3,
		"empty":   0,
		"100 %":   1,
	} {
		l, err := parseLevel(typed, nil)
		if err != nil || l.Part == nil || math.Abs(*l.Part-want) > 1e-12 {
			t.Errorf("%q: got %v, %v; want %v", typed, l.Part, err, want)
		}
	}
	for typed, want := range map[string]inventory.Volume{"12ml": 12000, "0.5 ml": 500, "300 ul": 300} {
		l, err := parseLevel(typed, nil)
		if err != nil || l.Volume == nil || *l.Volume != want {
			t.Errorf("%q: got %v, %v; want %v", typed, l.Volume, err, want)
		}
	}
	for _, typed := range []string{
		"", "seven", "140%", "3/2", "1/0", "-1/2", "12", "0.5", "12 gallons", "-3ml", "1e3ml", "NaN%",
	} {
		if _, err := parseLevel(typed, nil); exitCode(err) != exitBadInput {
			t.Errorf("%q: got %v, want a usage error", typed, err)
		}
	}
}

func TestParseWhen(t *testing.T) {
	now := time.Date(2026, 3, 9, 10, 30, 0, 0, time.UTC)
	for typed, want := range map[string]when{
		"":                     {now, false},
		"today":                {now, false},
		"yesterday":            {time.Date(2026, 3, 8, 12, 0, 0, 0, time.UTC), true},
		"2026-03-01":           {time.Date(2026, 3, 1, 12, 0, 0, 0, time.UTC), true},
		"2026-03-09":           {now, true}, // today's noon is still to come
		"2026-03-08 18:30":     {time.Date(2026, 3, 8, 18, 30, 0, 0, time.UTC), false},
		"2026-03-08T18:30:00Z": {time.Date(2026, 3, 8, 18, 30, 0, 0, time.UTC), false},
	} {
		if got, err := parseWhen(typed, now); err != nil || !got.at.Equal(want.at) ||
			got.dayOnly != want.dayOnly {
			t.Errorf("%q: got %v, %v; want %v", typed, got, err, want)
		}
	}
	for _, typed := range []string{"soon", "2026-02-30", "09.03.2026", "2026-3-9"} {
		if _, err := parseWhen(typed, now); exitCode(err) != exitBadInput {
			t.Errorf("%q: got %v, want a usage error", typed, err)
		}
	}
}

func TestParseSteps(t *testing.T) {
	r := inventory.Recipe{
		ID: "r",
		Steps: []inventory.Step{
			{ID: "prime"},
			{ID: "cloth", Name: "Jacket and trousers"},
			{ID: "wash"},
			{ID: "seal"},
		},
	}
	u := inventory.Unit{ID: "u", Figures: 2}
	f := inventory.Force{
		Units: []inventory.Unit{u},
		Done:  []inventory.Work{{Unit: "u", Step: "prime", Figures: 2}},
	}
	for _, c := range []struct{ typed, want []string }{
		{[]string{"wash", "prime"}, []string{"prime", "wash"}}, // in the order of the recipe
		{[]string{"2-4"}, []string{"cloth", "wash", "seal"}},
		{[]string{"3", "3", "wash"}, []string{"wash"}},
		{[]string{"all"}, []string{"cloth", "wash", "seal"}},
		{[]string{"jacket and trousers"}, []string{"cloth"}},
	} {
		if got, err := parseSteps(c.typed, r, f, u); err != nil || !slices.Equal(got, c.want) {
			t.Errorf("%q: got %q, %v; want %q", c.typed, got, err, c.want)
		}
	}
	for _, typed := range []string{"0", "5", "3-2", "2-9", "wsh", "-1"} {
		if _, err := parseSteps([]string{typed}, r, f, u); exitCode(err) != exitBadInput {
			t.Errorf("%q: got %v, want a usage error", typed, err)
		}
	}
}

// Which database is meant, where several things say so: a flag beats the
// environment, and --database beats the rest.
func TestDatabasePrecedence(t *testing.T) {
	t.Setenv("HOME", "/home/somebody")
	t.Setenv("XDG_DATA_HOME", "")
	const demo = "/home/somebody/.local/share/halfpot-demo"
	for _, c := range []struct {
		app  app
		want server.Options
	}{
		{app{}, server.Options{}}, // the environment decides, in package server
		{app{home: "/x"}, server.Options{Home: "/x", Private: true}},
		{app{demo: true}, server.Options{Home: demo, Private: true}},
		{app{demo: true, home: "/x"}, server.Options{Home: "/x", Private: true}},
		{app{database: "url"}, server.Options{URL: "url"}},
		{app{database: "url", home: "/x"}, server.Options{URL: "url", Home: "/x"}},
		{app{database: "url", demo: true}, server.Options{URL: "url", Home: demo}},
	} {
		got := c.app.serverOptions()
		if got.URL != c.want.URL || got.Home != c.want.Home || got.Private != c.want.Private {
			t.Errorf("database %q, home %q, demo %v: got %q, %q, private %v; want %q, %q, %v",
				c.app.database, c.app.home, c.app.demo,
				got.URL, got.Home, got.Private, c.want.URL, c.want.Home, c.want.Private)
		}
	}
}

func TestExitCodes(t *testing.T) {
	for _, c := range []struct {
		err  error
		want int
	}{
		{nil, exitDone},
		{errors.New("anything"), exitOther},
		{&server.Error{Text: "no database"}, exitOther},
		{&postgres.Error{Kind: postgres.Unavailable}, exitOther},
		{&postgres.Error{Kind: postgres.Full}, exitOther},
		{&postgres.Error{Kind: postgres.Conflict}, exitBadInput},
		{usagef("wrong"), exitBadInput},
		{hinted{usagef("wrong"), nil}, exitBadInput},
		{fmt.Errorf("read: %w", inventory.Faults{{Path: "x"}}), exitBadInput},
		{&optimize.InvalidError{}, exitBadInput},
		{shown(exitNoPlan), exitNoPlan},
		{shown(exitLimit), exitLimit},
		{fmt.Errorf("search: %w", context.DeadlineExceeded), exitLimit},
		{cancelled{context.Canceled}, exitCancelled},
		{cancelled{shown(exitLimit)}, exitLimit}, // a plan was shown
	} {
		if got := exitCode(c.err); got != c.want {
			t.Errorf("%v: status %d, want %d", c.err, got, c.want)
		}
	}
}

func TestLookup(t *testing.T) {
	things := []named{
		{id: "pale-bone", names: []string{"Pale Bone", "Oskelund Pale Bone"}},
		{id: "pale-bone-2", names: []string{"Pale Bone"}},
		{id: "soot", names: []string{"Soot Wash"}},
	}
	for typed, want := range map[string]string{
		"soot":               "soot",
		"SOOT  wash":         "soot",
		"pale-bone":          "pale-bone",
		"oskelund pale bone": "pale-bone",
	} {
		if got, err := lookup("paint", typed, "", things); err != nil || got != want {
			t.Errorf("%q: got %q, %v; want %q", typed, got, err, want)
		}
	}
	for typed, want := range map[string]string{
		"Pale Bone": `"Pale Bone" is the name of 2 paints: pale-bone, pale-bone-2; use the id`,
		"sott":      `there is no paint "sott"; nearest: soot`,
		"xyzzy":     `there is no paint "xyzzy"`,
	} {
		if _, err := lookup("paint", typed, "halfpot paint list", things); err == nil || err.Error() != want {
			t.Errorf("%q: got %v, want %s", typed, err, want)
		}
	}
}
