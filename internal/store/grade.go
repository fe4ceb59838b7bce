package store

import (
	"context"

	"scumble/internal/restoration"
)

// GradeSteel keeps the condition of a piece as it is seen on bare steel; the planned
// hours follow. An entry's id says it once: sent again it changes nothing, whatever
// somebody else has said since. The zero id is nobody's and is not remembered. Invalid
// where no steel shows, NotFound when there is no such piece.
func (s *Store) GradeSteel(ctx context.Context, by restoration.Actor, entry, piece restoration.ID, grade int) (err error) {
	defer wrap(&err, "grade piece %v on bare steel", piece)
	return s.change(ctx, func(t tx) error {
		if again, err := saidBefore(ctx, t, entry); again || err != nil {
			return err
		}
		_, p, err := claimPiece(ctx, t, piece)
		if err != nil {
			return err
		}
		route, err := loadRoute(ctx, t, p.RouteID) // not from the cache: no work may have started on it
		if err != nil {
			return err
		}
		if !p.ShowsSteel(route) {
			return restoration.Problemf(restoration.TroubleInvalid, "grade", "The steel is coated by now. Tell the owner the grade.")
		}
		settings, err := loadSettings(ctx, t)
		if err != nil {
			return err
		}
		_, err = s.editPiece(ctx, t, by, settings, piece, func(p *restoration.Piece) { p.SteelGrade = grade })
		return err
	})
}

// saidBefore notes the id of an entry that is no event of the ledger, and tells whether
// it stood there already. Whoever sends the same id at the same time waits for the
// caller's transaction. It is known for 30 days, as long as a tablet's pass is worth
// something; it stands among the sessions, where what has an end is swept away.
func saidBefore(ctx context.Context, t tx, entry restoration.ID) (bool, error) {
	if entry.IsZero() {
		return false, nil
	}
	tag, err := t.Exec(ctx, `
		INSERT INTO sessions (token, data, expiry) VALUES ('grade:' || $1::uuid, '1', now() + interval '30 days')
		ON CONFLICT (token) DO NOTHING`, entry)
	return tag.RowsAffected() == 0, err
}
