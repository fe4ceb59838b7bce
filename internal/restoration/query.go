package restoration

import "time"

// Actor is who asks for a change: a person at the office, or on a tablet.
type Actor struct {
	PersonID int64
	DeviceID int64 // 0: the office
}

// Work is a piece with something left to do in a car that is not delivered: what
// the bench lists, the day's view and the needs-a-look list are computed from.
// Piece.Steps is empty; Piece.Sum is filled.
type Work struct {
	Car          Car
	Piece        Piece
	Stage        Stage // the next one
	HandBy       int64 // person who has the next step in hand; 0 nobody
	HandName     string
	HandSince    time.Time
	Planned      Estimate // of the next step
	Logged       Minutes
	StepLeft     Minutes
	ReworkLeft   Minutes // the part of Piece.Sum.Left that does again what had been done
	NextPosition int     // of the next stage in the route
	Pass         int
}

// PieceChange is a change to several pieces at once; a nil field is left as it is.
type PieceChange struct {
	Zone         *Zone
	Set          *string
	Scheme       *string
	SchemeReason *string
	Mounting     *Mounting
	Grade        *int
	SteelGrade   *int
	RouteID      *int64
}

// HistoryFilter chooses rows of the ledger. Zero fields do not choose.
type HistoryFilter struct {
	CarID       int64
	PieceID     ID
	Kind        Kind  // "" all
	RefusedOpen bool  // refused and not yet settled
	Noted       bool  // applied, and with a note
	ByHour      bool  // in the order in which they happened, not arrived; ties as they arrived
	Before      int64 // only rows that come after the one with this Seq, in the order asked for
	Limit       int   // 0 is 100
}

// Change tells that the ledger or the office changed something. Seq 0 means that
// changes may have been missed: look again.
type Change struct {
	Seq     int64
	CarID   int64
	PieceID ID
	Kind    Kind
	Mark    string // from which a reader that is cut off after this change goes on
}

// Hit is one result of a search.
type Hit struct {
	WorkOrder string
	Car       string
	Customer  string
	PieceID   ID     // zero: the car itself
	Piece     string // name
	Label     string
	Zone      Zone
	Side      Side
}

// Title is the name of the piece with its side of the car, else that of the car.
func (h Hit) Title() string {
	if h.PieceID.IsZero() {
		return h.Car
	}
	return Details{Name: h.Piece, Zone: h.Zone, Side: h.Side}.Title()
}
