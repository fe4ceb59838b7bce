package restoration

import "time"

// Entry is one row of the ledger as a person reads it.
type Entry struct {
	Seq      int64 // order of arrival
	Event    Event
	Outcome  Outcome
	Piece    string // title: name with side
	Stage    string // name of the step's stage
	Pass     int    // of the step; 0 none
	Position int    // of the step in the order of work, from 0
	Person   string
	Device   string
	CarWO    string // work order
	Car      string // its name
	Settled  time.Time
	Through  bool // it was refused, and its piece took the same entry later; of hours, notes and photos, of the same person
}
