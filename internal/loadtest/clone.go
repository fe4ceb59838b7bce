package main

import (
	"context"
	"fmt"
)

// The ids of a clone follow from its number and its place, so that a script knows
// them without asking: number is that of the piece among all of the shop, from 1.
func pieceKey(number string) string { return "md5('piece ' || " + number + ")::uuid" }

func stepKey(number, position, pass string) string {
	return "md5('step ' || " + number + " || ' ' || " + position + " || ' ' || " + pass + ")::uuid"
}

// eventKey is the id of the nth clone of an entry e.
const eventKey = "md5('event ' || e.seq || ' ' || n)::uuid"

// film copies a table of what was done to the film: a row of its model's for each clone's.
func film(table, more, join, clones, number string) string {
	return `INSERT INTO ` + table + `
		SELECT r.* FROM ` + table + ` d JOIN shop_events e ON e.id = d.event_id JOIN components p ON p.id = d.component_id ` + join + `,
			` + clones + `, jsonb_populate_record(d, jsonb_build_object(
			'event_id', ` + eventKey + `, 'component_id', ` + pieceKey(number) + `, 'car_id', d.car_id + n - 1` + more + `)) r
		WHERE p.car_id = (SELECT min(id) FROM cars)
		ORDER BY n, e.seq`
}

// cloneCars makes n cars of the one that is there, each table in one statement. What
// the ledger tells of a clone agrees with its projection, save that the ids of its
// steps don't follow from its openings.
func cloneCars(ctx context.Context, url string, n int) error {
	number := fmt.Sprintf("((n - 1) * %d + p.sort_order + 1)", piecesPerCar)
	step := stepKey(number, "s.position", "s.pass")
	clones := fmt.Sprintf("generate_series(2, %d) n", n)
	return execAll(ctx, url,
		// Keys and triggers would look at each of half a million rows that are right by
		// construction, and the ledger's own forbids nothing here but would be asked.
		`SET session_replication_role = replica`,
		`INSERT INTO cars OVERRIDING SYSTEM VALUE
			SELECT r.* FROM cars c, `+clones+`, jsonb_populate_record(c, jsonb_build_object(
				'id', c.id + n - 1, 'work_order', '26-' || lpad(n::text, 3, '0'), 'name', '1937 Kestle Eight no. ' || n,
				'ground', '#9a6a' || lpad(to_hex(n % 256), 2, '0'))) r`,
		`INSERT INTO components
			SELECT r.* FROM components p LEFT JOIN finish_steps s ON s.id = p.next_step, `+clones+`, jsonb_populate_record(p, jsonb_build_object(
				'id', `+pieceKey(number)+`, 'car_id', p.car_id + n - 1, 'label', upper(lpad(to_hex(`+number+`), 5, '0')),
				'next_step', CASE WHEN s.id IS NOT NULL THEN `+step+` END)) r
			ORDER BY n, p.sort_order`,
		`INSERT INTO finish_steps
			SELECT r.* FROM finish_steps s JOIN components p ON p.id = s.component_id, `+clones+`, jsonb_populate_record(s, jsonb_build_object(
				'id', `+step+`, 'component_id', `+pieceKey(number)+`, 'car_id', s.car_id + n - 1)) r
			WHERE p.car_id = (SELECT min(id) FROM cars)
			ORDER BY n, p.sort_order, s.position`,
		`INSERT INTO shop_events OVERRIDING SYSTEM VALUE
			SELECT r.* FROM shop_events e JOIN components p ON p.id = e.component_id LEFT JOIN finish_steps s ON s.id = e.step_id,
				`+clones+`, jsonb_populate_record(e, jsonb_build_object(
				'id', `+eventKey+`, 'seq', e.seq + (n - 1) * (SELECT max(seq) FROM shop_events),
				'car_id', e.car_id + n - 1, 'component_id', `+pieceKey(number)+`,
				'step_id', CASE WHEN s.id IS NOT NULL THEN `+step+` END)) r
			WHERE p.car_id = (SELECT min(id) FROM cars)
			ORDER BY n, e.seq`,
		film("coats", fmt.Sprintf(`, 'step_id', %s`, step), "LEFT JOIN finish_steps s ON s.id = d.step_id", clones, number),
		film("cut_passes", fmt.Sprintf(`, 'step_id', %s`, step), "LEFT JOIN finish_steps s ON s.id = d.step_id", clones, number),
		film("readings", "", "", clones, number),
		`INSERT INTO coat_lots
			SELECT `+eventKey+`, u.lot_id, u.ml FROM coat_lots u JOIN shop_events e ON e.id = u.event_id, `+clones,
		fmt.Sprintf(`UPDATE lots SET used_ml = used_ml * %d`, n),
		`INSERT INTO films
			SELECT r.* FROM films f JOIN components p ON p.id = f.component_id, `+clones+`, jsonb_populate_record(f, jsonb_build_object(
				'component_id', `+pieceKey(number)+`)) r
			ORDER BY n, p.sort_order`,
		`INSERT INTO schemes OVERRIDING SYSTEM VALUE
			SELECT r.* FROM schemes v, `+clones+`, jsonb_populate_record(v, jsonb_build_object(
				'id', v.id + (n - 1) * (SELECT max(id) FROM schemes), 'car_id', v.car_id + n - 1)) r`,
		`SELECT setval(pg_get_serial_sequence('schemes', 'id'), coalesce(max(id), 1)) FROM schemes`,
		`SELECT setval(pg_get_serial_sequence('cars', 'id'), max(id)) FROM cars`,
		`SELECT setval(pg_get_serial_sequence('shop_events', 'seq'), max(seq)) FROM shop_events`,
	)
}
