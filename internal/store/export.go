package store

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"time"

	"github.com/jackc/pgx/v5"
)

// ExportForm and ExportVersion name the form of what [Store.Export] writes. The
// version goes up when a reader of the old one would go wrong.
const (
	ExportForm    = "scumble-export"
	ExportVersion = 1
)

// section is one list of the export: its name, and a query that gives each row as a
// JSON object.
type section struct{ name, sql string }

// sections lists everything but secrets: no hash of a password, PIN, code or token,
// and no session. Columns are named one by one, so that a new one stays out until
// somebody has decided that it is none.
var sections = []section{
	{"routes", `SELECT row_to_json(x) FROM (
		SELECT r.id, r.key, r.version, r.name, r.place, r.current, r.retired_at, r.created_at,
			(SELECT json_agg(g.document ORDER BY g.position) FROM route_stages g WHERE g.route_id = r.id) AS stages
		FROM routes r ORDER BY r.id) x`},
	{"people", `SELECT row_to_json(x) FROM (
		SELECT id, name, role, password_hash IS NOT NULL AS has_password, pin_hash IS NOT NULL AS has_pin,
			locked_at, left_at, last_seen, created_at
		FROM people ORDER BY id) x`},
	{"devices", `SELECT row_to_json(x) FROM (
		SELECT id, name, enrolled_at, revoked_at, last_seen, created_at FROM devices ORDER BY id) x`},
	{"cars", `SELECT row_to_json(x) FROM (
		SELECT id, work_order, name, body, customer, contact, state, hold_reason, held_since, quality, rate_cents,
			arrived_on, promised_on, expect_from, expect_to, delivered_at, ground, grain, scheme, words, note, created_at
		FROM cars ORDER BY id) x`},
	{"components", `SELECT row_to_json(x) FROM (
		SELECT p.id, p.car_id, p.route_id, p.label, p.name, p.zone, p.side, p.place, p.sort_order, p.area_m2, p.both_m2,
			p.size, p.mounting, p.metal, p.set_name, p.scheme, p.scheme_reason, p.grade, p.steel_grade, p.faults, p.note,
			p.created_at, p.lies_at, p.hold_reason, p.held_since, p.held_by, p.removed_at, p.left_min, p.look, p.reached,
			p.next_stage, p.next_step, p.gate_from, p.late_from, p.sent_back,
			(SELECT coalesce(json_agg(row_to_json(s) ORDER BY s.position, s.pass), '[]') FROM (
				SELECT f.id, f.stage, f.position, f.pass, f.rework, f.planned_low, f.planned_min, f.planned_high, f.overtyped,
					f.logged_min, f.last_log, f.still_min, f.still_at, f.state, f.hand_by, f.hand_since, f.done_at, f.done_by,
					f.touch_again, f.too_late, f.reason, f.left_min, f.counted_min, f.earned_min, f.coated_at, f.coat_waits
				FROM finish_steps f WHERE f.component_id = p.id) s) AS steps
		FROM components p ORDER BY p.car_id, p.id) x`},
	{"events", `SELECT row_to_json(x) FROM (
		SELECT seq, id, kind, car_id, component_id, step_id, person_id, device_id, at, arrived, payload, outcome, reason, allowed_from
		FROM shop_events ORDER BY seq) x`},
	{"links", `SELECT row_to_json(x) FROM (
		SELECT id, car_id, created_at, created_by, expires_at, revoked_at, last_seen, views, show_hours, show_name
		FROM progress_links ORDER BY id) x`},
	{"materials", `SELECT row_to_json(x) FROM (
		SELECT id, name, layer, example, document AS sheet, created_at, changed_at, retired_at FROM materials ORDER BY id) x`},
	{"lots", `SELECT row_to_json(x) FROM (
		SELECT id, material_id, part, number, amount_ml, opened_on, expires_on, note, created_at, closed_at FROM lots ORDER BY id) x`},
	{"schemes", `SELECT row_to_json(x) FROM (
		SELECT id, car_id, name, clear_coats, build_um, floor_um, gloss, gloss_angle, ground_l, ground_a, ground_b, materials, ground_lot
		FROM schemes ORDER BY id) x`},
	{"coats", `SELECT row_to_json(x) FROM (
		SELECT d.event_id, d.component_id, d.car_id, d.step_id, d.stage, d.pass, d.at, d.person_id, d.batch, d.layer, d.number, d.material_id,
			d.dry_low, d.dry_um, d.dry_high, d.ml,
			(SELECT coalesce(json_agg(json_build_object('lot_id', u.lot_id, 'ml', u.ml) ORDER BY u.lot_id), '[]')
				FROM coat_lots u WHERE u.event_id = d.event_id) AS lots
		FROM coats d ORDER BY d.at, d.event_id) x`},
	{"cut_passes", `SELECT row_to_json(x) FROM (
		SELECT event_id, component_id, car_id, step_id, stage, pass, at, person_id, batch, layer, grade, off_low, off_um, off_high
		FROM cut_passes ORDER BY at, event_id) x`},
	{"readings", `SELECT row_to_json(x) FROM (
		SELECT event_id, component_id, car_id, pass, at, person_id, batch, kind, spot, baseline, film_um, gloss, gloss_angle, l, a, b, under_clear
		FROM readings ORDER BY at, event_id) x`},
	{"sensors", `SELECT row_to_json(x) FROM (
		SELECT id, name, created_at, revoked_at, last_seen FROM sensors ORDER BY id) x`},
	{"air", `SELECT row_to_json(x) FROM (
		SELECT sensor_id, at, air_c, humidity, surface_c FROM air ORDER BY at, sensor_id) x`},
	{"certificates", `SELECT row_to_json(x) FROM (
		SELECT id, person_id, kind, done_on, valid_until, note, removed_at FROM certificates ORDER BY id) x`},
	{"photos", `SELECT row_to_json(x) FROM (
		SELECT encode(id, 'hex') AS id, width, height, octet_length(large) AS bytes, created_at FROM photos ORDER BY created_at, id) x`},
	{"piece_photos", `SELECT row_to_json(x) FROM (
		SELECT event_id, encode(photo_id, 'hex') AS photo_id, component_id, car_id, step_id, stage, pass, at, person_id, note,
			customer_sees, removed_at
		FROM piece_photos ORDER BY at, event_id) x`},
	{"places", `SELECT row_to_json(x) FROM (
		SELECT l.id, l.name, l.kind, l.holds, l.code, l.created_at, l.retired_at,
			(SELECT coalesce(json_agg(json_build_object('piece', f.piece, 'body', f.body, 'well', f.well, 'person_id', f.person_id, 'at', f.at)
				ORDER BY lower(f.piece), lower(f.body)), '[]') FROM place_fits f WHERE f.place_id = l.id) AS fits
		FROM places l ORDER BY l.id) x`},
	{"audit", `SELECT row_to_json(x) FROM (
		SELECT id, at, person_id, device_id, act, subject, car_id, piece_id, before, after FROM audit ORDER BY id) x`},
}

// Export writes the whole shop as one JSON document, as it stands at one moment and
// without secrets:
//
//	{"form": "scumble-export", "version": 1, "exported_at": "2026-03-27T14:30:00Z",
//	 "settings": {…}, "routes": […], "people": […], "devices": […], "cars": […],
//	 "components": […], "events": […], "links": […], "materials": […], "lots": […],
//	 "schemes": […], "coats": […], "cut_passes": […], "readings": […], "sensors": […],
//	 "air": […], "certificates": […], "photos": […], "piece_photos": […], "places": […],
//	 "audit": […]}
//
// An element of a list has the columns of its table under their names: labour in
// minutes, areas in m², films in µm, paint in mL, temperatures in °C, money in the smallest coin, times in RFC 3339, null for
// none. A component has its steps in it, a coat
// its tins. Lists stand in the order given, one element
// a line, so that a reader need not hold the document whole. When an error is
// returned, what has been written is no valid JSON.
func (s *Store) Export(ctx context.Context, w io.Writer) (err error) {
	defer wrap(&err, "export the shop")
	return s.look(ctx, func(t tx) error {
		if _, err := t.Exec(ctx, `SET LOCAL timezone = 'UTC'`); err != nil {
			return err
		}
		settings, err := loadSettings(ctx, t)
		if err != nil {
			return err
		}
		document, err := json.Marshal(settings)
		if err != nil {
			return err
		}
		_, err = fmt.Fprintf(w, "{\"form\": %q, \"version\": %d, \"exported_at\": %q,\n\"settings\": %s",
			ExportForm, ExportVersion, t.now.Format(time.RFC3339Nano), document)
		if err != nil {
			return err
		}
		for _, part := range sections {
			if err := part.write(ctx, t, w); err != nil {
				return fmt.Errorf("%s: %w", part.name, err)
			}
		}
		_, err = io.WriteString(w, "}\n")
		return err
	})
}

func (part section) write(ctx context.Context, t tx, w io.Writer) error {
	if _, err := fmt.Fprintf(w, ",\n%q: [", part.name); err != nil {
		return err
	}
	rows, err := t.Query(ctx, part.sql)
	if err != nil {
		return err
	}
	var row []byte
	before := "\n"
	_, err = pgx.ForEachRow(rows, []any{&row}, func() error {
		if _, err := io.WriteString(w, before); err != nil {
			return err
		}
		before = ",\n"
		_, err := w.Write(row)
		return err
	})
	if err != nil {
		return err
	}
	_, err = io.WriteString(w, "]")
	return err
}
