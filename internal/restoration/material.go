package restoration

import (
	"time"
	"unicode/utf8"

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

// mostTinML is the most that a tin may hold: a container of 1,000 L.
const mostTinML = 1_000_000

// Check lists what can't be right, each at its field: number, amount, part, opened,
// expires, note, and names amounts in the shop's unit. Nil is all right.
func (l Lot) Check(units Units) []*Problem {
	var found []*Problem
	add := func(field, format string, args ...any) {
		found = append(found, Problemf(TroubleInvalid, field, format, args...))
	}
	if n := utf8.RuneCountInString(l.Number); n == 0 || n > MaxName {
		add("number", "Give the tin its number as printed on it, 1 to %d characters.", MaxName)
	}
	if !(l.AmountML > 0 && l.AmountML <= mostTinML) {
		add("amount", "Say how much is in the tin, more than nothing and at most %s.", VolumeWords(mostTinML, units))
	}
	if l.Part < 0 {
		add("part", "Choose the part of the mix that the tin holds.")
	}
	if !l.OpenedOn.IsZero() && !l.ExpiresOn.IsZero() && l.ExpiresOn.Before(l.OpenedOn) {
		add("expires", "The tin was past its date when it was opened. Correct one of the two dates.")
	}
	if utf8.RuneCountInString(l.Note) > MaxNote {
		add("note", "The note is longer than %d characters. Shorten it.", MaxNote)
	}
	return found
}

// PastDate tells whether the tin's last good day is over.
func (l Lot) PastDate(at time.Time) bool {
	return !l.ExpiresOn.IsZero() && !at.Before(l.ExpiresOn.AddDate(0, 0, 1))
}

// Trouble says in a sentence why a lot should not be used at a moment for so many mL; ""
// nothing.
func (l Lot) Trouble(at time.Time, needML float64) string {
	short := l.short(needML)
	switch {
	case !l.Closed.IsZero() && !l.Closed.After(at):
		return "Lot " + l.Number + " is closed: used up or thrown away."
	case l.PastDate(at) && short != "":
		return "Lot " + l.Number + " is past its date, " + l.ExpiresOn.Format("2 Jan 2006") + ", and " + short + "."
	case l.PastDate(at):
		return "Lot " + l.Number + " is past its date, " + l.ExpiresOn.Format("2 Jan 2006") + "."
	case short != "":
		return "Lot " + l.Number + " " + short + "."
	}
	return ""
}

// short says that the tin has less than is wanted of it; "" it has as much.
func (l Lot) short(needML float64) string {
	switch {
	case l.LeftML <= 0:
		return "is empty by the book"
	case needML > l.LeftML:
		return "holds less than this takes"
	}
	return ""
}
