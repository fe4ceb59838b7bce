package store

import (
	"context"
	"reflect"
	"time"

	"github.com/jackc/pgx/v5"

	"scumble/internal/restoration"
)

// pieceRow is a row of components.
type pieceRow struct {
	ID           restoration.ID
	CarID        int64
	RouteID      int64
	Label        string
	Name         string
	Zone         string
	Side         string
	Place        string
	SortOrder    int
	AreaM2       float64 `db:"area_m2"`
	BothM2       float64 `db:"both_m2"`
	Size         string
	Mounting     string
	Metal        string
	SetName      string
	Scheme       string
	SchemeReason string
	Grade        int
	SteelGrade   int
	Faults       []restoration.Fault
	Note         string
	LiesAt       string
	HoldReason   string
	HeldSince    *time.Time
	HeldBy       *int64
	RemovedAt    *time.Time
	LeftMin      restoration.Minutes
	Look         string
	Reached      string
	NextStage    string
	NextStep     restoration.ID
	GateFrom     *time.Time
	LateFrom     *time.Time
	SentBack     bool
}

const pieceColumns = `p.id, p.car_id, p.route_id, p.label, p.name, p.zone, p.side, p.place, p.sort_order, p.area_m2, p.both_m2,
	p.size, p.mounting, p.metal, p.set_name, p.scheme, p.scheme_reason, p.grade, p.steel_grade, p.faults, p.note,
	p.lies_at, p.hold_reason, p.held_since, p.held_by, p.removed_at, p.left_min, p.look, p.reached, p.next_stage, p.next_step,
	p.gate_from, p.late_from, p.sent_back`

// zoneOrder sorts pieces as they stand in the interior plan.
const zoneOrder = `array_position(ARRAY['front', 'left', 'right', 'rear', 'loose'], p.zone), p.sort_order, p.name, p.id`

func (r pieceRow) piece() restoration.Piece {
	p := restoration.Piece{
		ID: r.ID, CarID: r.CarID, Label: r.Label, RouteID: r.RouteID,
		Details: restoration.Details{
			Name: r.Name, Zone: restoration.Zone(r.Zone), Side: restoration.Side(r.Side), Place: r.Place, Order: r.SortOrder,
			AreaM2: r.AreaM2, BothM2: r.BothM2, Size: restoration.Size(r.Size), Mounting: restoration.Mounting(r.Mounting),
			Metal: r.Metal, Set: r.SetName, Scheme: r.Scheme, SchemeReason: r.SchemeReason,
			Grade: r.Grade, SteelGrade: r.SteelGrade, Faults: r.Faults, Note: r.Note,
		},
		LiesAt: r.LiesAt, Removed: orZero(r.RemovedAt),
		Sum: restoration.Sum{
			Left: r.LeftMin, Look: restoration.Look(r.Look), Reached: r.Reached, NextStage: r.NextStage, NextStep: r.NextStep,
			GateFrom: orZero(r.GateFrom), LateFrom: orZero(r.LateFrom), SentBack: r.SentBack,
		},
	}
	if r.HeldSince != nil {
		p.Holding = &restoration.Hold{Reason: r.HoldReason, Since: orZero(r.HeldSince), By: keyOrZero(r.HeldBy)}
	}
	return p
}

func toPiece(row pgx.CollectableRow) (restoration.Piece, error) {
	r, err := pgx.RowToStructByName[pieceRow](row)
	return r.piece(), err
}

// detailNames are the columns of a piece that the office writes, in the order of
// detailValues.
var detailNames = []string{"name", "zone", "side", "place", "sort_order", "area_m2", "both_m2", "size", "mounting", "metal",
	"set_name", "scheme", "scheme_reason", "grade", "steel_grade", "faults", "note"}

func detailValues(d restoration.Details) []any {
	faults := d.Faults
	if faults == nil {
		faults = []restoration.Fault{} // the column is never null
	}
	return []any{d.Name, string(d.Zone), string(d.Side), d.Place, d.Order, d.AreaM2, d.BothM2, string(d.Size), string(d.Mounting),
		d.Metal, d.Set, d.Scheme, d.SchemeReason, d.Grade, d.SteelGrade, faults, d.Note}
}

// projectionNames are the columns of a piece that its events write, in the order of
// projectionValues.
var projectionNames = []string{"route_id", "lies_at", "hold_reason", "held_since", "held_by", "removed_at", "left_min", "look",
	"reached", "next_stage", "next_step", "gate_from", "late_from", "sent_back"}

func projectionValues(p restoration.Piece) []any {
	var hold restoration.Hold
	if p.Holding != nil {
		hold = *p.Holding
	}
	return []any{p.RouteID, p.LiesAt, hold.Reason, orNull(hold.Since), keyOrNull(hold.By), orNull(p.Removed), p.Sum.Left,
		string(p.Sum.Look), p.Sum.Reached, p.Sum.NextStage, p.Sum.NextStep, orNull(p.Sum.GateFrom), orNull(p.Sum.LateFrom),
		p.Sum.SentBack}
}

const projectionUpdate = `
	UPDATE components SET route_id = $2, lies_at = $3, hold_reason = $4, held_since = $5, held_by = $6, removed_at = $7,
		left_min = $8, look = $9, reached = $10, next_stage = $11, next_step = $12, gate_from = $13, late_from = $14, sent_back = $15
	WHERE id = $1`

// equalValue compares two values of one column.
func equalValue(a, b any) bool { return reflect.DeepEqual(a, b) }

// CarPieces lists the pieces on a car's list with their steps, in the order of the
// interior plan. A car that isn't there has none.
func (s *Store) CarPieces(ctx context.Context, carID int64) (_ []restoration.Piece, err error) {
	defer wrap(&err, "list the pieces of car %d", carID)
	return s.lookPieces(ctx, `p.car_id = $1 AND p.removed_at IS NULL`, carID)
}

// RemovedPieces lists the pieces taken off a car's list, with their steps.
func (s *Store) RemovedPieces(ctx context.Context, carID int64) (_ []restoration.Piece, err error) {
	defer wrap(&err, "list the removed pieces of car %d", carID)
	return s.lookPieces(ctx, `p.car_id = $1 AND p.removed_at IS NOT NULL`, carID)
}

// FindPiece finds a piece with its steps, removed or not; NotFound when there is none.
func (s *Store) FindPiece(ctx context.Context, id restoration.ID) (_ restoration.Piece, err error) {
	defer wrap(&err, "find piece %v", id)
	pieces, err := s.lookPieces(ctx, `p.id = $1`, id)
	if err == nil && len(pieces) == 0 {
		err = noPiece(pgx.ErrNoRows)
	}
	if err != nil {
		return restoration.Piece{}, err
	}
	return pieces[0], nil
}

// FindPieceByLabel finds a piece by the code on its tag, as typed or scanned. A code
// that can't be right is Invalid; one that no piece bears is NotFound.
func (s *Store) FindPieceByLabel(ctx context.Context, label string) (_ restoration.Piece, err error) {
	defer wrap(&err, "find the piece labelled %.20q", label)
	code, err := restoration.CheckLabel(label)
	if err != nil {
		return restoration.Piece{}, err
	}
	pieces, err := s.lookPieces(ctx, `p.label = $1`, code)
	if err == nil && len(pieces) == 0 {
		err = notFound(pgx.ErrNoRows, "No piece bears the label %s. Look at the label again.", code)
	}
	if err != nil {
		return restoration.Piece{}, err
	}
	return pieces[0], nil
}

func (s *Store) lookPieces(ctx context.Context, where string, arg any) (pieces []restoration.Piece, err error) {
	err = s.look(ctx, func(t tx) error {
		pieces, err = loadPieces(ctx, t, where, arg)
		return err
	})
	return pieces, err
}

// loadPieces loads the pieces that where chooses, with their steps. where is text of
// this package with $1 for arg.
func loadPieces(ctx context.Context, t tx, where string, arg any) ([]restoration.Piece, error) {
	rows, err := t.Query(ctx, `SELECT `+pieceColumns+` FROM components p WHERE `+where+` ORDER BY `+zoneOrder, arg)
	if err != nil {
		return nil, err
	}
	pieces, err := pgx.CollectRows(rows, toPiece)
	if err != nil || len(pieces) == 0 {
		return nil, err
	}
	ids := make([]restoration.ID, len(pieces))
	for i, p := range pieces {
		ids[i] = p.ID
	}
	steps, err := loadSteps(ctx, t, ids)
	for i := range pieces {
		pieces[i].Steps = steps[pieces[i].ID]
	}
	return pieces, err
}

func noPiece(err error) error {
	return notFound(err, "There is no such piece. Look at the car's list.")
}

// CopyPieces gives the list of an earlier car for a new one: what is the same for
// the kind of car, without what was found on that one.
func (s *Store) CopyPieces(ctx context.Context, carID int64) (_ []restoration.NewPiece, err error) {
	defer wrap(&err, "copy the pieces of car %d", carID)
	var copies []restoration.NewPiece
	err = s.look(ctx, func(t tx) error {
		pieces, err := loadPieces(ctx, t, `p.car_id = $1 AND p.removed_at IS NULL`, carID)
		if err != nil {
			return err
		}
		routes, err := s.startedRoutes(ctx, t, pieces)
		for _, p := range pieces {
			d := p.Details
			d.Grade, d.SteelGrade, d.Faults, d.Note, d.Scheme, d.SchemeReason = 0, 0, nil, "", "", ""
			copies = append(copies, restoration.NewPiece{Details: d, Route: routes[p.RouteID].Key})
		}
		return err
	})
	return copies, err
}
