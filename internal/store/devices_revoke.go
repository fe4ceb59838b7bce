package store

import (
	"context"

	"scumble/internal/restoration"
)

// RevokeDevice shuts a tablet out, enrolled or not yet. Twice is the same as once.
// [Store.ReadmitDevice] undoes it for one that was enrolled.
func (s *Store) RevokeDevice(ctx context.Context, by restoration.Actor, id int64) (err error) {
	defer wrap(&err, "revoke tablet %d", id)
	return s.change(ctx, func(t tx) error {
		d, err := lockDevice(ctx, t, id)
		if err != nil || !d.RevokedAt.IsZero() {
			return err
		}
		if _, err := t.Exec(ctx, `UPDATE devices SET revoked_at = $2, code_hash = NULL, code_until = NULL WHERE id = $1`, id, t.now); err != nil {
			return err
		}
		return audit(ctx, t, by, deed{act: restoration.ActRevokeTablet, subject: d.Name})
	})
}

// ReadmitDevice lets a tablet in again that was shut out, with the token that it still
// has. A Problem of TroubleConflict says that this was too long ago, or that the tablet
// was never enrolled: its code is gone. Twice is the same as once.
func (s *Store) ReadmitDevice(ctx context.Context, by restoration.Actor, id int64) (err error) {
	defer wrap(&err, "readmit tablet %d", id)
	return s.change(ctx, func(t tx) error {
		d, err := lockDevice(ctx, t, id)
		if err != nil || d.RevokedAt.IsZero() {
			return err
		}
		if !d.MayReturn(t.now) {
			return restoration.Problemf(restoration.TroubleConflict, "", "%s can't be let back in any more. Make a new code for it.", d.Name)
		}
		if _, err := t.Exec(ctx, `UPDATE devices SET revoked_at = NULL WHERE id = $1`, id); err != nil {
			return err
		}
		return audit(ctx, t, by, deed{act: restoration.ActReadmitTablet, subject: d.Name})
	})
}

func lockDevice(ctx context.Context, t tx, id int64) (restoration.Device, error) {
	d, err := oneDevice(ctx, t, `SELECT `+deviceColumns+` FROM devices WHERE id = $1 FOR UPDATE`, id)
	return d, noDevice(err)
}

// FindDeviceByID finds a tablet by its number, those shut out too. A Problem of
// TroubleNotFound says that there is none.
func (s *Store) FindDeviceByID(ctx context.Context, id int64) (d restoration.Device, err error) {
	defer wrap(&err, "find tablet %d", id)
	d, err = oneDevice(ctx, s.pool, `SELECT `+deviceColumns+` FROM devices WHERE id = $1`, id)
	return d, noDevice(err)
}

func noDevice(err error) error {
	return notFound(err, "There is no such tablet. Go back to the page Tablets.")
}
