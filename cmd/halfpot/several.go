package main

import (
	"strings"

	"halfpot/inventory"
)

// together gives the names that were typed, one a word, or all words as one name
// where that fits one thing: a name of two words needs no quotes then.
func together(args []string, things []named) []string {
	if len(args) > 1 {
		if one := strings.Join(args, " "); len(first(fitting(one, things))) == 1 {
			return []string{one}
		}
	}
	return args
}

func first(fit []string, _ bool) []string { return fit }

// amounts cuts what was typed into names, of one or more words, and the amount
// that follows each.
func amounts(args []string) (pairs [][2]string, err error) {
	if len(args) == 2 {
		return [][2]string{{args[0], args[1]}}, nil
	}
	var name []string
	for i := 0; i < len(args); i++ {
		word := args[i]
		if len(name) > 0 && i+1 < len(args) && isAmount(word+" "+args[i+1]) { // "12 ml", "two thirds"
			i++
			word += " " + args[i]
		}
		if len(name) == 0 || !isAmount(word) {
			name = append(name, word)
			continue
		}
		pairs = append(pairs, [2]string{strings.Join(name, " "), word})
		name = nil
	}
	if len(name) > 0 {
		return nil, usagef("%s: expected an amount after it, like half, 1/3, 40%% or 6ml",
			strings.Join(name, " "))
	}
	return pairs, nil
}

func isAmount(word string) bool {
	_, err := inventory.ParseAmount(word, inventory.BarePieces)
	return err == nil
}
