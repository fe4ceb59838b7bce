package store_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
	"scumble/internal/store"
	"scumble/internal/store/storetest"
)

func TestVerifyFindsWhatWasDamaged(t *testing.T) {
	t.Parallel()
	ctx, url := t.Context(), storetest.URL(t)
	clock := &handClock{now: time.Date(2026, 3, 27, 14, 30, 0, 0, time.UTC)}
	h := house{Store: storetest.Open(t, url, store.Options{Now: clock.Now}), clock: clock}
	p := h.onePiece(t, "26-014")
	h.mustEnter(t, h.tick(p.Steps[0], 45))
	h.mustEnter(t, restoration.Event{ID: newID(), Kind: restoration.KindHold, PieceID: p.ID, At: clock.Now(), Payload: restoration.Payload{Reason: "waits"}})
	h.requireSound(t)

	super := storetest.Superuser(t, url)
	_, err := super.Exec(ctx, `SET session_replication_role = replica`)
	require.NoError(t, err)
	for _, c := range []struct{ name, damage, mend, says string }{
		{"hours of a step", `UPDATE finish_steps SET logged_min = 60 WHERE position = 0`, `UPDATE finish_steps SET logged_min = 45 WHERE position = 0`,
			`step stripped pass 1: logged_min is stored as 1 h, the ledger gives 45 min`},
		{"state of a step", `UPDATE finish_steps SET state = 'in hand' WHERE position = 2`, `UPDATE finish_steps SET state = 'open' WHERE position = 2`,
			`step primed pass 1: state is stored as "in hand", the ledger gives "open"`},
		{"hour of a step", `UPDATE finish_steps SET done_at = '2026-03-27T15:30:00Z' WHERE position = 0`, `UPDATE finish_steps SET done_at = '2026-03-27T14:30:00Z' WHERE position = 0`,
			`done_at is stored as 2026-03-27T15:30:00Z, the ledger gives 2026-03-27T14:30:00Z`},
		{"hours of a piece", `UPDATE components SET left_min = left_min + 1`, `UPDATE components SET left_min = left_min - 1`, `left_min is stored as`},
		{"hold of a piece", `UPDATE components SET held_since = NULL, hold_reason = ''`, `UPDATE components SET held_since = '2026-03-27T14:30:00Z', hold_reason = 'waits'`,
			`held_since is stored as nothing`},
		{"size of a piece", `UPDATE components SET size = 'large'`, `UPDATE components SET size = 'medium'`, `size is stored as large, the ledger gives medium`},
		{"state of a car", `UPDATE cars SET state = 'survey'`, `UPDATE cars SET state = 'in work'`, `the car: state is stored as "survey", the ledger gives "in work"`},
		{"outcome of an event", `UPDATE shop_events SET outcome = 'already' WHERE kind = 'hold'`, `UPDATE shop_events SET outcome = 'applied' WHERE kind = 'hold'`,
			`(hold) is stored as already, the replay gives applied`},
		{"a step too few", `CREATE TABLE aside AS SELECT * FROM finish_steps WHERE position = 8; DELETE FROM finish_steps WHERE position = 8`,
			`INSERT INTO finish_steps SELECT * FROM aside; DROP TABLE aside`, `step fitted pass 1 is told by the ledger, but is not stored`},
		{"an event too few", `CREATE TABLE aside AS SELECT * FROM shop_events WHERE kind = 'tick'; DELETE FROM shop_events WHERE kind = 'tick'`,
			`INSERT INTO shop_events OVERRIDING SYSTEM VALUE SELECT * FROM aside; DROP TABLE aside`, `state is stored as "done", the ledger gives "open"`},
	} {
		_, err := super.Exec(ctx, c.damage)
		require.NoError(t, err, c.name)
		differences, err := h.Verify(ctx)
		require.NoError(t, err, c.name)
		require.NotEmpty(t, differences, c.name)
		require.Condition(t, func() bool { return anyContains(differences, c.says) }, "%s: %q says nothing of %q", c.name, differences, c.says)
		_, err = super.Exec(ctx, c.mend)
		require.NoError(t, err, c.name)
		h.requireSound(t)
	}
}
