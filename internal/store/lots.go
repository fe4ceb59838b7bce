package store

import (
	"context"
	"errors"
	"time"

	"github.com/jackc/pgx/v5"

	"scumble/internal/restoration"
)

const lotSelect = `
	SELECT l.id, l.material_id, l.part, l.number, l.amount_ml, l.opened_on, l.expires_on, l.note, l.closed_at, m.name,
		l.amount_ml - l.used_ml AS left_ml
	FROM lots l JOIN materials m ON m.id = l.material_id `

type lotRow struct {
	ID         int64
	MaterialID int64
	Part       int
	Number     string
	AmountMl   float64
	OpenedOn   *time.Time
	ExpiresOn  *time.Time
	Note       string
	ClosedAt   *time.Time
	Name       string
	LeftMl     float64
}

func toLot(row pgx.CollectableRow) (restoration.Lot, error) {
	r, err := pgx.RowToStructByName[lotRow](row)
	return restoration.Lot{ID: r.ID, Material: r.MaterialID, Part: r.Part, Number: r.Number, AmountML: r.AmountMl, LeftML: r.LeftMl,
		OpenedOn: orZero(r.OpenedOn), ExpiresOn: orZero(r.ExpiresOn), Note: r.Note, Closed: orZero(r.ClosedAt), MaterialName: r.Name}, err
}

// Lots lists the tins by material and part: those in use first, then by date.
func (s *Store) Lots(ctx context.Context) (_ []restoration.Lot, err error) {
	defer wrap(&err, "list the lots")
	rows, err := s.pool.Query(ctx, lotSelect+`ORDER BY l.closed_at IS NOT NULL, lower(m.name), l.part, l.expires_on NULLS LAST, l.id`)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, toLot)
}

// SaveLot adds a tin (ID 0) or changes one. A number that the same part of the same
// material has already is refused.
func (s *Store) SaveLot(ctx context.Context, by restoration.Actor, l restoration.Lot) (saved restoration.Lot, err error) {
	defer wrap(&err, "save lot %q", l.Number)
	if found := l.Check(restoration.Metric); len(found) > 0 {
		return l, found[0]
	}
	err = s.change(ctx, func(t tx) error {
		id := l.ID
		d := deed{act: restoration.ActAddLot, subject: l.Number}
		if id == 0 {
			err = t.QueryRow(ctx, `
				INSERT INTO lots (material_id, part, number, amount_ml, opened_on, expires_on, note, created_at)
				VALUES ($1, $2, $3, $4, $5, $6, $7, $8) RETURNING id`,
				l.Material, l.Part, l.Number, l.AmountML, orNull(l.OpenedOn), orNull(l.ExpiresOn), l.Note, t.now).Scan(&id)
		} else {
			var before restoration.Lot
			if before, err = findLot(ctx, t, id); err != nil {
				return err
			}
			d.act, d.before = restoration.ActChangeLot, before
			_, err = t.Exec(ctx, `UPDATE lots SET number = $2, amount_ml = $3, opened_on = $4, expires_on = $5, note = $6, closed_at = $7
				WHERE id = $1`, id, l.Number, l.AmountML, orNull(l.OpenedOn), orNull(l.ExpiresOn), l.Note, orNull(l.Closed))
		}
		switch {
		case broke(err, "lots_number_once"):
			return restoration.Problemf(restoration.TroubleConflict, "number", "A tin of this number is on the list already. Change that one, or look at the number again.")
		case broke(err, "lots_material_id_fkey"):
			return restoration.Problemf(restoration.TroubleNotFound, "material", "There is no such material. Choose another.")
		case err != nil:
			return err
		}
		if saved, err = findLot(ctx, t, id); err != nil {
			return err
		}
		d.after = saved
		return errors.Join(audit(ctx, t, by, d), notify(ctx, t, 0))
	})
	return saved, err
}

func findLot(ctx context.Context, t asker, id int64) (restoration.Lot, error) {
	rows, err := t.Query(ctx, lotSelect+`WHERE l.id = $1`, id)
	if err != nil {
		return restoration.Lot{}, err
	}
	l, err := pgx.CollectExactlyOneRow(rows, toLot)
	return l, notFound(err, "There is no such tin. Look at the list again.")
}

// FindLot finds a tin; NotFound when there is none.
func (s *Store) FindLot(ctx context.Context, id int64) (_ restoration.Lot, err error) {
	defer wrap(&err, "find lot %d", id)
	return findLot(ctx, s.pool, id)
}

// LotFilm lists every coat that a tin went into, in the order of time.
func (s *Store) LotFilm(ctx context.Context, id int64) (_ []restoration.Deed, err error) {
	defer wrap(&err, "list the coats from lot %d", id)
	return s.deeds(ctx, `d.event_id IN (SELECT event_id FROM coat_lots WHERE lot_id = $1)`, id)
}
