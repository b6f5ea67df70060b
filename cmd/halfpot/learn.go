package main

import (
	"context"
	"fmt"

	"halfpot/inventory"
	"halfpot/inventory/hand"
	"halfpot/inventory/shelf"
)

// learn works out what the pots have taught so far. Nothing of it is stored:
// it follows from the pots' events, so a correction mends it too. Stored are
// only the painter's own words: factors pinned or reset, odd readings accepted.
func (a *app) learn(ctx context.Context, st *state, book *shelf.LevelBook) error {
	seen, untold, err := hand.Observations(book, st.cat, &st.shelf, st.at)
	if err != nil {
		return err
	}
	said, err := a.opened.store.Settings(ctx)
	if err != nil {
		return err
	}
	for i := range seen {
		seen[i].Accepted = said[acceptedName(seen[i])] == "yes"
	}
	history, err := a.opened.store.FactorHistory(ctx, "", "")
	if err != nil {
		return err
	}
	var settings []inventory.FactorChange
	for _, h := range history {
		if h.Change == hand.FactorPinned || h.Change == hand.FactorReset {
			settings = append(settings, inventory.FactorChange{Factor: h.Factor, Change: h.Change, Note: h.Note})
		}
	}
	st.untold = untold
	st.lesson = hand.Learn(st.byID, seen, settings, inventory.DefaultLearnRules())
	return nil
}

// acceptedName is the setting by which an odd reading is accepted.
func acceptedName(o hand.Observation) string {
	return fmt.Sprintf("accepted-%s-%d", o.Pot, o.To.Unix())
}
