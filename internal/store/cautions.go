package store

import (
	"context"
	"time"

	"github.com/jackc/pgx/v5"

	"scumble/internal/restoration"
)

// cautionsLate is how much earlier than it is heard of a reading must be for the audit to
// say its hour: less is what the network took.
const cautionsLate = time.Minute

// cautionReading is what the audit keeps of a reading that was heard of late.
type cautionReading struct {
	ReadAt time.Time `json:"read_at"`
}

// SeeCautions notes in the audit that a person has read the cautions of a stage, at an hour
// that may be past; zero: now.
func (s *Store) SeeCautions(ctx context.Context, by restoration.Actor, stage string, at time.Time) (err error) {
	defer wrap(&err, "note the cautions of %q as read", stage)
	return s.change(ctx, func(t tx) error {
		d := deed{act: restoration.ActReadCautions, subject: stage}
		if read := restoration.CautionReadAt(at, t.now); t.now.Sub(read) >= cautionsLate {
			d.after = cautionReading{ReadAt: read.UTC()}
		}
		return audit(ctx, t, by, d)
	})
}

// CautionsSeen tells when a person last read the cautions of each stage, by its name,
// since an hour. What was heard of late counts by the hour at which it was read.
func (s *Store) CautionsSeen(ctx context.Context, personID int64, since time.Time) (seen map[string]time.Time, err error) {
	defer wrap(&err, "list the cautions that person %d has read", personID)
	rows, err := s.pool.Query(ctx, `
		SELECT subject, max(read_at)
		FROM (SELECT subject, coalesce((after->>'read_at')::timestamptz, at) AS read_at FROM audit WHERE at >= $3 AND person_id = $1 AND act = $2) AS read
		WHERE read_at >= $3 GROUP BY subject`,
		personID, restoration.ActReadCautions, since)
	if err != nil {
		return nil, err
	}
	seen = map[string]time.Time{}
	var stage string
	var at time.Time
	_, err = pgx.ForEachRow(rows, []any{&stage, &at}, func() error {
		seen[stage] = at.UTC()
		return nil
	})
	return seen, err
}
