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
	StepPosition  int
	StepPass      int
	Total         int // of rows
}

// OpenWork lists every piece with a step to do in a car that is not delivered, held
// ones too, by car and in the order of the interior plan. Piece.Steps is empty.
func (s *Store) OpenWork(ctx context.Context) (_ []restoration.Work, err error) {
	defer wrap(&err, "list the open work")
	return s.work(ctx, `true`)
}

// UrgentWork is the part of [Store.OpenWork] that somebody should look at: pieces on
// hold, pieces in hand, and those whose recoat window has shut or shuts before until.
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
		rows, err := t.Query(ctx, `SELECT `+carColumns+` FROM cars c WHERE c.state <> 'delivered'`)
		if err != nil {
			return err
		}
		list, err := pgx.CollectRows(rows, toCar)
		if err != nil {
			return err
		}
		cars := make(map[int64]restoration.Car, len(list))
		for _, c := range list {
			cars[c.ID] = c
		}
		work, err = s.loadWork(ctx, t, cars, where, args...)
		return err
	})
	return work, err
}

func (s *Store) loadWork(ctx context.Context, t tx, cars map[int64]restoration.Car, where string, args ...any) ([]restoration.Work, error) {
	rows, err := t.Query(ctx, `
		SELECT `+pieceColumns+`, s.hand_by AS step_hand_by, coalesce(h.name, '') AS step_hand_name, s.hand_since AS step_hand_since,
			s.planned_low AS step_low, s.planned_min AS step_likely, s.planned_high AS step_high, s.logged_min AS step_logged,
			s.left_min AS step_left, s.position AS step_position, s.pass AS step_pass, count(*) OVER () AS total
		FROM components p JOIN cars c ON c.id = p.car_id JOIN finish_steps s ON s.id = p.next_step
		LEFT JOIN people h ON h.id = s.hand_by
		WHERE c.state <> 'delivered' AND p.removed_at IS NULL AND `+where+`
		ORDER BY c.work_order, `+zoneOrder, args...)
	if err != nil {
		return nil, err
	}
	work, err := collectWork(rows, cars)
	if err != nil {
		return nil, err
	}
	for i := range work {
		route, err := s.startedRoute(ctx, t, work[i].Piece.RouteID)
		if err != nil {
			return nil, err
		}
		work[i].Stage, _ = route.Stage(work[i].Piece.Sum.NextStage)
	}
	return work, nil
}

// collectWork turns each row over as it comes: of a large shop the rows are some
// megabytes, and a growing slice of them five times that.
func collectWork(rows pgx.Rows, cars map[int64]restoration.Car) ([]restoration.Work, error) {
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
		work = append(work, r.work(cars[r.CarID]))
	}
	return work, rows.Err()
}

// work leaves the stage out.
func (r workRow) work(car restoration.Car) restoration.Work {
	return restoration.Work{
		Car: car, Piece: r.piece(), NextPosition: r.StepPosition,
		HandBy: keyOrZero(r.StepHandBy), HandName: r.StepHandName, HandSince: orZero(r.StepHandSince),
		Planned: restoration.Estimate{Low: r.StepLow, Likely: r.StepLikely, High: r.StepHigh},
		Logged:  r.StepLogged, StepLeft: r.StepLeft, Pass: r.StepPass,
	}
}
