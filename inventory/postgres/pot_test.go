package postgres

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/uuid"

	"halfpot/inventory"
)

// examplePots uses every field of pots and events.
func examplePots() []inventory.Pot {
	day := func(n int) time.Time { return noon.AddDate(0, 0, n-30) }
	return []inventory.Pot{
		{ID: "bone-1", Paint: "zest-bone", Product: "zest-bone-17", Nominal: 17000, Cost: ptr(eur("3.20")), Place: "top shelf", Opened: ptr(day(2)), OpenedDay: true, TareGrams: 11.25,
			Events: []inventory.PotEvent{
				{Kind: inventory.Bought, At: day(1)},
				{Kind: inventory.Opened, At: day(2)},
				{Kind: inventory.Judged, At: day(3), DayOnly: true, Fraction: ptr(0.75)},
				{Kind: inventory.Weighed, At: day(4), GrossGrams: 27.5, TareGrams: 11.5, Note: "kitchen scales"},
				{Kind: inventory.Used, At: day(5), Volume: ptr(inventory.Volume(250)), Estimated: true},
				{Kind: inventory.Used, At: day(5), Volume: ptr(inventory.Volume(250)), Estimated: true}, // twice the same is two
				{Kind: inventory.Spilled, At: day(6), Fraction: ptr(0.1)}}},
		{ID: "black-1", Paint: "zest-black", Nominal: 17000},
		{ID: "chalk-1", Paint: "ako-chalk", Nominal: 12000, Events: []inventory.PotEvent{
			{Kind: inventory.Bought, At: day(1), Volume: ptr(inventory.Volume(6000))},
			{Kind: inventory.Thinned, At: day(5), Volume: ptr(inventory.Volume(400))},
			{Kind: inventory.Thinned, At: day(6)}, {Kind: inventory.DriedOut, At: day(9)},
			{Kind: inventory.GivenAway, At: day(10)}}},
	}
}

func exampleJob(id string) Job {
	return Job{ID: id, Force: "patrol", At: noon.Add(-time.Hour), Note: "an evening", Minutes: 45,
		Work: []inventory.Work{
			{Unit: "first", Step: "prime", Figures: 4},
			{Unit: "first", Step: "straps", Figures: 3, Mix: "ako-chalk"},
		},
		Draws: []Draw{{
			Pot:   "bone-1",
			Event: inventory.PotEvent{Kind: inventory.Used, Volume: ptr(inventory.Volume(120)), Estimated: true},
		}}}
}

// stocked is a store with the example catalogue and pots.
func stocked(t testing.TB) *Store {
	t.Helper()
	s := open(t)
	mustSave(t, s, Load{Catalogue: example(), Pots: examplePots()})
	return s
}

func mustShelf(t testing.TB, s *Store) inventory.Shelf {
	t.Helper()
	shelf, err := s.Shelf(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	return shelf
}

// bare drops the numbers and keys that the store gives to events.
func bare(pots []inventory.Pot) []inventory.Pot {
	var out []inventory.Pot
	for _, p := range pots {
		events := append([]inventory.PotEvent{}, p.Events...)
		for i := range events {
			events[i].ID, events[i].Key = 0, uuid.Nil
		}
		p.Events = events
		out = append(out, p)
	}
	return out
}

func TestPotsComeBackAsSaved(t *testing.T) {
	s := stocked(t)
	shelf := mustShelf(t, s)
	if !same(bare(shelf.Pots), examplePots()) {
		t.Errorf("got  %+v\nwant %+v", shelf.Pots, examplePots())
	}
	last := int64(0)
	for _, e := range shelf.Pots[0].Events {
		if e.ID <= last {
			t.Errorf("event numbers do not rise: %d after %d", e.ID, last)
		}
		last = e.ID
	}
	c := mustLoad(t, s)
	if err := shelf.Validate(c.Index(), noon).Err(); err != nil {
		t.Error(err)
	}
	some, err := s.Pots(t.Context(), "chalk-1", "bone-1")
	if err != nil {
		t.Fatal(err)
	}
	if want := []inventory.Pot{shelf.Pots[0], shelf.Pots[2]}; !same(some, want) {
		t.Errorf("got  %+v\nwant %+v", some, want)
	}
	_, err = s.Pots(t.Context(), "bone-1", "bone-9")
	mustFail(t, err, NotFound, `pot "bone-9"`)
}

func TestEachPotIsTheShelf(t *testing.T) {
	s := stocked(t)
	var got []inventory.Pot
	err := s.EachPot(t.Context(), func(p inventory.Pot) error {
		p.Events = slices.Clone(p.Events)
		got = append(got, p)
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if want := mustShelf(t, s).Pots; !same(got, want) {
		t.Errorf("got  %+v\nwant %+v", got, want)
	}
	stop := errors.New("enough")
	calls := 0
	err = s.EachPot(t.Context(), func(inventory.Pot) error { calls++; return stop })
	if !errors.Is(err, stop) || calls != 1 {
		t.Errorf("%v after %d calls", err, calls)
	}
}

// Many pots, with and without events.
func TestStreamOfManyPots(t *testing.T) {
	s := open(t)
	mustSave(t, s, Load{Catalogue: example()})
	var pots []inventory.Pot
	for i := range 3001 {
		p := inventory.Pot{ID: fmt.Sprintf("pot-%d", i), Paint: "zest-bone", Nominal: 17000}
		for j := range i % 3 {
			p.Events = append(p.Events, inventory.PotEvent{
				Kind:   inventory.Used,
				At:     noon,
				Volume: ptr(inventory.Volume(1000*i + j)),
			})
		}
		pots = append(pots, p)
	}
	mustSave(t, s, Load{Pots: pots})
	if got := mustShelf(t, s).Pots; !same(bare(got), pots) {
		t.Error("the shelf differs from what was saved")
	}
	i := 0
	err := s.EachPot(t.Context(), func(p inventory.Pot) error {
		if !same(bare([]inventory.Pot{p}), pots[i:i+1]) {
			t.Fatalf("pot %d: got %+v, want %+v", i, p, pots[i])
		}
		i++
		return nil
	})
	if err != nil || i != len(pots) {
		t.Errorf("%d pots, %v", i, err)
	}
}

func TestEventsWithoutATimeLoadOnce(t *testing.T) {
	url := open(t)
	mustSave(t, url, Load{Catalogue: example()})
	pots := []inventory.Pot{{ID: "p", Paint: "zest-bone", Nominal: 17000,
		Events: []inventory.PotEvent{{Kind: inventory.Bought}}}}
	mustSave(t, url, Load{Pots: pots})
	later := *url
	later.now = func() time.Time { return noon.Add(time.Hour) }
	if r := mustSave(t, &later, Load{Pots: pots}); r.PotEvents != (Count{Same: 1}) {
		t.Errorf("an hour later: %+v", r.PotEvents)
	}
	if e := mustShelf(t, url).Pots[0].Events; len(e) != 1 || !e[0].At.Equal(noon) {
		t.Errorf("got %+v", e)
	}
}

func TestChangingAPotKeepsItsEvents(t *testing.T) {
	s := stocked(t)
	p := examplePots()[0]
	p.Place, p.Cost, p.Events = "desk", nil, p.Events[:2]
	r := mustSave(t, s, Load{Pots: []inventory.Pot{p}})
	if r.Pots != (Count{Changed: 1}) || r.PotEvents != (Count{Same: 2}) {
		t.Errorf("got %+v", r)
	}
	got := mustShelf(t, s).Pots[0]
	if got.Place != "desk" || got.Cost != nil || len(got.Events) != 7 {
		t.Errorf("got %+v", got)
	}
}

func TestAddEvents(t *testing.T) {
	s := stocked(t)
	ids, err := s.AddEvents(t.Context(), []NewEvent{
		{Pot: "black-1", Event: inventory.PotEvent{Kind: inventory.Opened}},
		{
			Pot: "bone-1",
			Event: inventory.PotEvent{
				Kind:     inventory.Judged,
				At:       noon.Add(-time.Minute),
				Fraction: ptr(0.5),
				Note:     "by lamplight",
			},
		},
	})
	if err != nil {
		t.Fatal(err)
	}
	pots, err := s.Pots(t.Context(), "bone-1", "black-1")
	if err != nil {
		t.Fatal(err)
	}
	if e := pots[1].Events[0]; e.ID != ids[0].ID || !e.At.Equal(noon) || e.Kind != inventory.Opened {
		t.Errorf("got %+v", e)
	}
	if e := pots[0].Events[7]; e.ID != ids[1].ID || *e.Fraction != 0.5 || e.Note != "by lamplight" {
		t.Errorf("got %+v", e)
	}
	_, err = s.AddEvents(t.Context(), []NewEvent{
		{Pot: "black-1", Event: inventory.PotEvent{Kind: inventory.DriedOut}},
		{Pot: "nowhere", Event: inventory.PotEvent{Kind: inventory.Opened}},
	})
	mustFail(t, err, NotFound, `pot "nowhere"`)
	if p, err := s.Pots(t.Context(), "black-1"); err != nil || len(p[0].Events) != 1 {
		t.Errorf("half of a refused list was written: %+v, %v", p, err)
	}
}

func TestKeyMakesAppendingIdempotent(t *testing.T) {
	s := stocked(t)
	once := uuid.New()
	e := NewEvent{
		Pot:   "black-1",
		Event: inventory.PotEvent{Kind: inventory.Judged, At: noon, Fraction: ptr(0.5), Key: once},
	}
	first, err := s.AddEvents(t.Context(), []NewEvent{e, e})
	if err != nil {
		t.Fatal(err)
	}
	second, err := s.AddEvents(t.Context(), []NewEvent{e})
	if err != nil || second[0].ID != first[0].ID || first[1].ID != first[0].ID {
		t.Errorf("%v then %v, %v", first, second, err)
	}
	other := e
	other.Event.Fraction = ptr(0.6)
	_, err = s.AddEvents(t.Context(), []NewEvent{other})
	if !errors.As(err, new(*ClashError)) || !strings.Contains(err.Error(), once.String()) {
		t.Errorf("got %v", err)
	}
	other = e
	other.Pot = "bone-1"
	_, err = s.AddEvents(t.Context(), []NewEvent{other})
	if !errors.As(err, new(*ClashError)) || !strings.Contains(err.Error(), once.String()) {
		t.Errorf("got %v", err)
	}
	if p, err := s.Pots(t.Context(), "black-1"); err != nil || len(p[0].Events) != 1 {
		t.Errorf("%+v, %v", p, err)
	}
}

func TestAnEventIsUndoneOnceAndOnItsOwnPot(t *testing.T) {
	s := stocked(t)
	spill := mustShelf(t, s).Pots[0].Events[6]
	undo := func(pot string, id int64) error {
		_, err := s.AddEvents(t.Context(), []NewEvent{{
			Pot:   pot,
			Event: inventory.PotEvent{Kind: inventory.Corrected, Undoes: id},
		}})
		return err
	}
	mustFail(t, undo("black-1", spill.ID), Invalid, "this pot does not have")
	mustFail(t, undo("bone-1", spill.ID+1000), Invalid)
	// Two at once: one of them comes too late.
	errs := make([]error, 2)
	var wg sync.WaitGroup
	for i := range errs {
		wg.Go(func() { errs[i] = undo("bone-1", spill.ID) })
	}
	wg.Wait()
	if (errs[0] == nil) == (errs[1] == nil) {
		t.Fatalf("both %v and %v", errs[0], errs[1])
	}
	mustFail(t, errors.Join(errs...), Conflict, "undone already")
	if standing := mustShelf(t, s).Pots[0].Standing(); len(standing) != 6 {
		t.Errorf("%d events stand", len(standing))
	}
}

// Of writers one works at a time, and crossing lists of pots never wait for each
// other.
func TestWritersWaitForEachOther(t *testing.T) {
	s := stocked(t)
	ctx, cancel := context.WithTimeout(t.Context(), 30*time.Second)
	defer cancel()
	holding, let := make(chan struct{}), make(chan struct{})
	go func() {
		_ = s.Change(ctx, NewCommand("hold"), func(*Tx) error {
			close(holding)
			<-let
			return errors.New("enough")
		})
	}()
	<-holding
	done := make(chan error, 1)
	go func() {
		_, err := s.AddEvents(ctx, []NewEvent{{
			Pot:   "bone-1",
			Event: inventory.PotEvent{Kind: inventory.Opened},
		}})
		done <- err
	}()
	select {
	case err := <-done:
		t.Fatalf("the second writer did not wait: %v", err)
	case <-time.After(200 * time.Millisecond):
	}
	close(let)
	if err := <-done; err != nil {
		t.Error(err)
	}
	var wg sync.WaitGroup
	for i := range 20 {
		pots := []string{"bone-1", "black-1"}
		if i%2 == 1 {
			pots = []string{"black-1", "bone-1"}
		}
		wg.Go(func() {
			_, err := s.AddEvents(ctx, []NewEvent{
				{Pot: pots[0], Event: inventory.PotEvent{Kind: inventory.Opened}},
				{Pot: pots[1], Event: inventory.PotEvent{Kind: inventory.Opened}}})
			if err != nil {
				t.Error(err)
			}
		})
	}
	wg.Wait()
}
