package store

import (
	"context"

	"scumble/internal/restoration"
)

// FindLogin finds who works here under a name, in either case, with the hash of the
// password ("" for none). A Problem of TroubleNotFound says that there is nobody; its
// sentence is fit for a wrong password too.
func (s *Store) FindLogin(ctx context.Context, name string) (p restoration.Person, passwordHash string, err error) {
	defer wrap(&err, "find a login")
	err = s.look(ctx, func(t tx) error {
		p, err = onePerson(ctx, t, `SELECT `+personColumns+` FROM people WHERE lower(name) = lower($1) AND left_at IS NULL`,
			restoration.TidyName(name))
		if err != nil {
			return notFound(err, "The name or the password is wrong. Try again.")
		}
		return t.QueryRow(ctx, `SELECT coalesce(password_hash, '') FROM people WHERE id = $1`, p.ID).Scan(&passwordHash)
	})
	return p, passwordHash, err
}

// PINHash gives the hash of somebody's PIN, "" for none. A Problem of TroubleNotFound
// says that nobody of that id works here.
func (s *Store) PINHash(ctx context.Context, id int64) (hash string, err error) {
	defer wrap(&err, "find the PIN of person %d", id)
	err = s.pool.QueryRow(ctx, `SELECT coalesce(pin_hash, '') FROM people WHERE id = $1 AND left_at IS NULL`, id).Scan(&hash)
	return hash, noPerson(err)
}

// RecordMiss counts a wrong PIN or password and locks the person at the
// [restoration.MaxMisses]th in a row. Of several at once each counts and one locks.
func (s *Store) RecordMiss(ctx context.Context, id int64) (p restoration.Person, err error) {
	defer wrap(&err, "record a miss of person %d", id)
	err = s.change(ctx, func(t tx) error {
		p, err = onePerson(ctx, t, `
			UPDATE people SET misses = misses + 1,
				locked_at = CASE WHEN misses + 1 >= $2 THEN coalesce(locked_at, $3) ELSE locked_at END
			WHERE id = $1 RETURNING `+personColumns, id, restoration.MaxMisses, t.now)
		if err != nil {
			return noPerson(err)
		}
		if p.Misses != restoration.MaxMisses {
			return nil
		}
		if err := audit(ctx, t, restoration.Actor{}, deed{act: restoration.ActLockPerson, subject: p.Name}); err != nil {
			return err
		}
		return notify(ctx, t, 0)
	})
	return p, err
}

// RecordSignIn clears the misses of somebody who gave the right PIN or password, and
// marks when they were seen; deviceID is 0 at the office. A Problem of TroubleForbidden
// says that they were locked or left while the secret was being checked.
func (s *Store) RecordSignIn(ctx context.Context, id, deviceID int64) (err error) {
	defer wrap(&err, "record a sign-in of person %d", id)
	return s.change(ctx, func(t tx) error {
		p, err := onePerson(ctx, t, `
			UPDATE people SET misses = 0, last_seen = $2
			WHERE id = $1 AND locked_at IS NULL AND left_at IS NULL RETURNING `+personColumns, id, t.now)
		if noRow(err) {
			return restoration.Problemf(restoration.TroubleForbidden, "", "You can't sign in just now. Ask an owner to look at the page People.")
		}
		if err != nil {
			return err
		}
		return audit(ctx, t, restoration.Actor{PersonID: id, DeviceID: deviceID}, deed{act: restoration.ActSignIn, subject: p.Name})
	})
}

// UnlockPerson lets somebody try again who missed too often.
func (s *Store) UnlockPerson(ctx context.Context, by restoration.Actor, id int64) (err error) {
	defer wrap(&err, "unlock person %d", id)
	return s.change(ctx, func(t tx) error {
		p, err := lockPerson(ctx, t, id)
		if err != nil {
			return err
		}
		if _, err := t.Exec(ctx, `UPDATE people SET misses = 0, locked_at = NULL WHERE id = $1`, id); err != nil || p.LockedAt.IsZero() {
			return err
		}
		return audit(ctx, t, by, deed{act: restoration.ActUnlockPerson, subject: p.Name})
	})
}

// SetPIN gives somebody another PIN by its hash, or none by "". It also unlocks them.
func (s *Store) SetPIN(ctx context.Context, by restoration.Actor, id int64, hash string) (err error) {
	defer wrap(&err, "set the PIN of person %d", id)
	return s.setSecret(ctx, by, id, restoration.ActSetPIN, `UPDATE people SET pin_hash = nullif($2, ''), misses = 0, locked_at = NULL WHERE id = $1`, hash)
}

// SetPassword gives somebody another password by its hash, or none by "", which an
// owner can't do without. It also unlocks them.
func (s *Store) SetPassword(ctx context.Context, by restoration.Actor, id int64, hash string) (err error) {
	defer wrap(&err, "set the password of person %d", id)
	return s.setSecret(ctx, by, id, restoration.ActSetPassword, `UPDATE people SET password_hash = nullif($2, ''), misses = 0, locked_at = NULL WHERE id = $1`, hash)
}

func (s *Store) setSecret(ctx context.Context, by restoration.Actor, id int64, act restoration.Act, update, hash string) error {
	return s.change(ctx, func(t tx) error {
		p, err := lockPerson(ctx, t, id)
		if err != nil {
			return err
		}
		if _, err := t.Exec(ctx, update, id, hash); err != nil {
			return err
		}
		return audit(ctx, t, by, deed{act: act, subject: p.Name})
	})
}
