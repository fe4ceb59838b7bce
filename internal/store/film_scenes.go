package store

import (
	"context"
	"slices"
	"strings"

	"github.com/jackc/pgx/v5"

	"scumble/internal/colour"
	"scumble/internal/restoration"
)

// FilmScenes gives pieces with their steps and what [Store.FilmScene] gives of each, in
// three round trips whatever their number. One that is gone is left out.
func (s *Store) FilmScenes(ctx context.Context, ids []restoration.ID) (scenes []restoration.PieceScene, err error) {
	defer wrap(&err, "load the film scenes of %d pieces", len(ids))
	err = s.look(ctx, func(t tx) error {
		pieces, err := loadPieces(ctx, t, `p.id = ANY($1)`, ids)
		if err != nil || len(pieces) == 0 {
			return err
		}
		known, err := loadFilms(ctx, t, pieces)
		if err != nil {
			return err
		}
		for _, p := range pieces {
			scenes = append(scenes, restoration.PieceScene{Piece: p, Scene: known.scene(p)})
		}
		return nil
	})
	return scenes, err
}

// films is what the shop knows about the film of several pieces.
type films struct {
	shop    restoration.Settings
	schemes map[restoration.SchemeKey]restoration.Scheme
	deeds   map[restoration.ID][]restoration.Deed
	car     map[int64][]pieceCoat
	colours map[int64][]pieceColour
	air     *restoration.AirWords
}

// pieceCoat is what [carCoats] gives, of one piece.
type pieceCoat struct {
	carID int64
	piece restoration.ID
	restoration.Deed
}

// pieceColour is the latest colour of a piece of a set.
type pieceColour struct {
	carID int64
	set   string
	colour.Sample
}

func loadFilms(ctx context.Context, t tx, pieces []restoration.Piece) (films, error) {
	var cars []int64
	ids := make([]restoration.ID, len(pieces))
	for i, p := range pieces {
		ids[i] = p.ID
		if !slices.Contains(cars, p.CarID) {
			cars = append(cars, p.CarID)
		}
	}
	var settings []restoration.Settings
	var schemes []restoration.Scheme
	var deeds []restoration.Deed
	var coats []pieceCoat
	var colours []pieceColour
	var air []restoration.AirWords
	var b pgx.Batch
	collect(&b, &settings, toSettings, `SELECT document FROM settings`)
	collect(&b, &schemes, toScheme, `SELECT `+schemeColumns+` FROM schemes WHERE car_id = ANY($1)`, cars)
	collect(&b, &deeds, toDeed, deedSelect(`d.component_id = ANY($1)`), ids)
	collect(&b, &coats, toPieceCoat, coatsOfCars, cars)
	collect(&b, &colours, toPieceColour, coloursOfCars, cars)
	collect(&b, &air, toAir, latestAirAt, t.now, restoration.SensorAge)
	if err := t.SendBatch(ctx, &b).Close(); err != nil {
		return films{}, err
	}
	f := films{shop: firstOr(settings, restoration.StockSettings()), schemes: map[restoration.SchemeKey]restoration.Scheme{},
		deeds: map[restoration.ID][]restoration.Deed{}, car: map[int64][]pieceCoat{}, colours: map[int64][]pieceColour{}}
	for _, v := range schemes {
		f.schemes[restoration.KeyOf(v)] = v
	}
	for _, d := range deeds {
		f.deeds[d.PieceID] = append(f.deeds[d.PieceID], d)
	}
	for _, c := range coats {
		f.car[c.carID] = append(f.car[c.carID], c)
	}
	for _, c := range colours {
		f.colours[c.carID] = append(f.colours[c.carID], c)
	}
	if len(air) > 0 {
		f.air = &air[0]
	}
	return f, nil
}

// scene is what concerns one piece.
func (f films) scene(p restoration.Piece) restoration.FilmScene {
	sc := restoration.FilmScene{Film: f.shop.Film, Units: f.shop.Units, Deeds: restoration.ByHour(f.deeds[p.ID]), Air: f.air}
	if sc.Scheme, sc.Agreed = f.schemes[restoration.SchemeKey{CarID: p.CarID, Name: strings.ToLower(p.Scheme)}]; !sc.Agreed {
		sc.Scheme = restoration.StockScheme(p.CarID, p.Scheme)
	}
	type seen struct {
		layer       string
		person, lot int64
	}
	said := map[seen]bool{}
	for _, c := range f.car[p.CarID] {
		key := seen{string(c.Layer), c.PersonID, 0}
		if len(c.Lots) > 0 {
			key.lot = c.Lots[0].Lot
		}
		if c.piece != p.ID && !said[key] {
			said[key] = true
			sc.Car = append(sc.Car, c.Deed)
		}
	}
	for _, c := range f.colours[p.CarID] {
		if c.set == p.Set && c.Key != p.ID.String() {
			sc.Colours = append(sc.Colours, c.Sample)
		}
	}
	return sc
}

// coatsOfCars is [carCoats] of every piece of several cars.
const coatsOfCars = `
	SELECT DISTINCT d.car_id, d.component_id, d.layer, d.person_id, coalesce(w.name, '') AS person, l.lot_id
	FROM coats d JOIN finish_steps s ON s.id = d.step_id AND s.state <> 'superseded'
	LEFT JOIN coat_lots l ON l.event_id = d.event_id LEFT JOIN people w ON w.id = d.person_id
	WHERE d.car_id = ANY($1) AND d.layer IN ('ground', 'grain')`

func toPieceCoat(row pgx.CollectableRow) (c pieceCoat, err error) {
	var person, lot *int64
	err = row.Scan(&c.carID, &c.piece, &c.Layer, &person, &c.Person, &lot)
	c.Kind, c.PersonID = restoration.KindCoat, keyOrZero(person)
	if lot != nil {
		c.Lots = []restoration.LotUse{{Lot: *lot}}
	}
	return c, err
}

// coloursOfCars is [setColours] of every set of several cars.
const coloursOfCars = `
	SELECT DISTINCT ON (p.id) p.car_id, p.set_name, p.id::text, p.name, p.zone, p.side, r.l, r.a, r.b
	FROM readings r JOIN components p ON p.id = r.component_id
	WHERE p.car_id = ANY($1) AND p.set_name <> '' AND p.removed_at IS NULL AND ` + ofPresentGround + `
	ORDER BY p.id, r.at DESC`

func toPieceColour(row pgx.CollectableRow) (c pieceColour, err error) {
	var d restoration.Details
	err = row.Scan(&c.carID, &c.set, &c.Key, &d.Name, (*string)(&d.Zone), (*string)(&d.Side), &c.Lab.L, &c.Lab.A, &c.Lab.B)
	c.Name = d.Title()
	return c, err
}
