// Package textfile reads and writes what the painter keeps in files: CSV for
// lists, TOML for whatever nests.
//
// # CSV
//
// RFC 4180 in UTF-8 with a header row; a byte order mark is passed over. The
// columns stand in any order. Their names count in any case, with a space, a
// hyphen or an underscore between words ("Volume solids" is volume-solids). A
// column that is not known is an error. Lines before the header that begin with
// "# " are notes and passed over. What the rows are is told by the file's
// name where that is one of the kinds below ("offers.csv"), else by the header:
//
//	paints      id maker range name* code type* colour volume-solids density
//	products    id name code paint* volume* count        (a set: rows with the same id;
//	                                                  a code that is a barcode is checked)
//	shops       id name* currency* min-order
//	delivery    shop* from* fee*                          (bands of a shop in the same load)
//	offers      product* shop* price* limit
//	stand-ins   for* use* compromise either-way note other-kind
//	pots        id paint* product size* bought full judged opened cost place tare
//	pot-events  pot* number kind* at* volume fraction gross tare estimated undoes job note moment key
//
// Columns with a star must be there and filled in.
//
// # TOML
//
// The same things with the same field names as arrays of tables ([[paints]],
// [[products]] with contents, [[shops]] with delivery, [[offers]], [[stand-ins]],
// [[pots]] with events) and, in TOML only, [[figures]], [[recipes]] and
// [[forces]]; the demo scenario in testdata shows every field.
//
// # Values
//
// Volumes, lengths, areas, masses, films and times carry their unit ("17 ml",
// "174 cm", "4.9 cm2", "38.4 g", "35 um", "30 min"); money its currency
// ("12.50 EUR"), or the shop's where the shop is in the same load. Shares are
// "35 %" or 0.35. Dates are 2026-11-25, or with a time as in RFC 3339; a date is the
// painter's own day and kept as one. Yes and
// no are yes, no, true, false. Blanks around a value do not count.
//
// # Copies
//
// The key of an event is its own from birth: by it the event is known again,
// wherever a copy is loaded. Leave it empty for what you write yourself. The
// moment, which only copies have, is the time a day is reckoned with.
//
// # Ids
//
// A paint without an id gets a slug of maker, range and name; a product that of
// its paint and size ("bone-tone-17-ml"); a shop that of its name; a pot its
// paint's, numbered from the second on ("bone-tone-2").
//
// # Spreadsheets
//
// A spreadsheet may run a cell that begins with = + - @ or a tab. The writers put
// an apostrophe before such text, and before text that begins with one; the
// readers take it away again, so nothing is lost. Numbers are left alone.
//
// # Faults
//
// Reading gathers every fault with file, line and column. Those of one record
// are found by [Read], those between records (a paint that does not exist) by
// [Bundle.Check], which knows what is stored and gives all of them together.
// Nothing is to be kept of a bundle with faults.
package textfile
