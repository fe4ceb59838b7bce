package demo_test

import (
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/access"
	"scumble/internal/demo"
	"scumble/internal/restoration"
	"scumble/internal/store"
	"scumble/internal/store/storetest"
)

// The demo is loaded once for all that is asked of it, as it takes a while. What changes
// it stands last.
func TestLoadedShop(t *testing.T) {
	t.Parallel()
	url, now := storetest.URL(t), time.Now()
	require.NoError(t, demo.Ensure(t.Context(), url, false, demo.NewStory(now, restoration.Metric)))
	s := storetest.Open(t, url, store.Options{})
	t.Run("agrees with its ledger", func(t *testing.T) { requireAgreement(t, s, now) })
	t.Run("everybody signs in as said", func(t *testing.T) { requireSignIns(t, s) })
	t.Run("keeps what a visitor changed", func(t *testing.T) { requireKept(t, s, url, now) })
}

func requireAgreement(t *testing.T, s *store.Store, now time.Time) {
	t.Helper()
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
	tablets, err := s.Devices(ctx)
	require.NoError(t, err)
	require.WithinDuration(t, now, tablets[0].LastSeen, time.Minute)
	requireLook(t, s)
	requirePaints(t, s, now)
	requirePhotos(t, s)
}

// requirePhotos: one car has photos of several stages, two of them for its customer.
func requirePhotos(t *testing.T, s *store.Store) {
	t.Helper()
	all, err := s.Photos(t.Context(), restoration.PhotoFilter{})
	require.NoError(t, err)
	require.GreaterOrEqual(t, len(all), 4)
	stages := map[string]bool{}
	for _, p := range all {
		require.Equal(t, all[0].CarID, p.CarID)
		require.NotEmpty(t, p.Person)
		stages[p.Stage] = true
	}
	require.True(t, stages[""], "as it came")
	require.GreaterOrEqual(t, len(stages), 3)
	link, err := s.OpenLink(t.Context(), access.HashToken(demo.Link))
	require.NoError(t, err)
	shared, err := s.Photos(t.Context(), restoration.PhotoFilter{CarID: link.CarID, Shared: true})
	require.NoError(t, err)
	require.Len(t, shared, 2)
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
	require.Len(t, against, 2, "one against a wait, one a coat short")
	for _, e := range against {
		require.NotEmpty(t, e.Event.Reason)
	}
}

// requirePaints: the shop's list holds sheets of its own only, tins that ask for a look,
// the booth's air of this hour, and certificates that were forgotten.
func requirePaints(t *testing.T, s *store.Store, now time.Time) {
	t.Helper()
	ctx := t.Context()
	materials, err := s.Materials(ctx)
	require.NoError(t, err)
	require.Len(t, materials, 7)
	for _, m := range materials {
		require.False(t, m.Example, m.Name)
		require.NotContains(t, m.Name, "xample")
	}
	lots, err := s.Lots(ctx)
	require.NoError(t, err)
	scraps, stale := 0, 0
	for _, l := range lots {
		require.GreaterOrEqual(t, l.LeftML, 0.0, l.Number)
		if l.Closed.IsZero() && l.LeftML < l.AmountML/10 {
			scraps++
		}
		if l.PastDate(now) {
			stale++
		}
	}
	require.Positive(t, scraps)
	require.Positive(t, stale)
	air, err := s.LatestAir(ctx)
	require.NoError(t, err)
	require.Len(t, air, 1)
	require.Less(t, now.Sub(air[0].At), restoration.SensorAge)
	states := map[restoration.CertificateState]int{}
	certificates, err := s.Certificates(ctx)
	require.NoError(t, err)
	for _, c := range certificates {
		states[c.State(now.UTC().Truncate(24*time.Hour))]++
	}
	require.Equal(t, map[restoration.CertificateState]int{restoration.CertificateValid: 4, restoration.CertificateDue: 1, restoration.CertificateRunOut: 1}, states)
	shop, err := s.SprayKeys(ctx)
	require.NoError(t, err)
	batches := restoration.Batches(shop, now, 0)
	require.NotEmpty(t, batches)
	require.True(t, slices.ContainsFunc(batches, func(b restoration.Batch) bool {
		return b.Look == restoration.LookCleared && b.Ready >= 3 && len(b.Missing) == 0
	}), "%+v", batches)
	film, err := s.ShopFilm(ctx)
	require.NoError(t, err)
	require.True(t, slices.ContainsFunc(film, func(f restoration.PieceFilm) bool { return f.Film.NearFloor && f.Film.ByGauge }))
}

func requireSignIns(t *testing.T, s *store.Store) {
	t.Helper()
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

func requireKept(t *testing.T, s *store.Store, url string, now time.Time) {
	t.Helper()
	ctx := t.Context()
	cars, err := s.ListCars(ctx)
	require.NoError(t, err)
	car := cars[0]
	car.Note = "A visitor was here."
	require.NoError(t, s.EditCar(ctx, restoration.Actor{}, car))

	require.NoError(t, demo.Ensure(ctx, url, false, demo.NewStory(now, restoration.Metric)))
	kept, err := s.FindCar(ctx, car.WorkOrder)
	require.NoError(t, err)
	require.Equal(t, car.Note, kept.Note)

	require.NoError(t, demo.Ensure(ctx, url, true, demo.NewStory(now, restoration.Metric)))
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
		err = demo.Ensure(t.Context(), url, afresh, demo.NewStory(time.Now(), restoration.Metric))
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
