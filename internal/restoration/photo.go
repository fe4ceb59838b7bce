package restoration

import (
	"slices"
	"strings"
	"time"
)

// PhotoSize is how large a photo is in pixels: the picture that is kept, and the small
// one for lists.
type PhotoSize struct{ Width, Height, SmallWidth, SmallHeight int }

// PiecePhoto is a photo of a piece: the entry that took it in, what it shows, and
// what the owner says of it.
type PiecePhoto struct {
	EventID  ID
	CarID    int64
	PieceID  ID
	Photo    string    // of the picture, in hexadecimal; several entries may have one
	StepID   ID        // the step that it was taken at; zero: none was named
	Stage    string    // key of the stage that it shows; "" before the first
	Pass     int       // in which the piece was
	At       time.Time // when it was taken
	PersonID int64
	Note     string

	PhotoSize
	Piece        string // title
	StageName    string // "" before the first
	StageLook    Look   // LookBare before the first
	Position     int    // of the stage on the piece's route; -1 before the first
	Person       string
	CustomerSees bool
	Removed      time.Time // zero: it is on the list
}

// PhotoOf gives the row that an applied entry adds to the photos of its piece, as the
// piece stands after it. A photo that names neither stage nor step shows the stage
// that the piece had reached when it was taken. False when the entry is no photo.
func PhotoOf(p Piece, e Event) (PiecePhoto, bool) {
	if e.Kind != KindPhoto {
		return PiecePhoto{}, false
	}
	ph := PiecePhoto{EventID: e.ID, CarID: p.CarID, PieceID: p.ID, Photo: e.Photo, StepID: e.StepID, Stage: e.Stage,
		Pass: p.LastPass(), At: e.At, PersonID: e.PersonID, Note: strings.TrimSpace(e.Note)}
	if ph.At.After(e.Arrived) {
		ph.At = e.Arrived // as [Apply] takes it
	}
	if i := p.stepIndex(e.StepID); i >= 0 {
		ph.Pass = p.Steps[i].Pass
		if ph.Stage == "" {
			ph.Stage = p.Steps[i].Stage
		}
	}
	if ph.Stage == "" {
		ph.Stage = p.reachedAt(ph.At)
	}
	return ph, true
}

// reachedAt is the key of the stage that the piece had reached at an hour; "" none. A
// photo may come long after it was taken.
func (p Piece) reachedAt(at time.Time) string {
	if !slices.ContainsFunc(p.Steps, func(s Step) bool { return s.DoneAt.After(at) }) {
		return p.Sum.Reached
	}
	var last Step
	for _, s := range p.Steps {
		if !s.DoneAt.IsZero() && !s.DoneAt.After(at) && !s.DoneAt.Before(last.DoneAt) {
			last = s
		}
	}
	return last.Stage
}

func (p Piece) stepIndex(id ID) int {
	return slices.IndexFunc(p.Steps, func(s Step) bool { return s.ID == id })
}

// photo takes in a picture of the piece. No step changes by it.
func (p *Piece) photo(r Route, e Event) Outcome {
	_, known := r.Stage(e.Stage)
	switch {
	case !isPhotoID(e.Photo):
		return refused("The entry has no picture. Take the photo again.")
	case !e.StepID.IsZero() && p.stepIndex(e.StepID) < 0:
		return refused("The piece has no such step. It may have been planned anew since: open the piece again.")
	case e.Stage != "" && !known:
		return refused("The piece has no such stage. Open the piece again.")
	}
	return applied()
}

// isPhotoID tells whether s is a SHA-256 in lower-case hexadecimal.
func isPhotoID(s string) bool { return len(s) == 64 && strings.Trim(s, "0123456789abcdef") == "" }

func photoAct(stage string) string {
	if stage == "" {
		return "Photo"
	}
	return "Photo, " + stage
}

// PhotoFilter chooses photos. Zero fields do not choose.
type PhotoFilter struct {
	CarID   int64
	PieceID ID
	Shared  bool // only those that the customer may see, of pieces on the list
	Removed bool // those that were taken away instead of those on the list
}
