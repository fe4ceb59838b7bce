package store_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"golang.org/x/sync/errgroup"

	"scumble/internal/restoration"
	"scumble/internal/store"
	"scumble/internal/store/storetest"
)

func aCar(workOrder string) restoration.Car {
	day := func(m time.Month, d int) time.Time { return time.Date(2026, m, d, 0, 0, 0, 0, time.UTC) }
	return restoration.Car{WorkOrder: workOrder, Name: "1936 Brennick Eight", Body: "saloon", Customer: "A. Quist <b>",
		Contact: "0123", Quality: restoration.QualityShow, RateCents: 95_00, ArrivedOn: day(3, 2), PromisedOn: day(9, 30),
		ExpectFrom: day(9, 1), ExpectTo: day(9, 20), Ground: "#9a6a3c", Grain: "#3b2413", Scheme: "Walnut", Words: "Going well.", Note: "'; --"}
}

func aPiece(name string) restoration.NewPiece {
	return restoration.NewPiece{LiesAt: "rack 2", Details: restoration.Details{Name: name, Zone: restoration.ZoneLeft, Side: restoration.SideLeft,
		Place: "front door", Order: 3, AreaM2: .1, BothM2: .2, Size: restoration.SizeMedium, Mounting: restoration.MountBench, Metal: "zinc",
		Set: "mouldings", Grade: 4, Faults: []restoration.Fault{{Kind: "hole", Count: 2}}, Note: "left door"}}
}

func TestNewCarIsReadBackAsItWasGiven(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	c, err := h.NewCar(ctx, h.by, aCar("26-014"), []restoration.NewPiece{aPiece("Garnish moulding"), aPiece("Ash tray")})
	require.NoError(t, err)
	want := aCar("26-014")
	want.ID, want.State = c.ID, restoration.CarSurvey
	require.Equal(t, want, c)
	found, err := h.FindCar(ctx, "26-014")
	require.NoError(t, err)
	require.Equal(t, want, found)

	pieces := h.pieces(t, c)
	require.Len(t, pieces, 2)
	require.Equal(t, "Ash tray", pieces[0].Name, "within a zone by order, then name")
	require.Equal(t, aPiece("Ash tray").Details, pieces[0].Details)
	require.Equal(t, "rack 2", pieces[0].LiesAt)
	require.Len(t, pieces[0].Steps, 9, "eight stages, and the repair that the holes ask for")
	byLabel, err := h.FindPieceByLabel(ctx, pieces[0].Label)
	require.NoError(t, err)
	require.Equal(t, pieces[0], byLabel)

	_, err = h.NewCar(ctx, h.by, aCar("26-014"), nil)
	requireTrouble(t, err, restoration.TroubleConflict, "work_order", "Take another number")
	_, err = h.FindCar(ctx, "26-999")
	requireTrouble(t, err, restoration.TroubleNotFound, "", "no car under")
	_, err = h.FindPiece(ctx, newID())
	requireTrouble(t, err, restoration.TroubleNotFound, "", "no such piece")
	h.requireSound(t)
}

func TestAMissingPieceStartsOnHold(t *testing.T) {
	t.Parallel()
	h := newHouse(t)
	list := []restoration.NewPiece{aPiece("Ash tray")}
	list[0].Faults = []restoration.Fault{{Kind: restoration.FaultMissing, Count: 1}}
	c, err := h.NewCar(t.Context(), h.by, aCar("26-014"), list)
	require.NoError(t, err)
	p := h.pieces(t, c)[0]
	require.NotNil(t, p.Holding)
	require.Contains(t, p.Holding.Reason, "missing")
	roll, err := h.CarRoll(t.Context(), c.ID)
	require.NoError(t, err)
	require.Equal(t, roll.Left, roll.Held)
}

func TestWorkOrdersOfTheYear(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	_, err := h.NewCar(ctx, h.by, aCar("25-900"), nil)
	require.NoError(t, err)
	var g errgroup.Group
	for range 5 {
		g.Go(func() error {
			_, err := h.NewCar(ctx, h.by, aCar(""), nil)
			return err
		})
	}
	require.NoError(t, g.Wait())
	cars, err := h.ListCars(ctx)
	require.NoError(t, err)
	var orders []string
	for _, c := range cars {
		orders = append(orders, c.WorkOrder)
	}
	require.Equal(t, []string{"26-005", "26-004", "26-003", "26-002", "26-001", "25-900"}, orders)
}

func TestCarsAndPiecesAreAllOrNothing(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	wrong := aCar("26-016")
	wrong.ExpectFrom = wrong.ExpectTo.AddDate(0, 0, 1)
	_, err := h.ImportCars(ctx, h.by, []restoration.Car{aCar("26-014"), aCar(""), wrong})
	requireTrouble(t, err, restoration.TroubleInvalid, "expect_to", "26-016 1936 Brennick Eight: The expected dates are the wrong way round")
	wrong = aCar("26-016")
	wrong.Customer = "A.\x00Quist"
	_, err = h.ImportCars(ctx, h.by, []restoration.Car{wrong})
	requireTrouble(t, err, restoration.TroubleInvalid, "", "a sign that can't be kept")
	cars, err := h.ListCars(ctx)
	require.NoError(t, err)
	require.Empty(t, cars)

	imported, err := h.ImportCars(ctx, h.by, []restoration.Car{aCar("26-014"), aCar("")})
	require.NoError(t, err)
	require.Equal(t, "26-015", imported[1].WorkOrder)
	strange := aPiece("Visor rail")
	strange.Route = "gilded"
	_, err = h.AddPieces(ctx, h.by, imported[0].ID, []restoration.NewPiece{aPiece("Ash tray"), strange})
	requireTrouble(t, err, restoration.TroubleNotFound, "", "gilded")
	strange = aPiece(" ")
	strange.Name = ""
	_, err = h.AddPieces(ctx, h.by, imported[0].ID, []restoration.NewPiece{aPiece("Ash tray"), strange})
	requireTrouble(t, err, restoration.TroubleInvalid, "piece", "1 to 60")
	require.Empty(t, h.pieces(t, imported[0]))
	_, err = h.AddPieces(ctx, h.by, 4711, []restoration.NewPiece{aPiece("Ash tray")})
	requireTrouble(t, err, restoration.TroubleNotFound, "", "no such car")
}

func TestEditCar(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	c, err := h.NewCar(ctx, h.by, aCar("26-014"), []restoration.NewPiece{aPiece("Ash tray")})
	require.NoError(t, err)
	before := h.pieces(t, c)[0]
	h.mustEnter(t, h.tick(before.Steps[0], 30))

	c.Customer, c.Quality, c.State = "B. Quist", restoration.QualityDriver, restoration.CarDelivered
	require.NoError(t, h.EditCar(ctx, h.by, c))
	after, err := h.FindCarByID(ctx, c.ID)
	require.NoError(t, err)
	c.State = restoration.CarInWork
	require.Equal(t, c, after, "the state is a matter of the car's events")
	p := h.pieces(t, c)[0]
	require.Equal(t, before.Steps[0].Planned, p.Steps[0].Planned, "what is done stays as it was planned")
	require.Equal(t, before.Steps[3].Planned.Likely/2, p.Steps[3].Planned.Likely, "a driver takes half the hours of show")
	require.Equal(t, 1, h.count(t, "edit car"))

	c.WorkOrder = "none"
	requireTrouble(t, h.EditCar(ctx, h.by, c), restoration.TroubleInvalid, "work_order", "26-014")
	c.ID, c.WorkOrder = 4711, "26-020"
	requireTrouble(t, h.EditCar(ctx, h.by, c), restoration.TroubleNotFound, "", "no such car")
	h.requireSound(t)
}

func TestWhenTheDatabaseIsGone(t *testing.T) {
	t.Parallel()
	ctx, url := t.Context(), storetest.URL(t)
	h := house{Store: storetest.Open(t, url, store.Options{}), clock: &handClock{now: time.Now()}}
	p := h.onePiece(t, "26-014")
	super := storetest.Superuser(t, storetest.URL(t)) // of another database, since this one shuts
	name := ""
	require.NoError(t, storetest.Superuser(t, url).QueryRow(ctx, `SELECT current_database()`).Scan(&name))
	for _, sql := range []string{`ALTER DATABASE ` + name + ` ALLOW_CONNECTIONS false`,
		`SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = '` + name + `'`} {
		_, err := super.Exec(ctx, sql)
		require.NoError(t, err)
	}
	tick := h.tick(p.Steps[0], 15)
	for range 5 { // each connection of the pool finds out for itself
		out, err := h.Enter(ctx, []restoration.Event{tick})
		requireTrouble(t, err, restoration.TroubleUnavailable, "", "can't be reached just now")
		require.Empty(t, out)
		requireTrouble(t, h.Ready(ctx), restoration.TroubleUnavailable, "", "can't be reached just now")
	}
	_, err := super.Exec(ctx, `ALTER DATABASE `+name+` ALLOW_CONNECTIONS true`)
	require.NoError(t, err)
	require.Eventually(t, func() bool {
		out, err := h.Enter(ctx, []restoration.Event{tick})
		return err == nil && out[0].Result == restoration.Applied
	}, 10*time.Second, 10*time.Millisecond, "it comes back by itself")
	require.Equal(t, restoration.Minutes(15), h.piece(t, p.ID).Steps[0].Logged)
}

func TestAListGoesInOnce(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	list := []restoration.NewPiece{
		{Details: restoration.Details{Name: "Front door capping", Zone: restoration.ZoneLeft}},
		{Details: restoration.Details{Name: "Header rail", Zone: restoration.ZoneFront}},
	}
	car, err := s.NewCar(t.Context(), restoration.Actor{}, restoration.Car{Name: "Larkhall Ten"}, list)
	require.NoError(t, err)
	for want, again := range map[string][]restoration.NewPiece{
		"2 of the pieces are on the car already, first Front door capping, left.": list,
		"Header rail is on the car already.":                                      list[1:],
	} {
		_, err := s.AddPieces(t.Context(), restoration.Actor{}, car.ID, again)
		problem, ok := restoration.AsProblem(err)
		require.True(t, ok, "%v", err)
		require.Equal(t, restoration.TroubleConflict, problem.Trouble)
		require.Contains(t, problem.Message, want)
	}
	list[1].Place = "second"
	_, err = s.AddPieces(t.Context(), restoration.Actor{}, car.ID, list[1:])
	require.NoError(t, err)
}
