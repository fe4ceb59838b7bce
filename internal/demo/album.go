package demo

import (
	"bytes"
	"context"
	"image/jpeg"
	"time"

	"scumble/internal/photos"
	"scumble/internal/restoration"
)

// album adds the photos that were taken of two pieces of the car whose customer has a
// link: as each came, and after some of its stages. The customer may see the last two of
// the first piece.
func (w *world) album() []Act {
	var acts []Act
	for _, link := range w.acts {
		if link.Kind != ActLink {
			continue
		}
		c := w.cars[link.Car]
		for n, i := range w.furthest(c, 2) {
			acts = append(acts, w.photographs(c, i, n == 0)...)
		}
	}
	return acts
}

// furthest gives the pieces of a car on which most is done, the first ones where several
// are as far.
func (w *world) furthest(c *carPlay, n int) []int {
	done := func(i int) (sum int) {
		for _, s := range c.piece(i).Steps {
			if s.State == restoration.StepDone && s.Pass == 1 {
				sum++
			}
		}
		return sum
	}
	var found []int
	for range min(n, len(c.ids)) {
		best := -1
		for i := range c.ids {
			taken := len(found) > 0 && found[0] == i
			if !taken && (best < 0 || done(i) > done(best)) {
				best = i
			}
		}
		found = append(found, best)
	}
	return found
}

// photographs are the photos of one piece; with shown, the customer may see the last two.
func (w *world) photographs(c *carPlay, piece int, shown bool) []Act {
	id := c.ids[piece]
	take := func(at time.Time, look restoration.Look, person int64) Act {
		return Act{Kind: ActPhoto, At: at, Car: c.index, Look: look, Event: restoration.Event{ID: w.newID(at), Kind: restoration.KindPhoto,
			PieceID: id, PersonID: person, DeviceID: tablet, At: at}}
	}
	acts := []Act{take(c.arrival.Add(40*time.Minute), restoration.LookBare, w.hands[0].person)}
	for _, s := range c.piece(piece).Steps {
		stage, _ := w.route.Stage(s.Stage)
		switch stage.Look {
		case restoration.LookStripped, restoration.LookGrounded, restoration.LookGrained, restoration.LookCleared:
			if s.State == restoration.StepDone {
				acts = append(acts, take(s.DoneAt, stage.Look, s.DoneBy))
			}
		}
	}
	for i := range acts {
		acts[i].Shown = shown && i >= len(acts)-2
	}
	return acts
}

// develop draws the photos of a tale, by the id of their entry. It takes some tenths of a
// second.
func develop(t Tale) (map[restoration.ID]photos.Photo, error) {
	intake, pictures := photos.NewIntake(), map[restoration.ID]photos.Photo{}
	for _, a := range t.Acts {
		if a.Kind != ActPhoto {
			continue
		}
		car := t.Cars[a.Car].Car
		var file bytes.Buffer
		if err := jpeg.Encode(&file, draw(a.Look, hexColour(car.Ground), hexColour(car.Grain), float64(a.Event.PieceID[15])), nil); err != nil {
			return nil, err
		}
		var err error
		if pictures[a.Event.ID], err = intake.Take(context.Background(), file.Bytes()); err != nil {
			return nil, err
		}
	}
	return pictures, nil
}

// photograph enters a photo of the tale, and lets the customer see it where the tale does.
func (l *loader) photograph(ctx context.Context, a Act) error {
	e := a.Event
	e.CarID, e.PieceID = l.cars[a.Car].ID, l.id(e.PieceID)
	e.PersonID, e.DeviceID = l.person(e.PersonID), l.tablet
	pictures, err := l.story.album()
	if err != nil {
		return err
	}
	if _, err := l.store.EnterPhoto(ctx, e, pictures[e.ID]); err != nil || !a.Shown {
		return err
	}
	return l.store.ShowPhoto(ctx, l.actor(owner), e.ID, true)
}
