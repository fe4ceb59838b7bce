package office

import (
	"net/http"
	"strings"

	"github.com/go-chi/chi/v5"

	"scumble/internal/restoration"
	"scumble/web"
	"scumble/web/ui"
)

// pieceOf finds the piece that the address names.
func (o *Office) pieceOf(r *http.Request) (restoration.Piece, error) {
	id, err := restoration.ParseID(chi.URLParam(r, "id"))
	if err != nil {
		return restoration.Piece{}, restoration.Problemf(restoration.TroubleNotFound, "", "There is no such piece. Look at the car's list.")
	}
	return o.shop.FindPiece(r.Context(), id)
}

// pieceForm finds the piece of the address and reads the form that came about it.
func (o *Office) pieceForm(w http.ResponseWriter, r *http.Request) (restoration.Piece, *form, error) {
	piece, err := o.pieceOf(r)
	if err != nil {
		return restoration.Piece{}, nil, err
	}
	f, err := readForm(w, r)
	return piece, f, err
}

func (o *Office) showPiece(w http.ResponseWriter, r *http.Request) error {
	piece, err := o.pieceOf(r)
	if err != nil {
		return err
	}
	return o.drawPiece(w, r, http.StatusOK, piece, nil)
}

// drawPiece answers with a piece's page; f is an entry that could not be made, shown
// again with what was typed.
func (o *Office) drawPiece(w http.ResponseWriter, r *http.Request, status int, piece restoration.Piece, f *form) error {
	ctx, v := r.Context(), visitOf(r)
	d := pieceData{Piece: piece, Settings: v.Settings, Now: v.Now}
	var err error
	if d.Car, err = o.shop.FindCarByID(ctx, piece.CarID); err != nil {
		return err
	}
	if d.Route, err = o.shop.FindRoute(ctx, piece.RouteID); err != nil {
		return err
	}
	if d.History, err = o.shop.History(ctx, restoration.HistoryFilter{PieceID: piece.ID, ByHour: true, Limit: filmEntries}); err != nil {
		return err
	}
	if d.Film, err = o.loadFilm(r, piece, f); err != nil {
		return err
	}
	if d.Photos, err = o.loadPhotos(r, piece); err != nil {
		return err
	}
	// What is no id plans no step.
	d.Planning, _ = restoration.ParseID(f.orQuery(r, "plan"))
	p := newPiecePage(d, o.page(r, ui.PageProps{Nav: "shop"}), f)
	return web.Render(w, r, status, pieceSheet(p))
}

// orQuery is what was posted, else what stands in the address.
func (f *form) orQuery(r *http.Request, name string) string {
	if f != nil && f.values.Has(name) {
		return f.get(name)
	}
	return r.URL.Query().Get(name)
}

// showPieceHistory pages through the whole ledger of a piece.
func (o *Office) showPieceHistory(w http.ResponseWriter, r *http.Request) error {
	piece, err := o.pieceOf(r)
	if err != nil {
		return err
	}
	return o.drawHistory(w, r, piecePath(piece.ID), piece.Title(), restoration.HistoryFilter{PieceID: piece.ID})
}

// enterPieceEvent takes an entry about a piece or one of its steps from a form.
func (o *Office) enterPieceEvent(w http.ResponseWriter, r *http.Request) error {
	piece, f, err := o.pieceForm(w, r)
	if err != nil {
		return err
	}
	route, err := o.shop.FindRoute(r.Context(), piece.RouteID)
	if err != nil {
		return err
	}
	e := o.pieceEvent(r, f, piece)
	if e.Kind == restoration.KindSendBack {
		completeSendBack(f, piece, route, &e)
	}
	if !f.ok() {
		return o.drawPiece(w, r, http.StatusUnprocessableEntity, piece, f)
	}
	if err := o.enter(r, e, stageOf(e, piece, route)); err != nil {
		return err
	}
	return web.SeeOther(w, r, piecePath(piece.ID))
}

// pieceKinds are the entries that a piece's page may make.
func pieceKinds() []restoration.Kind {
	return append(restoration.BenchKinds(), restoration.KindRemove, restoration.KindRestore)
}

// pieceEvent reads an entry. Each form of the page has field names of its own, so
// that what is wrong stands at the right one.
func (o *Office) pieceEvent(r *http.Request, f *form, piece restoration.Piece) restoration.Event {
	e := o.event(r, f, oneOf(f, "kind", pieceKinds()))
	e.CarID, e.PieceID = piece.CarID, piece.ID
	if when := whenFields[e.Kind]; when != "" {
		e.At = f.happened(when, e.At, visitOf(r).Loc)
	}
	if e.Kind.AboutStep() {
		e.StepID = f.id("step")
	}
	switch e.Kind {
	case restoration.KindTick, restoration.KindStart, restoration.KindSkip, restoration.KindLogTime, restoration.KindStillToGo:
		readWork(f, &e)
	case restoration.KindSendBack:
		e.Defect, e.Stage = f.get("defect"), f.get("stage")
		e.Hours, e.Note = f.labour("cost"), f.text("found")
	case restoration.KindHold:
		e.Reason = f.required("hold_reason", "Say what the piece waits for.")
	case restoration.KindMove:
		e.Place = f.line("place")
	case restoration.KindNote:
		e.Note = f.required("memo", "Write the note, or leave it.")
	case restoration.KindRemove:
		e.Reason = f.text("remove_reason")
	}
	return e
}

// readWork reads what the form of the next step says. Taking it in hand and skipping
// it say nothing of hours.
func readWork(f *form, e *restoration.Event) {
	e.Note = f.text("note")
	switch e.Kind {
	case restoration.KindTick:
		e.Hours, e.Checks = f.labour("hours"), f.values["checks"]
	case restoration.KindStart:
		e.Checks = f.values["checks"]
	case restoration.KindLogTime:
		e.Hours, e.StillToGo = f.labour("hours"), f.labour("still")
		if f.ok() && e.Hours == nil && e.StillToGo != nil {
			e.Kind = restoration.KindStillToGo // only what is left was said
		}
		if f.ok() && e.Hours == nil && e.StillToGo == nil {
			f.fault("hours", "Say how long it took, or what is still to go.")
		}
	case restoration.KindSkip:
		if strings.TrimSpace(e.Reason) == "" {
			f.fault("reason", "Say why the step is skipped.")
		}
	}
}

// required is text for a field that must not stay empty.
func (f *form) required(name, sentence string) string {
	s := f.text(name)
	if s == "" {
		f.fault(name, "%s", sentence)
	}
	return s
}

// completeSendBack checks the defect and lets it name the stage where the person did
// not.
func completeSendBack(f *form, piece restoration.Piece, route restoration.Route, e *restoration.Event) {
	defect, ok := restoration.FindDefect(e.Defect)
	if !ok {
		f.fault("defect", "Choose what went wrong.")
		return
	}
	if e.Defect == restoration.DefectOther && e.Note == "" {
		f.fault("found", "Say in a few words what went wrong.")
	}
	if e.Stage == "" {
		e.Stage = defect.BackTo(piece, route)
	}
	if e.Stage == "" {
		f.fault("stage", "Nothing has been done on the piece, so there is nothing to send back.")
	}
}

// stageOf names the stage that an entry is about; "" for none.
func stageOf(e restoration.Event, piece restoration.Piece, route restoration.Route) string {
	for _, s := range piece.Steps {
		if s.ID == e.StepID {
			return stageWord(route, s.Stage)
		}
	}
	if e.Stage != "" {
		return stageWord(route, e.Stage)
	}
	return ""
}

// overtypePlan sets the planned hours of one step by hand.
func (o *Office) overtypePlan(w http.ResponseWriter, r *http.Request) error {
	piece, f, err := o.pieceForm(w, r)
	if err != nil {
		return err
	}
	step := f.id("plan")
	e := restoration.Estimate{Low: f.hours("low"), Likely: f.hours("likely"), High: f.hours("high")}
	if f.ok() && !e.Valid() {
		f.fault("likely", "The hours must go up from low to likely to high.")
	}
	if f.ok() {
		if err := f.take(o.shop.OvertypePlan(r.Context(), visitOf(r).Actor(), step, e)); err != nil {
			return err
		}
	}
	if !f.ok() {
		return o.drawPiece(w, r, http.StatusUnprocessableEntity, piece, f)
	}
	o.done(r, "The planned hours are as you typed them.")
	return web.SeeOther(w, r, piecePath(piece.ID))
}
