package store

import (
	"context"
	"errors"
	"time"

	"github.com/jackc/pgx/v5"

	"scumble/internal/coating"
	"scumble/internal/restoration"
)

const materialSelect = `SELECT id, retired_at, document FROM materials `

type materialRow struct {
	ID        int64
	RetiredAt *time.Time
	Document  coating.Material
}

func toMaterial(row pgx.CollectableRow) (restoration.Material, error) {
	r, err := pgx.RowToStructByName[materialRow](row)
	return restoration.Material{ID: r.ID, Retired: orZero(r.RetiredAt), Material: r.Document}, err
}

// Materials lists the shop's materials by layer and name, retired ones last.
func (s *Store) Materials(ctx context.Context) (_ []restoration.Material, err error) {
	defer wrap(&err, "list the materials")
	rows, err := s.pool.Query(ctx, materialSelect+`
		ORDER BY retired_at IS NOT NULL, array_position(ARRAY['primer', 'filler', 'ground', 'grain', 'clear'], layer), lower(name)`)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, toMaterial)
}

// SaveMaterial adds a material (ID 0) or changes one. What was sprayed before keeps the
// figures that held then. What [coating.Check] finds is refused, the first fault as a
// Problem; so is a name that another material in use has.
func (s *Store) SaveMaterial(ctx context.Context, by restoration.Actor, m restoration.Material) (saved restoration.Material, err error) {
	defer wrap(&err, "save the material %q", m.Name)
	m.Name = restoration.TidyName(m.Name)
	if p := restoration.CheckName("name", "The material", m.Name); p != nil {
		return m, p
	}
	if faults := coating.Check(m.Material); len(faults) > 0 {
		return m, restoration.Problemf(restoration.TroubleInvalid, faults[0].Field, "%s", faults[0].Error())
	}
	err = s.change(ctx, func(t tx) error {
		d := deed{act: restoration.ActAddMaterial, subject: m.Name, after: m.Material}
		if m.ID != 0 {
			before, err := findMaterial(ctx, t, m.ID)
			if err != nil {
				return err
			}
			d.act, d.before = restoration.ActChangeMaterial, before.Material
		}
		if saved, err = writeMaterial(ctx, t, m); err != nil {
			return err
		}
		return errors.Join(audit(ctx, t, by, d), notify(ctx, t, 0))
	})
	return saved, err
}

// writeMaterial inserts a material of ID 0 and updates any other.
func writeMaterial(ctx context.Context, t tx, m restoration.Material) (restoration.Material, error) {
	const back = ` RETURNING id, retired_at, document`
	sql, args := `INSERT INTO materials (name, layer, example, document, created_at, changed_at) VALUES ($1, $2, $3, $4, $5, $5)`+back,
		[]any{m.Name, string(m.Layer), m.Example, m.Material, t.now}
	if m.ID != 0 {
		sql = `UPDATE materials SET name = $1, layer = $2, example = $3, document = $4, changed_at = $5 WHERE id = $6` + back
		args = append(args, m.ID)
	}
	rows, err := t.Query(ctx, sql, args...)
	if err != nil {
		return m, err
	}
	saved, err := pgx.CollectExactlyOneRow(rows, toMaterial)
	if broke(err, "materials_name_once") {
		err = restoration.Problemf(restoration.TroubleConflict, "name", "Another material is called so. Choose another name.")
	}
	return saved, err
}

func findMaterial(ctx context.Context, t tx, id int64) (restoration.Material, error) {
	rows, err := t.Query(ctx, materialSelect+`WHERE id = $1 FOR UPDATE`, id)
	if err != nil {
		return restoration.Material{}, err
	}
	m, err := pgx.CollectExactlyOneRow(rows, toMaterial)
	return m, notFound(err, "There is no such material. Look at the list again.")
}

// RetireMaterial takes a material out of the choices, or back in. What was sprayed of
// it stays.
func (s *Store) RetireMaterial(ctx context.Context, by restoration.Actor, id int64, retired bool) (err error) {
	defer wrap(&err, "retire material %d", id)
	return s.change(ctx, func(t tx) error {
		m, err := findMaterial(ctx, t, id)
		if err != nil {
			return err
		}
		act, at := restoration.ActRetireMaterial, &t.now
		if !retired {
			act, at = restoration.ActRestoreMaterial, nil
		}
		_, err = t.Exec(ctx, `UPDATE materials SET retired_at = $2 WHERE id = $1`, id, at)
		if broke(err, "materials_name_once") {
			return restoration.Problemf(restoration.TroubleConflict, "name", "Another material is called so by now. Rename that one first.")
		}
		if err != nil {
			return err
		}
		return errors.Join(audit(ctx, t, by, deed{act: act, subject: m.Name}), notify(ctx, t, 0))
	})
}
