package store

import (
	"context"

	"github.com/jackc/pgx/v5"

	"scumble/internal/restoration"
)

// PersonLeft marks that somebody no longer works here: they can't sign in and their
// name is free, what they did stays. A Problem of TroubleConflict says that they are
// the last owner. Twice is the same as once. [Store.PersonBack] undoes it.
func (s *Store) PersonLeft(ctx context.Context, by restoration.Actor, id int64) (err error) {
	defer wrap(&err, "let person %d leave", id)
	return s.change(ctx, func(t tx) error {
		// Owners first and all of them: two who take each other out can't both pass.
		owners, err := lockOwners(ctx, t)
		if err != nil {
			return err
		}
		p, err := lockPerson(ctx, t, id)
		if err != nil || !p.LeftAt.IsZero() {
			return err
		}
		if refusal := p.CheckLeaving(len(owners)); refusal != nil {
			return refusal
		}
		if _, err := t.Exec(ctx, `UPDATE people SET left_at = $2 WHERE id = $1`, id, t.now); err != nil {
			return err
		}
		return audit(ctx, t, by, deed{act: restoration.ActPersonLeft, subject: p.Name})
	})
}

// PersonBack undoes [Store.PersonLeft], with the role, the PIN and the password of
// then. A Problem of TroubleConflict says that they left too long ago or that their
// name is taken by now. Twice is the same as once.
func (s *Store) PersonBack(ctx context.Context, by restoration.Actor, id int64) (err error) {
	defer wrap(&err, "take person %d back", id)
	return s.change(ctx, func(t tx) error {
		p, err := lockPerson(ctx, t, id)
		if err != nil || p.LeftAt.IsZero() {
			return err
		}
		if !restoration.MayUndo(p.LeftAt, t.now) {
			return restoration.Problemf(restoration.TroubleConflict, "",
				"%s left more than %d days ago. Add %s as a new person.", p.Name, restoration.UndoDays, p.Name)
		}
		_, err = t.Exec(ctx, `UPDATE people SET left_at = NULL, misses = 0, locked_at = NULL WHERE id = $1`, id)
		if broke(err, "people_name_once") {
			return restoration.Problemf(restoration.TroubleConflict, "name",
				"Somebody called %s works here by now. Give one of the two another name first.", p.Name)
		}
		if err != nil {
			return err
		}
		return audit(ctx, t, by, deed{act: restoration.ActPersonBack, subject: p.Name})
	})
}

func lockOwners(ctx context.Context, t tx) ([]int64, error) {
	rows, err := t.Query(ctx, `SELECT id FROM people WHERE role = 'owner' AND left_at IS NULL ORDER BY id FOR UPDATE`)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, pgx.RowTo[int64])
}
