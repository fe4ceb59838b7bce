package store

import (
	"context"

	"github.com/jackc/pgx/v5"

	"scumble/internal/colour"
	"scumble/internal/restoration"
)

// facts loads what the shop knows about an entry of the film, or a tick that the film
// gates, and has the rules judge it. A tick never waits for another piece: only what
// the entry is about is locked.
func facts(ctx context.Context, t tx, p restoration.Piece, r restoration.Route, e restoration.Event) (*restoration.Facts, []restoration.Deed, error) {
	coats, colours := restoration.FilmOthers(p, r, e)
	sc, err := loadFilmScene(ctx, t, p, e, coats, colours)
	if err != nil {
		return nil, nil, err
	}
	return restoration.Judge(p, r, e, sc), sc.Deeds, nil
}

// FilmScene gives what the rules would judge an entry about a piece's film by, were it
// made now: what was done to the piece, its scheme, the other pieces' tins and colours,
// and the air by a sensor. The material and the tins are left to who knows which.
// NotFound when there is no such piece.
func (s *Store) FilmScene(ctx context.Context, piece restoration.ID) (sc restoration.FilmScene, err error) {
	defer wrap(&err, "load the film scene of piece %v", piece)
	err = s.look(ctx, func(t tx) error {
		rows, err := t.Query(ctx, `SELECT `+pieceColumns+` FROM components p WHERE p.id = $1`, piece)
		if err != nil {
			return err
		}
		p, err := pgx.CollectExactlyOneRow(rows, toPiece)
		if err != nil {
			return noPiece(err)
		}
		e := restoration.Event{At: t.now, Payload: restoration.Payload{Coat: &restoration.Coat{}}}
		sc, err = loadFilmScene(ctx, t, p, e, true, true)
		return err
	})
	return sc, err
}

// loadFilmScene takes one round trip. The coats and colours of the car's other pieces
// are loaded where they are asked for: they are most of the work.
func loadFilmScene(ctx context.Context, t tx, p restoration.Piece, e restoration.Event, coats, colours bool) (sc restoration.FilmScene, err error) {
	var settings []restoration.Settings
	var schemes []restoration.Scheme
	var materials []restoration.Material
	var air []restoration.AirWords
	var tins []int
	var b pgx.Batch
	collect(&b, &settings, toSettings, `SELECT document FROM settings`)
	collect(&b, &schemes, toScheme, schemeOfPiece, p.CarID, p.Scheme)
	collect(&b, &sc.Deeds, toDeed, deedSelect(`d.component_id = $1`), p.ID)
	if coats {
		collect(&b, &sc.Car, toCarCoat, carCoats, p.CarID, p.ID)
	}
	if colours {
		collect(&b, &sc.Colours, toColour, setColours, p.CarID, p.Set, p.ID)
	}
	if e.Coat != nil {
		collect(&b, &materials, toMaterial, materialSelect+`WHERE id = $1`, e.Coat.Material)
		collect(&b, &sc.Lots, toLot, lotSelect+`WHERE l.id = ANY($1)`, lotsNamed(e.Coat.Lots))
		collect(&b, &tins, pgx.RowTo[int], `SELECT DISTINCT part FROM lots WHERE material_id = $1 AND closed_at IS NULL`, e.Coat.Material)
		collect(&b, &air, toAir, latestAirAt, e.At, restoration.SensorAge)
	}
	if err := t.SendBatch(ctx, &b).Close(); err != nil {
		return sc, err
	}
	restoration.ByHour(sc.Deeds)
	shop := firstOr(settings, restoration.StockSettings())
	sc.Film, sc.Units = shop.Film, shop.Units
	sc.Scheme, sc.Agreed = firstOr(schemes, restoration.StockScheme(p.CarID, p.Scheme)), len(schemes) > 0
	if len(materials) > 0 {
		sc.Material = &materials[0]
	}
	if len(tins) > 0 {
		sc.Tins = tins
	}
	if len(air) > 0 {
		sc.Air = &air[0]
	}
	for i, d := range sc.Deeds {
		if d.EventID == e.Ref {
			sc.Struck = &sc.Deeds[i]
		}
	}
	return sc, nil
}

// firstOr gives the first of a list, else another.
func firstOr[T any](list []T, other T) T {
	if len(list) == 0 {
		return other
	}
	return list[0]
}

func lotsNamed(uses []restoration.LotUse) []int64 {
	ids := make([]int64, len(uses))
	for i, use := range uses {
		ids[i] = use.Lot
	}
	return ids
}

// carCoats are the ground and grain coats on the car's other pieces, for who did them
// and from which tins: one row for each person and tin, not for each coat.
const carCoats = `
	SELECT DISTINCT d.layer, d.person_id, coalesce(w.name, '') AS person, l.lot_id
	FROM coats d JOIN finish_steps s ON s.id = d.step_id AND s.state <> 'superseded'
	LEFT JOIN coat_lots l ON l.event_id = d.event_id LEFT JOIN people w ON w.id = d.person_id
	WHERE d.car_id = $1 AND d.component_id <> $2 AND d.layer IN ('ground', 'grain')`

func toCarCoat(row pgx.CollectableRow) (restoration.Deed, error) {
	d := restoration.Deed{Kind: restoration.KindCoat}
	var person, lot *int64
	err := row.Scan(&d.Layer, &person, &d.Person, &lot)
	d.PersonID = keyOrZero(person)
	if lot != nil {
		d.Lots = []restoration.LotUse{{Lot: *lot}}
	}
	return d, err
}

// ofPresentGround is of a colour r of a piece p whose ground was not sent back since.
const ofPresentGround = `r.kind = 'colour' AND NOT EXISTS (SELECT FROM finish_steps s
		JOIN route_stages g ON g.route_id = p.route_id AND g.key = s.stage AND g.document ->> 'look' = 'grounded'
		WHERE s.component_id = p.id AND s.state <> 'superseded' AND s.pass > r.pass)`

// setColours are the latest colours of the other pieces of a set.
const setColours = `
	SELECT DISTINCT ON (p.id) p.id::text, p.name, p.zone, p.side, r.l, r.a, r.b
	FROM readings r JOIN components p ON p.id = r.component_id
	WHERE p.car_id = $1 AND $2 <> '' AND p.set_name = $2 AND p.id <> $3 AND p.removed_at IS NULL AND ` + ofPresentGround + `
	ORDER BY p.id, r.at DESC`

func toColour(row pgx.CollectableRow) (s colour.Sample, err error) {
	var d restoration.Details
	err = row.Scan(&s.Key, &d.Name, (*string)(&d.Zone), (*string)(&d.Side), &s.Lab.L, &s.Lab.A, &s.Lab.B)
	s.Name = d.Title()
	return s, err
}

// latestAirAt is what a sensor said last before an hour, and not longer ago than counts.
const latestAirAt = `SELECT air_c, humidity, surface_c FROM air WHERE at BETWEEN $1::timestamptz - $2::interval AND $1
	ORDER BY at DESC LIMIT 1`

func toAir(row pgx.CollectableRow) (a restoration.AirWords, err error) {
	err = row.Scan(&a.AirC, &a.Humidity, &a.SurfaceC)
	return a, err
}
