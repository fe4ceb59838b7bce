package store_test

import (
	"context"
	"errors"
	"testing"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
	"scumble/internal/store"
	"scumble/internal/store/storetest"
)

// refusal gives the SQLSTATE and the constraint with which the database refuses.
func refusal(ctx context.Context, t testing.TB, conn *pgx.Conn, sql string, args ...any) (code, constraint string) {
	t.Helper()
	err := pgx.BeginFunc(ctx, conn, func(tx pgx.Tx) error {
		_, err := tx.Exec(ctx, sql, args...)
		return err
	})
	var pg *pgconn.PgError
	require.True(t, errors.As(err, &pg), "%s went through: %v", sql, err)
	return pg.Code, pg.ConstraintName
}

func TestTheLedgerIsAppendOnly(t *testing.T) {
	t.Parallel()
	ctx, url := t.Context(), storetest.URL(t)
	h := house{Store: storetest.Open(t, url, store.Options{}), clock: &handClock{}}
	h.onePiece(t, "26-014")
	super := storetest.Superuser(t, url)
	for _, sql := range []string{
		`UPDATE shop_events SET outcome = 'refused', reason = 'because'`, `DELETE FROM shop_events`, `TRUNCATE shop_events CASCADE`,
	} {
		code, constraint := refusal(ctx, t, super, sql)
		require.Equal(t, []string{"23000", "shop_events_append_only"}, []string{code, constraint}, sql)
	}

	_, err := super.Exec(ctx, `SET ROLE scumble_app`)
	require.NoError(t, err)
	for _, sql := range []string{
		`UPDATE shop_events SET reason = 'because'`, `DELETE FROM shop_events`, `TRUNCATE shop_events CASCADE`,
		`UPDATE audit SET act = 'nothing'`, `DELETE FROM audit`, `TRUNCATE audit`,
		`ALTER TABLE shop_events DISABLE TRIGGER ALL`, `DROP TABLE shop_events`, `SET session_replication_role = replica`,
	} {
		code, _ := refusal(ctx, t, super, sql)
		require.Equal(t, "42501", code, "insufficient_privilege: %s", sql)
	}
	require.Len(t, h.history(t, restoration.HistoryFilter{}), 1)
}

func TestTheProgramWorksAsScumbleApp(t *testing.T) {
	t.Parallel()
	ctx, url := t.Context(), storetest.URL(t)
	s := storetest.Open(t, url, store.Options{})
	_, err := s.ListCars(ctx)
	require.NoError(t, err)
	_, err = storetest.Superuser(t, url).Exec(ctx, `REVOKE SELECT ON cars FROM scumble_app`)
	require.NoError(t, err)
	_, err = s.ListCars(ctx)
	var pg *pgconn.PgError
	require.ErrorAs(t, err, &pg, "the owner of the table would be let in")
	require.Equal(t, "42501", pg.Code, "insufficient_privilege")
}

func TestUpDownUp(t *testing.T) {
	t.Parallel()
	ctx, url := t.Context(), storetest.EmptyURL(t)
	s := storetest.Open(t, url, store.Options{})
	requireTrouble(t, s.Ready(ctx), restoration.TroubleUnavailable, "", "not prepared")
	for range 2 {
		require.NoError(t, store.Migrate(ctx, url))
		require.NoError(t, store.Migrate(ctx, url), "a database that is up to date is left alone")
		require.NoError(t, s.Ready(ctx))
		routes, err := s.Routes(ctx)
		require.NoError(t, err)
		require.Len(t, routes, 1)
		require.NoError(t, store.Unmigrate(ctx, url))
		var left int
		require.NoError(t, storetest.Superuser(t, url).QueryRow(ctx, `
			SELECT (SELECT count(*) FROM pg_tables WHERE schemaname = 'public' AND tablename <> 'schema_migrations')
				+ (SELECT count(*) FROM pg_proc WHERE pronamespace = 'public'::regnamespace)`).Scan(&left))
		require.Zero(t, left, "tables and functions are left behind")
		requireTrouble(t, s.Ready(ctx), restoration.TroubleUnavailable, "", "not prepared")
	}
}

func TestReadySaysWhatIsWrong(t *testing.T) {
	t.Parallel()
	ctx, url := t.Context(), storetest.URL(t)
	s, super := storetest.Open(t, url, store.Options{}), storetest.Superuser(t, url)
	for sql, words := range map[string]string{
		`UPDATE schema_migrations SET version = 999, dirty = false`: "newer program",
		`UPDATE schema_migrations SET version = 3, dirty = true`:    "broken off",
		`UPDATE schema_migrations SET version = 1, dirty = false`:   "not prepared",
	} {
		_, err := super.Exec(ctx, sql)
		require.NoError(t, err)
		requireTrouble(t, s.Ready(ctx), restoration.TroubleUnavailable, "", words)
	}
}

// freshStep chooses a step with nothing done.
const freshStep = ` WHERE position = 4 AND car_id = 1`

// refused has a statement for each named constraint that it goes against.
var refused = map[string]string{
	"settings_one_row":           `INSERT INTO settings (only_row, document, changed_at) VALUES (false, '{}', now())`,
	"settings_pkey":              `INSERT INTO settings (document, changed_at) VALUES ('{}', now())`,
	"people_name_length":         `INSERT INTO people (name, role, created_at) VALUES ('', 'technician', now())`,
	"people_role_known":          `INSERT INTO people (name, role, created_at) VALUES ('Tom', 'boss', now())`,
	"people_owner_has_password":  `INSERT INTO people (name, role, created_at) VALUES ('Tom', 'owner', now())`,
	"people_misses_not_negative": `INSERT INTO people (name, role, misses, created_at) VALUES ('Tom', 'technician', -1, now())`,
	"people_name_once": `INSERT INTO people (name, role, created_at)
		VALUES ('Tom', 'technician', now()), ('TOM', 'technician', now())`,
	"devices_name_length":         `INSERT INTO devices (name, created_at) VALUES ('', now())`,
	"devices_code_with_end":       `INSERT INTO devices (name, code_hash, created_at) VALUES ('T', 'x', now())`,
	"devices_enrolled_with_token": `INSERT INTO devices (name, token_hash, created_at) VALUES ('T', 'x', now())`,

	"routes_key_form":                    `UPDATE routes SET key = 'Not a key'`,
	"routes_version_from_one":            `UPDATE routes SET version = 0`,
	"routes_name_length":                 `UPDATE routes SET name = ''`,
	"routes_version_once":                `INSERT INTO routes (key, version, name, place, current, created_at) SELECT key, version, name, place, false, now() FROM routes`,
	"routes_one_current":                 `INSERT INTO routes (key, version, name, place, current, created_at) SELECT key, 2, name, place, true, now() FROM routes`,
	"route_stages_key_once":              `INSERT INTO route_stages SELECT route_id, position + 100, key, name, document FROM route_stages`,
	"route_stages_position_not_negative": `UPDATE route_stages SET position = -1 WHERE position = 0`,
	"route_stages_key_length":            `UPDATE route_stages SET key = '' WHERE position = 0`,
	"route_stages_name_length":           `UPDATE route_stages SET name = '' WHERE position = 0`,

	"cars_work_order_form":    `UPDATE cars SET work_order = 'next'`,
	"cars_work_order_once":    `UPDATE cars SET work_order = '26-015' WHERE id = 1`,
	"cars_name_length":        `UPDATE cars SET name = repeat('x', 61)`,
	"cars_state_known":        `UPDATE cars SET state = 'lost'`,
	"cars_quality_known":      `UPDATE cars SET quality = 'good'`,
	"cars_rate_not_negative":  `UPDATE cars SET rate_cents = -1`,
	"cars_ground_colour":      `UPDATE cars SET ground = 'brown'`,
	"cars_grain_colour":       `UPDATE cars SET grain = '#FFF'`,
	"cars_hold_has_since":     `UPDATE cars SET state = 'on hold'`,
	"cars_delivered_has_time": `UPDATE cars SET state = 'delivered'`,
	"cars_expect_in_order":    `UPDATE cars SET expect_from = '2026-04-02', expect_to = '2026-04-01'`,

	"components_label_form":                 `UPDATE components SET label = 'abc' WHERE car_id = 1`,
	"components_label_once":                 `UPDATE components SET label = (SELECT label FROM components WHERE car_id = 2) WHERE car_id = 1`,
	"components_name_length":                `UPDATE components SET name = ''`,
	"components_zone_known":                 `UPDATE components SET zone = 'roof'`,
	"components_side_known":                 `UPDATE components SET side = 'middle'`,
	"components_area_not_negative":          `UPDATE components SET area_m2 = -0.1`,
	"components_both_areas":                 `UPDATE components SET both_m2 = area_m2 / 2`,
	"components_size_known":                 `UPDATE components SET size = 'huge'`,
	"components_mounting_known":             `UPDATE components SET mounting = 'glued'`,
	"components_metal_known":                `UPDATE components SET metal = 'wood'`,
	"components_grade_known":                `UPDATE components SET grade = 7`,
	"components_steel_grade_known":          `UPDATE components SET steel_grade = -1`,
	"components_note_length":                `UPDATE components SET note = repeat('x', 2001)`,
	"components_hold_has_reason":            `UPDATE components SET held_since = now()`,
	"components_removed_has_nothing_left":   `UPDATE components SET removed_at = now()`,
	"components_left_not_negative":          `UPDATE components SET left_min = -1`,
	"components_route_id_fkey":              `UPDATE components SET route_id = 4711`,
	"finish_steps_piece_of_car":             `UPDATE finish_steps SET car_id = 2 WHERE car_id = 1`,
	"finish_steps_position_not_negative":    `UPDATE finish_steps SET position = -1` + freshStep,
	"finish_steps_pass_from_one":            `UPDATE finish_steps SET pass = 0` + freshStep,
	"finish_steps_low_not_negative":         `UPDATE finish_steps SET planned_low = -1` + freshStep,
	"finish_steps_likely_from_low":          `UPDATE finish_steps SET planned_min = 0, planned_low = 1` + freshStep,
	"finish_steps_high_from_likely":         `UPDATE finish_steps SET planned_high = 0` + freshStep,
	"finish_steps_logged_not_negative":      `UPDATE finish_steps SET logged_min = -1` + freshStep,
	"finish_steps_still_not_negative":       `UPDATE finish_steps SET still_min = -1` + freshStep,
	"finish_steps_state_known":              `UPDATE finish_steps SET state = 'begun', left_min = 0` + freshStep,
	"finish_steps_left_not_negative":        `UPDATE finish_steps SET left_min = -1` + freshStep,
	"finish_steps_counted_not_negative":     `UPDATE finish_steps SET counted_min = -1, earned_min = -1` + freshStep,
	"finish_steps_earned_within_counted":    `UPDATE finish_steps SET earned_min = counted_min + 1` + freshStep,
	"finish_steps_done_has_time":            `UPDATE finish_steps SET state = 'done', left_min = 0` + freshStep,
	"finish_steps_settled_has_nothing_left": `UPDATE finish_steps SET state = 'done', done_at = now()` + freshStep,
	"finish_steps_skip_has_reason":          `UPDATE finish_steps SET state = 'skipped', left_min = 0` + freshStep,
	"finish_steps_rework_not_counted":       `UPDATE finish_steps SET pass = 2` + freshStep,
	"finish_steps_in_order":                 `UPDATE finish_steps SET state = 'in hand'` + freshStep,
	"finish_steps_pass_once": `INSERT INTO finish_steps SELECT gen_random_uuid(), component_id, car_id, stage, position, pass, rework,
		planned_low, planned_min, planned_high, overtyped, logged_min, last_log, still_min, still_at, 'superseded', hand_by, hand_since,
		done_at, done_by, touch_again, too_late, reason, 0, counted_min, earned_min FROM finish_steps` + freshStep,
	"finish_steps_one_open_pass": `INSERT INTO finish_steps SELECT gen_random_uuid(), component_id, car_id, stage, position, 2, rework,
		planned_low, planned_min, planned_high, overtyped, logged_min, last_log, still_min, still_at, state, hand_by, hand_since,
		done_at, done_by, touch_again, too_late, reason, left_min, 0, 0 FROM finish_steps` + freshStep,

	"progress_links_hash_is_sha256": `INSERT INTO progress_links (car_id, token_hash, created_at, expires_at) VALUES (1, 'short', now(), now() + interval '1 day')`,
	"progress_links_expire_later":   `INSERT INTO progress_links (car_id, token_hash, created_at, expires_at) VALUES (1, sha256('x'), now(), now())`,
	"progress_links_token_once":     `INSERT INTO progress_links (car_id, token_hash, created_at, expires_at) SELECT 1, sha256('x'), now(), now() + interval '1 day' FROM generate_series(1, 2)`,

	"finish_steps_waits_of_a_coat": `UPDATE finish_steps SET coat_waits = '{}'` + freshStep,

	"materials_name_length":    `INSERT INTO materials (name, layer, document, created_at, changed_at) VALUES ('', 'clear', '{}', now(), now())`,
	"materials_layer_known":    `UPDATE materials SET layer = 'varnish'`,
	"materials_name_once":      `INSERT INTO materials (name, layer, document, created_at, changed_at) SELECT upper(name), layer, document, now(), now() FROM materials`,
	"lots_part_not_negative":   `UPDATE lots SET part = -1`,
	"lots_number_length":       `UPDATE lots SET number = ''`,
	"lots_amount_above_nought": `UPDATE lots SET amount_ml = 0`,
	"lots_used_not_negative":   `UPDATE lots SET used_ml = -1`,
	"lots_note_length":         `UPDATE lots SET note = repeat('x', 2001)`,
	"lots_number_once":         `INSERT INTO lots (material_id, part, number, amount_ml, created_at) SELECT material_id, part, number, 1, now() FROM lots`,
	"lots_material_id_fkey":    `UPDATE lots SET material_id = 4711`,

	"schemes_name_length":        `UPDATE schemes SET name = repeat('x', 61)`,
	"schemes_coats_not_negative": `UPDATE schemes SET clear_coats = -1`,
	"schemes_build_above_floor":  `UPDATE schemes SET build_um = floor_um - 1`,
	"schemes_floor_not_negative": `UPDATE schemes SET floor_um = -1`,
	"schemes_gloss_known":        `UPDATE schemes SET gloss = 2001, gloss_angle = 60`,
	"schemes_gloss_angle_known":  `UPDATE schemes SET gloss = 90, gloss_angle = 45`,
	"schemes_gloss_with_angle":   `UPDATE schemes SET gloss = 90`,
	"schemes_ground_whole":       `UPDATE schemes SET ground_l = 41`,
	"schemes_once":               `INSERT INTO schemes (car_id, name, clear_coats, build_um, floor_um) SELECT car_id, name, 4, 120, 50 FROM schemes`,

	"coats_pass_from_one":       `UPDATE coats SET pass = 0`,
	"coats_layer_known":         `UPDATE coats SET layer = 'varnish'`,
	"coats_number_from_one":     `UPDATE coats SET number = 0`,
	"coats_film_not_negative":   `UPDATE coats SET dry_low = -1`,
	"coats_film_in_order":       `UPDATE coats SET dry_high = dry_um - 1`,
	"coats_ml_not_negative":     `UPDATE coats SET ml = -1`,
	"coats_pkey":                `INSERT INTO coats SELECT * FROM coats`,
	"coat_lots_ml_not_negative": `UPDATE coat_lots SET ml = -1`,
	"coat_lots_lot_id_fkey":     `UPDATE coat_lots SET lot_id = 4711`,

	"cut_passes_pass_from_one":    `UPDATE cut_passes SET pass = 0`,
	"cut_passes_layer_known":      `UPDATE cut_passes SET layer = 'varnish'`,
	"cut_passes_grade_length":     `UPDATE cut_passes SET grade = ''`,
	"cut_passes_off_not_negative": `UPDATE cut_passes SET off_low = -1`,
	"cut_passes_off_in_order":     `UPDATE cut_passes SET off_high = off_um - 1`,

	"readings_pass_from_one":     `UPDATE readings SET pass = 0`,
	"readings_kind_known":        `UPDATE readings SET kind = 'weight'`,
	"readings_spot_length":       `UPDATE readings SET spot = repeat('x', 61)`,
	"readings_gloss_known":       `UPDATE readings SET gloss = -1`,
	"readings_gloss_angle_known": `UPDATE readings SET gloss_angle = 45`,
	"readings_say_something":     `UPDATE readings SET film_um = '{}'`,

	"films_on_in_order":          `UPDATE films SET on_high = on_low - 1`,
	"films_left_in_order":        `UPDATE films SET left_low = -1`,
	"films_cut_in_order":         `UPDATE films SET cut_um = cut_high + 1`,
	"films_coats_not_negative":   `UPDATE films SET step_coats = -1`,
	"films_session_not_negative": `UPDATE films SET session_um = -1`,
	"films_before_not_negative":  `UPDATE films SET before_um = -1`,
	"films_recoat_not_negative":  `UPDATE films SET max_recoat_min = -1`,
	"films_sand_not_negative":    `UPDATE films SET sand_min = -1`,

	"sensors_name_length":       `UPDATE sensors SET name = ''`,
	"sensors_hash_is_sha256":    `UPDATE sensors SET token_hash = 'short'`,
	"sensors_token_once":        `INSERT INTO sensors (name, token_hash, created_at) SELECT 'Another', token_hash, now() FROM sensors`,
	"air_temperature_of_a_shop": `UPDATE air SET air_c = 61`,
	"air_humidity_in_percent":   `UPDATE air SET humidity = 0`,
	"air_surface_of_a_shop":     `UPDATE air SET surface_c = 101`,
	"air_once":                  `INSERT INTO air (sensor_id, at, air_c, humidity) SELECT sensor_id, at, 20, 50 FROM air`,

	"certificates_kind_length":     `UPDATE certificates SET kind = ''`,
	"certificates_end_after_start": `UPDATE certificates SET valid_until = done_on - 1`,
	"certificates_note_length":     `UPDATE certificates SET note = repeat('x', 2001)`,
	"certificates_person_id_fkey":  `UPDATE certificates SET person_id = 4711`,

	"photos_id_is_hash":                `UPDATE photos SET id = sha256('another')`,
	"photos_size_known":                `UPDATE photos SET width = 2049`,
	"photos_small_size_known":          `UPDATE photos SET small_height = 0`,
	"piece_photos_pkey":                `INSERT INTO piece_photos SELECT * FROM piece_photos`,
	"piece_photos_have_picture":        `UPDATE piece_photos SET photo_id = sha256('another')`,
	"piece_photos_pass_not_negative":   `UPDATE piece_photos SET pass = -1`,
	"piece_photos_removed_is_not_seen": `UPDATE piece_photos SET removed_at = now(), customer_sees = true`,
	"places_name_length":               `UPDATE places SET name = ''`,
	"places_kind_known":                `UPDATE places SET kind = 'cellar'`,
	"places_holds_known":               `UPDATE places SET holds = -1`,
	"places_code_form":                 `UPDATE places SET code = 'A3468'`,
	"places_code_once":                 `INSERT INTO places (name, kind, code, created_at) SELECT 'Another', kind, code, now() FROM places`,
	"places_name_once":                 `INSERT INTO places (name, kind, code, created_at) SELECT upper(name), kind, 'P33333', now() FROM places`,
	"place_fits_piece_length":          `UPDATE place_fits SET piece = ''`,
	"place_fits_once":                  `INSERT INTO place_fits (place_id, piece, body, well, at) SELECT place_id, upper(piece), body, well, at FROM place_fits`,
	"place_fits_place_id_fkey":         `UPDATE place_fits SET place_id = 4711`,

	"shop_events_pkey":               `INSERT INTO shop_events (id, kind, at, arrived, payload, outcome) SELECT id, kind, at, arrived, payload, outcome FROM shop_events`,
	"shop_events_kind_length":        `INSERT INTO shop_events (id, kind, at, arrived, payload, outcome) VALUES (gen_random_uuid(), '', now(), now(), '{}', 'applied')`,
	"shop_events_outcome_known":      `INSERT INTO shop_events (id, kind, at, arrived, payload, outcome) VALUES (gen_random_uuid(), 'tick', now(), now(), '{}', 'maybe')`,
	"shop_events_refusal_has_reason": `INSERT INTO shop_events (id, kind, at, arrived, payload, outcome) VALUES (gen_random_uuid(), 'tick', now(), now(), '{}', 'refused')`,
	"shop_events_component_id_fkey":  `INSERT INTO shop_events (id, kind, component_id, at, arrived, payload, outcome) VALUES (gen_random_uuid(), 'tick', gen_random_uuid(), now(), now(), '{}', 'applied')`,
}

// oneOfEach makes a row of everything that is not there from the beginning.
func (h house) oneOfEach(t *testing.T) {
	t.Helper()
	h.onePiece(t, "26-014")
	h.onePiece(t, "26-015")
	s := paint(t, h)
	_, err := h.SaveScheme(t.Context(), h.by, restoration.StockScheme(s.piece.CarID, ""))
	require.NoError(t, err)
	s.mustEnter(t, s.coat(1), s.pass("P1500"), s.reading(restoration.Reading{Kind: restoration.ReadFilm, FilmUM: []float64{120, 122, 121}}))
	h.air(t, h.sensor(t, "Booth").ID, h.clock.Now(), 20, 50)
	h.certificate(t)
	h.photo(t, s.piece.ID)
	h.fit(t, h.place(t, "Rack A", 2), true)
}

// Each named constraint refuses what it is there for. A step of the piece of row 1
// is at hand, with nothing done.
func TestConstraintsRefuse(t *testing.T) {
	t.Parallel()
	ctx, url := t.Context(), storetest.URL(t)
	h := houseAt(t, url)
	h.oneOfEach(t)
	super := storetest.Superuser(t, url)

	for constraint, sql := range refused {
		t.Run(constraint, func(t *testing.T) {
			_, got := refusal(ctx, t, super, sql)
			require.Equal(t, constraint, got, sql)
		})
	}
	rows, err := super.Query(ctx, `SELECT conname FROM pg_constraint
		WHERE connamespace = 'public'::regnamespace AND contype IN ('c', 'u') ORDER BY conname`)
	require.NoError(t, err)
	names, err := pgx.CollectRows(rows, pgx.RowTo[string])
	require.NoError(t, err)
	for _, name := range names {
		if name != "components_of_car" && name != "shop_events_seq_once" { // keys of what Postgres keeps unique already
			require.Contains(t, refused, name, "no test shows that this constraint refuses anything")
		}
	}
}
