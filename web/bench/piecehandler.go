package bench

import (
	"cmp"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/go-chi/chi/v5"

	"scumble/internal/restoration"
	"scumble/web"
	"scumble/web/ui"
)

// ledgerShown is how many entries of a piece its page tells.
const ledgerShown = 30

func (b *Bench) pieceRoutes(r chi.Router) {
	r.Get("/find", b.handle(b.find))
	r.Get("/pieces/{id}", b.handle(b.showPiece))
	r.Get("/pieces/{id}/{act}", b.handle(b.showAct))
	r.Post("/pieces/{id}/{act}", b.handle(b.enterForm))
}

func (b *Bench) showPiece(w http.ResponseWriter, r *http.Request) error {
	in, err := b.pieceInput(r)
	if err != nil {
		return err
	}
	if err := b.loadFilm(r, &in); err != nil {
		return err
	}
	in.Looks = r.URL.Query().Has("look")
	view := b.pieceView(r, in)
	view.Page.Flash, view.Undo = b.heard(r)
	if view.Undo != nil && view.Undo.Action != view.Path+"/untick" {
		view.Undo = nil // of another piece: it stands on the lists
	}
	findable(w, r, in.Piece.Label, in.heading()) // a worker of an earlier release fetches page by page
	return web.Render(w, r, http.StatusOK, piecePage(view))
}

func (b *Bench) pieceView(r *http.Request, in pieceInput) pieceView {
	view := buildPiece(in)
	view.Page = b.frame(r, in.Piece.Title())
	view.Page.Eyebrow, view.Page.About = in.carLine(), in.about()
	list := b.lastList(r)
	view.Page.Back, view.Page.BackWord = list.Href, listTitles[list.Which]
	return view
}

// carLine stands over a piece's page, heading is that with the piece.
func (in pieceInput) carLine() string { return in.Car.WorkOrder + " · " + in.Car.Name }
func (in pieceInput) heading() string { return in.Piece.Title() + " · " + in.carLine() }

func (b *Bench) showAct(w http.ResponseWriter, r *http.Request) error {
	act := chi.URLParam(r, "act")
	if actTitles[act]+filmTitles[act] == "" {
		return web.SeeOther(w, r, strings.TrimSuffix(r.URL.Path, "/"+act))
	}
	in, err := b.pieceInput(r)
	if err != nil {
		return err
	}
	if filmTitles[act] != "" {
		return b.renderFilm(w, r, act, in, r.URL.Query(), nil)
	}
	return b.renderAct(w, r, act, in, r.URL.Query(), nil)
}

func (b *Bench) renderAct(w http.ResponseWriter, r *http.Request, act string, in pieceInput, form url.Values, faults []ui.FieldError) error {
	var places []placeGroup
	var to *placeOffer
	if act == "move" {
		var err error
		if places, to, err = b.placesFor(r, in, form.Get("to")); err != nil {
			return err
		}
	}
	if act == "back" { // the film says what comes first
		if err := b.loadFilm(r, &in); err != nil {
			return err
		}
	}
	view := buildAct(act, in, form, places)
	view.To = to
	view.fail(faults)
	view.Page = b.frame(r, actTitles[act])
	if view.Defect.Key != "" {
		view.Page.Title = "Send back"
	}
	view.Page.Eyebrow, view.Page.About = in.Piece.Title()+" · "+in.Car.WorkOrder, in.about()
	view.Page.Back, view.Page.BackWord = view.Path, "Piece"
	return web.Render(w, r, statusFor(faults), actPage(view))
}

// placesFor loads the places that a piece may be moved to and, of them, the one whose id is
// to.
func (b *Bench) placesFor(r *http.Request, in pieceInput, to string) (groups []placeGroup, scanned *placeOffer, err error) {
	uses, err := b.shop.PlaceUses(r.Context())
	if err != nil {
		return nil, nil, err
	}
	fits, err := b.shop.PlaceFits(r.Context(), 0)
	if err != nil {
		return nil, nil, err
	}
	known, err := b.shop.Places(r.Context())
	if err != nil {
		return nil, nil, err
	}
	for _, u := range uses {
		if strconv.FormatInt(u.ID, 10) == to && u.RetiredAt.IsZero() {
			scanned = &placeOffer{Name: u.Name, Says: u.Fullness(u.Lying)}
		}
	}
	choices := restoration.ChoosePlaces(uses, fits, in.Piece.Name, in.Car.Body, in.Piece.LiesAt)
	return moveOffers(choices, known, in.Piece.LiesAt), scanned, nil
}

func statusFor(faults []ui.FieldError) int {
	if len(faults) > 0 {
		return http.StatusUnprocessableEntity
	}
	return http.StatusOK
}

// enterForm takes a form as one entry. A refusal shows the same page again with
// what was typed.
func (b *Bench) enterForm(w http.ResponseWriter, r *http.Request) error {
	act := chi.URLParam(r, "act")
	id, err := pieceID(r)
	if err != nil {
		return err
	}
	r.Body = http.MaxBytesReader(w, r.Body, MaxBody)
	if err := r.ParseForm(); err != nil || formKinds[act] == "" {
		return restoration.Problemf(restoration.TroubleInvalid, "", "This form can't be read. Go back and send it again.")
	}
	if (act == "coat" || act == "measure") && r.PostForm.Has(workAgain) {
		return b.showFaults(w, r, act, nil)
	}
	in, faults := parseForm(act, id, r.PostForm, b.now())
	if err := b.nameCoded(r.Context(), &in); err != nil {
		p, ok := restoration.AsProblem(err)
		if !ok || p.Trouble != restoration.TroubleNotFound {
			return err
		}
		faults = append(faults, ui.FieldError{Name: p.Field, Text: p.Message})
	}
	if len(faults) == 0 {
		outcomes, err := b.shop.Enter(r.Context(), []restoration.Event{in.Event(visitOf(r).actor())})
		if err != nil {
			return err
		}
		if outcomes[0].Result != restoration.Refused {
			return b.entered(w, r, in, outcomes[0])
		}
		faults = []ui.FieldError{{Text: outcomes[0].Reason}}
	}
	return b.showFaults(w, r, act, faults)
}

// showFaults draws the page that the form came from, with what was typed.
func (b *Bench) showFaults(w http.ResponseWriter, r *http.Request, act string, faults []ui.FieldError) error {
	in, err := b.pieceInput(r)
	if err != nil {
		return err
	}
	if filmTitles[act] != "" {
		return b.renderFilm(w, r, act, in, r.PostForm, faults)
	}
	from := cmp.Or(map[string]string{"still": "time", "start": r.PostForm.Get("page")}[act], act)
	if actTitles[from] != "" {
		return b.renderAct(w, r, from, in, r.PostForm, faults)
	}
	if err := b.loadFilm(r, &in); err != nil {
		return err
	}
	in.Looks = true // something else is to be seen first
	view := b.pieceView(r, in)
	view.keep(act, r.PostForm, faults)
	return web.Render(w, r, http.StatusUnprocessableEntity, piecePage(view))
}

// keep puts back what was typed and says what is wrong with it. The sheet of a tick
// that was refused stays open, unless a tick is out of the question by now.
func (v *pieceView) keep(act string, form url.Values, faults []ui.FieldError) {
	v.Sheet = act == "tick" && v.mayTick()
	for _, f := range faults {
		if f.Name == "hours" && v.Next != nil {
			v.Next.Hours.Error = f.Text
			continue
		}
		v.Page.Flash = &ui.Notice{Kind: ui.NoticeError, Text: f.Text}
	}
	if v.Next != nil && act == "tick" {
		v.Next.Hours.Value = form.Get("hours")
		v.Next.Checks = marked(v.Next.Checks, form)
	}
	if v.Film != nil && act == "tick" {
		v.Film.Why.keep(form)
	}
}

// entered answers an entry that was taken: a tick leads to what comes next, an undo on
// a list back to that list, anything else back to the piece.
func (b *Bench) entered(w http.ResponseWriter, r *http.Request, in Incoming, out restoration.Outcome) error {
	if err := b.remember(r, in, out); err != nil {
		return err
	}
	if in.Kind == restoration.KindTick && out.Result == restoration.Applied {
		return web.SeeOther(w, r, "/bench")
	}
	if in.Kind == restoration.KindCutPass {
		return web.SeeOther(w, r, piecePath(in.PieceID)+"/cut")
	}
	if in.Kind == restoration.KindUntick && r.PostForm.Get("page") == "list" {
		return web.SeeOther(w, r, b.lastList(r).Href)
	}
	return web.SeeOther(w, r, piecePath(in.PieceID))
}

// remember keeps what was saved for the next page to say: a tick with its undo.
func (b *Bench) remember(r *http.Request, in Incoming, out restoration.Outcome) error {
	piece, route, err := b.pieceAndRoute(r, in.PieceID)
	if err != nil {
		return err
	}
	said := saidOf(in, out, piece, route, visitOf(r).shop.Units)
	if in.filmed() || in.Kind == restoration.KindMove { // a full place is warned of
		said = b.saidOfFilm(r, in, said, piece)
	}
	if in.Kind == restoration.KindTick && out.Result == restoration.Applied {
		b.keep(r, keyUndo, undoable{Piece: in.PieceID, Step: in.StepID, Hours: in.Hours, Text: said.Text, At: b.now()})
		return nil
	}
	if in.Kind == restoration.KindStart {
		if said, err = b.saidOfStart(r, in, said); err != nil {
			return err
		}
	}
	if in.Kind == restoration.KindUntick || in.Kind == restoration.KindSendBack {
		b.sessions.Remove(r.Context(), keyUndo)
	}
	b.keep(r, keySaid, said)
	return nil
}

// saidOf tells in a few words what was saved.
func saidOf(in Incoming, out restoration.Outcome, p restoration.Piece, route restoration.Route, units restoration.Units) ui.Notice {
	if out.Result == restoration.Already {
		text := out.Reason
		if in.Kind == restoration.KindMove { // one of many that are put away: which?
			text = p.Title() + ": " + lowerFirst(text)
		}
		return ui.Notice{Kind: ui.NoticeInfo, Text: text}
	}
	entry := restoration.Entry{Event: in.Event(restoration.Actor{}), Outcome: out}
	for _, s := range p.Steps {
		if s.ID == in.StepID {
			stage, _ := route.Stage(s.Stage)
			entry.Stage = stage.Name
		}
	}
	if stage, ok := route.Stage(in.Stage); ok {
		entry.Stage = stage.Name
	}
	if in.Kind == restoration.KindUntick {
		return ui.Notice{Kind: ui.NoticeInfo, Text: undoneWords(p.Title(), entry)}
	}
	entry.Event.Checks = nil // they were just touched: no need to tell
	said := ui.Notice{Kind: ui.NoticeDone, Text: p.Title() + ": " + lowerFirst(restoration.Words(entry, units)) + "."}
	if in.Kind == restoration.KindSendBack {
		if again := p.Redoing(in.Stage); in.Hours == nil || again == restoration.NoRework { // hours that were given stand there already
			said.Text = strings.TrimSuffix(said.Text, ".") + "; " + again + "."
		}
		said.Href, said.Link = photosOf(p.ID, sentBackFrom(p)), "Photo of it?"
	}
	return said
}

// undoneWords say what an undo left behind.
func undoneWords(piece string, e restoration.Entry) string {
	text := piece + ": undone, " + lowerFirst(e.Stage) + " is open again"
	if e.Event.Hours != nil {
		text += "; " + ui.Hours(int(*e.Event.Hours)) + " taken back"
	}
	return text + "."
}

func upperFirst(s string) string {
	first, size := utf8.DecodeRuneInString(s)
	return string(unicode.ToUpper(first)) + s[size:]
}

func lowerFirst(s string) string {
	first, size := utf8.DecodeRuneInString(s)
	return string(unicode.ToLower(first)) + s[size:]
}
