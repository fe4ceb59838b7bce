package main

import (
	"context"
	"fmt"
	"slices"
	"time"

	"scumble/internal/coating"
	"scumble/internal/colour"
	"scumble/internal/restoration"
	"scumble/internal/store"
)

// What was done to the film of each piece of the film's shop.
const (
	coatsPerPiece  = 26
	passesPerPiece = 10
	deedsPerPiece  = coatsPerPiece + passesPerPiece + 4 // and a baseline, film, gloss and colour
	everyDeed      = 4 * time.Hour
)

// coatFirstCar brings every piece of the first car to its clear and enters what was
// sprayed on it, sanded off and measured in the last week, through the ledger.
func coatFirstCar(ctx context.Context, url string) error {
	d := &driver{}
	s, err := store.Open(ctx, url, store.Options{Now: func() time.Time { return d.clock }})
	if err != nil {
		return err
	}
	defer s.Close()
	now := time.Now().UTC().Truncate(time.Second)
	d.store, d.clock, d.by.PersonID = s, now.AddDate(0, 0, -9), 1
	paint, tin, err := d.lacquer(ctx)
	if err != nil {
		return err
	}
	car, err := s.FindCar(ctx, "26-001")
	if err != nil {
		return err
	}
	scheme := restoration.StockScheme(car.ID, "")
	scheme.ClearCoats, scheme.Materials, scheme.Gloss = 2*coatsPerPiece, map[coating.Layer]int64{coating.Clear: paint}, &colour.Gloss{GU: 86, Angle: 20}
	if _, err := s.SaveScheme(ctx, d.by, scheme); err != nil {
		return err
	}
	pieces, err := s.CarPieces(ctx, car.ID)
	if err != nil {
		return err
	}
	for _, p := range pieces {
		if err := d.clear(ctx, p, now.AddDate(0, 0, -8), paint, tin); err != nil {
			return fmt.Errorf("the film of piece %d: %w", p.Order, err)
		}
	}
	return nil
}

// lacquer finds the lacquer among the examples and puts a tin of it on the shelf.
func (d *driver) lacquer(ctx context.Context) (paint, tin int64, err error) {
	materials, err := d.store.Materials(ctx)
	if err != nil {
		return 0, 0, err
	}
	i := slices.IndexFunc(materials, func(m restoration.Material) bool { return m.Kind == coating.ClearLacquer })
	lot, err := d.store.SaveLot(ctx, d.by, restoration.Lot{Material: materials[i].ID, Number: "K 1", AmountML: 500_000})
	return materials[i].ID, lot.ID, err
}

// clear ticks what comes before the clear and enters the film of one piece.
func (d *driver) clear(ctx context.Context, p restoration.Piece, from time.Time, paint, tin int64) error {
	var clear restoration.Step
	for _, s := range p.Steps {
		if s.Current() && s.Stage == "cleared" {
			clear = s
		}
	}
	for _, s := range p.Steps {
		if !s.Current() || s.Settled() || s.Position >= clear.Position {
			continue
		}
		e := restoration.Event{Kind: restoration.KindTick, StepID: s.ID, At: from.Add(-time.Hour),
			Payload: restoration.Payload{Checks: checks(s.Stage), Reason: "load test"}}
		if err := d.enter(ctx, e); err != nil {
			return err
		}
	}
	for i, e := range filmEntries(p, clear, paint, tin) {
		e.At, e.Reason = from.Add(time.Duration(i)*everyDeed), "load test"
		if err := d.enter(ctx, e); err != nil {
			return err
		}
	}
	return nil
}

// filmEntries are what is done to a piece's film, in the order of time.
func filmEntries(p restoration.Piece, clear restoration.Step, paint, tin int64) []restoration.Event {
	read := func(r restoration.Reading) restoration.Event {
		return restoration.Event{Kind: restoration.KindReading, PieceID: p.ID, Payload: restoration.Payload{Reading: &r}}
	}
	entries := []restoration.Event{
		read(restoration.Reading{Kind: restoration.ReadColour, Lab: &colour.Lab{L: 48, A: 18, B: 32}}),
		read(restoration.Reading{Kind: restoration.ReadFilm, Spot: "Crest", Baseline: true, FilmUM: []float64{118, 120, 121}}),
	}
	passes := 0
	for n := 1; n <= coatsPerPiece; n++ {
		entries = append(entries, restoration.Event{Kind: restoration.KindCoat, StepID: clear.ID, Payload: restoration.Payload{
			Coat: &restoration.Coat{Number: n, Material: paint, Lots: []restoration.LotUse{{Lot: tin}}, ML: 20}}})
		if n%2 == 0 && passes < passesPerPiece {
			passes++
			entries = append(entries, restoration.Event{Kind: restoration.KindCutPass, StepID: clear.ID, Payload: restoration.Payload{
				Cut: &restoration.CutPass{Grade: "P2000", Wet: true}}})
		}
	}
	return append(entries,
		read(restoration.Reading{Kind: restoration.ReadFilm, Spot: "Crest", FilmUM: []float64{228, 229, 231}}),
		read(restoration.Reading{Kind: restoration.ReadGloss, Gloss: &colour.Gloss{GU: 86, Angle: 20}}))
}
