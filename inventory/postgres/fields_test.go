package postgres

import (
	"reflect"
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"

	"halfpot/inventory"
)

// A field that is added to the trade must be kept too. Here it shows: the
// examples must use every field, and other tests prove that what they use
// comes back as saved.
func TestExamplesUseEveryField(t *testing.T) {
	used := map[string]bool{}
	c := example()
	pots := examplePots()
	pots[0].Events[1].ID, pots[0].Events[1].Undoes, pots[0].Events[1].Job = 2, 1, "j" // other tests keep these
	pots[0].Events[1].Key = uuid.New()
	job := exampleJob("j")
	note(used, reflect.ValueOf(c))
	note(used, reflect.ValueOf(pots))
	order := exampleOrder()
	order.ID, order.Key, order.Events[0].Key = "order-1", uuid.New(), uuid.New() // given by the store
	note(used, reflect.ValueOf(order))
	for _, w := range job.Work {
		w.At, w.Job, w.Minutes = job.At, job.ID, job.Minutes
		note(used, reflect.ValueOf(w))
	}
	factor := inventory.Factor{
		Level:        inventory.PaintLevel,
		Key:          "k",
		LogMean:      1,
		LogSD:        1,
		Observations: 1,
		Pinned:       true,
		Updated:      noon,
	}
	note(used, reflect.ValueOf(factor))
	for _, learned := range []string{"WasteMean", "WasteSD", "Together", "JobFilm", "JobWaste"} {
		used["Factor."+learned] = true // worked out from the pots and stored nowhere
	}
	used["Force.Done"] = true                                 // logged by jobs
	used["Catalogue.Retired"] = true                          // a list of its own
	used["Catalogue.Tables"], used["Tables.set"] = true, true // kept as settings
	for _, v := range []any{c, inventory.Pot{}, inventory.Work{}, inventory.Order{}, factor} {
		for _, name := range fields(reflect.TypeOf(v), map[reflect.Type]bool{}) {
			if !used[name] {
				t.Errorf("no example uses %s", name)
			}
		}
	}
}

func plainStruct(t reflect.Type) bool {
	return t.Kind() == reflect.Struct && t != reflect.TypeFor[time.Time]() &&
		t != reflect.TypeFor[decimal.Decimal]()
}

// note marks the fields that are not zero somewhere within v.
func note(used map[string]bool, v reflect.Value) {
	switch {
	case v.Kind() == reflect.Pointer && !v.IsNil():
		note(used, v.Elem())
	case v.Kind() == reflect.Slice:
		for i := range v.Len() {
			note(used, v.Index(i))
		}
	case plainStruct(v.Type()):
		for i := range v.NumField() {
			if !v.Field(i).IsZero() {
				used[v.Type().Name()+"."+v.Type().Field(i).Name] = true
			}
			note(used, v.Field(i))
		}
	}
}

// fields names every field of a type and of the types within it.
func fields(t reflect.Type, seen map[reflect.Type]bool) []string {
	for t.Kind() == reflect.Pointer || t.Kind() == reflect.Slice {
		t = t.Elem()
	}
	if !plainStruct(t) || seen[t] {
		return nil
	}
	seen[t] = true
	var names []string
	for i := range t.NumField() {
		names = append(names, t.Name()+"."+t.Field(i).Name)
		names = append(names, fields(t.Field(i).Type, seen)...)
	}
	return names
}
