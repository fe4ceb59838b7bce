package main

import (
	"context"
	"fmt"
	"time"

	"github.com/google/uuid"

	"scumble/internal/access"
	"scumble/internal/restoration"
	"scumble/internal/store"
)

// What the first car of every shop is like; the others are its clones.
const (
	piecesPerCar   = 60
	eventsPerPiece = 25 // 200 cars × 60 pieces × 25 entries are 300,000 rows of the ledger
	// Pieces below ordinary have a next step that may be ticked at once. Behind them
	// come finished, held, waiting and sent-back ones.
	ordinary = 49

	ownerName, ownerPassword = "Load Owner", "load-test-owner"
	technicians              = 8
	technicianPIN            = "4826"
)

// doneSteps is how many steps of an ordinary piece are done, by its place on the
// list. None stands between stripped and primed: that recoat window shuts within a
// day, and a shop whose every car has run out of it would be no usual one.
var doneSteps = []int{0, 2, 3, 4, 5, 6, 7}

// driver enters history through the store, under a clock of its own.
type driver struct {
	store *store.Store
	clock time.Time
	by    restoration.Actor
}

// workFirstCar migrates the database and fills it with the house and one car, worked
// on for three months through the ledger.
func workFirstCar(ctx context.Context, url string) error {
	if err := store.Migrate(ctx, url); err != nil {
		return err
	}
	d := &driver{}
	s, err := store.Open(ctx, url, store.Options{Now: func() time.Time { return d.clock }})
	if err != nil {
		return err
	}
	defer s.Close()
	now := time.Now().UTC().Truncate(time.Second)
	d.store, d.clock = s, now.AddDate(0, 0, -85)
	if err := d.house(ctx); err != nil {
		return err
	}
	car, err := s.NewCar(ctx, d.by, restoration.Car{WorkOrder: "26-001", Name: "1937 Kestle Eight no. 1", Body: "saloon",
		Customer: "A. Customer", Quality: restoration.QualityShow, State: restoration.CarSurvey,
		ArrivedOn: d.clock.Truncate(24 * time.Hour), PromisedOn: now.AddDate(0, 1, 0).Truncate(24 * time.Hour),
		Ground: "#9a6a3c", Grain: "#3b2413"}, trimList())
	if err != nil {
		return err
	}
	pieces, err := s.CarPieces(ctx, car.ID)
	if err != nil {
		return err
	}
	for _, p := range pieces {
		if err := d.work(ctx, p, now); err != nil {
			return fmt.Errorf("piece %d: %w", p.Order, err)
		}
	}
	return nil
}

// house makes the people; tablets are enrolled through their page.
func (d *driver) house(ctx context.Context) error {
	password, err := access.HashSecret(ownerPassword)
	if err != nil {
		return err
	}
	owner, err := d.store.CreateOwner(ctx, ownerName, password)
	if err != nil {
		return err
	}
	d.by.PersonID = owner.ID
	pin, err := access.HashSecret(technicianPIN)
	for i := range technicians {
		if err == nil {
			_, err = d.store.AddPerson(ctx, d.by, fmt.Sprintf("Load Technician %d", i+1), restoration.RoleTechnician, "", pin)
		}
	}
	return err
}

func trimList() []restoration.NewPiece {
	zones := restoration.Zones()
	sizes := []float64{0.03, 0.12, 0.4}
	list := make([]restoration.NewPiece, piecesPerCar)
	for i := range list {
		area := sizes[i%len(sizes)]
		list[i].Details = restoration.Details{Name: fmt.Sprintf("Moulding %d", i+1), Zone: zones[i*len(zones)/piecesPerCar], Order: i,
			AreaM2: area, BothM2: 2 * area, Size: restoration.SizeOf(area), Mounting: restoration.MountBench, Metal: "steel",
			Grade: 1 + i%5}
		list[i].LiesAt = "rack"
	}
	return list
}

// work brings a piece to where its place on the list says that it stands.
func (d *driver) work(ctx context.Context, p restoration.Piece, now time.Time) error {
	done, last := doneSteps[p.Order%len(doneSteps)], now.AddDate(0, 0, -10)
	switch {
	case p.Order < ordinary:
	case p.Order < 54:
		done = len(p.Steps) // finished
	case p.Order == 55, p.Order == 56, p.Order == 57:
		done, last = 6, now.Add(-time.Hour) // cleared just now: hardens before it is cut
	case p.Order > 57:
		done = 7
	}
	entries := 1 // its opening
	enter := func(e restoration.Event) error {
		entries++
		return d.enter(ctx, e)
	}
	for i, step := range p.Steps[:done] {
		// A week apart, so that no wait is broken.
		at := last.AddDate(0, 0, -8*(done-1-i))
		for _, e := range stepEntries(step, at) {
			if err := enter(e); err != nil {
				return err
			}
		}
	}
	if e, ok := fate(p, last.Add(time.Minute)); ok {
		if err := enter(e); err != nil {
			return err
		}
	}
	for entries < eventsPerPiece {
		if err := enter(filler(p, done, entries, last.Add(time.Duration(entries)*time.Minute))); err != nil {
			return err
		}
	}
	return nil
}

// stepEntries take a step from open to done at an hour.
func stepEntries(s restoration.Step, at time.Time) []restoration.Event {
	hours := max(s.Planned.Likely/2, 15)
	return []restoration.Event{
		{Kind: restoration.KindStart, StepID: s.ID, At: at.Add(-2 * time.Hour), Payload: restoration.Payload{Checks: checks(s.Stage)}},
		{Kind: restoration.KindLogTime, StepID: s.ID, At: at.Add(-time.Hour), Payload: restoration.Payload{Hours: &hours}},
		{Kind: restoration.KindTick, StepID: s.ID, At: at, Payload: restoration.Payload{Hours: &hours, Checks: checks(s.Stage)}},
	}
}

// fate is what else befell a piece.
func fate(p restoration.Piece, at time.Time) (restoration.Event, bool) {
	switch {
	case p.Order == 54:
		return restoration.Event{Kind: restoration.KindHold, PieceID: p.ID, At: at,
			Payload: restoration.Payload{Reason: "waits for the customer's word on the scheme"}}, true
	case p.Order > 57:
		return restoration.Event{Kind: restoration.KindSendBack, PieceID: p.ID, At: at,
			Payload: restoration.Payload{Stage: "grained", Defect: "cut-through", Reason: "seen in raking light"}}, true
	}
	return restoration.Event{}, false
}

// filler makes up the number of entries: hours on a done step, or the piece is moved.
func filler(p restoration.Piece, done, n int, at time.Time) restoration.Event {
	if done == 0 || n%2 == 0 {
		return restoration.Event{Kind: restoration.KindMove, PieceID: p.ID, At: at,
			Payload: restoration.Payload{Place: fmt.Sprintf("rack %d", n)}}
	}
	quarter := restoration.Minutes(15)
	return restoration.Event{Kind: restoration.KindLogTime, StepID: p.Steps[n%done].ID, At: at,
		Payload: restoration.Payload{Hours: &quarter}}
}

// enter enters e at its own hour; anything but applied is an error.
func (d *driver) enter(ctx context.Context, e restoration.Event) error {
	e.ID = newID()
	e.PersonID = d.by.PersonID
	d.clock = e.At
	outcomes, err := d.store.Enter(ctx, []restoration.Event{e})
	if err == nil && outcomes[0].Result != restoration.Applied {
		err = fmt.Errorf("%s was %s: %s", e.Kind, outcomes[0].Result, outcomes[0].Reason)
	}
	return err
}

// checks answers every check of a stage, and that a shut window was seen to.
func checks(stage string) []string {
	answered := []string{restoration.CheckScuffed}
	found, _ := restoration.StockRoute().Stage(stage)
	for _, c := range found.Checks {
		answered = append(answered, c.Key)
	}
	return answered
}

func newID() restoration.ID { return restoration.ID(uuid.Must(uuid.NewV7())) }
