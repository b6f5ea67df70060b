// Package inventory is the nouns of the figure painter and their rules: paints,
// pots and what happened to them, figures, recipes, forces, jobs, shops, offers
// and the factors of the painter's hand. [Catalogue.Validate] and
// [Shelf.Validate] tell what is wrong with them.
//
// The rooms below work with them: shelf (what is left in a pot), estimate (what
// a force takes), hand (what readings teach), shopping (what to buy). All are
// functions of values: no clock, no file, no database, no screen.
//
// Things refer to each other by id: a short slug of lower-case letters,
// digits and hyphens (see [ValidID]).
package inventory
