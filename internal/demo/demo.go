package demo

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	"scumble/internal/access"
	"scumble/internal/restoration"
	"scumble/internal/store"
)

// State is what a database holds, seen by the demo.
type State int

// The states. StateHalf is a demo whose loading was cut off, StateForeign a shop
// that is not the demo's.
const (
	StateEmpty State = iota
	StateHalf
	StateLoaded
	StateForeign
)

// Look tells what the database of s holds. A demo is known by its people and its
// cars, whatever else a visitor has changed.
func Look(ctx context.Context, s *store.Store) (State, error) {
	cars, err1 := s.ListCars(ctx)
	people, err2 := s.People(ctx)
	settings, err3 := s.Settings(ctx)
	if err := errors.Join(err1, err2, err3); err != nil {
		return StateForeign, fmt.Errorf("look for the demo: %w", err)
	}
	ourPeople := slices.ContainsFunc(people, func(p restoration.Person) bool {
		return slices.ContainsFunc(Cast(), func(c Person) bool { return c.Name == p.Name })
	})
	ourCars := slices.ContainsFunc(cars, func(c restoration.Car) bool {
		return slices.ContainsFunc(specs(), func(s spec) bool { return s.car.Name == c.Name })
	})
	switch {
	case len(cars) == 0 && len(people) == 0:
		return StateEmpty, nil
	case !ourPeople, len(cars) > 0 && !ourCars:
		return StateForeign, nil
	case settings.ShopName == restoration.StockSettings().ShopName: // its own come last
		return StateHalf, nil
	}
	return StateLoaded, nil
}

// Ensure sees to it that the migrated database at url holds the demo, and loads the story
// where there is none. What a visitor changed is kept, unless the demo is to begin afresh.
// A shop that is not the demo's is a Conflict and is left alone.
func Ensure(ctx context.Context, url string, afresh bool, story *Story) error {
	state, err := look(ctx, url)
	switch {
	case err != nil:
		return err
	case state == StateForeign:
		return restoration.Problemf(restoration.TroubleConflict, "",
			"This database holds a shop of its own, so the demo is not loaded into it. Name an empty database, or none.")
	case state == StateLoaded && !afresh:
		return nil
	case state != StateEmpty:
		if err := reset(ctx, url); err != nil {
			return fmt.Errorf("begin the demo afresh: %w", err)
		}
	}
	if err := load(ctx, url, story); err != nil {
		return fmt.Errorf("load the demo: %w", err)
	}
	return nil
}

func look(ctx context.Context, url string) (State, error) {
	s, err := store.Open(ctx, url, store.Options{MaxConns: 1})
	if err != nil {
		return StateForeign, err
	}
	defer s.Close()
	return Look(ctx, s)
}

// reset takes a database back to that of a new shop: everything in it is lost.
func reset(ctx context.Context, url string) error {
	if err := store.Unmigrate(ctx, url); err != nil {
		return err
	}
	return store.Migrate(ctx, url)
}

// visitor is the name of the tablet that a start's code is for.
const visitor = "Visitor's tablet"

// CodeLife is how long the enrolment code of a start is good.
const CodeLife = 12 * time.Hour

// NewCode gives a fresh code by which a visitor's tablet may enrol, until
// [CodeLife] after now. The code of an earlier start that nobody used is void.
func NewCode(ctx context.Context, s *store.Store, now time.Time) (code string, err error) {
	devices, err := s.Devices(ctx)
	if err != nil {
		return "", err
	}
	for _, d := range devices {
		if d.Name == visitor && d.EnrolledAt.IsZero() && d.RevokedAt.IsZero() {
			if err := s.RevokeDevice(ctx, restoration.Actor{}, d.ID); err != nil {
				return "", err
			}
		}
	}
	code, hash, err := access.NewCode()
	if err != nil {
		return "", err
	}
	_, err = s.AddDevice(ctx, restoration.Actor{}, visitor, hash, now.Add(CodeLife))
	return code, err
}
