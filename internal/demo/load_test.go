package demo_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/access"
	"scumble/internal/demo"
	"scumble/internal/restoration"
	"scumble/internal/store"
	"scumble/internal/store/storetest"
)

// loaded gives a store on a database with the demo as of now.
func loaded(t *testing.T) (s *store.Store, url string, now time.Time) {
	t.Helper()
	url, now = storetest.URL(t), time.Now()
	require.NoError(t, demo.Ensure(t.Context(), url, false, now))
	return storetest.Open(t, url, store.Options{}), url, now
}

func TestLoadedShopAgreesWithItsLedger(t *testing.T) {
	t.Parallel()
	s, _, now := loaded(t)
	ctx := t.Context()

	differences, err := s.Verify(ctx)
	require.NoError(t, err)
	require.Empty(t, differences)

	roll, err := s.Roll(ctx, true)
	require.NoError(t, err)
	require.Len(t, roll.Cars, 5)
	routes, err := s.Routes(ctx)
	require.NoError(t, err)
	byID := map[int64]restoration.Route{}
	for _, r := range routes {
		byID[r.ID] = r
	}
	pieces, delivered, late, sentBack, held := 0, 0, 0, 0, 0
	for _, c := range roll.Cars {
		list, err := s.CarPieces(ctx, c.Car.ID)
		require.NoError(t, err)
		sum := restoration.SumUp(c.Car.State, list, byID, roll.At)
		require.Equal(t, sum.Left, c.Left)
		require.Equal(t, sum.Logged, c.Logged)
		require.Equal(t, sum.Planned, c.Planned)
		require.Equal(t, sum.Earned, c.Earned)
		pieces += len(list)
		for _, p := range list {
			if p.Sum.SentBack {
				sentBack++
			}
			if p.Holding != nil {
				held++
			}
		}
		switch lateness(c.Car, c.Left, now) {
		case restoration.Late:
			late++
		default:
			if c.Car.State == restoration.CarDelivered {
				delivered++
			}
		}
	}
	require.GreaterOrEqual(t, pieces, 150)
	require.Equal(t, 1, delivered)
	require.Equal(t, 1, late)
	require.Positive(t, sentBack)
	require.GreaterOrEqual(t, held, 2)
	require.Positive(t, roll.Total.Waiting)
	requireLook(t, s)
}

// requireLook: the owner finds a refused entry and a tick against a wait, entered on
// the tablet at about the hour at which they happened.
func requireLook(t *testing.T, s *store.Store) {
	t.Helper()
	refused, err := s.History(t.Context(), restoration.HistoryFilter{RefusedOpen: true})
	require.NoError(t, err)
	require.Len(t, refused, 1)
	require.Equal(t, "Bench by the window", refused[0].Device)
	require.Equal(t, refused[0].Event.At, refused[0].Event.Arrived)
	require.False(t, refused[0].Outcome.AllowedFrom.IsZero())
	against, err := s.Overrides(t.Context(), time.Now().AddDate(0, 0, -14))
	require.NoError(t, err)
	require.Len(t, against, 1)
	require.NotEmpty(t, against[0].Event.Reason)
}

func TestEverybodySignsInAsSaid(t *testing.T) {
	t.Parallel()
	s, _, _ := loaded(t)
	ctx := t.Context()
	for _, p := range demo.Cast() {
		person, hash, err := s.FindLogin(ctx, p.Name)
		require.NoError(t, err)
		secret := p.Password
		if p.PIN != "" {
			secret = p.PIN
			hash, err = s.PINHash(ctx, person.ID)
			require.NoError(t, err)
			require.NoError(t, access.CheckPIN(p.PIN))
		} else {
			require.NoError(t, access.CheckPassword(p.Password))
		}
		ok, err := access.CheckSecret(hash, secret)
		require.NoError(t, err)
		require.True(t, ok, p.Name)
	}
	link, err := s.OpenLink(ctx, access.HashToken(demo.Link))
	require.NoError(t, err)
	require.True(t, link.Live(time.Now()))
}

func TestEnsureKeepsWhatAVisitorChanged(t *testing.T) {
	t.Parallel()
	s, url, now := loaded(t)
	ctx := t.Context()
	cars, err := s.ListCars(ctx)
	require.NoError(t, err)
	car := cars[0]
	car.Note = "A visitor was here."
	require.NoError(t, s.EditCar(ctx, restoration.Actor{}, car))

	require.NoError(t, demo.Ensure(ctx, url, false, now))
	kept, err := s.FindCar(ctx, car.WorkOrder)
	require.NoError(t, err)
	require.Equal(t, car.Note, kept.Note)

	require.NoError(t, demo.Ensure(ctx, url, true, now))
	fresh, err := s.FindCar(ctx, car.WorkOrder)
	require.NoError(t, err)
	require.NotEqual(t, car.Note, fresh.Note)
}

func TestEnsureLoadsAnewWhatWasCutOff(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	state, err := demo.Look(t.Context(), s)
	require.NoError(t, err)
	require.Equal(t, demo.StateEmpty, state)
	_, err = s.CreateOwner(t.Context(), demo.Cast()[0].Name, "hash")
	require.NoError(t, err)
	state, err = demo.Look(t.Context(), s)
	require.NoError(t, err)
	require.Equal(t, demo.StateHalf, state, "the settings come last")
}

func TestEnsureLeavesAnotherShopAlone(t *testing.T) {
	t.Parallel()
	url := storetest.URL(t)
	s := storetest.Open(t, url, store.Options{})
	_, err := s.NewCar(t.Context(), restoration.Actor{}, restoration.Car{Name: "1948 Talmere Ten", Quality: restoration.QualityShow,
		Ground: "#9a6a3c", Grain: "#3b2413"}, nil)
	require.NoError(t, err)
	for _, afresh := range []bool{false, true} {
		err = demo.Ensure(t.Context(), url, afresh, time.Now())
		problem, ok := restoration.AsProblem(err)
		require.True(t, ok, "%v", err)
		require.Equal(t, restoration.TroubleConflict, problem.Trouble)
	}
	cars, err := s.ListCars(t.Context())
	require.NoError(t, err)
	require.Len(t, cars, 1)
}

func TestNewCodeVoidsTheOneBefore(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	ctx := t.Context()
	first, err := demo.NewCode(ctx, s, time.Now())
	require.NoError(t, err)
	second, err := demo.NewCode(ctx, s, time.Now())
	require.NoError(t, err)
	_, err = s.EnrolDevice(ctx, access.HashCode(first), access.HashToken("a"))
	require.Error(t, err)
	_, err = s.EnrolDevice(ctx, access.HashCode(second), access.HashToken("b"))
	require.NoError(t, err)
}
