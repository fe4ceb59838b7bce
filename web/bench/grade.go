package bench

import (
	"fmt"
	"net/http"
	"strconv"

	"scumble/internal/restoration"
	"scumble/web"
	"scumble/web/ui"
)

// gradeSteel keeps the condition seen on bare steel. It is no event: it changes what
// the office says of the piece, so the audit keeps who said it and on which tablet, and
// the planned hours follow.
func (b *Bench) gradeSteel(w http.ResponseWriter, r *http.Request) error {
	in, err := b.pieceInput(r)
	if err != nil {
		return err
	}
	grade, err := strconv.Atoi(r.PostFormValue("grade"))
	switch {
	case err != nil || grade < restoration.BestGrade || grade > restoration.WorstGrade:
		return b.renderAct(w, r, "grade", in, nil, []ui.FieldError{{Text: "A grade is 1 to 6. Touch one."}})
	case !in.Piece.ShowsSteel(in.Route):
		return b.renderAct(w, r, "grade", in, nil, []ui.FieldError{{Text: "The steel is coated by now. Tell the owner the grade."}})
	}
	change := restoration.PieceChange{SteelGrade: &grade}
	if _, err := b.shop.ChangePieces(r.Context(), visitOf(r).actor(), []restoration.ID{in.Piece.ID}, change); err != nil {
		return err
	}
	said := fmt.Sprintf("%s: grade %d on bare steel, %s.", in.Piece.Title(), grade, restoration.GradeWord(grade))
	b.keep(r, keySaid, ui.Notice{Kind: ui.NoticeDone, Text: said})
	return web.SeeOther(w, r, piecePath(in.Piece.ID))
}
