package bench

import (
	"encoding/json"
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
	if web.WantsJSON(r) {
		return b.gradeByScript(w, r)
	}
	in, err := b.pieceInput(r)
	if err != nil {
		return err
	}
	said, err := b.grade(r, in)
	if p, ok := restoration.AsProblem(err); ok && p.Trouble == restoration.TroubleInvalid {
		return b.renderAct(w, r, "grade", in, nil, []ui.FieldError{{Text: p.Message}})
	}
	if err != nil {
		return err
	}
	b.keep(r, keySaid, said)
	return web.SeeOther(w, r, piecePath(in.Piece.ID))
}

// gradeByScript answers as the intake of entries does: what can't be taken, ever, is refused.
func (b *Bench) gradeByScript(w http.ResponseWriter, r *http.Request) error {
	id, err := parseID("id", r.PostFormValue("id"), true)
	if err != nil {
		return invalid("%s.", upperFirst(err.Error()))
	}
	out := restoration.Outcome{Result: restoration.Applied}
	in, err := b.pieceInput(r)
	var said ui.Notice
	if err == nil {
		said, err = b.grade(r, in)
	}
	switch p, ok := restoration.AsProblem(err); {
	case ok && p.Trouble != restoration.TroubleUnavailable:
		out = restoration.Outcome{Result: restoration.Refused, Reason: p.Message}
	case err != nil:
		return err
	case r.URL.Query().Has("say") && b.own(r):
		b.keep(r, keySaid, said)
	}
	w.Header().Set("Content-Type", "application/json")
	return json.NewEncoder(w).Encode(answers([]restoration.Event{{ID: id}}, []restoration.Outcome{out}))
}

// grade takes over the grade that the form says, once for each id. A Problem says why not.
func (b *Bench) grade(r *http.Request, in pieceInput) (ui.Notice, error) {
	grade, err := strconv.Atoi(r.PostFormValue("grade"))
	if err != nil || grade < restoration.BestGrade || grade > restoration.WorstGrade {
		return ui.Notice{}, invalid("A grade is 1 to 6. Touch one.")
	}
	said := ui.Notice{Kind: ui.NoticeDone, Text: fmt.Sprintf("%s: grade %d on bare steel, %s.", in.Piece.Title(), grade, restoration.GradeWord(grade))}
	id, err := parseID("id", r.PostFormValue("id"), false)
	if err != nil {
		return said, invalid("%s.", upperFirst(err.Error()))
	}
	return said, b.shop.GradeSteel(r.Context(), visitOf(r).actor(), id, in.Piece.ID, grade)
}
