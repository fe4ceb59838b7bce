package store

import (
	"context"
	"errors"
	"time"

	"github.com/jackc/pgx/v5"

	"scumble/internal/restoration"
)

const sensorColumns = `id, name, created_at, last_seen, revoked_at`

type sensorRow struct {
	ID        int64
	Name      string
	CreatedAt time.Time
	LastSeen  *time.Time
	RevokedAt *time.Time
}

func toSensor(row pgx.CollectableRow) (restoration.Sensor, error) {
	r, err := pgx.RowToStructByName[sensorRow](row)
	return restoration.Sensor{ID: r.ID, Name: r.Name, CreatedAt: r.CreatedAt.UTC(), LastSeen: orZero(r.LastSeen), RevokedAt: orZero(r.RevokedAt)}, err
}

// oneSensor runs a query of sensorColumns that gives one row; pgx.ErrNoRows when none.
func oneSensor(ctx context.Context, from asker, sql string, args ...any) (restoration.Sensor, error) {
	rows, err := from.Query(ctx, sql, args...)
	if err != nil {
		return restoration.Sensor{}, err
	}
	return pgx.CollectExactlyOneRow(rows, toSensor)
}

// AddSensor lets a sensor send the air with the token of that hash (SHA-256).
func (s *Store) AddSensor(ctx context.Context, by restoration.Actor, name string, tokenHash []byte) (sensor restoration.Sensor, err error) {
	defer wrap(&err, "add sensor %q", name)
	name = restoration.TidyName(name)
	if p := restoration.CheckName("name", "A sensor", name); p != nil {
		return sensor, p
	}
	err = s.change(ctx, func(t tx) error {
		sensor, err = oneSensor(ctx, t, `INSERT INTO sensors (name, token_hash, created_at) VALUES ($1, $2, $3) RETURNING `+sensorColumns,
			name, tokenHash, t.now)
		if err != nil {
			return err
		}
		return errors.Join(audit(ctx, t, by, deed{act: restoration.ActAddSensor, subject: sensor.Name}), notify(ctx, t, 0))
	})
	return sensor, err
}

// RevokeSensor shuts a sensor out; what it sent stays. Twice is the same as once.
// [Store.ReadmitSensor] undoes it. NotFound when there is no such sensor.
func (s *Store) RevokeSensor(ctx context.Context, by restoration.Actor, id int64) (err error) {
	defer wrap(&err, "revoke sensor %d", id)
	return s.change(ctx, func(t tx) error {
		sensor, err := lockSensor(ctx, t, id)
		if err != nil || !sensor.RevokedAt.IsZero() {
			return err
		}
		if _, err := t.Exec(ctx, `UPDATE sensors SET revoked_at = $2 WHERE id = $1`, id, t.now); err != nil {
			return err
		}
		return errors.Join(audit(ctx, t, by, deed{act: restoration.ActRevokeSensor, subject: sensor.Name}), notify(ctx, t, 0))
	})
}

// ReadmitSensor lets a sensor in again that was shut out, with the token that it still
// has. Twice is the same as once. A Problem of TroubleConflict says that this was too
// long ago; NotFound that there is no such sensor.
func (s *Store) ReadmitSensor(ctx context.Context, by restoration.Actor, id int64) (err error) {
	defer wrap(&err, "readmit sensor %d", id)
	return s.change(ctx, func(t tx) error {
		sensor, err := lockSensor(ctx, t, id)
		if err != nil || sensor.RevokedAt.IsZero() {
			return err
		}
		if !sensor.MayReturn(t.now) {
			return restoration.Problemf(restoration.TroubleConflict, "", "%s can't be let back in any more. Make a new token for it.", sensor.Name)
		}
		if _, err := t.Exec(ctx, `UPDATE sensors SET revoked_at = NULL WHERE id = $1`, id); err != nil {
			return err
		}
		return errors.Join(audit(ctx, t, by, deed{act: restoration.ActReadmitSensor, subject: sensor.Name}), notify(ctx, t, 0))
	})
}

func lockSensor(ctx context.Context, t tx, id int64) (restoration.Sensor, error) {
	sensor, err := oneSensor(ctx, t, `SELECT `+sensorColumns+` FROM sensors WHERE id = $1 FOR UPDATE`, id)
	return sensor, notFound(err, "There is no such sensor. Look at the list again.")
}

// Sensors lists every sensor: those in use first, then by name.
func (s *Store) Sensors(ctx context.Context) (_ []restoration.Sensor, err error) {
	defer wrap(&err, "list the sensors")
	rows, err := s.pool.Query(ctx, `SELECT `+sensorColumns+` FROM sensors ORDER BY revoked_at DESC NULLS FIRST, lower(name), id`)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, toSensor)
}

// FindSensor finds a sensor by the hash of its token. NotFound when there is none, or
// it was shut out.
func (s *Store) FindSensor(ctx context.Context, tokenHash []byte) (sensor restoration.Sensor, err error) {
	defer wrap(&err, "find a sensor")
	sensor, err = oneSensor(ctx, s.pool, `SELECT `+sensorColumns+` FROM sensors WHERE token_hash = $1 AND revoked_at IS NULL`, tokenHash)
	return sensor, notFound(err, "This sensor isn't known here. Ask an owner for a token.")
}
