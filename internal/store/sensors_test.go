package store_test

import (
	"context"
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/access"
	"scumble/internal/restoration"
)

func (h house) sensor(t testing.TB, name string) restoration.Sensor {
	t.Helper()
	s, err := h.AddSensor(t.Context(), h.by, name, access.HashToken(name))
	require.NoError(t, err)
	return s
}

// air sends one reading.
func (h house) air(t testing.TB, sensor int64, at time.Time, airC, humidity float64) {
	t.Helper()
	_, err := h.RecordAir(t.Context(), sensor, []restoration.AirReading{{At: at, AirC: airC, Humidity: humidity}})
	require.NoError(t, err)
}

func TestASensorFromFirstToLast(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	booth := h.sensor(t, "  Booth ")
	require.Equal(t, restoration.Sensor{ID: booth.ID, Name: "Booth", CreatedAt: h.clock.Now()}, booth)
	_, err := h.AddSensor(ctx, h.by, "", access.HashToken("x"))
	requireTrouble(t, err, restoration.TroubleInvalid, "name", "needs a name")
	found, err := h.FindSensor(ctx, access.HashToken("  Booth "))
	require.NoError(t, err)
	require.Equal(t, booth, found)

	h.air(t, booth.ID, h.clock.Now(), 21, 45)
	list, err := h.Sensors(ctx)
	require.NoError(t, err)
	require.Equal(t, h.clock.Now(), list[0].LastSeen)

	for range 2 {
		require.NoError(t, h.RevokeSensor(ctx, h.by, booth.ID))
	}
	_, err = h.FindSensor(ctx, access.HashToken("  Booth "))
	requireTrouble(t, err, restoration.TroubleNotFound, "", "isn't known here")
	_, err = h.RecordAir(ctx, booth.ID, []restoration.AirReading{{At: h.clock.Now(), AirC: 20, Humidity: 50}})
	requireTrouble(t, err, restoration.TroubleNotFound, "", "isn't known here")
	requireTrouble(t, h.RevokeSensor(ctx, h.by, 4711), restoration.TroubleNotFound, "", "no such sensor")
	latest, err := h.LatestAir(ctx)
	require.NoError(t, err)
	require.Empty(t, latest, "of sensors in use")
	require.Equal(t, []string{"Olga Reuter: revoke sensor Booth", "Olga Reuter: add sensor Booth"}, h.acts(t)[:2])

	for range 2 {
		require.NoError(t, h.ReadmitSensor(ctx, h.by, booth.ID))
	}
	_, err = h.FindSensor(ctx, access.HashToken("  Booth "))
	require.NoError(t, err, "with the token that it has")
	requireTrouble(t, h.ReadmitSensor(ctx, h.by, 4711), restoration.TroubleNotFound, "", "no such sensor")
	require.NoError(t, h.RevokeSensor(ctx, h.by, booth.ID))
	h.clock.advance(restoration.UndoDays * 24 * time.Hour)
	requireTrouble(t, h.ReadmitSensor(ctx, h.by, booth.ID), restoration.TroubleConflict, "", "can't be let back in any more")
}

func TestAirIsKeptOnceAndTheLatestGiven(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	booth, bench := h.sensor(t, "Booth"), h.sensor(t, "Bench")
	now, surface := h.clock.Now(), 19.5
	list := []restoration.AirReading{{At: now.Add(-time.Minute), AirC: 20, Humidity: 50}, {At: now, AirC: 21, Humidity: 48, SurfaceC: &surface}}
	for want := range 2 {
		n, err := h.RecordAir(ctx, booth.ID, list)
		require.NoError(t, err)
		require.Equal(t, 2-2*want, n)
	}
	list[1].AirC = 99
	_, err := h.RecordAir(ctx, bench.ID, list)
	requireTrouble(t, err, restoration.TroubleInvalid, "air", "Reading 2: Air of 99 °C")
	h.air(t, bench.ID, now.Add(-time.Hour), 18, 60)
	latest, err := h.LatestAir(ctx)
	require.NoError(t, err)
	require.Equal(t, []restoration.AirReading{
		{At: now.Add(-time.Hour), AirC: 18, Humidity: 60, SensorID: bench.ID, Sensor: "Bench"},
		{At: now, AirC: 21, Humidity: 48, SurfaceC: &surface, SensorID: booth.ID, Sensor: "Booth"},
	}, latest)
}

func TestAirThatCannotBeIsRefused(t *testing.T) {
	t.Parallel()
	h := newHouse(t)
	booth, now := h.sensor(t, "Booth"), h.clock.Now()
	for field, list := range map[string][]restoration.AirReading{
		"humidity": {{At: now, AirC: 20, Humidity: 0}, {At: now, AirC: 20, Humidity: 101}, {At: now, AirC: 20, Humidity: -3}, {At: now, AirC: 20, Humidity: math.NaN()}},
		"air":      {{At: now, AirC: 72, Humidity: 50}, {At: now, AirC: -41, Humidity: 50}, {At: now, AirC: math.Inf(1), Humidity: 50}},
		"surface":  {{At: now, AirC: 20, Humidity: 50, SurfaceC: new(101.0)}, {At: now, AirC: 20, Humidity: 50, SurfaceC: new(math.NaN())}},
		"at":       {{At: now.Add(6 * time.Minute), AirC: 20, Humidity: 50}, {At: now.AddDate(0, 0, -91), AirC: 20, Humidity: 50}, {AirC: 20, Humidity: 50}},
	} {
		for _, a := range list {
			_, err := h.RecordAir(t.Context(), booth.ID, []restoration.AirReading{a})
			requireTrouble(t, err, restoration.TroubleInvalid, field, "Reading 1: ")
		}
	}
	latest, err := h.LatestAir(t.Context())
	require.NoError(t, err)
	require.Empty(t, latest)
}

func TestAirIsTold(t *testing.T) {
	t.Parallel()
	h := newHouse(t)
	booth := h.sensor(t, "Booth")
	ctx, cancel := context.WithTimeout(t.Context(), 20*time.Second)
	defer cancel()
	changes, err := h.Changes(ctx, "")
	require.NoError(t, err)
	<-changes // it listens
	h.air(t, booth.ID, h.clock.Now(), 21, 45)
	_, open := <-changes
	require.True(t, open, "nothing was told")
}

// The air of a sensor stands in for what nobody typed while it is at most 30 minutes
// old. At 10 °C every wait is 2^((20 − 10) ÷ 10) = 2 times that at 20 °C.
func TestACoatTakesTheSensorsAir(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		age  time.Duration
		sand restoration.Minutes
	}{
		"just now":            {0, 40 * 60},
		"half an hour ago":    {30 * time.Minute, 40 * 60},
		"longer ago":          {30*time.Minute + time.Second, 20 * 60},
		"later than the coat": {-time.Minute, 20 * 60},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := newPaintShop(t)
			s.air(t, s.sensor(t, "Booth").ID, s.clock.Now().Add(-c.age), 10, 50)
			e := s.coat(1)
			e.Coat.Air = nil
			s.mustEnter(t, e)
			require.Equal(t, c.sand, stepOf(s.house.piece(t, s.piece.ID), "cleared").CoatWaits.Sand)
			scene, err := s.FilmScene(t.Context(), s.piece.ID)
			require.NoError(t, err)
			require.Equal(t, c.age >= 0 && c.age <= 30*time.Minute, scene.Air != nil)
			s.requireSound(t)
		})
	}
}
