package store_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"golang.org/x/sync/errgroup"

	"scumble/internal/restoration"
)

func TestMissesLockAndTheOwnerUnlocks(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	ida := h.technician(t, "Ida")
	for n := 1; n < restoration.MaxMisses; n++ {
		p, err := h.RecordMiss(ctx, ida.ID)
		require.NoError(t, err)
		require.Equal(t, n, p.Misses)
		require.Zero(t, p.LockedAt)
	}
	p, err := h.RecordMiss(ctx, ida.ID)
	require.NoError(t, err)
	require.Equal(t, h.clock.Now(), p.LockedAt)
	requireTrouble(t, h.RecordSignIn(ctx, ida.ID, 0), restoration.TroubleForbidden, "", "can't sign in")

	locked := h.clock.Now()
	h.clock.advance(time.Hour)
	p, err = h.RecordMiss(ctx, ida.ID)
	require.NoError(t, err)
	require.Equal(t, locked, p.LockedAt, "who is locked stays locked since then")
	require.Equal(t, 1, h.count(t, "lock person"))

	require.NoError(t, h.UnlockPerson(ctx, h.by, ida.ID))
	require.NoError(t, h.UnlockPerson(ctx, h.by, ida.ID), "twice is the same as once")
	require.Equal(t, 1, h.count(t, "unlock person"))
	require.NoError(t, h.RecordSignIn(ctx, ida.ID, 0))
	p, err = h.FindPerson(ctx, ida.ID)
	require.NoError(t, err)
	require.Zero(t, p.Misses)
	require.Zero(t, p.LockedAt)
	require.Equal(t, h.clock.Now(), p.LastSeen)
	require.Equal(t, 1, h.count(t, "sign in"))

	_, err = h.RecordMiss(ctx, 999)
	requireTrouble(t, err, restoration.TroubleNotFound, "", "no such person")
	requireTrouble(t, h.UnlockPerson(ctx, h.by, 999), restoration.TroubleNotFound, "", "no such person")
	requireTrouble(t, h.RecordSignIn(ctx, 999, 0), restoration.TroubleForbidden, "", "can't sign in")
}

func TestASignInClearsMisses(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	ida := h.technician(t, "Ida")
	for range 3 { // four wrong, one right, over and over: never in a row
		for range restoration.MaxMisses - 1 {
			_, err := h.RecordMiss(ctx, ida.ID)
			require.NoError(t, err)
		}
		require.NoError(t, h.RecordSignIn(ctx, ida.ID, 0))
	}
}

func TestTenWrongPINsAtOnceLockOnce(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	ida := h.technician(t, "Ida")
	var all errgroup.Group
	for range 10 {
		all.Go(func() error {
			_, err := h.RecordMiss(ctx, ida.ID)
			return err
		})
	}
	require.NoError(t, all.Wait())
	p, err := h.FindPerson(ctx, ida.ID)
	require.NoError(t, err)
	require.Equal(t, 10, p.Misses)
	require.Equal(t, h.clock.Now(), p.LockedAt)
	require.Equal(t, 1, h.count(t, "lock person"))
}

func TestSecrets(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	ida := h.technician(t, "Ida")
	hash, err := h.PINHash(ctx, ida.ID)
	require.NoError(t, err)
	require.Equal(t, "a PIN's hash", hash)

	for range restoration.MaxMisses {
		_, err := h.RecordMiss(ctx, ida.ID)
		require.NoError(t, err)
	}
	require.NoError(t, h.SetPIN(ctx, h.by, ida.ID, "another"))
	hash, err = h.PINHash(ctx, ida.ID)
	require.NoError(t, err)
	require.Equal(t, "another", hash)
	p, err := h.FindPerson(ctx, ida.ID)
	require.NoError(t, err)
	require.Zero(t, p.LockedAt, "a new PIN unlocks")
	require.Zero(t, p.Misses)

	require.NoError(t, h.SetPassword(ctx, h.by, ida.ID, "a password's hash"))
	p, hash, err = h.FindLogin(ctx, "Ida")
	require.NoError(t, err)
	require.Equal(t, "a password's hash", hash)
	require.True(t, p.HasPassword)

	require.NoError(t, h.SetPIN(ctx, h.by, ida.ID, ""))
	hash, err = h.PINHash(ctx, ida.ID)
	require.NoError(t, err)
	require.Empty(t, hash)

	requireTrouble(t, h.SetPassword(ctx, h.by, h.owner.ID, ""), restoration.TroubleInvalid, "password", "needs a password")
	requireTrouble(t, h.SetPIN(ctx, h.by, 999, "x"), restoration.TroubleNotFound, "", "no such person")
	requireTrouble(t, h.SetPassword(ctx, h.by, 999, "x"), restoration.TroubleNotFound, "", "no such person")
	rows, err := h.Audit(ctx, restoration.AuditFilter{})
	require.NoError(t, err)
	for _, r := range rows {
		require.NotContains(t, r.Before+r.After, "hash", "no secret reaches the audit")
	}
}

func TestBenchPeople(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	ada, bo, cy := h.technician(t, "Ada"), h.technician(t, "Bo"), h.technician(t, "Cy")
	one := h.tablet(t, "Booth")
	two := h.tablet(t, "Bench")
	names := func(device int64) (names []string) {
		people, err := h.BenchPeople(ctx, device)
		require.NoError(t, err)
		for _, p := range people {
			names = append(names, p.Name)
		}
		return names
	}
	require.Equal(t, []string{"Ada", "Bo", "Cy"}, names(one.ID), "nobody yet: by name, and no owner without a PIN")
	for _, p := range []restoration.Person{bo, cy, bo} {
		require.NoError(t, h.RecordSignIn(ctx, p.ID, one.ID))
	}
	require.NoError(t, h.RecordSignIn(ctx, ada.ID, two.ID))
	require.Equal(t, []string{"Bo", "Cy", "Ada"}, names(one.ID))
	require.Equal(t, []string{"Ada", "Bo", "Cy"}, names(two.ID))
	require.NoError(t, h.SetPIN(ctx, h.by, cy.ID, ""))
	require.NoError(t, h.PersonLeft(ctx, h.by, bo.ID))
	require.Equal(t, []string{"Ada"}, names(one.ID))
}
