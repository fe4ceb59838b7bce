package store

import (
	"context"

	"github.com/jackc/pgx/v5"

	"scumble/internal/coating"
	"scumble/internal/colour"
	"scumble/internal/restoration"
)

const schemeColumns = `id, car_id, name, clear_coats, build_um, floor_um, gloss, gloss_angle, ground_l, ground_a, ground_b,
	materials, ground_lot`

// schemeOfPiece is the scheme of a car's piece by name: ” is the car's own.
const schemeOfPiece = `SELECT ` + schemeColumns + ` FROM schemes WHERE car_id = $1 AND lower(name) = lower($2)`

type schemeRow struct {
	ID         int64
	CarID      int64
	Name       string
	ClearCoats int
	BuildUm    float64
	FloorUm    float64
	Gloss      *float64
	GlossAngle *int
	GroundL    *float64
	GroundA    *float64
	GroundB    *float64
	Materials  map[coating.Layer]int64
	GroundLot  *int64
}

func toScheme(row pgx.CollectableRow) (restoration.Scheme, error) {
	r, err := pgx.RowToStructByName[schemeRow](row)
	s := restoration.Scheme{ID: r.ID, CarID: r.CarID, Name: r.Name, ClearCoats: r.ClearCoats, BuildUM: r.BuildUm, FloorUM: r.FloorUm,
		Materials: r.Materials, GroundLot: keyOrZero(r.GroundLot)}
	if r.Gloss != nil && r.GlossAngle != nil {
		s.Gloss = &colour.Gloss{GU: *r.Gloss, Angle: *r.GlossAngle}
	}
	if r.GroundL != nil && r.GroundA != nil && r.GroundB != nil {
		s.Ground = &colour.Lab{L: *r.GroundL, A: *r.GroundA, B: *r.GroundB}
	}
	return s, err
}

// Schemes lists the schemes of a car, its own first. A car that has none yet has none.
func (s *Store) Schemes(ctx context.Context, carID int64) (_ []restoration.Scheme, err error) {
	defer wrap(&err, "list the schemes of car %d", carID)
	rows, err := s.pool.Query(ctx, `SELECT `+schemeColumns+` FROM schemes WHERE car_id = $1 ORDER BY lower(name)`, carID)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, toScheme)
}

// SaveScheme keeps a scheme of a car in the place of the one of the same name. What
// [restoration.Scheme.Check] finds is refused, the first fault as a Problem.
func (s *Store) SaveScheme(ctx context.Context, by restoration.Actor, v restoration.Scheme) (saved restoration.Scheme, err error) {
	defer wrap(&err, "save the scheme %q of car %d", v.Name, v.CarID)
	if v.Name != "" {
		v.Name = restoration.TidyName(v.Name)
	}
	if found := v.Check(restoration.Metric); len(found) > 0 {
		return v, found[0]
	}
	err = s.change(ctx, func(t tx) error {
		car, err := workOrder(ctx, t, v.CarID)
		if err != nil {
			return err
		}
		var before []restoration.Scheme
		var b pgx.Batch
		collect(&b, &before, toScheme, schemeOfPiece+` FOR UPDATE`, v.CarID, v.Name)
		if err := t.SendBatch(ctx, &b).Close(); err != nil {
			return err
		}
		if saved, err = writeScheme(ctx, t, v); err != nil {
			return err
		}
		d := deed{act: restoration.ActSaveScheme, subject: car + ", " + v.Title(), carID: v.CarID, after: saved}
		if len(before) > 0 {
			d.before = before[0]
		}
		if err := audit(ctx, t, by, d); err != nil {
			return err
		}
		return notify(ctx, t, v.CarID)
	})
	return saved, err
}

func writeScheme(ctx context.Context, t tx, v restoration.Scheme) (restoration.Scheme, error) {
	var gloss, l, a, b *float64
	var angle *int
	if v.Gloss != nil {
		gloss, angle = &v.Gloss.GU, &v.Gloss.Angle
	}
	if v.Ground != nil {
		l, a, b = &v.Ground.L, &v.Ground.A, &v.Ground.B
	}
	if v.Materials == nil {
		v.Materials = map[coating.Layer]int64{}
	}
	rows, err := t.Query(ctx, `
		INSERT INTO schemes (car_id, name, clear_coats, build_um, floor_um, gloss, gloss_angle, ground_l, ground_a, ground_b,
			materials, ground_lot)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12)
		ON CONFLICT (car_id, lower(name)) DO UPDATE SET name = excluded.name, clear_coats = excluded.clear_coats,
			build_um = excluded.build_um, floor_um = excluded.floor_um, gloss = excluded.gloss, gloss_angle = excluded.gloss_angle,
			ground_l = excluded.ground_l, ground_a = excluded.ground_a, ground_b = excluded.ground_b,
			materials = excluded.materials, ground_lot = excluded.ground_lot
		RETURNING `+schemeColumns,
		v.CarID, v.Name, v.ClearCoats, v.BuildUM, v.FloorUM, gloss, angle, l, a, b, v.Materials, keyOrNull(v.GroundLot))
	if err != nil {
		return v, err
	}
	return pgx.CollectExactlyOneRow(rows, toScheme)
}
