// Package trimlist reads and writes the tables that a shop brings and takes away:
// trim lists of a car, lists of cars, and the lists of body styles that ship.
//
// A table is CSV after RFC 4180, UTF-8 with or without a byte order mark, comma or
// semicolon, CRLF or LF, with a header in plain English. Reading never stops at
// the first fault: every fault of the file comes back at once with its line, its
// column and what to do. Reading is bounded by [MaxBytes], [MaxRows] and
// [MaxColumns].
//
// Units: areas in m², money in the smallest coin, dates as midnight UTC.
//
// The package is pure. Whether a car, a route or a work order exists is for the
// caller to know, and so is what becomes of a table that has faults; the rule of
// the shop is all or nothing.
package trimlist
