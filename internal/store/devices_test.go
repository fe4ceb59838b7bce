package store_test

import (
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/access"
	"scumble/internal/restoration"
)

// tablet gives an enrolled tablet, whose token is its name.
func (h house) tablet(t testing.TB, name string) restoration.Device {
	t.Helper()
	code := access.HashCode("code of " + name)
	_, err := h.AddDevice(t.Context(), h.by, name, code, h.clock.Now().Add(15*time.Minute))
	require.NoError(t, err)
	d, err := h.EnrolDevice(t.Context(), code, access.HashToken(name))
	require.NoError(t, err)
	return d
}

func TestEnrolATablet(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	code, token := access.HashCode("7K0M-V31Q"), access.HashToken("a token")
	added, err := h.AddDevice(ctx, h.by, " Booth  tablet ", code, h.clock.Now().Add(15*time.Minute))
	require.NoError(t, err)
	require.Equal(t, restoration.Device{ID: added.ID, Name: "Booth tablet"}, added)
	_, err = h.FindDevice(ctx, token)
	requireTrouble(t, err, restoration.TroubleNotFound, "", "isn't enrolled")

	h.clock.advance(15*time.Minute - time.Second)
	d, err := h.EnrolDevice(ctx, code, token)
	require.NoError(t, err)
	require.Equal(t, restoration.Device{ID: added.ID, Name: "Booth tablet", EnrolledAt: h.clock.Now(), LastSeen: h.clock.Now()}, d)
	found, err := h.FindDevice(ctx, token)
	require.NoError(t, err)
	require.Equal(t, d, found)
	_, err = h.EnrolDevice(ctx, code, access.HashToken("another"))
	requireTrouble(t, err, restoration.TroubleNotFound, "code", "isn't right or is too old")
	rows, err := h.Audit(ctx, restoration.AuditFilter{Limit: 1})
	require.NoError(t, err)
	require.Equal(t, restoration.ActEnrolTablet, rows[0].Act)
	require.Equal(t, "Booth tablet", rows[0].Device)
}

// One trip tells what the three questions tell.
func TestFindVisit(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	d := h.tablet(t, "Bench")
	token := access.HashToken("Bench")
	person, err := h.FindPerson(ctx, h.by.PersonID)
	require.NoError(t, err)

	v, err := h.FindVisit(ctx, token, h.by.PersonID)
	require.NoError(t, err)
	require.Equal(t, restoration.Visit{Device: d, Person: person, Settings: restoration.StockSettings()}, v)

	shop := restoration.StockSettings()
	shop.ShopName = "Trim Works"
	require.NoError(t, h.SaveSettings(ctx, h.by, shop))
	h.clock.advance(time.Hour)
	v, err = h.FindVisit(ctx, token, 0)
	require.NoError(t, err)
	require.Equal(t, "Trim Works", v.Settings.ShopName)
	require.Zero(t, v.Person, "nobody is at it")
	v, err = h.FindVisit(ctx, token, 0)
	require.NoError(t, err)
	require.Equal(t, h.clock.Now(), v.Device.LastSeen, "marked by the visit before")

	_, err = h.FindVisit(ctx, access.HashToken("another"), h.by.PersonID)
	requireTrouble(t, err, restoration.TroubleNotFound, "", "isn't enrolled")
}

func TestEnrolDeviceRefuses(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	until := h.clock.Now().Add(15 * time.Minute)
	_, err := h.AddDevice(ctx, h.by, "Late", access.HashCode("late"), until)
	require.NoError(t, err)
	revoked, err := h.AddDevice(ctx, h.by, "Revoked", access.HashCode("revoked"), until.Add(time.Hour))
	require.NoError(t, err)
	require.NoError(t, h.RevokeDevice(ctx, h.by, revoked.ID))
	h.clock.advance(15 * time.Minute)
	for _, code := range []string{"late", "revoked", "never was", ""} {
		_, err := h.EnrolDevice(ctx, access.HashCode(code), access.HashToken(code))
		requireTrouble(t, err, restoration.TroubleNotFound, "code", "isn't right or is too old")
	}
	_, err = h.AddDevice(ctx, h.by, " ", access.HashCode("x"), until)
	requireTrouble(t, err, restoration.TroubleInvalid, "name", "needs a name")
}

func TestTwoTabletsWithOneCode(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	code := access.HashCode("7K0M-V31Q")
	_, err := h.AddDevice(ctx, h.by, "Booth", code, h.clock.Now().Add(15*time.Minute))
	require.NoError(t, err)
	var in, out atomic.Int32
	var all sync.WaitGroup
	for i := range 8 {
		all.Go(func() {
			if _, err := h.EnrolDevice(ctx, code, access.HashToken(string(rune('a'+i)))); err == nil {
				in.Add(1)
			} else if p, ok := restoration.AsProblem(err); ok && p.Trouble == restoration.TroubleNotFound {
				out.Add(1)
			}
		})
	}
	all.Wait()
	require.EqualValues(t, 1, in.Load())
	require.EqualValues(t, 7, out.Load())
	require.Equal(t, 1, h.count(t, "enrol tablet"))
}

func TestATabletIsMarkedAsSeenOnceAMinute(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	enrolled := h.tablet(t, "Booth")
	seen := func() time.Time {
		_, err := h.FindDevice(ctx, access.HashToken("Booth"))
		require.NoError(t, err)
		devices, err := h.Devices(ctx)
		require.NoError(t, err)
		return devices[0].LastSeen
	}
	h.clock.advance(59 * time.Second)
	require.Equal(t, enrolled.LastSeen, seen())
	h.clock.advance(time.Second)
	require.Equal(t, enrolled.LastSeen.Add(time.Minute), seen())
}

func TestRevokeDevice(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	booth, bench := h.tablet(t, "Booth"), h.tablet(t, "Bench")
	require.NoError(t, h.RevokeDevice(ctx, h.by, bench.ID))
	require.NoError(t, h.RevokeDevice(ctx, h.by, bench.ID), "twice is the same as once")
	require.Equal(t, 1, h.count(t, "revoke tablet"))
	_, err := h.FindDevice(ctx, access.HashToken("Bench"))
	requireTrouble(t, err, restoration.TroubleNotFound, "", "isn't enrolled")
	bench.RevokedAt = h.clock.Now()
	devices, err := h.Devices(ctx)
	require.NoError(t, err)
	require.Equal(t, []restoration.Device{booth, bench}, devices, "those in use first")
	requireTrouble(t, h.RevokeDevice(ctx, h.by, 999), restoration.TroubleNotFound, "", "no such tablet")
}
