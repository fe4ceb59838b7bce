package store_test

import (
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"scumble/internal/restoration"
)

// The roll-up query gives what the pure sum of the same rows gives, and the replay of
// the ledger what is stored, whatever has happened.
func TestRollUpIsThePureSum(t *testing.T) {
	t.Parallel()
	h := newHouse(t)
	short := h.route(t, "Painted trim")
	rapid.Check(t, func(rt *rapid.T) {
		car := randomCar(t, rt, h, short)
		for range rapid.IntRange(0, 25).Draw(rt, "events") {
			h.clock.advance(time.Duration(rapid.IntRange(0, 40).Draw(rt, "hours later")) * time.Hour)
			h.enter(t, randomEvent(t, rt, h, car))
		}
		requireRollUp(t, h, car)
	})
	h.requireSound(t)
}

func randomCar(t *testing.T, rt *rapid.T, h house, short restoration.Route) restoration.Car {
	var list []restoration.NewPiece
	for range rapid.IntRange(1, 3).Draw(rt, "pieces") {
		d := restoration.Details{Name: "Ash tray", Zone: restoration.ZoneRear, AreaM2: .1, BothM2: .2, Metal: "steel",
			Size:     rapid.SampledFrom([]restoration.Size{restoration.SizeSmall, restoration.SizeMedium, restoration.SizeLarge}).Draw(rt, "size"),
			Mounting: rapid.SampledFrom([]restoration.Mounting{restoration.MountBench, restoration.MountFixed}).Draw(rt, "mounting"),
			Grade:    rapid.IntRange(0, 6).Draw(rt, "grade"),
			Faults:   rapid.SampledFrom([][]restoration.Fault{nil, {{Kind: "hole", Count: 2}}, {{Kind: restoration.FaultMissing, Count: 1}}}).Draw(rt, "faults"),
		}
		list = append(list, restoration.NewPiece{Details: d, Route: rapid.SampledFrom([]string{"", short.Key}).Draw(rt, "route")})
	}
	car, err := h.NewCar(t.Context(), h.by, restoration.Car{Name: "1936 Brennick Eight", Quality: restoration.QualityConcours,
		Ground: "#9a6a3c", Grain: "#3b2413"}, list)
	require.NoError(t, err)
	return car
}

// randomEvent draws mostly what moves a piece on, and some of everything else.
func randomEvent(t *testing.T, rt *rapid.T, h house, car restoration.Car) restoration.Event {
	kinds := append(restoration.BenchKinds(), restoration.KindTick, restoration.KindTick, restoration.KindTick, restoration.KindSendBack,
		restoration.KindRemove, restoration.KindRestore, restoration.KindCarHold, restoration.KindCarRelease)
	e := restoration.Event{ID: newID(), Kind: rapid.SampledFrom(kinds).Draw(rt, "kind"), PersonID: h.owner.ID, At: h.clock.Now()}
	e.Reason = rapid.SampledFrom([]string{"", "waits for a part"}).Draw(rt, "reason")
	if e.Kind.AboutCar() {
		e.CarID = car.ID
		return e
	}
	removed, err := h.RemovedPieces(t.Context(), car.ID)
	require.NoError(t, err)
	p := rapid.SampledFrom(append(h.pieces(t, car), removed...)).Draw(rt, "piece")
	e.PieceID = p.ID
	e.Checks = []string{restoration.CheckScuffed}
	for _, s := range append(restoration.StockRoute().Stages, h.stagesOf(t, p)...) {
		for _, c := range s.Checks {
			e.Checks = append(e.Checks, c.Key)
		}
	}
	if e.Kind.AboutStep() {
		e.PieceID, e.StepID = restoration.ID{}, p.Sum.NextStep
		if e.StepID.IsZero() || rapid.IntRange(0, 3).Draw(rt, "any step") == 0 {
			e.StepID = rapid.SampledFrom(p.Steps).Draw(rt, "step").ID
		}
	}
	hours := restoration.Minutes(rapid.IntRange(0, 600).Draw(rt, "minutes"))
	e.Hours, e.StillToGo = &hours, &hours
	if e.Kind == restoration.KindSendBack {
		e.Defect, e.Stage = "run", rapid.SampledFrom(p.Steps).Draw(rt, "back to").Stage
		e.Hours, e.StillToGo = nil, nil
	}
	e.Note, e.Place = "dry", "rack 3"
	return e
}

func (h house) stagesOf(t *testing.T, p restoration.Piece) []restoration.Stage {
	r, err := h.FindRoute(t.Context(), p.RouteID)
	require.NoError(t, err)
	return r.Stages
}

func requireRollUp(t *testing.T, h house, car restoration.Car) {
	t.Helper()
	removed, err := h.RemovedPieces(t.Context(), car.ID)
	require.NoError(t, err)
	pieces := append(h.pieces(t, car), removed...)
	routes := map[int64]restoration.Route{}
	for _, p := range pieces {
		r, err := h.FindRoute(t.Context(), p.RouteID)
		require.NoError(t, err)
		routes[p.RouteID] = r
	}
	got, err := h.CarRoll(t.Context(), car.ID)
	require.NoError(t, err)
	want := restoration.SumUp(got.Car.State, pieces, routes, h.clock.Now())
	require.Equal(t, figures(want), figures(got.Roll))
	require.Equal(t, got.Left, got.Workable+got.Waiting+got.Held)
}

// figures leaves out the names that a stage goes by where two routes have it.
func figures(r restoration.Roll) restoration.Roll {
	r.Stages = slices.Clone(r.Stages)
	for i := range r.Stages {
		r.Stages[i].Name, r.Stages[i].Look = "", ""
	}
	return r
}

func TestRollOfTheShop(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	empty := h.car(t, "26-009", "1931 Tarrant Six", "")
	a := h.pieces(t, h.car(t, "26-014", "1936 Brennick Eight", "", "Ash tray", "Glove-box door"))
	b := h.onePiece(t, "26-012")
	// Stripped takes 1 h, so that one of 9.5 h is done; then primed, whose 16 h wait begins.
	h.mustEnter(t, h.tick(a[0].Steps[0], 90), h.tick(a[0].Steps[1], 30))
	h.finish(t, b.ID)
	h.mustEnter(t, restoration.Event{ID: newID(), Kind: restoration.KindCarDeliver, CarID: b.CarID, At: h.clock.Now()})
	h.mustEnter(t, restoration.Event{ID: newID(), Kind: restoration.KindHold, PieceID: a[1].ID, At: h.clock.Now(),
		Payload: restoration.Payload{Reason: "waits for the owner"}})

	shop, err := h.Roll(ctx, false)
	require.NoError(t, err)
	require.Equal(t, h.clock.Now(), shop.At)
	require.Len(t, shop.Cars, 2)
	require.Equal(t, restoration.CarRoll{Car: empty}, shop.Cars[0], "a car without pieces has no hours")
	car := shop.Cars[1]
	require.Equal(t, "26-014", car.Car.WorkOrder)
	require.Equal(t, car.Roll, shop.Total)
	one := restoration.Minutes(0)
	for _, s := range a[0].Steps {
		one += s.Planned.Likely
	}
	done := a[0].Steps[0].Planned.Likely + a[0].Steps[1].Planned.Likely
	require.Equal(t, restoration.Roll{
		Pieces: 2, Planned: 2 * one, Earned: done, Logged: 120, Left: 2*one - done,
		Workable: one - done, Held: one, Stages: car.Stages,
	}, car.Roll)
	require.Equal(t, restoration.StageRoll{Stage: "stripped", Name: "Stripped", Look: restoration.LookStripped, Order: 0,
		Pieces: 1, Planned: 2 * a[0].Steps[0].Planned.Likely, Logged: 90, Left: a[1].Steps[0].Planned.Likely}, car.Stages[0])

	whole, err := h.Roll(ctx, true)
	require.NoError(t, err)
	require.Len(t, whole.Cars, 3)
	require.Equal(t, 100., whole.Cars[1].PercentDone())
	require.Equal(t, 1, whole.Cars[1].Finished)
	require.Equal(t, shop.Total.Left, whole.Total.Left)
	_, err = h.CarRoll(ctx, 4711)
	requireTrouble(t, err, restoration.TroubleNotFound, "", "no such car")
}
