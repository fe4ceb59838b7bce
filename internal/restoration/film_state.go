package restoration

import "scumble/internal/coating"

// FilmState is how a piece's clear stands to its floor.
type FilmState string

// The states. A clear that is still being built lies under the floor by nature: that
// is no fault, and no warning.
const (
	FilmNone     FilmState = "none"     // nothing is known of the clear
	FilmBuilding FilmState = "building" // not all coats are on
	FilmEnough   FilmState = "enough"
	FilmNear     FilmState = "near"
	FilmDoubt    FilmState = "doubt" // its low is under the floor
	FilmUnder    FilmState = "under" // its likely film is
)

// StateOfFilm tells how the clear stands. building says that the piece is not cleared
// yet, as [Piece.Building] knows; an uncut clear below its build counts as that too.
func StateOfFilm(f coating.Film, s Scheme, building bool) FilmState {
	low := f.BelowFloor || f.NearFloor
	switch {
	case !f.Known():
		return FilmNone
	case low && (building || f.CutAway.IsZero() && f.Clear.Likely < s.BuildUM):
		return FilmBuilding
	case f.BelowFloor && f.Clear.Likely < s.FloorUM:
		return FilmUnder
	case f.BelowFloor:
		return FilmDoubt
	case f.NearFloor:
		return FilmNear
	}
	return FilmEnough
}

// Alert tells whether the state is to be drawn in red.
func (s FilmState) Alert() bool { return s == FilmDoubt || s == FilmUnder }

// Words is the state in words: colour never stands alone.
func (s FilmState) Words() string {
	switch s {
	case FilmBuilding:
		return "Still building"
	case FilmEnough:
		return "Above the floor"
	case FilmNear:
		return "Near the floor"
	case FilmDoubt:
		return "May be under the floor"
	case FilmUnder:
		return "Under the floor"
	}
	return "No clear logged"
}

// ClearCoats lists the coats of clear that count for ticking the clear: those of the
// present pass, and of earlier ones what no send-back went under. It stayed on the piece,
// and sprayed clear is not asked for twice.
func ClearCoats(p Piece, r Route, deeds []Deed) (coats []Deed) {
	under := p.passUnder(r)
	for _, d := range deeds {
		if d.Kind == KindCoat && d.Layer == coating.Clear && d.Pass >= under {
			coats = append(coats, d)
		}
	}
	return coats
}

// Finished tells whether nothing of the piece's route is left to do.
func (p Piece) Finished() bool { return p.Sum.Reached != "" && p.Sum.NextStage == "" }

// Building tells whether the piece has a clear stage that is still to be done.
func (p Piece) Building(r Route) bool {
	for _, s := range p.Steps {
		if stage, ok := r.Stage(s.Stage); ok && stage.Look == LookCleared && s.Current() && !s.Settled() {
			return true
		}
	}
	return false
}
