package main

import (
	"fmt"

	"github.com/spf13/pflag"
)

// onceOnly makes a command's own flags refuse a second value: the library takes the
// last and drops the others without a word. A flag of all commands may come again,
// so that what an alias says can be overruled.
func onceOnly(flags *pflag.FlagSet) {
	flags.VisitAll(func(f *pflag.Flag) {
		switch f.Value.Type() {
		case "string", "int", "float64":
			f.Value = &onceValue{Value: f.Value, name: f.Name}
		}
	})
}

// onceValue is a flag's value that is given once.
type onceValue struct {
	pflag.Value
	name  string
	typed *string
}

func (v *onceValue) Set(typed string) error {
	if v.typed != nil && *v.typed != typed {
		return givenTwice(fmt.Sprintf("--%s is given twice, as %q and %q: expected once", v.name, *v.typed, typed))
	}
	v.typed = &typed
	return v.Value.Set(typed)
}

// givenTwice is the error of a flag that was given before with another value.
type givenTwice string

func (e givenTwice) Error() string { return string(e) }
