package store

import (
	"cmp"
	"context"
	"fmt"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgtype"

	"scumble/internal/restoration"
)

// SprayKeys gives what [restoration.Batches] looks at: the pieces of every car not
// delivered whose next step is sprayed, held ones too, with their routes and schemes,
// the materials in use, the tins that are open to use, and the shop's figures. Where pieces
// are named, those only.
func (s *Store) SprayKeys(ctx context.Context, only ...restoration.ID) (shop restoration.SprayShop, err error) {
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
		sql, args := spraySelect, []any{restoration.SprayedLooks()}
		if len(only) > 0 {
			sql, args = sql+` AND p.id = ANY($2)`, append(args, only)
		}
		b.Queue(sql, args...).Query(func(rows pgx.Rows) (err error) {
			shop.Keys, err = collectSprayKeys(rows, carsAt(cars), cmp.Or(len(only), int(s.sprayKeys.Load())))
			if len(only) == 0 {
				s.sprayKeys.Store(int64(len(shop.Keys)))
			}
			return err
		})
		if err := t.SendBatch(ctx, &b).Close(); err != nil {
			return err
		}
		own := firstOr(settings, restoration.StockSettings())
		shop.Film, shop.Units = own.Film, own.Units
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

// spraySelect takes coats, session and sanding from what is kept of each piece's film, so
// that no coat or pass is read. Looks are read once per stage, not once per piece.
const spraySelect = `
	WITH g AS MATERIALIZED (
		SELECT route_id, key, document ->> 'look' = 'cleared' AS clear FROM route_stages WHERE document ->> 'look' = ANY($1))
	SELECT p.id, p.car_id, p.next_step, p.route_id, p.label, p.name, p.zone, p.side, p.set_name, p.scheme, p.size, p.area_m2, p.both_m2,
		p.next_stage, p.look, coalesce(f.step_coats, 0), f.coated_at, coalesce(f.max_recoat_min, 0), coalesce(f.sand_min, 0),
		coalesce(f.session_um, 0), coalesce(f.before_um, 0), f.kept_at, f.sanded_at, CASE WHEN g.clear THEN coalesce(f.grade, '') ELSE '' END,
		p.held_since, p.gate_from, p.late_from, p.lies_at
	FROM components p JOIN cars c ON c.id = p.car_id
	JOIN g ON g.route_id = p.route_id AND g.key = p.next_stage
	LEFT JOIN films f ON f.component_id = p.id
	WHERE c.state <> 'delivered' AND p.removed_at IS NULL AND p.next_step IS NOT NULL`

// collectSprayKeys reads each row straight into its key: see collectKeys.
func collectSprayKeys(rows pgx.Rows, cars map[int64]*restoration.Car, about int) ([]restoration.SprayKey, error) {
	keys := make([]restoration.SprayKey, 0, about)
	var id, step pgtype.UUID
	var carID, maxRecoat, sand int64
	titles := titles{}
	var coated, sanded, kept, held, gateFrom, lateFrom pgtype.Timestamptz
	words := map[string]string{}
	var texts [10]word
	for i := range texts {
		texts[i].known = words
	}
	name, zone, side, set, scheme := &texts[0], &texts[1], &texts[2], &texts[3], &texts[4]
	size, stage, look, lies, grade := &texts[5], &texts[6], &texts[7], &texts[8], &texts[9]
	var k restoration.SprayKey
	_, err := pgx.ForEachRow(rows, []any{&id, &carID, &step, &k.RouteID, &k.Label, name, zone, side, set, scheme, size, &k.AreaM2, &k.BothM2,
		stage, look, &k.Coats, &coated, &maxRecoat, &sand, &k.SessionUM, &k.KeptUM, &kept, &sanded, grade, &held, &gateFrom, &lateFrom, lies}, func() error {
		k.Car, k.PieceID, k.StepID = cars[carID], id.Bytes, step.Bytes
		k.Title = titles.of(name.text, zone.text, side.text)
		k.MaxRecoat, k.Sand = restoration.Minutes(maxRecoat), restoration.Minutes(sand)
		k.Set, k.Scheme, k.Size, k.Stage, k.LiesAt = set.text, scheme.text, restoration.Size(size.text), stage.text, lies.text
		k.Look, k.CoatedAt, k.SandedAt = restoration.Look(look.text), instantOf(coated), instantOf(sanded)
		k.Grade, k.KeptAt = grade.text, instantOf(kept)
		k.HeldSince, k.GateFrom, k.LateFrom = instantOf(held), instantOf(gateFrom), instantOf(lateFrom)
		keys = append(keys, k)
		return nil
	})
	return keys, err
}

// titles keeps each different title once, by name, zone and side.
type titles map[[3]string]string

func (t titles) of(name, zone, side string) string {
	key := [3]string{name, zone, side}
	title, ok := t[key]
	if !ok {
		title = restoration.Details{Name: name, Zone: restoration.Zone(zone), Side: restoration.Side(side)}.Title()
		t[key] = title
	}
	return title
}
