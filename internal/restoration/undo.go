package restoration

import "time"

// UndoDays is how long what was taken away can be brought back.
const UndoDays = 30

// UndoUntil is the end of the time in which something taken away at t can be brought
// back.
func UndoUntil(t time.Time) time.Time { return t.AddDate(0, 0, UndoDays) }

// MayUndo tells whether something taken away at t can still be brought back. What was
// not taken away (the zero time) can't.
func MayUndo(t, now time.Time) bool { return !t.IsZero() && now.Before(UndoUntil(t)) }

// RetiredRoute is a route that was taken off the shop's list.
type RetiredRoute struct {
	ID   int64
	Name string
	At   time.Time
}

// DroppedScheme is a finish of a car that was deleted and can still be brought back.
type DroppedScheme struct {
	Scheme    Scheme
	DroppedAt time.Time
}
