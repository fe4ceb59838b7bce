package bench

import (
	"scumble/internal/coating"
	"scumble/internal/restoration"
)

// thinDefect is the defect of a clear that is cut too thin; checkFloor the check of the
// cut that the film speaks against then.
const (
	thinDefect = "too-thin"
	checkFloor = "above-floor"
)

// filmAlert says in a sentence that the clear may be under its floor; "" it is not, or
// nobody knows.
func (in pieceInput) filmAlert(film coating.Film) string {
	state := restoration.StateOfFilm(film, in.Film.Scene.Scheme, in.Piece.Building(in.Route))
	if !state.Alert() {
		return ""
	}
	return state.Words() + ": as little as " + restoration.FilmWords(film.Edge.Low, in.Film.Scene.Units) + " of clear."
}

// thin tells whether the clear may be under its floor, as far as the finish is known.
func (in pieceInput) thin() bool { return in.Film != nil && in.filmAlert(in.film()) != "" }

// doubted marks the check of the floor as not holding where the film at the cut speaks
// against it: nobody states it by a touch on Save alone.
func (in pieceInput) doubted(list []checkLine, stage restoration.Stage) []checkLine {
	if stage.Look != restoration.LookCut || !in.thin() {
		return list
	}
	for i := range list {
		if list[i].Key == checkFloor {
			list[i].Fails, list[i].Doubt = true, "may be under the floor"
		}
	}
	return list
}

// backHref leads to what a piece with too thin a clear is sent back by. A form that is
// sent by get keeps the defect in a button's name and value.
func (v pieceView) backHref() string { return v.Path + "/back?defect=" + thinDefect }
