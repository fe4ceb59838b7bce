package store

import (
	"maps"
	"slices"

	"scumble/internal/restoration"
)

// enterPhoto does to the photos what an applied entry does.
func (r *replay) enterPhoto(e restoration.Event) {
	p, _ := r.book.Piece(e.PieceID)
	if ph, ok := restoration.PhotoOf(p, e); ok {
		r.photos[e.ID] = ph
	}
}

var photoNames = []string{"photo_id", "component_id", "car_id", "step_id", "stage", "pass", "at", "person_id", "note"}

func photoValues(ph restoration.PiecePhoto) []any {
	return []any{ph.Photo, ph.PieceID, ph.CarID, ph.StepID, ph.Stage, ph.Pass, &ph.At, ph.PersonID, ph.Note}
}

// comparePhotos holds the photos that the ledger tells of against their rows.
func (r *replay) comparePhotos(stored []restoration.PiecePhoto) {
	told := maps.Clone(r.photos)
	for _, ph := range stored {
		if is, ok := told[ph.EventID]; ok {
			r.columns("photo "+ph.EventID.String(), photoNames, photoValues(ph), photoValues(is))
			delete(told, ph.EventID)
		} else {
			r.differ("photo %v is stored, but the ledger doesn't tell of it", ph.EventID)
		}
	}
	for _, id := range slices.SortedFunc(maps.Keys(told), func(a, b restoration.ID) int { return slices.Compare(a[:], b[:]) }) {
		r.differ("photo %v is told by the ledger, but is not stored", id)
	}
}
