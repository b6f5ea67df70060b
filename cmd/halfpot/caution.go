package main

import (
	"slices"

	"halfpot/cmd/halfpot/view"
	"halfpot/inventory"
	"halfpot/inventory/coverage"
)

// The one plain line shown where work can hurt. It defers to the label, the
// safety data sheet and local rules, and gives no limits or equipment of its
// own (general craft hygiene, as in the guides of consumer safety bodies).
const (
	cautionSpray   = "Spraying: outdoors or with real ventilation, away from flames, not into the lungs."
	cautionPigment = "Dry pigment: don't breathe the dust; keep food and drink away."
	cautionSolvent = "Solvent: open the window, no flames, gloves; rags dry flat outdoors, " +
		"nothing into the drain."
	cautionDefer = "The label, the maker's safety data sheet and local rules come first."
)

// caution writes what a recipe's steps call for, or nothing.
func caution(page *view.Page, r inventory.Recipe, byID *inventory.Index, used []*inventory.Paint) {
	spray := slices.ContainsFunc(r.Steps, func(s inventory.Step) bool {
		m := methodOf(byID, s)
		return m == coverage.SprayCan || m == coverage.Airbrush
	})
	cautionFor(page, spray, used)
}

func cautionFor(page *view.Page, spray bool, used []*inventory.Paint) {
	pigment := false
	for _, p := range used {
		spray = spray || p.Type.Aerosol()
		pigment = pigment || p.Type == inventory.PigmentType
	}
	text := ""
	if spray {
		text = cautionSpray + " "
	}
	if pigment {
		text += cautionPigment + " "
	}
	if text != "" {
		page.Gap()
		page.Note("%s", text+cautionDefer)
	}
}
