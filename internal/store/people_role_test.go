package store_test

import (
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
)

func TestChangeRole(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	ida := h.technician(t, "Ida")
	const owner, technician = restoration.RoleOwner, restoration.RoleTechnician

	requireTrouble(t, h.ChangeRole(ctx, h.by, h.owner.ID, technician, "", "a PIN's hash"), restoration.TroubleConflict, "role", "Olga Reuter is the only owner")
	requireTrouble(t, h.ChangeRole(ctx, h.by, ida.ID, owner, "", ""), restoration.TroubleInvalid, "password", "needs a password")
	requireTrouble(t, h.ChangeRole(ctx, h.by, ida.ID, "king", "", ""), restoration.TroubleInvalid, "role", "owner or a technician")
	requireTrouble(t, h.ChangeRole(ctx, h.by, 999, owner, "", ""), restoration.TroubleNotFound, "", "no such person")
	require.Zero(t, h.count(t, "change role"), "what is refused changes nothing")

	require.NoError(t, h.ChangeRole(ctx, h.by, ida.ID, owner, "another hash", ""))
	require.NoError(t, h.ChangeRole(ctx, h.by, ida.ID, owner, "a third", ""), "twice is the same as once")
	got, hash, err := h.FindLogin(ctx, "Ida")
	require.NoError(t, err)
	require.Equal(t, restoration.Person{ID: ida.ID, Name: "Ida", Role: owner, HasPIN: true, HasPassword: true}, got)
	require.Equal(t, "another hash", hash)
	require.Equal(t, 1, h.count(t, "change role"))

	requireTrouble(t, h.ChangeRole(ctx, h.by, h.owner.ID, technician, "", ""), restoration.TroubleInvalid, "pin", "needs a PIN")
	require.NoError(t, h.ChangeRole(ctx, h.by, h.owner.ID, technician, "", "a PIN's hash"))
	rows, err := h.Audit(ctx, restoration.AuditFilter{Limit: 1})
	require.NoError(t, err)
	require.JSONEq(t, `{"role": "owner"}`, rows[0].Before)
	require.JSONEq(t, `{"role": "technician"}`, rows[0].After)

	require.NoError(t, h.PersonLeft(ctx, h.by, h.owner.ID))
	requireTrouble(t, h.ChangeRole(ctx, h.by, h.owner.ID, owner, "", ""), restoration.TroubleConflict, "", "has left the shop")
}

func TestTwoOwnersCannotBothStepBack(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	second, err := h.AddPerson(ctx, h.by, "Otto", restoration.RoleOwner, "a hash", "")
	require.NoError(t, err)
	var errs [2]error
	var both sync.WaitGroup
	both.Go(func() { errs[0] = h.ChangeRole(ctx, h.by, h.owner.ID, restoration.RoleTechnician, "", "a PIN's hash") })
	both.Go(func() { errs[1] = h.PersonLeft(ctx, h.by, second.ID) })
	both.Wait()
	require.True(t, (errs[0] == nil) != (errs[1] == nil), "one stays: %v", errs)
	exists, err := h.OwnerExists(ctx)
	require.NoError(t, err)
	require.True(t, exists)
}

func TestPersonBack(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	ida, tom := h.technician(t, "Ida"), h.technician(t, "Tom")
	for _, p := range []restoration.Person{ida, tom} {
		require.NoError(t, h.PersonLeft(ctx, h.by, p.ID))
	}
	h.clock.advance(restoration.UndoDays*24*time.Hour - time.Second)
	second := h.technician(t, "Ida")
	requireTrouble(t, h.PersonBack(ctx, h.by, ida.ID), restoration.TroubleConflict, "name", "called Ida works here by now")
	require.NoError(t, h.RenamePerson(ctx, h.by, second.ID, "Ida B."))
	require.NoError(t, h.PersonBack(ctx, h.by, ida.ID))
	require.NoError(t, h.PersonBack(ctx, h.by, ida.ID), "twice is the same as once")
	require.Equal(t, 1, h.count(t, "person back"))
	got, err := h.FindPerson(ctx, ida.ID)
	require.NoError(t, err)
	require.Equal(t, ida, got, "as before")
	hash, err := h.PINHash(ctx, ida.ID)
	require.NoError(t, err)
	require.Equal(t, "a PIN's hash", hash)

	h.clock.advance(time.Second)
	requireTrouble(t, h.PersonBack(ctx, h.by, tom.ID), restoration.TroubleConflict, "", "more than 30 days ago")
	requireTrouble(t, h.PersonBack(ctx, h.by, 999), restoration.TroubleNotFound, "", "no such person")
}
