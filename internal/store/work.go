package store

import (
	"context"
	"time"

	"github.com/jackc/pgx/v5"

	"scumble/internal/restoration"
)

// workRow is a piece with what its next step says. Its car comes apart, once.
type workRow struct {
	pieceRow
	StepHandBy    *int64
	StepHandName  string
	StepHandSince *time.Time
	StepLow       restoration.Minutes
	StepLikely    restoration.Minutes
	StepHigh      restoration.Minutes
	StepLogged    restoration.Minutes
	StepLeft      restoration.Minutes
	ReworkLeft    restoration.Minutes
	StepPosition  int
	StepPass      int
	Total         int // of rows
}

// OpenWork lists every piece with a step to do in a car that is not delivered, held
// ones too, by car and in the order of the interior plan. Piece.Steps is empty. Of a
// large shop this is much: [Store.WorkKeys] is enough to choose and to order.
func (s *Store) OpenWork(ctx context.Context) (_ []restoration.Work, err error) {
	defer wrap(&err, "list the open work")
	return s.work(ctx, `true`)
}

// WorkOf gives the open work on the pieces with these ids, in their order. A piece
// that has nothing left to do, or whose car is delivered, is left out. Piece.Steps
// is empty.
func (s *Store) WorkOf(ctx context.Context, ids []restoration.ID) (_ []restoration.Work, err error) {
	defer wrap(&err, "load the work on %d pieces", len(ids))
	if len(ids) == 0 {
		return nil, nil
	}
	found, err := s.work(ctx, `p.id = ANY($1)`, ids)
	if err != nil {
		return nil, err
	}
	at := make(map[restoration.ID]int, len(found))
	for i, w := range found {
		at[w.Piece.ID] = i
	}
	work := make([]restoration.Work, 0, len(found))
	for _, id := range ids {
		if i, ok := at[id]; ok {
			work = append(work, found[i])
		}
	}
	return work, nil
}

// UrgentWork is the open work that somebody should look at: pieces on hold, pieces in
// hand, and those whose recoat window has shut or shuts before until; by car and in
// the order of the interior plan. Piece.Steps is empty.
func (s *Store) UrgentWork(ctx context.Context, until time.Time) (_ []restoration.Work, err error) {
	defer wrap(&err, "list the work that needs a look before %v", until)
	// Each of the three has an index of its own; asked in one breath, all pieces are read.
	return s.work(ctx, `p.id IN (
		SELECT id FROM components WHERE held_since IS NOT NULL
		UNION ALL SELECT id FROM components WHERE late_from < $1
		UNION ALL SELECT component_id FROM finish_steps WHERE state = 'in hand')`, until)
}

// work lists the open work that where chooses; where is text of this package.
func (s *Store) work(ctx context.Context, where string, args ...any) (work []restoration.Work, err error) {
	err = s.look(ctx, func(t tx) error {
		rows, err := t.Query(ctx, `
			SELECT `+pieceColumns+`, s.hand_by AS step_hand_by, coalesce(h.name, '') AS step_hand_name, s.hand_since AS step_hand_since,
				s.planned_low AS step_low, s.planned_min AS step_likely, s.planned_high AS step_high, s.logged_min AS step_logged,
				s.left_min AS step_left, coalesce(w.rework_left, 0) AS rework_left,
				s.position AS step_position, s.pass AS step_pass, count(*) OVER () AS total
			FROM components p JOIN cars c ON c.id = p.car_id JOIN finish_steps s ON s.id = p.next_step
			LEFT JOIN people h ON h.id = s.hand_by
			LEFT JOIN (SELECT component_id, sum(left_min) AS rework_left FROM finish_steps WHERE rework GROUP BY component_id) w ON w.component_id = p.id
			WHERE c.state <> 'delivered' AND p.removed_at IS NULL AND `+where+`
			ORDER BY c.work_order, `+zoneOrder, args...)
		if err != nil {
			return err
		}
		if work, err = collectWork(rows); err != nil {
			return err
		}
		return s.completeWork(ctx, t, work)
	})
	return work, err
}

// collectWork turns each row over as it comes: of a large shop the rows are some
// megabytes, and a growing slice of them five times that.
func collectWork(rows pgx.Rows) ([]restoration.Work, error) {
	defer rows.Close()
	var work []restoration.Work
	for rows.Next() {
		r, err := pgx.RowToStructByName[workRow](rows)
		if err != nil {
			return nil, err
		}
		if work == nil {
			work = make([]restoration.Work, 0, r.Total)
		}
		work = append(work, r.work())
	}
	return work, rows.Err()
}

// completeWork puts in each work's car and stage.
func (s *Store) completeWork(ctx context.Context, t tx, work []restoration.Work) error {
	var ids []int64
	for _, w := range work { // by car: each number once
		if len(ids) == 0 || ids[len(ids)-1] != w.Piece.CarID {
			ids = append(ids, w.Piece.CarID)
		}
	}
	cars, err := carsByID(ctx, t, `c.id = ANY($1)`, ids)
	if err != nil {
		return err
	}
	for i := range work {
		w := &work[i]
		route, err := s.startedRoute(ctx, t, w.Piece.RouteID)
		if err != nil {
			return err
		}
		w.Car = *cars[w.Piece.CarID]
		w.Stage, _ = route.Stage(w.Piece.Sum.NextStage)
	}
	return nil
}

func carsByID(ctx context.Context, t tx, where string, args ...any) (map[int64]*restoration.Car, error) {
	rows, err := t.Query(ctx, `SELECT `+carColumns+` FROM cars c WHERE `+where, args...)
	if err != nil {
		return nil, err
	}
	list, err := pgx.CollectRows(rows, toCar)
	cars := make(map[int64]*restoration.Car, len(list))
	for i := range list {
		cars[list[i].ID] = &list[i]
	}
	return cars, err
}

// work leaves the car and the stage out.
func (r workRow) work() restoration.Work {
	return restoration.Work{
		Piece: r.piece(), NextPosition: r.StepPosition,
		HandBy: keyOrZero(r.StepHandBy), HandName: r.StepHandName, HandSince: orZero(r.StepHandSince),
		Planned: restoration.Estimate{Low: r.StepLow, Likely: r.StepLikely, High: r.StepHigh},
		Logged:  r.StepLogged, StepLeft: r.StepLeft, ReworkLeft: r.ReworkLeft, Pass: r.StepPass,
	}
}
