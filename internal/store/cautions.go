package store

import (
	"context"
	"time"

	"github.com/jackc/pgx/v5"

	"scumble/internal/restoration"
)

// SeeCautions notes in the audit that a person has read the cautions of a stage.
func (s *Store) SeeCautions(ctx context.Context, by restoration.Actor, stage string) (err error) {
	defer wrap(&err, "note the cautions of %q as read", stage)
	return s.change(ctx, func(t tx) error {
		return audit(ctx, t, by, deed{act: restoration.ActReadCautions, subject: stage})
	})
}

// CautionsSeen tells when a person last read the cautions of each stage, by its name,
// since an hour.
func (s *Store) CautionsSeen(ctx context.Context, personID int64, since time.Time) (seen map[string]time.Time, err error) {
	defer wrap(&err, "list the cautions that person %d has read", personID)
	rows, err := s.pool.Query(ctx, `
		SELECT subject, max(at) FROM audit WHERE at >= $3 AND person_id = $1 AND act = $2 GROUP BY subject`,
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
