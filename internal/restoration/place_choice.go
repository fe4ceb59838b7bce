package restoration

import (
	"cmp"
	"slices"
	"strings"
	"time"
)

// PlaceUseDays is how far back the moves to a place count for how much it is used.
const PlaceUseDays = 90

// PlaceUse is a place with what lies there.
type PlaceUse struct {
	Place
	Lying int // pieces of cars that are here
	Moves int // to it in the last [PlaceUseDays] days
}

// PlaceFit is what somebody found of how a place holds a kind of piece: well is with
// every side within reach.
type PlaceFit struct {
	PlaceID int64
	Piece   string // name of the kind, such as Ash tray
	Body    string // of the car; "" not said
	Well    bool
	Person  string
	At      time.Time
}

// About tells whether the fit is about a piece of that name from a car of that body.
func (f PlaceFit) About(piece, body string) bool {
	return strings.EqualFold(f.Piece, piece) && strings.EqualFold(f.Body, body)
}

// Words say how the place held the kind.
func (f PlaceFit) Words() string {
	if f.Well {
		return "holds it well"
	}
	return "holds it badly"
}

// PlaceChoice is a place that is offered for a piece.
type PlaceChoice struct {
	PlaceUse
	Fit *PlaceFit // nil: nobody has said how it holds such a piece
}

// ChoosePlaces lists the places in use for a piece of that name from a car of that body:
// those that held its kind well come first, those that held it badly last, between them
// what is used most. Where it lies now, at, is left out. Full ones keep their turn.
func ChoosePlaces(uses []PlaceUse, fits []PlaceFit, piece, body, at string) []PlaceChoice {
	said := map[int64]*PlaceFit{}
	for i, f := range fits {
		if f.About(piece, body) {
			said[f.PlaceID] = &fits[i]
		}
	}
	var list []PlaceChoice
	for _, u := range uses {
		if u.RetiredAt.IsZero() && !u.IsNamed(at) {
			list = append(list, PlaceChoice{u, said[u.ID]})
		}
	}
	slices.SortStableFunc(list, func(a, b PlaceChoice) int {
		return cmp.Or(cmp.Compare(a.rank(), b.rank()), cmp.Compare(b.Moves, a.Moves), cmp.Compare(a.Name, b.Name))
	})
	return list
}

func (c PlaceChoice) rank() int {
	switch {
	case c.Fit == nil:
		return 1
	case c.Fit.Well:
		return 0
	}
	return 2
}

// Lying is a piece where it lies.
type Lying struct {
	PieceID ID
	Car     *Car // never nil
	Details Details
	Label   string
	Look    Look
	LiesAt  string    // "" nobody has said
	Since   time.Time // it was put there
	Seen    time.Time // last entry of any kind
	Done    bool      // nothing is left to do on it
}

// UnseenDays is how long a piece goes without an entry before it is asked for, where
// nobody says otherwise.
const UnseenDays = 30

// NotSeen lists the pieces with work left of which nobody entered anything for so many
// days, longest first.
func NotSeen(list []Lying, now time.Time, days int) []Lying {
	before := now.AddDate(0, 0, -days)
	var lost []Lying
	for _, l := range list {
		if !l.Done && l.Seen.Before(before) {
			lost = append(lost, l)
		}
	}
	slices.SortStableFunc(lost, func(a, b Lying) int { return a.Seen.Compare(b.Seen) })
	return lost
}
