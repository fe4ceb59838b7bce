package bench

import (
	"net/http"

	"github.com/go-chi/chi/v5"

	"scumble/internal/restoration"
)

func pieceID(r *http.Request) (restoration.ID, error) {
	id, err := restoration.ParseID(chi.URLParam(r, "id"))
	if err != nil {
		return id, restoration.Problemf(restoration.TroubleNotFound, "", "There is no such piece. Scan its label, or choose it from a list.")
	}
	return id, nil
}

func (b *Bench) pieceAndRoute(r *http.Request, id restoration.ID) (restoration.Piece, restoration.Route, error) {
	piece, err := b.shop.FindPiece(r.Context(), id)
	if err != nil {
		return piece, restoration.Route{}, err
	}
	route, err := b.shop.FindRoute(r.Context(), piece.RouteID)
	return piece, route, err
}

// pieceInput loads what a piece's pages are built from.
func (b *Bench) pieceInput(r *http.Request) (pieceInput, error) {
	v := visitOf(r)
	in := pieceInput{Actor: v.actor(), Now: b.now(), Loc: v.shop.Location(), Units: v.shop.Units, NewID: newID, Timers: v.timers, Limit: v.shop.Timers.Limit}
	id, err := pieceID(r)
	if err != nil {
		return in, err
	}
	if in.Piece, in.Route, err = b.pieceAndRoute(r, id); err != nil {
		return in, err
	}
	if !in.Piece.Removed.IsZero() {
		return in, removed(in.Piece, in.Loc)
	}
	if in.Car, err = b.shop.FindCarByID(r.Context(), in.Piece.CarID); err != nil {
		return in, err
	}
	// Who did what on the car's other pieces matters before the grain only.
	if stage, _ := in.Route.Stage(in.Piece.Sum.NextStage); stage.Look == restoration.LookGrained {
		if in.Others, err = b.shop.CarPieces(r.Context(), in.Piece.CarID); err != nil {
			return in, err
		}
	}
	return in, b.loadLedger(r, &in)
}

// loadLedger adds what happened to the piece lately, and the last note, however old it is.
func (b *Bench) loadLedger(r *http.Request, in *pieceInput) (err error) {
	if in.Ledger, err = b.shop.History(r.Context(), restoration.HistoryFilter{PieceID: in.Piece.ID, Limit: ledgerShown}); err != nil {
		return err
	}
	noted := in.Ledger
	if _, ok := restoration.LastNote(noted); !ok && len(noted) == ledgerShown {
		before := noted[len(noted)-1].Seq
		noted, err = b.shop.History(r.Context(), restoration.HistoryFilter{PieceID: in.Piece.ID, Noted: true, Before: before, Limit: 1})
	}
	if e, ok := restoration.LastNote(noted); ok {
		in.Noted = &e
	}
	return err
}
