package store

import (
	"context"
	"time"

	"github.com/jackc/pgx/v5"

	"scumble/internal/restoration"
)

// LookAgain lists the pieces in the shop whose clear was cut from an hour until before
// another, and whose gloss nobody has read since [restoration.DieBackAfter] had passed.
// Who has waited longest comes first.
func (s *Store) LookAgain(ctx context.Context, from, to time.Time) (_ []restoration.CutPiece, err error) {
	defer wrap(&err, "list what was cut from %v to %v", from, to)
	rows, err := s.pool.Query(ctx, `
		SELECT p.id, p.name, p.zone, p.side, c.work_order, s.done_at
		FROM finish_steps s JOIN components p ON p.id = s.component_id AND p.removed_at IS NULL
		JOIN cars c ON c.id = p.car_id AND c.state <> 'delivered'
		JOIN route_stages g ON g.route_id = p.route_id AND g.key = s.stage AND g.document ->> 'look' = $3
		WHERE s.state = 'done' AND s.done_at >= $1 AND s.done_at < $2
			AND NOT EXISTS (SELECT FROM readings r WHERE r.component_id = p.id AND r.kind = 'gloss' AND r.at >= s.done_at + $4::interval)
		ORDER BY s.done_at, p.id`, from, to, string(restoration.LookCut), restoration.DieBackAfter)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, func(row pgx.CollectableRow) (c restoration.CutPiece, err error) {
		var d restoration.Details
		err = row.Scan(&c.PieceID, &d.Name, (*string)(&d.Zone), (*string)(&d.Side), &c.WorkOrder, &c.CutAt)
		c.Piece, c.CutAt = d.Title(), c.CutAt.UTC()
		return c, err
	})
}

// FilmOverrides lists the coats, cutting passes and readings since an hour that were let
// through though the rules asked for a reason, and the passes that may have gone under the
// floor, the newest first. What was struck out is none; ticks are among [Store.Overrides].
func (s *Store) FilmOverrides(ctx context.Context, since time.Time) (_ []restoration.Entry, err error) {
	defer wrap(&err, "list what was let through of the film since %v", since)
	rows, err := s.pool.Query(ctx, entrySelect+`
		JOIN (SELECT event_id FROM coats WHERE at >= $1 UNION ALL SELECT event_id FROM cut_passes WHERE at >= $1
			UNION ALL SELECT event_id FROM readings WHERE at >= $1) film ON film.event_id = e.id
		WHERE e.payload -> 'facts' ?| '{needs,under_floor}' ORDER BY e.seq DESC LIMIT 200`, since)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, toEntry)
}
