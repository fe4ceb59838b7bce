package store

import (
	"context"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgtype"

	"scumble/internal/restoration"
)

// SprayKeys gives what [restoration.Batches] looks at: the pieces of every car not
// delivered whose next step is sprayed, held ones too, with their routes and schemes,
// the materials in use, the tins that are open to use, and the shop's figures.
func (s *Store) SprayKeys(ctx context.Context) (shop restoration.SprayShop, err error) {
	defer wrap(&err, "list the pieces to spray")
	err = s.look(ctx, func(t tx) error {
		var settings []restoration.Settings
		var schemes []restoration.Scheme
		var air []restoration.AirReading
		var cars []restoration.Car
		var b pgx.Batch
		collect(&b, &settings, toSettings, `SELECT document FROM settings`)
		collect(&b, &cars, toCar, `SELECT `+carColumns+` FROM cars c WHERE c.state <> 'delivered'`)
		collect(&b, &schemes, toScheme, `SELECT `+schemeColumns+` FROM schemes WHERE car_id IN (SELECT id FROM cars WHERE state <> 'delivered')`)
		collect(&b, &shop.Materials, toMaterial, materialSelect+`WHERE retired_at IS NULL ORDER BY id`)
		collect(&b, &shop.Lots, toLot, lotSelect+`WHERE l.closed_at IS NULL ORDER BY l.id`)
		collect(&b, &air, toAirReading, latestAir)
		b.Queue(spraySelect, restoration.SprayedLooks(), t.now).Query(func(rows pgx.Rows) (err error) {
			shop.Keys, err = collectSprayKeys(rows, carsAt(cars))
			return err
		})
		if err := t.SendBatch(ctx, &b).Close(); err != nil {
			return err
		}
		shop.Film = firstOr(settings, restoration.StockSettings()).Film
		shop.TempC = restoration.TempNow(air, t.now)
		shop.Schemes = make(map[restoration.SchemeKey]restoration.Scheme, len(schemes))
		for _, v := range schemes {
			shop.Schemes[restoration.KeyOf(v)] = v
		}
		return s.sprayRoutes(ctx, t, &shop)
	})
	return shop, err
}

// sprayRoutes puts in the routes of the pieces.
func (s *Store) sprayRoutes(ctx context.Context, t tx, shop *restoration.SprayShop) (err error) {
	shop.Routes = map[int64]restoration.Route{}
	for _, k := range shop.Keys {
		if _, ok := shop.Routes[k.RouteID]; ok {
			continue
		}
		if shop.Routes[k.RouteID], err = s.startedRoute(ctx, t, k.RouteID); err != nil {
			return fmt.Errorf("route %d: %w", k.RouteID, err)
		}
	}
	return nil
}

func carsAt(list []restoration.Car) map[int64]*restoration.Car {
	cars := make(map[int64]*restoration.Car, len(list))
	for i := range list {
		cars[list[i].ID] = &list[i]
	}
	return cars
}

// spraySelect looks up only those steps that have a coat on them, all at once, with the
// hours and films of the clear of the day before the last: sessions are shorter than that.
// Only a window that is there to shut, and a session, ask when the piece was sanded last; only
// a piece that was sent back asks what clear it kept: what is on it less what the step gave.
const spraySelect = `
	WITH coated AS MATERIALIZED (
		SELECT s.id, s.coated_at, (s.coat_waits ->> 'max_recoat_min')::int AS max_recoat, (s.coat_waits ->> 'sand_min')::int AS sand,
			(SELECT count(*) FROM coats d WHERE d.component_id = s.component_id AND d.step_id = s.id) AS coats, d.hours, d.films
		FROM finish_steps s CROSS JOIN LATERAL (
			SELECT array_agg(at) AS hours, array_agg(dry_um) AS films FROM coats
			WHERE component_id = s.component_id AND step_id = s.id AND layer = 'clear' AND at > s.coated_at - interval '1 day') d
		WHERE s.coated_at IS NOT NULL AND s.state IN ('open', 'in hand'))
	SELECT p.id, p.car_id, p.next_step, p.route_id, p.label, p.name, p.zone, p.side, p.set_name, p.scheme, p.size, p.area_m2, p.both_m2,
		p.next_stage, p.look, coalesce(s.coats, 0), s.coated_at, coalesce(s.max_recoat, 0), coalesce(s.sand, 0), s.hours, s.films,
		CASE WHEN coalesce(f.left_um, 0) > 0 AND p.sent_back THEN (
			SELECT greatest(0, f.left_um - coalesce(sum(d.dry_um), 0)) FROM finish_steps z
			LEFT JOIN coats d ON d.component_id = p.id AND d.step_id = z.id AND d.layer = 'clear'
			WHERE z.id = p.next_step AND z.pass > 1) ELSE 0 END,
		CASE WHEN s.hours IS NOT NULL OR coalesce(s.coated_at + s.max_recoat * interval '1 minute', p.late_from) < greatest($2, p.gate_from) THEN (SELECT max(k.at) FROM cut_passes k WHERE k.component_id = p.id) END,
		p.held_since, p.gate_from, p.late_from, p.lies_at, count(*) OVER ()
	FROM components p JOIN cars c ON c.id = p.car_id
	JOIN route_stages g ON g.route_id = p.route_id AND g.key = p.next_stage AND g.document ->> 'look' = ANY($1)
	LEFT JOIN coated s ON s.id = p.next_step
	LEFT JOIN films f ON f.component_id = p.id
	WHERE c.state <> 'delivered' AND p.removed_at IS NULL AND p.next_step IS NOT NULL`

// collectSprayKeys reads each row straight into its key: see collectKeys.
func collectSprayKeys(rows pgx.Rows, cars map[int64]*restoration.Car) (keys []restoration.SprayKey, err error) {
	var id, step pgtype.UUID
	var carID, total int64
	var coated, sanded, held, gateFrom, lateFrom pgtype.Timestamptz
	words := map[string]string{}
	var texts [10]word
	for i := range texts {
		texts[i].known = words
	}
	label, name, zone, side, set, scheme, size, stage, look, lies := &texts[0], &texts[1], &texts[2], &texts[3], &texts[4], &texts[5], &texts[6], &texts[7], &texts[8], &texts[9]
	var k restoration.SprayKey
	var hours []time.Time
	var films []float64
	_, err = pgx.ForEachRow(rows, []any{&id, &carID, &step, &k.RouteID, label, name, zone, side, set, scheme, size, &k.AreaM2, &k.BothM2,
		stage, look, &k.Coats, &coated, &k.MaxRecoat, &k.Sand, &hours, &films, &k.KeptUM, &sanded, &held, &gateFrom, &lateFrom, lies, &total}, func() error {
		if keys == nil {
			keys = make([]restoration.SprayKey, 0, total)
		}
		k.Car, k.PieceID, k.StepID = cars[carID], id.Bytes, step.Bytes
		k.Title = restoration.Details{Name: name.text, Zone: restoration.Zone(zone.text), Side: restoration.Side(side.text)}.Title()
		k.Label, k.Set, k.Scheme, k.Size, k.Stage, k.LiesAt = label.text, set.text, scheme.text, restoration.Size(size.text), stage.text, lies.text
		k.Look, k.CoatedAt, k.SandedAt = restoration.Look(look.text), instantOf(coated), instantOf(sanded)
		k.SessionUM = restoration.LastSession(hours, films)
		k.HeldSince, k.GateFrom, k.LateFrom = instantOf(held), instantOf(gateFrom), instantOf(lateFrom)
		keys = append(keys, k)
		return nil
	})
	return keys, err
}
