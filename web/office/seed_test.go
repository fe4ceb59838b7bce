package office

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
	"scumble/internal/store"
	"scumble/internal/trimlist"
)

// bench is a shop at work, for tests that need something to look at. Everything in it
// came about through the ledger.
type bench struct {
	t     testing.TB
	store *store.Store
	now   time.Time
	by    restoration.Actor // the owner
	ida   restoration.Person
	tom   restoration.Person
}

func newBench(t testing.TB, s *store.Store, owner restoration.Person, now time.Time) *bench {
	t.Helper()
	b := &bench{t: t, store: s, now: now, by: restoration.Actor{PersonID: owner.ID}}
	b.ida = b.technician("Ida Marl")
	b.tom = b.technician("Tom Ferrow")
	return b
}

func (b *bench) technician(name string) restoration.Person {
	b.t.Helper()
	p, err := b.store.AddPerson(b.t.Context(), b.by, name, restoration.RoleTechnician, "", "not a hash")
	require.NoError(b.t, err)
	return p
}

// takeIn takes in a car with the first n pieces of the saloon's list; 0 takes all.
func (b *bench) takeIn(c restoration.Car, n int) (restoration.Car, []restoration.Piece) {
	b.t.Helper()
	if c.Quality == "" {
		c.Quality = restoration.QualityShow
	}
	if c.Ground == "" {
		c.Ground, c.Grain = "#9a6a3c", "#3f2413"
	}
	body, ok := trimlist.FindBody("saloon")
	require.True(b.t, ok)
	list := body.Pieces
	if n > 0 {
		list = list[:n]
	}
	c, err := b.store.NewCar(b.t.Context(), b.by, c, list)
	require.NoError(b.t, err)
	return c, b.pieces(c)
}

func (b *bench) pieces(c restoration.Car) []restoration.Piece {
	b.t.Helper()
	pieces, err := b.store.CarPieces(b.t.Context(), c.ID)
	require.NoError(b.t, err)
	return pieces
}

// enter enters an event and wants the given result of it.
func (b *bench) enter(want restoration.Result, e restoration.Event) restoration.Outcome {
	b.t.Helper()
	if e.ID.IsZero() {
		e.ID = newID()
	}
	if e.At.IsZero() {
		e.At = b.now
	}
	if e.PersonID == 0 {
		e.PersonID = b.by.PersonID
	}
	out, err := b.store.Enter(b.t.Context(), []restoration.Event{e})
	require.NoError(b.t, err)
	require.Len(b.t, out, 1)
	require.Equal(b.t, want, out[0].Result, out[0].Reason)
	return out[0]
}

// tick ticks the piece's next n steps, the last of them at the given hour; each takes
// what was planned. A fortnight lies between the steps, longer than any wait.
func (b *bench) tick(p restoration.Piece, n int, who restoration.Person, last time.Time) {
	b.t.Helper()
	for i := range n {
		now, err := b.store.FindPiece(b.t.Context(), p.ID)
		require.NoError(b.t, err)
		e := b.work(now, who, restoration.KindTick)
		e.At = last.AddDate(0, 0, -10*(n-1-i))
		b.enter(restoration.Applied, e)
	}
}

// work is an event about the piece's next step, with every check answered and the
// planned hours.
func (b *bench) work(p restoration.Piece, who restoration.Person, kind restoration.Kind) restoration.Event {
	b.t.Helper()
	for _, s := range p.Steps {
		if s.ID == p.Sum.NextStep {
			hours := s.Planned.Likely
			return restoration.Event{Kind: kind, CarID: p.CarID, PieceID: p.ID, StepID: s.ID, PersonID: who.ID,
				Payload: restoration.Payload{Hours: &hours, Checks: b.checks(p)}}
		}
	}
	b.t.Fatalf("%s is finished", p.Name)
	return restoration.Event{}
}

func (b *bench) checks(p restoration.Piece) []string {
	b.t.Helper()
	route, err := b.store.FindRoute(b.t.Context(), p.RouteID)
	require.NoError(b.t, err)
	keys := []string{restoration.CheckScuffed}
	stage, _ := route.Stage(p.Sum.NextStage)
	for _, c := range stage.Checks {
		keys = append(keys, c.Key)
	}
	return keys
}

// day is a calendar day, so many days from now.
func (b *bench) day(days int) time.Time {
	y, m, d := b.now.Date()
	return time.Date(y, m, d+days, 0, 0, 0, 0, time.UTC)
}

// fill makes a shop with everything in it that the owner's pages show: cars at
// different stages, one late, one on hold, a piece sent back, one held, one that
// waits, one in hand, a refused entry, and a step done against its wait.
func (b *bench) fill() (late, young restoration.Car) {
	b.t.Helper()
	late, pieces := b.takeIn(restoration.Car{Name: "1936 Brennick Eight", Body: "saloon", Customer: "E. Marchetti-Lowe", Scheme: "Dark walnut",
		ArrivedOn: b.day(-80), PromisedOn: b.day(-3), Note: "Owner's mother drove it."}, 0)
	for i, p := range pieces {
		b.tick(p, i%8+1, b.ida, b.now.Add(-time.Duration(i%5*20+2)*time.Hour))
	}
	b.trouble(late)
	young, pieces = b.takeIn(restoration.Car{Name: "1949 Larkhall Ten", Body: "coupé", Customer: "Ørsted & Söhne", Scheme: "Bird's-eye maple",
		ArrivedOn: b.day(-10), PromisedOn: b.day(40), Ground: "#c08a4a", Grain: "#6b3d1a"}, 12)
	for _, p := range pieces[:5] {
		b.tick(p, 1, b.tom, b.now.Add(-30*time.Hour))
	}
	held, _ := b.takeIn(restoration.Car{Name: "1931 Ostrey Tourer", Customer: "Pell", ArrivedOn: b.day(-30), Ground: "#7a4a2a", Grain: "#24140a"}, 20)
	b.enter(restoration.Applied, restoration.Event{Kind: restoration.KindCarHold, CarID: held.ID, At: b.now.AddDate(0, 0, -9),
		Payload: restoration.Payload{Reason: "waits for the customer's word on the figure"}})
	return late, young
}

func (b *bench) trouble(c restoration.Car) {
	b.t.Helper()
	pieces := b.pieces(c)
	b.enter(restoration.Applied, restoration.Event{Kind: restoration.KindHold, CarID: c.ID, PieceID: pieces[3].ID, At: b.now.AddDate(0, 0, -6),
		Payload: restoration.Payload{Reason: "hinge pin to be found"}})
	b.enter(restoration.Applied, restoration.Event{Kind: restoration.KindSendBack, CarID: c.ID, PieceID: pieces[6].ID, PersonID: b.tom.ID,
		Payload: restoration.Payload{Defect: "cut-through", Stage: "grounded", Note: "edge by the clock"}})
	for _, p := range pieces {
		if p.Footing(c.State, b.now) == restoration.FootWaiting {
			out := b.enter(restoration.Refused, b.work(p, b.tom, restoration.KindTick))
			require.False(b.t, out.AllowedFrom.IsZero())
			against := b.work(p, b.ida, restoration.KindTick)
			against.Reason = "warmed by lamps over night, hard to the nail"
			b.enter(restoration.Applied, against)
			break
		}
	}
	for _, p := range b.pieces(c) {
		if p.Footing(c.State, b.now) == restoration.FootWorkable && !p.Sum.NextStep.IsZero() && p.Holding == nil {
			e := b.work(p, b.tom, restoration.KindStart)
			e.Hours, e.At = nil, b.now.Add(-40*time.Minute)
			b.enter(restoration.Applied, e)
			return
		}
	}
	b.t.Fatal("no piece can be worked")
}
