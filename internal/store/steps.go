package store

import (
	"context"
	"slices"
	"time"

	"github.com/jackc/pgx/v5"

	"scumble/internal/restoration"
)

// stepRow is a row of finish_steps with the names of its people.
type stepRow struct {
	ID          restoration.ID
	ComponentID restoration.ID
	CarID       int64
	Stage       string
	Position    int
	Pass        int
	Rework      bool
	PlannedLow  restoration.Minutes
	PlannedMin  restoration.Minutes
	PlannedHigh restoration.Minutes
	Overtyped   bool
	LoggedMin   restoration.Minutes
	LastLog     *time.Time
	StillMin    *restoration.Minutes
	StillAt     *time.Time
	State       string
	HandBy      *int64
	HandSince   *time.Time
	DoneAt      *time.Time
	DoneBy      *int64
	TouchAgain  *time.Time
	TooLate     *time.Time
	Reason      string
	LeftMin     restoration.Minutes
	CountedMin  restoration.Minutes
	EarnedMin   restoration.Minutes
	CoatedAt    *time.Time
	CoatWaits   *restoration.Waits
	HandName    string
	DoneName    string
}

const stepSelect = `
	SELECT s.id, s.component_id, s.car_id, s.stage, s.position, s.pass, s.rework, s.planned_low, s.planned_min, s.planned_high,
		s.overtyped, s.logged_min, s.last_log, s.still_min, s.still_at, s.state, s.hand_by, s.hand_since, s.done_at, s.done_by,
		s.touch_again, s.too_late, s.reason, s.left_min, s.counted_min, s.earned_min, s.coated_at, s.coat_waits,
		coalesce(hand.name, '') AS hand_name, coalesce(done.name, '') AS done_name
	FROM finish_steps s LEFT JOIN people hand ON hand.id = s.hand_by LEFT JOIN people done ON done.id = s.done_by `

func (r stepRow) step() restoration.Step {
	return restoration.Step{
		ID: r.ID, PieceID: r.ComponentID, CarID: r.CarID, Stage: r.Stage, Position: r.Position, Pass: r.Pass, Rework: r.Rework,
		Planned:   restoration.Estimate{Low: r.PlannedLow, Likely: r.PlannedMin, High: r.PlannedHigh},
		Overtyped: r.Overtyped, Logged: r.LoggedMin, LastLog: orZero(r.LastLog), StillToGo: r.StillMin, StillAt: orZero(r.StillAt),
		State: restoration.StepState(r.State), HandBy: keyOrZero(r.HandBy), HandSince: orZero(r.HandSince),
		DoneAt: orZero(r.DoneAt), DoneBy: keyOrZero(r.DoneBy), TouchAgain: orZero(r.TouchAgain), TooLate: orZero(r.TooLate),
		Reason: r.Reason, Left: r.LeftMin, Counted: r.CountedMin, Earned: r.EarnedMin,
		CoatedAt: orZero(r.CoatedAt), CoatWaits: r.CoatWaits, HandName: r.HandName, DoneName: r.DoneName,
	}
}

func toStep(row pgx.CollectableRow) (restoration.Step, error) {
	r, err := pgx.RowToStructByName[stepRow](row)
	return r.step(), err
}

// stepNames are the columns that a step is written to, in the order of stepValues.
// All but the id are projection.
var stepNames = []string{"id", "component_id", "car_id", "stage", "position", "pass", "rework", "planned_low", "planned_min",
	"planned_high", "overtyped", "logged_min", "last_log", "still_min", "still_at", "state", "hand_by", "hand_since",
	"done_at", "done_by", "touch_again", "too_late", "reason", "left_min", "counted_min", "earned_min", "coated_at", "coat_waits"}

func stepValues(s restoration.Step) []any {
	return []any{s.ID, s.PieceID, s.CarID, s.Stage, s.Position, s.Pass, s.Rework, s.Planned.Low, s.Planned.Likely,
		s.Planned.High, s.Overtyped, s.Logged, orNull(s.LastLog), s.StillToGo, orNull(s.StillAt), string(s.State),
		keyOrNull(s.HandBy), orNull(s.HandSince), orNull(s.DoneAt), keyOrNull(s.DoneBy), orNull(s.TouchAgain),
		orNull(s.TooLate), s.Reason, s.Left, s.Counted, s.Earned,
		orNull(s.CoatedAt), s.CoatWaits}
}

const stepInsert = `
	INSERT INTO finish_steps (id, component_id, car_id, stage, position, pass, rework, planned_low, planned_min,
		planned_high, overtyped, logged_min, last_log, still_min, still_at, state, hand_by, hand_since,
		done_at, done_by, touch_again, too_late, reason, left_min, counted_min, earned_min, coated_at, coat_waits)
	VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17, $18, $19, $20, $21, $22, $23, $24, $25, $26, $27, $28)`

const stepUpdate = `
	UPDATE finish_steps SET component_id = $2, car_id = $3, stage = $4, position = $5, pass = $6, rework = $7,
		planned_low = $8, planned_min = $9, planned_high = $10, overtyped = $11, logged_min = $12, last_log = $13,
		still_min = $14, still_at = $15, state = $16, hand_by = $17, hand_since = $18, done_at = $19, done_by = $20,
		touch_again = $21, too_late = $22, reason = $23, left_min = $24, counted_min = $25, earned_min = $26,
		coated_at = $27, coat_waits = $28
	WHERE id = $1`

// queueSteps queues what it takes to turn the rows of before into after. Rows that
// go come first and new ones last, since only one pass of a stage may be open.
func queueSteps(b *pgx.Batch, before, after []restoration.Step) {
	index := func(steps []restoration.Step, id restoration.ID) int {
		return slices.IndexFunc(steps, func(s restoration.Step) bool { return s.ID == id })
	}
	for _, s := range before {
		if index(after, s.ID) < 0 {
			b.Queue(`DELETE FROM finish_steps WHERE id = $1`, s.ID)
		}
	}
	for _, s := range after {
		if i := index(before, s.ID); i >= 0 && before[i] != s {
			b.Queue(stepUpdate, stepValues(s)...)
		}
	}
	for _, s := range after {
		if index(before, s.ID) < 0 {
			b.Queue(stepInsert, stepValues(s)...)
		}
	}
}

// loadSteps gives the steps of the pieces, by piece, ordered by position and pass.
func loadSteps(ctx context.Context, t tx, pieces []restoration.ID) (map[restoration.ID][]restoration.Step, error) {
	rows, err := t.Query(ctx, stepSelect+`WHERE s.component_id = ANY($1) ORDER BY s.position, s.pass`, pieces)
	if err != nil {
		return nil, err
	}
	steps, err := pgx.CollectRows(rows, toStep)
	byPiece := make(map[restoration.ID][]restoration.Step, len(pieces))
	for _, s := range steps {
		byPiece[s.PieceID] = append(byPiece[s.PieceID], s)
	}
	return byPiece, err
}

// OvertypePlan sets the planned hours of one step by hand, through the ledger.
// Conflict when the step is no longer open.
func (s *Store) OvertypePlan(ctx context.Context, by restoration.Actor, step restoration.ID, hours restoration.Estimate) (err error) {
	defer wrap(&err, "overtype the plan of step %v", step)
	return s.change(ctx, func(t tx) error {
		var piece restoration.ID
		var stage string
		err := t.QueryRow(ctx, `SELECT component_id, stage FROM finish_steps WHERE id = $1`, step).Scan(&piece, &stage)
		if err != nil {
			return notFound(err, "There is no such step any more. Open the piece again.")
		}
		e := officeEvent(t, by, restoration.KindReplan)
		e.PieceID, e.StepID = piece, step
		e.Plan = []restoration.Plan{{Stage: stage, Hours: hours, Overtyped: true}}
		return s.mustApply(ctx, t, e)
	})
}
