package main

import (
	"fmt"
	"slices"

	"halfpot/inventory"
)

// usualForce is the force that is meant where none is named: the only one that
// is not finished, else the only one of these that is begun.
func usualForce(cat *inventory.Catalogue) (string, error) {
	byID := cat.Index()
	var open, begun []string
	for _, f := range cat.Forces {
		row := newForceRow(byID, f)
		if row.Done >= 1 || cat.Retired.Has("force", f.ID) {
			continue
		}
		open = append(open, f.ID)
		if row.Done > 0 {
			begun = append(begun, f.ID)
		}
	}
	switch {
	case len(open) == 1:
		return open[0], nil
	case len(begun) == 1:
		return begun[0], nil
	case len(open) == 0 && len(cat.Forces) == 1:
		return cat.Forces[0].ID, nil
	case len(cat.Forces) == 0:
		return "", &usageError{"there is no force yet", []string{"halfpot add force --help", "halfpot help files"}}
	case len(open) == 0:
		return "", &usageError{"which force? None is being painted", []string{"halfpot force list"}}
	}
	if len(begun) > 0 {
		open = begun
	}
	return "", &usageError{
		fmt.Sprintf("which force? %d are being painted: %s", len(open), listed(open)),
		[]string{"halfpot force list"},
	}
}

// forceOr finds the force that was typed, or the usual one for an empty text.
func forceOr(cat *inventory.Catalogue, typed string) (string, error) {
	if typed == "" {
		return usualForce(cat)
	}
	return lookup("force", typed, "halfpot force list", forceNames(cat))
}

// withForce puts the usual force before what was typed where that begins with a
// unit of it and not with a force.
func withForce(cat *inventory.Catalogue, args []string) []string {
	usual, err := usualForce(cat)
	if err != nil || len(args) == 0 {
		return args
	}
	if _, exact := fitting(args[0], forceNames(cat)); exact {
		return args
	}
	f := cat.Index().Forces[usual]
	units, exact := fitting(args[0], unitNames(*f))
	if len(units) == 0 {
		return args
	}
	// A beginning may fit a force as well: then the next word tells whether that is meant.
	if forces, _ := fitting(args[0], forceNames(cat)); !exact && len(forces) > 0 && len(args) > 1 {
		for _, id := range forces {
			if fit, _ := fitting(args[1], unitNames(*cat.Index().Forces[id])); len(fit) > 0 {
				return args
			}
		}
	}
	return slices.Insert(slices.Clone(args), 0, usual)
}
