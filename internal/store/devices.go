package store

import (
	"context"
	"errors"
	"time"

	"github.com/jackc/pgx/v5"

	"scumble/internal/restoration"
)

// seenEvery is how often a tablet that keeps asking is marked as seen.
const seenEvery = time.Minute

const deviceColumns = `id, name, enrolled_at, last_seen, revoked_at`

type deviceRow struct {
	ID         int64
	Name       string
	EnrolledAt *time.Time
	LastSeen   *time.Time
	RevokedAt  *time.Time
}

func toDevice(row pgx.CollectableRow) (restoration.Device, error) {
	r, err := pgx.RowToStructByName[deviceRow](row)
	return restoration.Device{ID: r.ID, Name: r.Name, EnrolledAt: orZero(r.EnrolledAt),
		LastSeen: orZero(r.LastSeen), RevokedAt: orZero(r.RevokedAt)}, err
}

// oneDevice runs a query of deviceColumns that gives one row; pgx.ErrNoRows when none.
func oneDevice(ctx context.Context, from asker, sql string, args ...any) (restoration.Device, error) {
	rows, err := from.Query(ctx, sql, args...)
	if err != nil {
		return restoration.Device{}, err
	}
	return pgx.CollectExactlyOneRow(rows, toDevice)
}

func noRow(err error) bool { return errors.Is(err, pgx.ErrNoRows) }

// AddDevice prepares a tablet that may enrol itself once, until the given time, with
// the code of that hash.
func (s *Store) AddDevice(ctx context.Context, by restoration.Actor, name string, codeHash []byte, until time.Time) (d restoration.Device, err error) {
	defer wrap(&err, "add tablet %q", name)
	name = restoration.TidyName(name)
	if p := restoration.CheckName("name", "A tablet", name); p != nil {
		return d, p
	}
	err = s.change(ctx, func(t tx) error {
		d, err = oneDevice(ctx, t, `
			INSERT INTO devices (name, code_hash, code_until, created_at) VALUES ($1, $2, $3, $4) RETURNING `+deviceColumns,
			name, codeHash, until, t.now)
		if err != nil {
			return err
		}
		return audit(ctx, t, by, deed{act: restoration.ActAddTablet, subject: d.Name})
	})
	return d, err
}

// EnrolDevice uses up an enrolment code and gives its tablet the token of that hash. A
// Problem of TroubleNotFound says that the code is unknown, used or too old; of two
// tablets with one code, one gets in.
func (s *Store) EnrolDevice(ctx context.Context, codeHash, tokenHash []byte) (d restoration.Device, err error) {
	defer wrap(&err, "enrol a tablet")
	err = s.change(ctx, func(t tx) error {
		d, err = oneDevice(ctx, t, `
			UPDATE devices SET token_hash = $2, enrolled_at = $3, last_seen = $3, code_hash = NULL, code_until = NULL
			WHERE code_hash = $1 AND code_until > $3 AND token_hash IS NULL AND revoked_at IS NULL
			RETURNING `+deviceColumns, codeHash, tokenHash, t.now)
		if noRow(err) {
			return restoration.Problemf(restoration.TroubleNotFound, "code",
				"That code isn't right or is too old. Look at it again, or ask an owner for a new one.")
		}
		if err != nil {
			return err
		}
		return audit(ctx, t, restoration.Actor{DeviceID: d.ID}, deed{act: restoration.ActEnrolTablet, subject: d.Name})
	})
	return d, err
}

// findDevice finds a tablet and marks it as seen. It is one statement, because every
// request of a tablet asks; its SELECT still sees the time before the UPDATE.
const findDevice = `
	WITH seen AS (
		UPDATE devices SET last_seen = $2 WHERE token_hash = $1 AND revoked_at IS NULL AND last_seen <= $3)
	SELECT ` + deviceColumns + ` FROM devices WHERE token_hash = $1 AND revoked_at IS NULL`

// FindDevice finds an enrolled tablet by the hash of its token, and marks it as seen
// at most once a minute. A Problem of TroubleNotFound says that there is none or that
// it was revoked.
func (s *Store) FindDevice(ctx context.Context, tokenHash []byte) (d restoration.Device, err error) {
	defer wrap(&err, "find a tablet")
	now := s.instant()
	d, err = oneDevice(ctx, s.pool, findDevice, tokenHash, now, now.Add(-seenEvery))
	return d, notEnrolled(err)
}

func notEnrolled(err error) error {
	return notFound(err, "This tablet isn't enrolled here. Ask an owner for a code.")
}

// FindVisit is [Store.FindDevice] with what else every request of a tablet needs to know,
// in the same trip: the shop's settings and the person of that id, who is the zero person
// when there is none.
func (s *Store) FindVisit(ctx context.Context, tokenHash []byte, personID int64) (v restoration.Visit, err error) {
	defer wrap(&err, "find a tablet and who is at it")
	now := s.instant()
	var devices []restoration.Device
	var people []restoration.Person
	var settings []restoration.Settings
	var b pgx.Batch
	collect(&b, &devices, toDevice, findDevice, tokenHash, now, now.Add(-seenEvery))
	collect(&b, &people, toPerson, `SELECT `+personColumns+` FROM people WHERE id = $1`, personID)
	collect(&b, &settings, toSettings, `SELECT document FROM settings`)
	if err := s.pool.SendBatch(ctx, &b).Close(); err != nil {
		return v, err
	}
	if len(devices) == 0 {
		return v, notEnrolled(pgx.ErrNoRows)
	}
	v.Device, v.Settings = devices[0], restoration.StockSettings()
	if len(settings) > 0 {
		v.Settings = settings[0]
	}
	if len(people) > 0 {
		v.Person = people[0]
	}
	return v, nil
}

// Devices lists every tablet: those in use first, then by name.
func (s *Store) Devices(ctx context.Context) (_ []restoration.Device, err error) {
	defer wrap(&err, "list the tablets")
	rows, err := s.pool.Query(ctx, `SELECT `+deviceColumns+` FROM devices ORDER BY revoked_at DESC NULLS FIRST, lower(name), id`)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, toDevice)
}
