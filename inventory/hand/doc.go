// Package hand learns the painter's hand: how much more or less than the tables
// say is really used.
//
// What two readings of a pot teach is found by [Observations]; [Learn] turns
// it, with the painter's pins and resets, into the factors that estimates take.
// Nothing of this need be stored: it follows from the pots' events.
package hand
