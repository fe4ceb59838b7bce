package store

import (
	"context"

	"github.com/jackc/pgx/v5"

	"scumble/internal/restoration"
)

// LetGo notes that a person no longer wants an entry of their tablet taken that was
// refused. The refusal itself stays in the ledger until an owner settles it. An entry that
// never reached the ledger, because nothing could be made of it, is noted by its id and by
// what the tablet says of it.
func (s *Store) LetGo(ctx context.Context, by restoration.Actor, entry restoration.ID, says string) (err error) {
	defer wrap(&err, "let go of entry %v", entry)
	return s.change(ctx, func(t tx) error {
		rows, err := t.Query(ctx, entrySelect+`WHERE e.id = $1 AND e.outcome = 'refused'`, entry)
		if err != nil {
			return err
		}
		found, err := pgx.CollectRows(rows, toEntry)
		if err != nil {
			return err
		}
		d := deed{act: restoration.ActLetGo, subject: "an entry", before: map[string]string{"entry": withoutNUL(says)}}
		if len(found) > 0 {
			e := found[0]
			d.carID, d.pieceID = e.Event.CarID, e.Event.PieceID
			if e.Piece != "" {
				d.subject = "an entry on " + e.Piece
			}
			d.before = map[string]string{"entry": restoration.Words(e, restoration.Metric), "refused": e.Outcome.Reason}
		}
		return audit(ctx, t, by, d)
	})
}
