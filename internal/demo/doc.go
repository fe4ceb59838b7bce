// Package demo makes up a shop to look around in: five cars, their pieces, four
// people, and months of work that a shop might have done on them.
//
// [Tell] is pure: it plays the days of the shop on the rules of package
// restoration and gives what was entered, in the order of time. [Ensure] has
// that [Story] entered into a database as the shop would have, with a clock that goes
// along. No total is written: what the pages show follows from the entries alone. The film
// is told likewise: paints with sheets of the shop's own, tins, a finish for each
// car, coats sprayed in batches, cuts and readings. Of the car that is delivered
// only ground, grain, clear and gloss were logged, and only the last week is timed, so
// that the demo loads fast. Every piece lies at one of eight places.
//
// All people, cars, marques and places are invented. How long things take and
// what is said at the bench is common practice, no source.
package demo
