package postgres

import (
	"reflect"
	"time"

	"github.com/shopspring/decimal"

	"halfpot/inventory"
)

// same tells whether two values of the trade say the same: money and decimals
// whatever their number of decimals, times to the microsecond in any zone, and
// an empty list like none.
func same(a, b any) bool { return sameValue(reflect.ValueOf(a), reflect.ValueOf(b)) }

func sameValue(a, b reflect.Value) bool {
	switch x := a.Interface().(type) {
	case decimal.Decimal:
		return x.Equal(b.Interface().(decimal.Decimal))
	case time.Time:
		return instant(x).Equal(instant(b.Interface().(time.Time)))
	case inventory.Money:
		y := b.Interface().(inventory.Money)
		noCurrency := x.IsZero() && (x.Currency == "" || y.Currency == "")
		return x.Amount.Equal(y.Amount) && (x.Currency == y.Currency || noCurrency)
	}
	switch a.Kind() {
	case reflect.Pointer:
		if a.IsNil() || b.IsNil() {
			return a.IsNil() && b.IsNil()
		}
		return sameValue(a.Elem(), b.Elem())
	case reflect.Slice:
		if a.Len() != b.Len() {
			return false
		}
		for i := range a.Len() {
			if !sameValue(a.Index(i), b.Index(i)) {
				return false
			}
		}
		return true
	case reflect.Map:
		return a.Len() == 0 && b.Len() == 0 || reflect.DeepEqual(a.Interface(), b.Interface())
	case reflect.Struct:
		for i := range a.NumField() {
			if !a.Type().Field(i).IsExported() { // only its own room knows what it says
				return reflect.DeepEqual(a.Interface(), b.Interface())
			}
			if !sameValue(a.Field(i), b.Field(i)) {
				return false
			}
		}
		return true
	}
	return a.Equal(b)
}

// compared is what a load means for the things of one kind.
type compared[T any] struct {
	fresh   []T // to be added
	changed []T // to be changed
	count   Count
}

// written are the things whose parts are written anew.
func (c compared[T]) written() []T { return append(append([]T{}, c.fresh...), c.changed...) }

func compare[T any](have, want []T, key func(T) string) compared[T] {
	known := make(map[string]T, len(have))
	for _, t := range have {
		known[key(t)] = t
	}
	var c compared[T]
	for _, t := range want {
		old, found := known[key(t)]
		switch {
		case !found:
			c.fresh = append(c.fresh, t)
		case same(old, t):
			c.count.Same++
		default:
			c.changed = append(c.changed, t)
		}
	}
	c.count.New, c.count.Changed = len(c.fresh), len(c.changed)
	return c
}
