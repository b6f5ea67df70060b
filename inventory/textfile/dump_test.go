package textfile

import (
	"fmt"
	"io"
	"reflect"
	"time"

	"github.com/shopspring/decimal"
)

// dump writes a value with its pointers followed, times in UTC and decimals in
// their shortest form, so that equal values look equal.
func dump(w io.Writer, v any) { dumpValue(w, reflect.ValueOf(v)) }

func dumpValue(w io.Writer, v reflect.Value) {
	switch x := v.Interface().(type) {
	case decimal.Decimal:
		fmt.Fprint(w, x.String())
		return
	case time.Time:
		fmt.Fprint(w, x.UTC().Format(time.RFC3339Nano))
		return
	}
	switch v.Kind() {
	case reflect.Pointer:
		if v.IsNil() {
			fmt.Fprint(w, "nil")
			return
		}
		fmt.Fprint(w, "&")
		dumpValue(w, v.Elem())
	case reflect.Struct:
		fmt.Fprint(w, "{")
		for i := range v.NumField() {
			fmt.Fprint(w, v.Type().Field(i).Name, ":")
			dumpValue(w, v.Field(i))
			fmt.Fprint(w, " ")
		}
		fmt.Fprint(w, "}")
	case reflect.Slice:
		fmt.Fprint(w, "[")
		for i := range v.Len() {
			dumpValue(w, v.Index(i))
			fmt.Fprint(w, "\n")
		}
		fmt.Fprint(w, "]")
	case reflect.String:
		fmt.Fprintf(w, "%q", v.String())
	default:
		fmt.Fprint(w, v.Interface())
	}
}
