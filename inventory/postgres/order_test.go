package postgres

import (
	"context"
	"errors"
	"sync"
	"testing"
	"time"

	"github.com/google/uuid"

	"halfpot/inventory"
)

// exampleOrder uses every field of orders and their events.
func exampleOrder() inventory.Order {
	return inventory.Order{
		Shop:     "corner",
		Force:    "patrol",
		At:       noon.AddDate(0, 0, -9),
		DayOnly:  true,
		Currency: "EUR",
		Delivery: ptr(eur("4.95")),
		Note:     "by post",
		Lines:    []inventory.OrderLine{{Product: "zest-bone-17", Count: 3, Price: ptr(eur("3.20"))}},
		Events: []inventory.OrderEvent{
			{ID: 1, Kind: inventory.Received, At: noon.AddDate(0, 0, -5), DayOnly: true,
				Product: "zest-bone-17", Count: 1, Came: "zest-bone-17", Price: ptr(eur("2.95")),
				Pots: []string{"bone-1"}, Note: "dented"},
			{ID: 2, Kind: inventory.CalledOff, At: noon.AddDate(0, 0, -4), Product: "zest-bone-17", Count: 1},
			{ID: 3, Kind: inventory.OrderCorrected, At: noon.AddDate(0, 0, -3), Undoes: 2},
			{ID: 4, Kind: inventory.OrderPutRight, At: noon.AddDate(0, 0, -2), Delivery: ptr(eur("3.95")),
				Remark: ptr("by hand")},
		},
	}
}

func addOrder(t *testing.T, s *Store, o inventory.Order) (out inventory.Order, err error) {
	t.Helper()
	err = s.Change(t.Context(), NewCommand("order"), func(tx *Tx) (err error) {
		out, err = tx.AddOrder(t.Context(), o)
		return err
	})
	return out, err
}

func TestOrdersComeBackAsKept(t *testing.T) {
	s := stocked(t)
	o, err := addOrder(t, s, exampleOrder())
	if err != nil {
		t.Fatal(err)
	}
	if o.ID != "order-1" || o.Key == uuid.Nil || o.Events[2].Undoes != o.Events[1].ID ||
		o.Events[0].Key == uuid.Nil {
		t.Errorf("added %+v", o)
	}
	got, err := s.Orders(t.Context())
	if err != nil || len(got) != 1 || !same(got[0], o) {
		t.Errorf("%v: got %+v\nadded %+v", err, got, o)
	}
	second, err := addOrder(t, s, inventory.Order{
		Shop:     "corner",
		Currency: "EUR",
		Lines:    []inventory.OrderLine{{Product: "zest-bone-17", Count: 1}},
	})
	if err != nil || second.ID != "order-2" || !second.At.Equal(instant(noon)) {
		t.Errorf("%v: %+v", err, second)
	}
	_, err = addOrder(t, s, o)
	mustFail(t, err, Conflict, "the same")
	_, err = s.Order(t.Context(), "nothing")
	mustFail(t, err, NotFound, "order")
}

// What breaks the rules of orders is refused whole, wherever it comes from.
func TestWrongOrdersAreRefused(t *testing.T) {
	s := stocked(t)
	before := dump(t, s)
	for name, spoil := range map[string]func(*inventory.Order){
		"too many":        func(o *inventory.Order) { o.Events[0].Count = 4 },
		"currency":        func(o *inventory.Order) { o.Lines[0].Price.Currency = "USD" },
		"no lines":        func(o *inventory.Order) { o.Lines, o.Events = nil, nil },
		"another product": func(o *inventory.Order) { o.Events[1].Product = "zest-black-17" },
		"shop":            func(o *inventory.Order) { o.Shop = "nowhere" },
		"corrected twice": func(o *inventory.Order) {
			o.Events = append(o.Events, inventory.OrderEvent{Kind: inventory.OrderCorrected, Undoes: 2})
		},
		"a pot that is not":  func(o *inventory.Order) { o.Events[0].Pots = []string{"nothing"} },
		"a correction sorts": func(o *inventory.Order) { o.Events[2].Count = 1 },
	} {
		o := exampleOrder()
		spoil(&o)
		if _, err := addOrder(t, s, o); err == nil {
			t.Errorf("%s: no error", name)
		}
		if dump(t, s) != before {
			t.Errorf("%s: something was written", name)
		}
	}
}

// Two parcels of one order are opened at once: each receiver sees what is
// outstanding, and only one of them may have it. Under snapshot isolation without
// more both would (write skew, as in Berenson and others, "A Critique of ANSI
// SQL Isolation Levels", 1995).
func TestTwoReceiversOfOneOrder(t *testing.T) {
	s := stocked(t)
	o, err := addOrder(t, s, inventory.Order{
		Shop:     "corner",
		Currency: "EUR",
		At:       noon.Add(-time.Hour),
		Lines:    []inventory.OrderLine{{Product: "zest-bone-17", Count: 2}},
	})
	if err != nil {
		t.Fatal(err)
	}
	var wg sync.WaitGroup
	errs := make([]error, 4)
	for i := range errs {
		wg.Go(func() {
			errs[i] = s.Change(t.Context(), NewCommand("receive"), func(tx *Tx) error {
				return receiveAll(t.Context(), tx, o.ID)
			})
		})
	}
	wg.Wait()
	done := 0
	for _, err := range errs {
		switch {
		case err == nil:
			done++
		case !errors.As(err, new(inventory.Faults)):
			t.Errorf("refused for another reason: %v", err)
		}
	}
	got, err := s.Order(t.Context(), o.ID)
	if err != nil {
		t.Fatal(err)
	}
	if done != 1 || len(got.Outstanding()) != 0 || len(got.Events) != 1 ||
		len(mustShelf(t, s).Pots) != len(examplePots())+2 {
		t.Errorf("%d receivers were done: %+v", done, got)
	}
}

func receiveAll(ctx context.Context, tx *Tx, id string) error {
	o, err := tx.Order(ctx, id)
	if err != nil {
		return err
	}
	cat, err := tx.LoadCatalogue(ctx)
	if err != nil {
		return err
	}
	shelf, err := tx.Shelf(ctx)
	if err != nil {
		return err
	}
	r, err := o.Receive(inventory.Parcel{At: noon}, &cat, &shelf)
	if err != nil {
		return err
	}
	if _, err := tx.Insert(ctx, Load{Pots: r.Pots}); err != nil {
		return err
	}
	_, err = tx.AddOrderEvents(ctx, id, r.Events)
	return err
}
