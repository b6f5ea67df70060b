// Package painting says how a recipe is painted at the bench: whether its order
// goes right, how long it takes, what to do in which sitting, and what goes on
// the sheet beside the palette. Values and rules; no clock, store or screen.
//
// Rules of order, waits and minutes are common practice with no source beside
// what is named. Waits and minutes are assumptions: a recipe's own wait comes
// first, and minutes learn from logged sittings.
//
// Waits say when the next step may follow in practice. They are no test results:
// words such as through-dry (ISO 9117-1) or dry to recoat (ASTM D1640) belong to
// tests on panels and are not used here.
package painting
