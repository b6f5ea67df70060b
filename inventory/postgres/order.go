package postgres

import (
	"context"
	"fmt"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
	"github.com/shopspring/decimal"

	"halfpot/inventory"
	queries "halfpot/sql"
)

// AddOrder appends an order with the events it brings, and gives it with its id,
// key and numbers: one without an id gets the next "order-12", one without a key
// or a time its own and now. An id or key that is taken is Conflict; a shop,
// force or product that is not there is Invalid.
func (t *Tx) AddOrder(ctx context.Context, o inventory.Order) (inventory.Order, error) {
	if o.At.IsZero() {
		o.At = t.now
	}
	if o.Key == uuid.Nil {
		o.Key = t.birth()
	}
	o.At = o.At.Truncate(time.Microsecond)
	delivery, err := amountIn(o.Currency, o.Delivery)
	if err != nil {
		return o, err
	}
	at, day := stored(o.At, o.DayOnly)
	err = t.tx.QueryRow(ctx, queries.AddOrder, o.ID, o.Key, o.Shop, orNull(o.Force), at, day, o.Currency,
		delivery, o.Note).Scan(&o.ID)
	if err != nil {
		return o, err
	}
	t.orders[o.ID] = true
	rows := make([][]any, len(o.Lines))
	for i, l := range o.Lines {
		price, err := amountIn(o.Currency, l.Price)
		if err != nil {
			return o, err
		}
		rows[i] = []any{o.ID, i + 1, l.Product, l.Count, price}
	}
	if err := copyInto(ctx, t.tx, queries.IntoOrderLine, rows); err != nil {
		return o, err
	}
	o.Events, err = t.addOrderEvents(ctx, o.ID, o.Currency, o.Events)
	return o, err
}

// AddOrderEvents appends what happened to an order, and gives it with its numbers
// and keys. The pots named must be there. Within the events a correction may name
// the number of one before it; the database's own takes its place. A key that is
// taken, or undoing what is undone already, is Conflict.
func (t *Tx) AddOrderEvents(
	ctx context.Context, order string, events []inventory.OrderEvent,
) ([]inventory.OrderEvent, error) {
	o, err := t.Order(ctx, order)
	if err != nil {
		return nil, err
	}
	return t.addOrderEvents(ctx, order, o.Currency, events)
}

func (t *Tx) addOrderEvents(
	ctx context.Context, order, currency string, events []inventory.OrderEvent,
) ([]inventory.OrderEvent, error) {
	t.orders[order] = true
	numbers := map[int64]int64{}
	out := make([]inventory.OrderEvent, len(events))
	for i, e := range events {
		if e.At.IsZero() {
			e.At = t.now
		}
		if e.Key == uuid.Nil {
			e.Key = t.birth()
		}
		price, err := amountIn(currency, e.Price)
		if err != nil {
			return nil, err
		}
		delivery, err := amountIn(currency, e.Delivery)
		if err != nil {
			return nil, err
		}
		was := e.ID
		if own, ok := numbers[e.Undoes]; ok {
			e.Undoes = own
		}
		at, day := stored(e.At, e.DayOnly)
		err = t.tx.QueryRow(ctx, queries.AddOrderEvent, e.Key, order, string(e.Kind), at, day,
			orNull(e.Product), orNull(e.Count),
			orNull(e.Came), price, orNull(e.Undoes), e.Note, delivery, e.Remark).Scan(&e.ID)
		if err != nil {
			return nil, err
		}
		if was != 0 {
			numbers[was] = e.ID
		}
		rows := make([][]any, len(e.Pots))
		for j, pot := range e.Pots {
			rows[j] = []any{e.ID, j + 1, pot}
		}
		if err := copyInto(ctx, t.tx, queries.IntoOrderPot, rows); err != nil {
			return nil, err
		}
		out[i] = e
	}
	return out, nil
}

// Orders gives every order with what became of it, in the order entered.
func (r *Reader) Orders(ctx context.Context) ([]inventory.Order, error) { return r.orders(ctx, "") }

// Order gives one order. An id that is not there is NotFound.
func (r *Reader) Order(ctx context.Context, id string) (inventory.Order, error) {
	found, err := r.orders(ctx, id)
	if err == nil && (len(found) == 0 || id == "") {
		err = notFound("order", id)
	}
	if err != nil {
		return inventory.Order{}, err
	}
	return found[0], nil
}

func (r *Reader) orders(ctx context.Context, id string) ([]inventory.Order, error) {
	var out []inventory.Order
	err := r.read(ctx, func(tx pgx.Tx) (err error) {
		out, err = loadOrders(ctx, tx, id, r.zone())
		return err
	})
	return out, err
}

type orderRow struct {
	ID       string
	Key      uuid.UUID
	Shop     string
	Force    *string
	At       time.Time
	Day      *time.Time
	Currency string
	Delivery *decimal.Decimal
	Note     string
}

type orderLineRow struct {
	ShopOrder, Product string
	Count              int
	Price              *decimal.Decimal
}

type orderEventRow struct {
	ShopOrder string
	ID        int64
	Key       uuid.UUID
	Kind      string
	At        time.Time
	Day       *time.Time
	Product   *string
	Count     *int
	Came      *string
	Price     *decimal.Decimal
	Undoes    *int64
	Note      string
	Delivery  *decimal.Decimal
	Remark    *string
	Pots      []string
}

func loadOrders(ctx context.Context, tx pgx.Tx, id string, zone *time.Location) ([]inventory.Order, error) {
	rows, err := collect[orderRow](ctx, tx, queries.ListOrders, id)
	if err != nil {
		return nil, err
	}
	out := make([]inventory.Order, len(rows))
	ids := make([]string, len(rows))
	find := make(map[string]*inventory.Order, len(rows))
	for i, r := range rows {
		out[i] = inventory.Order{
			ID:       r.ID,
			Key:      r.Key,
			Shop:     r.Shop,
			Force:    orZero(r.Force),
			Currency: r.Currency,
			Delivery: moneyOrNil(r.Delivery, r.Currency),
			Note:     r.Note,
		}
		out[i].At, out[i].DayOnly = given(r.At, r.Day, zone)
		ids[i], find[r.ID] = r.ID, &out[i]
	}
	b := &pgx.Batch{}
	queue(b, queries.ListOrderLines, func(r orderLineRow) error {
		o := find[r.ShopOrder]
		o.Lines = append(o.Lines, inventory.OrderLine{
			Product: r.Product,
			Count:   r.Count,
			Price:   moneyOrNil(r.Price, o.Currency),
		})
		return nil
	}, ids)
	queue(b, queries.ListOrderEvents, func(r orderEventRow) error {
		o := find[r.ShopOrder]
		e := inventory.OrderEvent{
			ID:       r.ID,
			Key:      r.Key,
			Kind:     inventory.OrderEventKind(r.Kind),
			Product:  orZero(r.Product),
			Count:    orZero(r.Count),
			Came:     orZero(r.Came),
			Price:    moneyOrNil(r.Price, o.Currency),
			Undoes:   orZero(r.Undoes),
			Note:     r.Note,
			Delivery: moneyOrNil(r.Delivery, o.Currency),
			Remark:   r.Remark,
		}
		e.At, e.DayOnly = given(r.At, r.Day, zone)
		if len(r.Pots) > 0 {
			e.Pots = r.Pots
		}
		o.Events = append(o.Events, e)
		return nil
	}, ids)
	return out, tx.SendBatch(ctx, b).Close()
}

func moneyOrNil(d *decimal.Decimal, currency string) *inventory.Money {
	if d == nil {
		return nil
	}
	m := money(*d, currency)
	return &m
}

// amountIn is money as a column of an order in that currency keeps it.
func amountIn(currency string, m *inventory.Money) (*decimal.Decimal, error) {
	if m == nil {
		return nil, nil
	}
	if m.Currency != currency {
		return nil, &Error{Kind: Invalid, Text: fmt.Sprintf("%s in an order in %s", m, currency)}
	}
	d, err := amount(*m)
	return &d, err
}
