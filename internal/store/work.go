package store

import (
	"context"
	"slices"
	"strconv"
	"strings"
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

// ListWork lists the open work that f chooses, and adds up all of it: pieces with a step
// to do in a car that is not delivered, held ones too. Piece.Steps is empty.
func (s *Store) ListWork(ctx context.Context, f restoration.WorkFilter) (part restoration.WorkPart, err error) {
	defer wrap(&err, "list open work")
	err = s.look(ctx, func(t tx) error {
		where, args := workWhere(f, t.now)
		err := t.QueryRow(ctx, `
			SELECT count(*), coalesce(sum(p.left_min), 0), coalesce(sum(s.left_min), 0), coalesce(sum(`+reworkOf+`), 0)
			FROM `+openWork+` AND `+where, args).Scan(&part.Pieces, &part.Left, &part.NextLeft, &part.ReworkLeft)
		if err != nil || part.Pieces == 0 {
			return err
		}
		part.Work, err = s.work(ctx, t, where, workSort(f), args)
		return err
	})
	return part, err
}

// openWork is the pieces with a step to do; it goes on with a condition.
const openWork = `components p JOIN cars c ON c.id = p.car_id JOIN finish_steps s ON s.id = p.next_step
	WHERE c.state <> 'delivered' AND p.removed_at IS NULL`

// reworkOf is what a piece has left that does again what had been done. Only a piece
// that was sent back is looked up.
const reworkOf = `CASE WHEN p.sent_back THEN (SELECT coalesce(sum(w.left_min), 0) FROM finish_steps w
	WHERE w.component_id = p.id AND w.rework) ELSE 0 END`

// workWhere is what f asks of a piece, its next step and its car.
func workWhere(f restoration.WorkFilter, now time.Time) (string, pgx.NamedArgs) {
	where := []string{"true"}
	ask := func(asked bool, condition string) {
		if asked {
			where = append(where, condition)
		}
	}
	const held, waits = `(c.state = 'on hold' OR p.held_since IS NOT NULL)`, `coalesce(p.gate_from > @now, false)`
	ask(f.Footing == restoration.FootHeld, held)
	ask(f.Footing == restoration.FootWaiting, `NOT `+held+` AND `+waits)
	ask(f.Footing == restoration.FootWorkable, `NOT `+held+` AND NOT `+waits)
	ask(f.InHand, `s.state = 'in hand'`)
	ask(f.Rework, reworkOf+` > 0`)
	ask(f.CarID != 0, `p.car_id = @car`)
	ask(f.PersonID != 0, `s.hand_by = @person`)
	return strings.Join(where, " AND "), pgx.NamedArgs{"now": now, "car": f.CarID, "person": f.PersonID}
}

// workSort is how f sorts, and the part that it wants.
func workSort(f restoration.WorkFilter) string {
	turn := map[bool]string{true: " DESC"}[f.Falling]
	column := map[restoration.WorkSort]string{
		restoration.WorkByPiece: `lower(p.name)` + turn + `, `,
		restoration.WorkByLeft:  `p.left_min` + turn + `, `,
		restoration.WorkByHand:  `coalesce((SELECT lower(name) FROM people WHERE id = s.hand_by), '')` + turn + `, `,
	}[f.By]
	order := column + byCarAndPlan
	if f.Limit > 0 {
		order += ` LIMIT ` + strconv.Itoa(f.Limit) + ` OFFSET ` + strconv.Itoa(f.Offset)
	}
	return order
}

const byCarAndPlan = `c.work_order, ` + zoneOrder

// WorkOf gives the open work on the pieces with these ids, in their order. A piece
// that has nothing left to do, or whose car is delivered, is left out. Piece.Steps
// is empty.
func (s *Store) WorkOf(ctx context.Context, ids []restoration.ID) (_ []restoration.Work, err error) {
	defer wrap(&err, "load the work on %d pieces", len(ids))
	if len(ids) == 0 {
		return nil, nil
	}
	var found []restoration.Work
	err = s.look(ctx, func(t tx) (err error) {
		found, err = s.work(ctx, t, `p.id = ANY(@ids)`, byCarAndPlan, pgx.NamedArgs{"ids": ids})
		return err
	})
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
func (s *Store) UrgentWork(ctx context.Context, until time.Time) (work []restoration.Work, err error) {
	defer wrap(&err, "list the work that needs a look before %v", until)
	err = s.look(ctx, func(t tx) (err error) {
		// Each of the three has an index of its own; asked in one breath, all pieces are read.
		work, err = s.work(ctx, t, `p.id IN (
			SELECT id FROM components WHERE held_since IS NOT NULL
			UNION ALL SELECT id FROM components WHERE late_from < @until
			UNION ALL SELECT component_id FROM finish_steps WHERE state = 'in hand')`, byCarAndPlan, pgx.NamedArgs{"until": until})
		return err
	})
	return work, err
}

// work lists the open work that where chooses; where and order are text of this package.
// The part is cut out first, by keys: only its rows are read whole.
func (s *Store) work(ctx context.Context, t tx, where, order string, args pgx.NamedArgs) ([]restoration.Work, error) {
	rows, err := t.Query(ctx, `
		WITH part AS MATERIALIZED (
			SELECT p.id, row_number() OVER () AS rank FROM (SELECT p.id FROM `+openWork+` AND `+where+` ORDER BY `+order+`) p)
		SELECT `+pieceColumns+`, s.hand_by AS step_hand_by, coalesce(h.name, '') AS step_hand_name, s.hand_since AS step_hand_since,
			s.planned_low AS step_low, s.planned_min AS step_likely, s.planned_high AS step_high, s.logged_min AS step_logged,
			s.left_min AS step_left, `+reworkOf+` AS rework_left,
			s.position AS step_position, s.pass AS step_pass, count(*) OVER () AS total
		FROM part JOIN components p ON p.id = part.id JOIN finish_steps s ON s.id = p.next_step
		LEFT JOIN people h ON h.id = s.hand_by
		ORDER BY part.rank`, args)
	if err != nil {
		return nil, err
	}
	work, err := collectWork(rows)
	if err != nil {
		return nil, err
	}
	return work, s.completeWork(ctx, t, work)
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
	ids := make([]int64, len(work))
	for i, w := range work {
		ids[i] = w.Piece.CarID
	}
	slices.Sort(ids)
	ids = slices.Compact(ids)
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
