package store

import (
	"context"

	"scumble/internal/restoration"
)

// OwnerExists tells whether the shop has an owner who can sign in.
func (s *Store) OwnerExists(ctx context.Context) (exists bool, err error) {
	defer wrap(&err, "look for an owner")
	err = s.look(ctx, func(t tx) error {
		exists, err = ownerExists(ctx, t)
		return err
	})
	return exists, err
}

func ownerExists(ctx context.Context, t tx) (exists bool, err error) {
	err = t.QueryRow(ctx, `SELECT EXISTS (SELECT FROM people WHERE role = 'owner' AND left_at IS NULL)`).Scan(&exists)
	return exists, err
}

// CreateOwner makes the first owner of a new shop. A Problem of TroubleConflict says
// that there is one already; of two at once, one gets it.
func (s *Store) CreateOwner(ctx context.Context, name, passwordHash string) (p restoration.Person, err error) {
	defer wrap(&err, "create the owner")
	err = s.change(ctx, func(t tx) error {
		// No row can be locked before the first is there.
		if _, err := t.Exec(ctx, `LOCK TABLE people IN SHARE ROW EXCLUSIVE MODE`); err != nil {
			return err
		}
		exists, err := ownerExists(ctx, t)
		if err != nil {
			return err
		}
		if exists {
			return restoration.Problemf(restoration.TroubleConflict, "", "This shop has an owner already. Sign in, or ask the owner to add you.")
		}
		p, err = insertPerson(ctx, t, name, restoration.RoleOwner, passwordHash, "")
		if err != nil {
			return err
		}
		return audit(ctx, t, restoration.Actor{PersonID: p.ID}, deed{act: restoration.ActCreateOwner, subject: p.Name, after: p})
	})
	return p, err
}
