package bench

import (
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"strconv"
	"time"

	"scumble/internal/restoration"
	"scumble/web"
	"scumble/web/ui"
)

// gradeLife is how long a grade that is sent again is known by its id. Until then it stays
// said once, whatever somebody else has said since.
const gradeLife = passLife

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
	id := r.PostFormValue("id")
	if known, err := b.saidBefore(r.Context(), id); known || err != nil {
		return said, err
	}
	if !in.Piece.ShowsSteel(in.Route) {
		return said, invalid("The steel is coated by now. Tell the owner the grade.")
	}
	change := restoration.PieceChange{SteelGrade: &grade}
	if _, err := b.shop.ChangePieces(r.Context(), visitOf(r).actor(), []restoration.ID{in.Piece.ID}, change); err != nil {
		return said, err
	}
	if id == "" {
		return said, nil
	}
	// A tablet that dies before this is noted sends again, and says the same once more.
	return said, commitKept(r.Context(), b.sessions.Store, gradeKey(id), []byte("1"), time.Now().Add(gradeLife))
}

func gradeKey(id string) string { return "grade:" + id }

func (b *Bench) saidBefore(ctx context.Context, id string) (bool, error) {
	if id == "" {
		return false, nil
	}
	_, found, err := findKept(ctx, b.sessions.Store, gradeKey(id))
	return found, err
}
