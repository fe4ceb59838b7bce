package restoration

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"time"
)

// PlaceKind says what a place is.
type PlaceKind string

// The kinds of places. The words are kept.
const (
	PlaceRack   PlaceKind = "rack"
	PlaceHook   PlaceKind = "hook"
	PlaceShelf  PlaceKind = "shelf"
	PlaceBooth  PlaceKind = "booth"
	PlaceDrying PlaceKind = "drying room"
	PlaceCar    PlaceKind = "in the car"
	PlaceOut    PlaceKind = "out at"
	PlaceOther  PlaceKind = "other"
)

// PlaceKinds lists the kinds in the order in which they are offered.
func PlaceKinds() []PlaceKind {
	return []PlaceKind{PlaceRack, PlaceHook, PlaceShelf, PlaceBooth, PlaceDrying, PlaceCar, PlaceOut, PlaceOther}
}

// MaxHolds is the most pieces that a place may be said to hold.
const MaxHolds = 1000

// Place is somewhere that pieces lie. A piece lies there when what its last move says is
// the place's name, in any case: a move to a name that no place has is as good.
type Place struct {
	ID        int64
	Name      string
	Kind      PlaceKind
	Holds     int    // pieces; 0: no limit
	Code      string // on its label, see [NewPlaceCode]
	CreatedAt time.Time
	RetiredAt time.Time // zero: it is offered
}

// Check lists what can't be right about a place as somebody describes it, each at its
// field: name, kind, holds.
func (p Place) Check() []*Problem {
	var found []*Problem
	if wrong := CheckName("name", "A place", p.Name); wrong != nil {
		found = append(found, wrong)
	}
	if !slices.Contains(PlaceKinds(), p.Kind) {
		found = append(found, Problemf(TroubleInvalid, "kind", "Choose what the place is."))
	}
	if p.Holds < 0 || p.Holds > MaxHolds {
		found = append(found, Problemf(TroubleInvalid, "holds", "A place holds from 1 to %d pieces; leave it empty for no limit.", MaxHolds))
	}
	return found
}

// Full tells whether nothing more goes where so many pieces lie.
func (p Place) Full(lying int) bool { return p.Holds > 0 && lying >= p.Holds }

// Fullness says how much lies at the place: "5 of 8", "8 of 8, full", "3 pieces".
func (p Place) Fullness(lying int) string {
	switch {
	case p.Holds > 0 && p.Full(lying):
		return fmt.Sprintf("%d of %d, full", lying, p.Holds)
	case p.Holds > 0:
		return fmt.Sprintf("%d of %d", lying, p.Holds)
	case lying == 1:
		return "1 piece"
	}
	return fmt.Sprintf("%d pieces", lying)
}

// IsNamed tells whether a piece that was moved to name lies at the place.
func (p Place) IsNamed(name string) bool { return strings.EqualFold(p.Name, name) }

// MoveFacts is what the shop knows of a move to p, where so many other pieces lie: a
// place that is full is warned of and never refused, for the piece is there already when
// it is entered. Nil is nothing to warn of.
func MoveFacts(p Place, lying int) *Facts {
	if !p.Full(lying) {
		return nil
	}
	return &Facts{Warnings: []string{p.Name + " is full: " + fmt.Sprintf("%d of %d with this one.", lying+1, p.Holds)}}
}

// LiesThere is what the shop knows of a move of the piece to where it lies: nothing moves.
// Nil is a move to another place, or to none that is known.
func (p Piece) LiesThere(to string) *Facts {
	if to == "" || p.LiesAt != to {
		return nil
	}
	return &Facts{LiesThere: true}
}

// A place's code is written in the signs of a piece's, and one longer: it begins with
// placeSign and ends with a check sign over all before. Length and first sign tell the two
// apart, so that a scan knows which it has without asking the shop.
const (
	placeSign       = "P"
	PlaceCodeLength = LabelLength + 1
)

// NewPlaceCode draws the code of a place from random bytes.
func NewPlaceCode(random io.Reader) (string, error) {
	return drawCode(random, placeSign, PlaceCodeLength)
}

// IsPlaceCode tells whether a code that was read is a place's rather than a piece's.
func IsPlaceCode(code string) bool {
	return len(code) == PlaceCodeLength && strings.HasPrefix(code, placeSign)
}

// CheckAnyCode reads a typed code of a piece or a place, as [CheckLabel] does.
func CheckAnyCode(typed string) (string, error) {
	code := foldCode(typed)
	if !IsPlaceCode(code) {
		return CheckLabel(code)
	}
	if err := checkCode(code); err != nil {
		return "", err
	}
	return code, nil
}
