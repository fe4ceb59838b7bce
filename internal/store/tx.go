package store

import (
	"context"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgtype"
)

// tx is one transaction with its one reading of the clock.
type tx struct {
	pgx.Tx
	now time.Time
}

// asker is where a single statement may be sent: a transaction, or the pool, which
// spares a lone question the two trips that begin and end a transaction.
type asker interface {
	Query(ctx context.Context, sql string, args ...any) (pgx.Rows, error)
	QueryRow(ctx context.Context, sql string, args ...any) pgx.Row
}

// change runs fn in a transaction that commits when fn returns nil, and rolls
// back when it returns an error or panics.
func (s *Store) change(ctx context.Context, fn func(tx) error) error {
	return pgx.BeginFunc(ctx, s.pool, func(t pgx.Tx) error {
		return fn(tx{t, s.instant()})
	})
}

// look runs fn in a read-only transaction in which every query sees the same moment.
func (s *Store) look(ctx context.Context, fn func(tx) error) error {
	o := pgx.TxOptions{IsoLevel: pgx.RepeatableRead, AccessMode: pgx.ReadOnly}
	return pgx.BeginTxFunc(ctx, s.pool, o, func(t pgx.Tx) error {
		return fn(tx{t, s.instant()})
	})
}

// instant reads the clock to the microsecond, which is what Postgres keeps: a
// time that was answered is the time that is read back.
func (s *Store) instant() time.Time { return s.now().UTC().Truncate(time.Microsecond) }

// orNull gives null for the zero time.
func orNull(t time.Time) *time.Time {
	if t.IsZero() {
		return nil
	}
	return &t
}

// orZero gives the zero time for null, and UTC otherwise.
func orZero(t *time.Time) time.Time {
	if t == nil {
		return time.Time{}
	}
	return t.UTC()
}

// keyOrNull gives null for 0, which is nobody's number.
func keyOrNull(id int64) *int64 {
	if id == 0 {
		return nil
	}
	return &id
}

// keyOrZero gives 0 for null.
func keyOrZero(id *int64) int64 {
	if id == nil {
		return 0
	}
	return *id
}

// instant scans a time that may be null: then it is zero.
type instant struct{ at *time.Time }

// ScanTimestamptz implements [pgtype.TimestamptzScanner].
func (i instant) ScanTimestamptz(v pgtype.Timestamptz) error {
	*i.at = instantOf(v)
	return nil
}
