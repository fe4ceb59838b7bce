package restoration

import (
	"cmp"
	"maps"
	"slices"
)

// Book is the ledger of one car in memory: entering every event of the car, in the
// order in which they arrived, gives the projection. It is what the database must
// agree with.
type Book struct {
	Car    Car
	pieces map[ID]Piece
	routes map[int64]Route
	seen   map[ID]Outcome
}

// NewBook opens the book of a car that has just been taken in. routes holds every
// version that its pieces name.
func NewBook(c Car, routes map[int64]Route) *Book {
	return &Book{Car: c, pieces: map[ID]Piece{}, routes: routes, seen: map[ID]Outcome{}}
}

// Expect puts a piece on the car before its opening, with what its opening does not
// say of it.
func (b *Book) Expect(p Piece) { b.pieces[p.ID] = p }

// Enter applies an event. The same id a second time changes nothing and gets the
// same answer.
func (b *Book) Enter(e Event) Outcome {
	if out, ok := b.seen[e.ID]; ok {
		return out
	}
	out := b.apply(e)
	b.seen[e.ID] = out
	return out
}

func (b *Book) apply(e Event) Outcome {
	if e.Kind == KindSettle {
		return applied()
	}
	if e.Kind.AboutCar() {
		car, out := ApplyCar(b.Car, b.Pieces(), e)
		b.Car = car
		return out
	}
	p, ok := b.pieces[e.PieceID]
	if !ok {
		return refused("The car has no such piece.")
	}
	route := b.routes[cmp.Or(e.RouteID, p.RouteID)]
	next, out := Apply(b.Car.State, p, route, e)
	b.pieces[p.ID] = next
	b.Car.State = CarAfter(b.Car.State, e.Kind, out.Result)
	return out
}

// Piece gives a piece as it stands.
func (b *Book) Piece(id ID) (Piece, bool) {
	p, ok := b.pieces[id]
	return p, ok
}

// Route gives one of the routes that the book was opened with.
func (b *Book) Route(id int64) Route { return b.routes[id] }

// Pieces lists the car's pieces as they stand, removed ones too, by id.
func (b *Book) Pieces() []Piece {
	return slices.SortedFunc(maps.Values(b.pieces), func(a, c Piece) int { return slices.Compare(a.ID[:], c.ID[:]) })
}
