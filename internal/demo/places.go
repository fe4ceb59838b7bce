package demo

import (
	"context"
	"slices"

	"scumble/internal/restoration"
)

// The places of the shop, as moves name them.
const (
	rackA       = "Rack A"
	rackB       = "Rack B"
	hooks       = "Hooks by the door"
	benchShelf  = "Bench shelf"
	booth       = "Booth"
	drying      = "Drying room"
	inCar       = "In the car"
	atThePlater = "Quellborn Plating"
)

// places lists the shop's places. The hooks hold what hangs there, so that one place is
// full and no other.
func (w *world) places() []restoration.Place {
	roomy := func(name string, kind restoration.PlaceKind, holds int) restoration.Place {
		return restoration.Place{Name: name, Kind: kind, Holds: max(holds, len(w.lying(name))+6)}
	}
	return []restoration.Place{
		roomy(rackA, restoration.PlaceRack, 30), roomy(rackB, restoration.PlaceRack, 30), roomy(benchShelf, restoration.PlaceShelf, 40),
		roomy(booth, restoration.PlaceBooth, 12), roomy(drying, restoration.PlaceDrying, 40),
		{Name: hooks, Kind: restoration.PlaceHook, Holds: len(w.lying(hooks))},
		{Name: inCar, Kind: restoration.PlaceCar}, {Name: atThePlater, Kind: restoration.PlaceOut},
	}
}

// lying lists the pieces of the cars in work that lie at a place.
func (w *world) lying(place string) (list []on) {
	for _, c := range w.cars {
		for i := range c.ids {
			if !c.gone && c.piece(i).LiesAt == place {
				list = append(list, on{c, i})
			}
		}
	}
	return list
}

// holdWell says of two places that they hold well a kind of piece that lies there, of a
// car with whose body another one has come: for that one they are offered first.
func (w *world) holdWell() (said []Fit) {
	for _, place := range []string{rackA, rackB, drying, benchShelf} {
		list := w.lying(place)
		i := slices.IndexFunc(list, func(o on) bool { return o.car.part == partThick })
		if i >= 0 && len(said) < 2 {
			said = append(said, Fit{Place: place, Piece: list[i].car.told.Pieces[list[i].piece].Name, Body: list[i].car.told.Car.Body})
		}
	}
	return said
}

// Fit says that a place holds a kind of piece well.
type Fit struct{ Place, Piece, Body string }

// furnish brings in the places, and what was found of them.
func (l *loader) furnish(ctx context.Context) error {
	well := true
	for _, p := range l.tale.Places {
		made, err := l.store.AddPlace(ctx, l.actor(owner), p)
		if err != nil {
			return err
		}
		for _, f := range l.tale.Fits {
			if f.Place != made.Name {
				continue
			}
			if err := l.store.SayFit(ctx, restoration.Actor{PersonID: l.person(visited), DeviceID: l.tablet}, made.ID, f.Piece, f.Body, &well); err != nil {
				return err
			}
		}
	}
	return nil
}
