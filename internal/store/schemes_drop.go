package store

import (
	"context"
	"errors"
	"time"

	"github.com/jackc/pgx/v5"

	"scumble/internal/restoration"
)

// DropScheme deletes a finish that no piece is in. A Problem of TroubleConflict says how
// many are; NotFound that there is no such finish. [Store.RestoreScheme] undoes it.
func (s *Store) DropScheme(ctx context.Context, by restoration.Actor, id int64) (err error) {
	defer wrap(&err, "drop scheme %d", id)
	return s.change(ctx, func(t tx) error {
		rows, err := t.Query(ctx, `SELECT `+schemeColumns+` FROM schemes WHERE id = $1 FOR UPDATE`, id)
		if err != nil {
			return err
		}
		v, err := pgx.CollectExactlyOneRow(rows, toScheme)
		if err != nil {
			return notFound(err, "There is no such finish. Go back to the car.")
		}
		car, err := workOrder(ctx, t, v.CarID)
		if err != nil {
			return err
		}
		var used int
		if err := t.QueryRow(ctx, `SELECT count(*) FROM components WHERE car_id = $1 AND lower(scheme) = lower($2) AND removed_at IS NULL`,
			v.CarID, v.Name).Scan(&used); err != nil {
			return err
		}
		if used > 0 {
			return restoration.Problemf(restoration.TroubleConflict, "", "Not deleted: the pieces that are in %s (%d) would be without a finish. Give them another scheme first.",
				v.Title(), used)
		}
		if _, err := t.Exec(ctx, `DELETE FROM schemes WHERE id = $1`, id); err != nil {
			return err
		}
		return errors.Join(audit(ctx, t, by, deed{act: restoration.ActDropScheme, subject: car + ", " + v.Title(), carID: v.CarID, before: v}),
			notify(ctx, t, v.CarID))
	})
}

// droppedSchemes are the finishes of a car as they were when each name was last deleted,
// as the audit keeps them; those whose name is in use again are left out.
const droppedSchemes = `
	SELECT * FROM (SELECT DISTINCT ON (lower(a.before ->> 'Name')) a.before, a.at
		FROM audit a WHERE a.car_id = $1 AND a.act = $2 ORDER BY lower(a.before ->> 'Name'), a.id DESC) d
	WHERE NOT EXISTS (SELECT FROM schemes s WHERE s.car_id = $1 AND lower(s.name) = lower(d.before ->> 'Name'))
	ORDER BY d.at DESC`

// DroppedSchemes lists the finishes of a car that were deleted and can still be brought
// back, the newest first.
func (s *Store) DroppedSchemes(ctx context.Context, carID int64) (_ []restoration.DroppedScheme, err error) {
	defer wrap(&err, "list the dropped schemes of car %d", carID)
	return listDropped(ctx, s.pool, carID, s.instant())
}

func listDropped(ctx context.Context, from asker, carID int64, now time.Time) (out []restoration.DroppedScheme, err error) {
	rows, err := from.Query(ctx, droppedSchemes, carID, string(restoration.ActDropScheme))
	if err != nil {
		return nil, err
	}
	all, err := pgx.CollectRows(rows, func(row pgx.CollectableRow) (d restoration.DroppedScheme, err error) {
		err = row.Scan(&d.Scheme, &d.DroppedAt)
		d.DroppedAt = d.DroppedAt.UTC()
		return d, err
	})
	for _, d := range all {
		if restoration.MayUndo(d.DroppedAt, now) {
			out = append(out, d)
		}
	}
	return out, err
}

// RestoreScheme brings back the finish of a car that was deleted under a name. NotFound
// when there is none, or it was too long ago, or the name has a finish again.
func (s *Store) RestoreScheme(ctx context.Context, by restoration.Actor, carID int64, name string) (saved restoration.Scheme, err error) {
	defer wrap(&err, "restore the scheme %q of car %d", name, carID)
	err = s.change(ctx, func(t tx) error {
		car, err := workOrder(ctx, t, carID)
		if err != nil {
			return err
		}
		dropped, err := listDropped(ctx, t, carID, t.now)
		if err != nil {
			return err
		}
		for _, d := range dropped {
			if restoration.KeyOf(d.Scheme) != restoration.KeyOf(restoration.Scheme{CarID: carID, Name: name}) {
				continue
			}
			if saved, err = writeScheme(ctx, t, d.Scheme); err != nil {
				return err
			}
			return errors.Join(audit(ctx, t, by, deed{act: restoration.ActRestoreScheme, subject: car + ", " + saved.Title(), carID: carID, after: saved}),
				notify(ctx, t, carID))
		}
		return restoration.Problemf(restoration.TroubleNotFound, "", "There is no such finish to bring back. Look at the car's finish again.")
	})
	return saved, err
}
