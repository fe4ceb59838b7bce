// Package restoration holds the rules of the shop: cars, their trim pieces, the
// route of stages each piece goes through, and what may happen to a step.
//
// The package is pure. It knows no database, no HTTP and no clock: the hour at
// which something happened comes in with the event. An event is applied to a
// value and gives a new value and an outcome; a refusal is an outcome, not an
// error, because the ledger keeps it.
//
// Units: labour in whole minutes ([Minutes]), areas in m², money in the smallest
// coin, times as instants. The shop's time zone enters only where a calendar day
// is meant ([Calendar]).
package restoration
