package store

import (
	"context"
	"time"

	"github.com/jackc/pgx/v5"

	"scumble/internal/colour"
	"scumble/internal/restoration"
)

// sensorAge is how old a sensor's reading may be to stand for the air at a coat.
const sensorAge = 30 * time.Minute

// facts loads what the shop knows about an entry of the film, or a tick that the film
// gates, and has the rules judge it. A tick never waits for another piece: only what
// the entry is about is locked.
func facts(ctx context.Context, t tx, p restoration.Piece, r restoration.Route, e restoration.Event) (*restoration.Facts, error) {
	settings, err := readSettings(ctx, t, `SELECT document FROM settings`)
	if err != nil {
		return nil, err
	}
	sc := restoration.FilmScene{Film: settings.Film, Units: settings.Units}
	if err := loadFilmScene(ctx, t, &sc, p, e); err != nil {
		return nil, err
	}
	return restoration.Judge(p, r, e, sc), nil
}

func loadFilmScene(ctx context.Context, t tx, sc *restoration.FilmScene, p restoration.Piece, e restoration.Event) error {
	var schemes []restoration.Scheme
	var materials []restoration.Material
	var air []restoration.AirWords
	var b pgx.Batch
	collect(&b, &schemes, toScheme, schemeOfPiece, p.CarID, p.Scheme)
	collect(&b, &sc.Deeds, toDeed, deedSelect(`d.component_id = $1`), p.ID)
	collect(&b, &sc.Car, toCarCoat, carCoats, p.CarID, p.ID)
	collect(&b, &sc.Colours, toColour, setColours, p.CarID, p.Set, p.ID)
	if e.Coat != nil {
		collect(&b, &materials, toMaterial, materialSelect+`WHERE id = $1`, e.Coat.Material)
		collect(&b, &sc.Lots, toLot, lotSelect+`WHERE l.id = ANY($1)`, lotsNamed(e.Coat.Lots))
		collect(&b, &air, toAir, `SELECT air_c, humidity, surface_c FROM air WHERE at BETWEEN $1::timestamptz - $2::interval AND $1
			ORDER BY at DESC LIMIT 1`, e.At, sensorAge)
	}
	if err := t.SendBatch(ctx, &b).Close(); err != nil {
		return err
	}
	byHour(sc.Deeds)
	sc.Scheme = restoration.StockScheme(p.CarID, p.Scheme)
	if len(schemes) > 0 {
		sc.Scheme, sc.Agreed = schemes[0], true
	}
	if len(materials) > 0 {
		sc.Material = &materials[0]
	}
	if len(air) > 0 {
		sc.Air = &air[0]
	}
	for i, d := range sc.Deeds {
		if d.EventID == e.Ref {
			sc.Struck = &sc.Deeds[i]
		}
	}
	return nil
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

// setColours are the latest colours of the other pieces of a set.
const setColours = `
	SELECT DISTINCT ON (p.id) p.id::text, p.name, r.l, r.a, r.b
	FROM readings r JOIN components p ON p.id = r.component_id
	WHERE p.car_id = $1 AND $2 <> '' AND p.set_name = $2 AND p.id <> $3 AND p.removed_at IS NULL AND r.kind = 'colour'
	ORDER BY p.id, r.at DESC`

func toColour(row pgx.CollectableRow) (s colour.Sample, err error) {
	err = row.Scan(&s.Key, &s.Name, &s.Lab.L, &s.Lab.A, &s.Lab.B)
	return s, err
}

func toAir(row pgx.CollectableRow) (a restoration.AirWords, err error) {
	err = row.Scan(&a.AirC, &a.Humidity, &a.SurfaceC)
	return a, err
}
