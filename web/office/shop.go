package office

import (
	"context"
	"time"

	"scumble/internal/restoration"
)

// Shop is what the office needs of the shop. Errors that a person can act on are
// *restoration.Problem; all others are internal.
type Shop interface {
	work
	house
	film
	pictures
}

// work is the shop's cars, pieces and ledger.
type work interface {
	Roll(ctx context.Context, delivered bool) (restoration.ShopRoll, error)
	CarRoll(ctx context.Context, carID int64) (restoration.CarRoll, error)
	History(ctx context.Context, f restoration.HistoryFilter) ([]restoration.Entry, error)
	Overrides(ctx context.Context, since time.Time) ([]restoration.Entry, error)

	// ListWork is a part of the open work and the sums of all that f chooses.
	ListWork(ctx context.Context, f restoration.WorkFilter) (restoration.WorkPart, error)
	// UrgentWork is the open work that is held, in hand, or whose recoat window shuts
	// before until; MixedPieces the pieces of cars with more than one finish.
	UrgentWork(ctx context.Context, until time.Time) ([]restoration.Work, error)
	MixedPieces(ctx context.Context) ([]restoration.Piece, error)

	FindCar(ctx context.Context, workOrder string) (restoration.Car, error)
	FindCarByID(ctx context.Context, id int64) (restoration.Car, error)
	CarPieces(ctx context.Context, carID int64) ([]restoration.Piece, error)
	RemovedPieces(ctx context.Context, carID int64) ([]restoration.Piece, error)
	FindPiece(ctx context.Context, id restoration.ID) (restoration.Piece, error)

	Enter(ctx context.Context, events []restoration.Event) ([]restoration.Outcome, error)
	EnterReadings(ctx context.Context, events []restoration.Event) ([]restoration.Outcome, error)
	ReadingIDs(ctx context.Context, carID int64) (stand, spent []restoration.ID, err error)
	EditPiece(ctx context.Context, actor restoration.Actor, id restoration.ID, d restoration.Details, routeID int64) error
	ChangePieces(ctx context.Context, actor restoration.Actor, ids []restoration.ID, c restoration.PieceChange) (int, error)
	OvertypePlan(ctx context.Context, actor restoration.Actor, step restoration.ID, e restoration.Estimate) error
	AddPieces(ctx context.Context, actor restoration.Actor, carID int64, pieces []restoration.NewPiece) ([]restoration.Piece, error)

	// TimeSheet lists what was logged from an hour until before another, of one person or all.
	BothTicked(ctx context.Context, since time.Time) ([]restoration.BothTick, error)
	TimeSheet(ctx context.Context, from, to time.Time, personID int64) ([]restoration.SheetRow, error)
	CorrectTime(ctx context.Context, actor restoration.Actor, c restoration.TimeCorrection) error

	Search(ctx context.Context, q string, limit int) ([]restoration.Hit, error)
}
