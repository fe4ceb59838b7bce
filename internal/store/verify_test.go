package store_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/colour"
	"scumble/internal/restoration"
	"scumble/internal/store"
	"scumble/internal/store/storetest"
)

func TestVerifyFindsWhatWasDamaged(t *testing.T) {
	t.Parallel()
	url := storetest.URL(t)
	clock := &handClock{now: time.Date(2026, 3, 27, 14, 30, 0, 0, time.UTC)}
	h := house{Store: storetest.Open(t, url, store.Options{Now: clock.Now}), clock: clock}
	p := h.onePiece(t, "26-014")
	h.mustEnter(t, h.tick(p.Steps[0], 45))
	h.mustEnter(t, restoration.Event{ID: newID(), Kind: restoration.KindHold, PieceID: p.ID, At: clock.Now(), Payload: restoration.Payload{Reason: "waits"}})
	h.requireSound(t)

	h.requireFound(t, url, []damage{
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
	})
}

// The film of one piece: 60 µm wet of 53.97 % solids, some of it cut away again.
func TestVerifyFindsDamagedFilm(t *testing.T) {
	t.Parallel()
	url := storetest.URL(t)
	s := paint(t, houseAt(t, url))
	struck := s.coat(2)
	s.mustEnter(t, s.coat(1), struck, s.pass("P1500"), s.strike(struck.ID),
		s.reading(restoration.Reading{Kind: restoration.ReadFilm, Spot: "A", FilmUM: []float64{120, 122, 121}}),
		s.reading(restoration.Reading{Kind: restoration.ReadColour, Lab: &colour.Lab{L: 41, A: 14, B: 22}}))
	s.requireSound(t)
	s.requireFound(t, url, []damage{
		{"film of a coat", `UPDATE coats SET dry_high = dry_high + 1`, `UPDATE coats SET dry_high = dry_high - 1`, `film is stored as`},
		{"hour of a coat", `UPDATE coats SET at = at - interval '1 hour'`, `UPDATE coats SET at = at + interval '1 hour'`, `at is stored as`},
		{"number of a coat", `UPDATE coats SET number = 7`, `UPDATE coats SET number = 1`, `number is stored as 7, the ledger gives 1`},
		{"paint of a coat", `UPDATE coats SET ml = 64`, `UPDATE coats SET ml = 63`, `ml is stored as 64, the ledger gives 63`},
		{"paint from a tin", `UPDATE coat_lots SET ml = 41`, `UPDATE coat_lots SET ml = 40`, `lots is stored as`},
		{"a tin too few", `CREATE TABLE aside AS SELECT * FROM coat_lots; DELETE FROM coat_lots`,
			`INSERT INTO coat_lots SELECT * FROM aside; DROP TABLE aside`, `lots is stored as`},
		{"what a tin has left", `UPDATE lots SET used_ml = used_ml + 5`, `UPDATE lots SET used_ml = used_ml - 5`, `mL are kept as taken out of it, the ledger gives 40`},
		{"a coat too few", `CREATE TABLE aside AS SELECT * FROM coats; DELETE FROM coats`,
			`INSERT INTO coats SELECT * FROM aside; DROP TABLE aside`, `is told by the ledger, but is not stored`},
		{"a coat too many", `INSERT INTO coats (event_id, component_id, car_id, step_id, stage, pass, at, layer, number, dry_low, dry_um, dry_high)
				SELECT gen_random_uuid(), component_id, car_id, step_id, stage, pass, at, layer, 9, 1, 1, 1 FROM coats`,
			`DELETE FROM coats WHERE number = 9`, `is stored, but the ledger doesn't tell of it`},
		{"grade of a pass", `UPDATE cut_passes SET grade = 'P400'`, `UPDATE cut_passes SET grade = 'P1500'`, `grade is stored as "P400", the ledger gives "P1500"`},
		{"film off by a pass", `UPDATE cut_passes SET off_low = off_low / 2`, `UPDATE cut_passes SET off_low = off_low * 2`, `film is stored as`},
		{"a figure of a gauge", `UPDATE readings SET film_um[2] = 22 WHERE kind = 'film'`, `UPDATE readings SET film_um[2] = 122 WHERE kind = 'film'`,
			`reading is stored as`},
		{"a colour", `UPDATE readings SET b = 23 WHERE kind = 'colour'`, `UPDATE readings SET b = 22 WHERE kind = 'colour'`, `reading is stored as`},
		{"what is kept of a piece", `UPDATE films SET left_high = left_high + 1`, `UPDATE films SET left_high = left_high - 1`, `its film is kept as`},
		{"nothing kept of a piece", `CREATE TABLE aside AS SELECT * FROM films; DELETE FROM films`,
			`INSERT INTO films SELECT * FROM aside; DROP TABLE aside`, `its film is kept as`},
		{"the wait of a step", `UPDATE finish_steps SET coated_at = coated_at - interval '1 hour' WHERE coated_at IS NOT NULL`,
			`UPDATE finish_steps SET coated_at = coated_at + interval '1 hour' WHERE coated_at IS NOT NULL`, `coated_at is stored as`},
		{"an entry too few", `CREATE TABLE aside AS SELECT * FROM shop_events WHERE kind = 'cut pass'; DELETE FROM shop_events WHERE kind = 'cut pass'`,
			`INSERT INTO shop_events OVERRIDING SYSTEM VALUE SELECT * FROM aside; DROP TABLE aside`, `is stored, but the ledger doesn't tell of it`},
	})
}

// damage is done by one statement and undone by another.
type damage struct{ name, damage, mend, says string }

// requireFound does each damage, requires that Verify says so, and mends it.
func (h house) requireFound(t *testing.T, url string, list []damage) {
	t.Helper()
	ctx, super := t.Context(), storetest.Superuser(t, url)
	_, err := super.Exec(ctx, `SET session_replication_role = replica`)
	require.NoError(t, err)
	for _, c := range list {
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
