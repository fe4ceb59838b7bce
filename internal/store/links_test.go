package store_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/access"
	"scumble/internal/restoration"
)

// car takes in a car with pieces of the given names.
func (h house) car(t testing.TB, workOrder, name, customer string, pieces ...string) restoration.Car {
	t.Helper()
	var list []restoration.NewPiece
	for _, p := range pieces {
		list = append(list, restoration.NewPiece{Details: restoration.Details{Name: p, Zone: restoration.ZoneFront, AreaM2: .1, BothM2: .2,
			Size: restoration.SizeMedium, Mounting: restoration.MountBench, Metal: "steel"}})
	}
	c, err := h.NewCar(t.Context(), h.by, restoration.Car{WorkOrder: workOrder, Name: name, Customer: customer,
		Quality: restoration.QualityShow, Ground: "#9a6a3c", Grain: "#3b2413"}, list)
	require.NoError(t, err)
	return c
}

func TestALinkFromFirstToLast(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	car := h.car(t, "26-014", "1936 Brennick Eight", "")
	token := access.HashToken("a token")
	expires := h.clock.Now().Add(30 * 24 * time.Hour)
	made, err := h.AddLink(ctx, h.by, restoration.Link{CarID: car.ID, ExpiresAt: expires, ShowName: true}, token)
	require.NoError(t, err)
	require.Equal(t, restoration.Link{ID: made.ID, CarID: car.ID, CreatedAt: h.clock.Now(), ExpiresAt: expires, ShowName: true}, made)

	h.clock.advance(time.Hour)
	opened, err := h.OpenLink(ctx, token)
	require.NoError(t, err)
	require.Equal(t, 1, opened.Views)
	require.Equal(t, h.clock.Now(), opened.LastSeen)
	opened, err = h.OpenLink(ctx, token)
	require.NoError(t, err)
	require.Equal(t, 2, opened.Views)

	links, err := h.Links(ctx, car.ID)
	require.NoError(t, err)
	require.Equal(t, []restoration.Link{opened}, links)

	require.NoError(t, h.RevokeLink(ctx, h.by, made.ID))
	require.NoError(t, h.RevokeLink(ctx, h.by, made.ID), "twice is the same as once")
	require.Equal(t, 1, h.count(t, "revoke link"))
	rows, err := h.Audit(ctx, restoration.AuditFilter{CarID: car.ID})
	require.NoError(t, err)
	require.Equal(t, restoration.ActRevokeLink, rows[0].Act)
	require.Equal(t, "26-014", rows[0].Subject)
}

func TestEveryWrongLinkGivesOneAnswer(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	car := h.car(t, "26-014", "1936 Brennick Eight", "")
	add := func(token string, valid time.Duration) restoration.Link {
		l, err := h.AddLink(ctx, h.by, restoration.Link{CarID: car.ID, ExpiresAt: h.clock.Now().Add(valid)}, access.HashToken(token))
		require.NoError(t, err)
		return l
	}
	add("expired", time.Minute)
	revoked := add("revoked", time.Hour)
	require.NoError(t, h.RevokeLink(ctx, h.by, revoked.ID))
	h.clock.advance(time.Minute)
	for _, token := range []string{"unknown", "expired", "revoked", ""} {
		_, err := h.OpenLink(ctx, access.HashToken(token))
		p, ok := restoration.AsProblem(err)
		require.True(t, ok)
		require.Equal(t, restoration.Problem{Trouble: restoration.TroubleNotFound, Message: "This page isn't here. Ask the shop for a new link."}, *p, token)
	}
	links, err := h.Links(ctx, car.ID)
	require.NoError(t, err)
	for _, l := range links {
		require.Zero(t, l.Views)
	}
}

func TestLinksRefuse(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	car := h.car(t, "26-014", "1936 Brennick Eight", "")
	later := h.clock.Now().Add(time.Hour)
	_, err := h.AddLink(ctx, h.by, restoration.Link{CarID: 999, ExpiresAt: later}, access.HashToken("a"))
	requireTrouble(t, err, restoration.TroubleNotFound, "", "no such car")
	_, err = h.AddLink(ctx, h.by, restoration.Link{CarID: car.ID, ExpiresAt: h.clock.Now()}, access.HashToken("b"))
	requireTrouble(t, err, restoration.TroubleInvalid, "expires", "later day")
	requireTrouble(t, h.RevokeLink(ctx, h.by, 999), restoration.TroubleNotFound, "", "no such link")
}

func TestChangeLink(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	car := h.car(t, "26-014", "1936 Brennick Eight", "")
	token := access.HashToken("a token")
	made, err := h.AddLink(ctx, h.by, restoration.Link{CarID: car.ID, ExpiresAt: h.clock.Now().Add(time.Hour)}, token)
	require.NoError(t, err)
	h.clock.advance(2 * time.Hour)
	_, err = h.OpenLink(ctx, token)
	requireTrouble(t, err, restoration.TroubleNotFound, "", "isn't here")

	change := made
	change.ShowHours, change.ShowName = true, true
	requireTrouble(t, h.ChangeLink(ctx, h.by, change), restoration.TroubleInvalid, "expires", "later day")
	change.ExpiresAt = h.clock.Now().Add(24 * time.Hour)
	require.NoError(t, h.ChangeLink(ctx, h.by, change))
	require.NoError(t, h.ChangeLink(ctx, h.by, change), "twice is the same as once")
	require.Equal(t, 1, h.count(t, "change link"))
	opened, err := h.OpenLink(ctx, token)
	require.NoError(t, err, "the address is the same")
	require.True(t, opened.ShowHours)
	require.True(t, opened.ShowName)
	require.Equal(t, change.ExpiresAt, opened.ExpiresAt)
	rows, err := h.Audit(ctx, restoration.AuditFilter{Limit: 1})
	require.NoError(t, err)
	require.JSONEq(t, `{"expires": "2026-03-27T15:30:00Z", "show_hours": false, "show_name": false}`, rows[0].Before)
	require.JSONEq(t, `{"expires": "2026-03-28T16:30:00Z", "show_hours": true, "show_name": true}`, rows[0].After)

	require.NoError(t, h.RevokeLink(ctx, h.by, made.ID))
	requireTrouble(t, h.ChangeLink(ctx, h.by, change), restoration.TroubleConflict, "", "can't be undone")
	change.ID = 999
	requireTrouble(t, h.ChangeLink(ctx, h.by, change), restoration.TroubleNotFound, "", "no such link")
}
