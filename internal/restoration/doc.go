// Package restoration holds the rules of the shop: cars, their trim pieces, the
// route of stages each piece goes through, what may happen to a step, and the
// finish that is put on and taken off. Arithmetic of films, air and mixes is
// coating's, of colours colour's; this package says what follows from it for a piece.
//
// The package is pure. It knows no database, no HTTP and no clock: the hour at
// which something happened comes in with the event. An event is applied to a
// value and gives a new value and an outcome; a refusal is an outcome, not an
// error, because the ledger keeps it. What the shop knew of the film when an entry
// came ([Judge]) is kept with the entry ([Facts]), so that the ledger replays alone.
//
// Units: labour in whole minutes ([Minutes]), areas in m², films in µm, volumes in
// mL, money in the smallest coin, times as instants. The shop's time zone enters only
// where a calendar day is meant ([Calendar]).
package restoration
