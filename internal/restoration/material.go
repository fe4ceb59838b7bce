package restoration

import (
	"time"

	"scumble/internal/coating"
)

// Material is what the shop sprays, with its place in the shop's list.
type Material struct {
	ID      int64
	Retired time.Time // zero: in use
	coating.Material
}

// Lot is a tin of one part of a material.
type Lot struct {
	ID        int64
	Material  int64
	Part      int    // index into the material's parts; 0 is the paint itself
	Number    string // as printed on the tin
	AmountML  float64
	LeftML    float64 // what no coat has taken
	OpenedOn  time.Time
	ExpiresOn time.Time // last good day; zero: not said
	Note      string
	Closed    time.Time // used up or thrown away; zero: in use

	MaterialName string // where the reader has looked it up
}

// Trouble says in a sentence why a lot should not be used at a moment; "" nothing.
func (l Lot) Trouble(at time.Time, needML float64) string {
	switch {
	case !l.Closed.IsZero() && !l.Closed.After(at):
		return "Lot " + l.Number + " is closed: used up or thrown away."
	case !l.ExpiresOn.IsZero() && !at.Before(l.ExpiresOn.AddDate(0, 0, 1)):
		return "Lot " + l.Number + " is past its date, " + l.ExpiresOn.Format("2 Jan 2006") + "."
	case l.LeftML <= 0:
		return "Lot " + l.Number + " is empty by the book."
	case needML > l.LeftML:
		return "Lot " + l.Number + " holds less than this takes."
	}
	return ""
}
