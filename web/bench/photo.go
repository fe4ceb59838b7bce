package bench

import (
	"context"
	"encoding/json"
	"net/http"
	"net/url"
	"strconv"
	"time"

	"github.com/go-chi/chi/v5"

	"scumble/internal/photos"
	"scumble/internal/restoration"
	"scumble/web"
	"scumble/web/ui"
)

// Photos is what the bench asks of the shop's photos.
type Photos interface {
	// EnterPhoto takes a photo of a piece into the ledger, with its picture.
	EnterPhoto(ctx context.Context, e restoration.Event, p photos.Photo) (restoration.Outcome, error)
	Photos(ctx context.Context, f restoration.PhotoFilter) ([]restoration.PiecePhoto, error)
	FindPicture(ctx context.Context, id photos.ID, small bool) ([]byte, error)
}

// photosPath is the page of a piece's photos, below the piece, and the intake and the
// pictures, below where the bench is mounted.
const photosPath = "/photos"

func (b *Bench) photoRoutes(r chi.Router) {
	r.Get("/pieces/{id}"+photosPath, b.handle(b.showPhotos))
	r.Get(photosPath+"/{photo}", b.handle(b.picture(false)))
	r.Get(photosPath+"/{photo}/small", b.handle(b.picture(true)))
}

// photosOf is the address of a piece's photos; what is taken there shows the stage, ""
// the one that the piece has reached.
func photosOf(piece restoration.ID, stage string) string {
	at := piecePath(piece) + photosPath
	if stage != "" {
		at += "?stage=" + url.QueryEscape(stage)
	}
	return at
}

// photoHint asks for a photo before the old finish is gone.
func photoHint(in pieceInput) ui.Notice {
	return ui.Notice{Kind: ui.NoticeInfo, Text: "Stripping takes the evidence away.", Href: photosOf(in.Piece.ID, ""), Link: "Photo first?"}
}

// sentBackFrom is the stage to which a piece had come when it was sent back, which is
// what a photo of the defect shows; "" when it never was.
func sentBackFrom(p restoration.Piece) string {
	var last restoration.Step
	for _, s := range p.Steps {
		if !s.Current() && !s.DoneAt.IsZero() && (s.Pass > last.Pass || s.Pass == last.Pass && s.Position >= last.Position) {
			last = s
		}
	}
	return last.Stage
}

// photosView is the page of a piece's photos.
type photosView struct {
	Page   ui.PageProps
	Scheme ui.Scheme
	Piece  string
	ID     string // of the next entry
	Stage  string // key; "" the one that the piece has reached
	Of     string // what the next photo shows, in words
	Note   string
	Fault  string // at the field of the photo
	Groups []ui.PhotoGroup
	Loc    *time.Location
}

func (b *Bench) showPhotos(w http.ResponseWriter, r *http.Request) error {
	id, err := pieceID(r)
	if err != nil {
		return err
	}
	return b.drawPhotos(w, r, id, r.URL.Query(), "")
}

// drawPhotos draws the page with what form holds; fault says why nothing was taken.
func (b *Bench) drawPhotos(w http.ResponseWriter, r *http.Request, id restoration.ID, form url.Values, fault string) error {
	piece, route, err := b.pieceAndRoute(r, id)
	if err != nil {
		return err
	}
	loc := visitOf(r).shop.Location()
	if !piece.Removed.IsZero() {
		return removed(piece, loc)
	}
	car, err := b.shop.FindCarByID(r.Context(), piece.CarID)
	if err != nil {
		return err
	}
	list, err := b.shop.Photos(r.Context(), restoration.PhotoFilter{PieceID: id})
	if err != nil {
		return err
	}
	v := photosView{Page: b.frame(r, "Photos"), Scheme: ui.NewScheme(car.Ground, car.Grain), Piece: id.String(), ID: newID(),
		Of: ui.AsItCame, Note: form.Get("note"), Fault: fault,
		Groups: ui.PhotoGroups(list, "/bench"+photosPath), Loc: loc}
	shows := piece.Sum.Reached
	if stage, ok := route.Stage(form.Get("stage")); ok {
		v.Stage, shows = stage.Key, stage.Key
	}
	if stage, ok := route.Stage(shows); ok {
		v.Of = stage.Name
	}
	v.Page.Eyebrow = piece.Title() + " · " + car.WorkOrder
	v.Page.About = ui.About{Title: piece.Title(), Car: car.WorkOrder, Stage: v.Of}
	v.Page.Back, v.Page.BackWord = piecePath(id), "Piece"
	v.Page.Flash, _ = b.heard(r)
	status := http.StatusOK
	if fault != "" {
		status = http.StatusUnprocessableEntity
	}
	return web.Render(w, r, status, photosPage(v))
}

// takePhotos is the intake of photos, for a form and for a script: each photo becomes an
// entry, in an order that follows from the id that was sent.
func (b *Bench) takePhotos(w http.ResponseWriter, r *http.Request) error {
	form, taken, err := web.ReadPhotos(w, r, b.intake)
	if err != nil {
		return b.photosFault(w, r, form, err)
	}
	in, err := parsePhoto(form, b.now())
	if err != nil {
		return b.photosFault(w, r, form, err)
	}
	in.setRight(sentAt(r), b.now())
	events, outcomes := make([]restoration.Event, len(taken)), make([]restoration.Outcome, len(taken))
	for i, photo := range taken {
		events[i] = in.Event(visitOf(r).actor())
		if i > 0 {
			events[i].ID = in.ID.Derive("photo " + strconv.Itoa(i))
		}
		if outcomes[i], err = b.shop.EnterPhoto(r.Context(), events[i], photo); err != nil {
			return err
		}
	}
	if web.WantsJSON(r) {
		w.Header().Set("Content-Type", "application/json")
		return json.NewEncoder(w).Encode(answers(events, outcomes))
	}
	for _, out := range outcomes {
		if out.Result == restoration.Refused {
			return b.drawPhotos(w, r, in.PieceID, form, out.Reason)
		}
	}
	b.keep(r, keySaid, ui.Notice{Kind: ui.NoticeDone, Text: ui.Count(len(taken), "photo", "photos") + " taken in."})
	return web.SeeOther(w, r, photosOf(in.PieceID, in.Stage))
}

// photosFault says what is wrong with a form: to a script as it is, to a person at the
// field.
func (b *Bench) photosFault(w http.ResponseWriter, r *http.Request, form url.Values, err error) error {
	p, ok := restoration.AsProblem(err)
	piece, unreadable := restoration.ParseID(form.Get("piece"))
	if !ok || unreadable != nil || web.WantsJSON(r) {
		return err
	}
	return b.drawPhotos(w, r, piece, form, p.Message)
}

// parsePhoto reads what a form says of its photos. Without an hour they were taken now.
func parsePhoto(form url.Values, now time.Time) (in Incoming, err error) {
	in = Incoming{Kind: restoration.KindPhoto, At: now}
	in.Stage, in.Note = clean(form.Get("stage")), clean(form.Get("note"))
	if in.ID, err = parseID("id", form.Get("id"), true); err != nil {
		return in, invalid("%s.", upperFirst(err.Error()))
	}
	if in.StepID, err = parseID("step", form.Get("step"), false); err != nil {
		return in, invalid("%s.", upperFirst(err.Error()))
	}
	if in.PieceID, err = parseID("piece", form.Get("piece"), true); err != nil {
		return in, invalid("%s.", upperFirst(err.Error()))
	}
	for field, to := range map[string]*time.Time{"at": &in.At, "clock": &in.Clock} {
		if at := form.Get(field); at != "" {
			if *to, err = time.Parse(time.RFC3339, at); err != nil {
				return in, invalid("%s must be a time such as 2026-03-27T14:30:00Z (RFC 3339), got %.40q.", upperFirst(field), at)
			}
		}
	}
	return in, nil
}

// picture serves the pictures of the shop, the small or the large ones.
func (b *Bench) picture(small bool) web.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) error {
		id, err := photos.ParseID(chi.URLParam(r, "photo"))
		if err != nil {
			return err
		}
		jpeg, err := b.shop.FindPicture(r.Context(), id, small)
		if err != nil {
			return err
		}
		return web.ServePicture(w, jpeg)
	}
}
