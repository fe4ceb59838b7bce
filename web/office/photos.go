package office

import (
	"cmp"
	"context"
	"maps"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"time"

	"github.com/go-chi/chi/v5"

	"scumble/internal/labels"
	"scumble/internal/photos"
	"scumble/internal/restoration"
	"scumble/web"
	"scumble/web/ui"
)

// pictures is what the office asks of the shop's photos.
type pictures interface {
	EnterPhoto(ctx context.Context, e restoration.Event, p photos.Photo) (restoration.Outcome, error)
	Photos(ctx context.Context, f restoration.PhotoFilter) ([]restoration.PiecePhoto, error)
	FindPicture(ctx context.Context, id photos.ID, small bool) ([]byte, error)
	ShowPhoto(ctx context.Context, by restoration.Actor, event restoration.ID, show bool) error
	RemovePhoto(ctx context.Context, by restoration.Actor, event restoration.ID) error
	RestorePhoto(ctx context.Context, by restoration.Actor, event restoration.ID) error
}

func (o *Office) photoRoutes(r chi.Router) {
	h := o.adapter.Handle
	r.Post("/pieces/{id}/photos", h(o.takePhotos))
	r.Get("/pieces/{id}/compare", h(o.comparePhotos))
	r.Get("/cars/{wo}/photos", h(o.showCarPhotos))
	r.Get("/photos/{photo}", h(o.picture(false)))
	r.Get("/photos/{photo}/small", h(o.picture(true)))
	r.Post("/photos/{event}/{act}", h(o.changePhoto))
}

// picturePath is the address below which pictures are found.
const picturePath = "/office/photos"

func carPhotosPath(workOrder string) string { return carPath(workOrder) + "/photos" }

// picture serves the pictures of the shop, the small or the large ones.
func (o *Office) picture(small bool) web.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) error {
		id, err := photos.ParseID(chi.URLParam(r, "photo"))
		if err != nil {
			return err
		}
		jpeg, err := o.shop.FindPicture(r.Context(), id, small)
		if err != nil {
			return err
		}
		return web.ServePicture(w, jpeg)
	}
}

// photoData is what a piece's photos are shown from.
type photoData struct{ On, Away []restoration.PiecePhoto }

func (o *Office) loadPhotos(r *http.Request, piece restoration.Piece) (d photoData, err error) {
	if d.On, err = o.shop.Photos(r.Context(), restoration.PhotoFilter{PieceID: piece.ID}); err != nil {
		return d, err
	}
	d.Away, err = o.shop.Photos(r.Context(), restoration.PhotoFilter{PieceID: piece.ID, Removed: true})
	return d, err
}

// photoPanel is the photos of a piece, or of a whole car.
type photoPanel struct {
	Groups  []ui.PhotoGroup
	Away    []ui.PhotoView // may be brought back
	Compare string         // address of the page that holds two against one another; "" for fewer
	Stages  []ui.Option    // what a photo may show
	Back    string         // where a change leads back to, as a field: see [Office.changePhoto]
	OfCar   bool           // each says of which piece it is
	EntryID string
	Fault   string // at the field of the files
	Loc     *time.Location
}

func newPhotoPanel(d pieceData, f *form) photoPanel {
	p := photoPanel{Groups: ui.PhotoGroups(d.Photos.On, picturePath), Away: mayComeBack(d.Photos.Away, d.Now), EntryID: newID().String(), Back: d.Piece.ID.String(),
		Fault:  start(f, ui.FieldProps{Name: "photo"}).Error,
		Stages: []ui.Option{{Word: "as it stood then"}}, Loc: d.Settings.Location()}
	if len(d.Photos.On) > 1 {
		p.Compare = piecePath(d.Piece.ID) + "/compare"
	}
	for _, s := range d.Route.Stages {
		p.Stages = append(p.Stages, ui.Option{Value: s.Key, Word: s.Name})
	}
	return p
}

// mayComeBack are the photos that were taken away so lately that they may come back.
func mayComeBack(away []restoration.PiecePhoto, now time.Time) []ui.PhotoView {
	var views []ui.PhotoView
	for _, p := range away {
		if restoration.MayUndo(p.Removed, now) {
			views = append(views, ui.NewPhotoView(p, picturePath))
		}
	}
	return views
}

// takePhotos takes photos in from the form of a piece's page; each becomes an entry.
func (o *Office) takePhotos(w http.ResponseWriter, r *http.Request) error {
	piece, err := o.pieceOf(r)
	if err != nil {
		return err
	}
	values, taken, err := web.ReadPhotos(w, r, o.intake)
	f := &form{values: url.Values{"kind": {string(restoration.KindPhoto)}}} // of a form that came too large there is nothing else
	maps.Copy(f.values, values)
	if err := f.take(err); err != nil {
		return err
	}
	if !f.ok() {
		return o.drawPiece(w, r, http.StatusUnprocessableEntity, piece, f)
	}
	e := o.event(r, f, restoration.KindPhoto)
	e.CarID, e.PieceID = piece.CarID, piece.ID
	e.Stage, e.Note = f.get("photo_stage"), f.text("photo_note")
	e.At = f.happened(whenFields[e.Kind], e.At, visitOf(r).Loc)
	if !f.ok() {
		return o.drawPiece(w, r, http.StatusUnprocessableEntity, piece, f)
	}
	var last restoration.Outcome
	for i, photo := range taken {
		one := e
		if i > 0 {
			one.ID = e.ID.Derive("photo " + strconv.Itoa(i))
		}
		if last, err = o.shop.EnterPhoto(r.Context(), one, photo); err != nil {
			return err
		}
		if last.Result == restoration.Refused {
			break
		}
	}
	if last.Result == restoration.Applied {
		o.done(r, ui.Count(len(taken), "photo", "photos")+" taken in.")
	} else {
		o.say(r, visitOf(r).outcomeNotice(restoration.Entry{Event: e, Outcome: last}))
	}
	return web.SeeOther(w, r, piecePath(piece.ID)+"#photos")
}

// changePhoto does to a photo what a button beside it says, and leads back to the car or
// the piece that the field "back" names: a work order, or the id of a piece.
func (o *Office) changePhoto(w http.ResponseWriter, r *http.Request) error {
	f, err := readForm(w, r)
	if err != nil {
		return err
	}
	id, err := restoration.ParseID(chi.URLParam(r, "event"))
	if err != nil {
		return restoration.Problemf(restoration.TroubleNotFound, "", "There is no such photo. It may have been taken away.")
	}
	by, said := visitOf(r).Actor(), ""
	switch chi.URLParam(r, "act") {
	case "show":
		err, said = o.shop.ShowPhoto(r.Context(), by, id, true), "The customer sees the photo from now on."
	case "hide":
		err, said = o.shop.ShowPhoto(r.Context(), by, id, false), "The customer doesn't see the photo any more."
	case "remove":
		err, said = o.shop.RemovePhoto(r.Context(), by, id), "The photo is taken away. It can be brought back for 30 days."
	case "restore":
		err, said = o.shop.RestorePhoto(r.Context(), by, id), "The photo is back. The customer doesn't see it until you say so."
	default:
		return notHere(w, r)
	}
	if err != nil {
		return err
	}
	o.done(r, said)
	if piece, err := restoration.ParseID(f.get("back")); err == nil {
		return web.SeeOther(w, r, piecePath(piece)+"#photos")
	}
	return web.SeeOther(w, r, carPhotosPath(f.get("back")))
}

// carPhotosPage is every photo of a car, and what the customer sees of them.
type carPhotosPage struct {
	Page   ui.PageProps
	Scheme ui.Scheme
	Back   string
	Name   string
	Shared []ui.PhotoView // as the customer sees them: the newest first
	Panel  photoPanel
}

func (o *Office) showCarPhotos(w http.ResponseWriter, r *http.Request) error {
	car, err := o.carOf(r)
	if err != nil {
		return err
	}
	on, err := o.shop.Photos(r.Context(), restoration.PhotoFilter{CarID: car.ID})
	if err != nil {
		return err
	}
	shared, err := o.shop.Photos(r.Context(), restoration.PhotoFilter{CarID: car.ID, Shared: true})
	if err != nil {
		return err
	}
	away, err := o.shop.Photos(r.Context(), restoration.PhotoFilter{CarID: car.ID, Removed: true})
	if err != nil {
		return err
	}
	v := visitOf(r)
	p := carPhotosPage{Page: o.page(r, ui.PageProps{Nav: "shop", Title: "Photos", Eyebrow: carEyebrow(car)}), Scheme: ui.NewScheme(car.Ground, car.Grain),
		Back: carPath(car.WorkOrder), Name: car.Name,
		Panel: photoPanel{Groups: ui.PhotoGroups(on, picturePath), Away: mayComeBack(away, v.Now), Back: car.WorkOrder, OfCar: true, Loc: v.Loc}}
	for _, ph := range slices.Backward(shared) {
		p.Shared = append(p.Shared, ui.NewPhotoView(ph, picturePath))
	}
	return web.Render(w, r, http.StatusOK, carPhotosSheet(p))
}

// comparePage holds two photos of a piece against one another.
type comparePage struct {
	Page          ui.PageProps
	Path          string
	Piece         string
	Before, After ui.PhotoView
	Choices       []ui.Option
	Words         map[string]string // by entry
	Loc           *time.Location
}

func (o *Office) comparePhotos(w http.ResponseWriter, r *http.Request) error {
	piece, err := o.pieceOf(r)
	if err != nil {
		return err
	}
	list, err := o.shop.Photos(r.Context(), restoration.PhotoFilter{PieceID: piece.ID})
	if err != nil {
		return err
	}
	if len(list) < 2 {
		return web.SeeOther(w, r, piecePath(piece.ID)+"#photos")
	}
	v := visitOf(r)
	p := comparePage{Page: o.page(r, ui.PageProps{Nav: "shop", Title: "Before and after", Eyebrow: piece.Title()}),
		Path: piecePath(piece.ID), Piece: piece.Title(), Words: map[string]string{}, Loc: v.Loc}
	for _, ph := range list {
		view := ui.NewPhotoView(ph, picturePath)
		p.Words[view.EventID] = photoWords(ph, v.Loc)
		p.Choices = append(p.Choices, ui.Option{Value: view.EventID, Word: p.Words[view.EventID]})
	}
	p.Before = ui.NewPhotoView(photoOf(list, r.URL.Query().Get("before"), 0), picturePath)
	p.After = ui.NewPhotoView(photoOf(list, r.URL.Query().Get("after"), len(list)-1), picturePath)
	return web.Render(w, r, http.StatusOK, compareSheet(p))
}

// photoWords tell a photo of a piece from its others: the stage, after which send-back, when, and
// what was said of it.
func photoWords(ph restoration.PiecePhoto, loc *time.Location) string {
	return joinWords(cmp.Or(ph.StageName, ui.AsItCame), restoration.PassWords(ph.Pass), ui.When(ph.At, loc), labels.Shortened(ph.Note, notedOfPhoto))
}

// notedOfPhoto is how many signs of a note stand beside a photo to choose.
const notedOfPhoto = 40

// photoOf is the photo of an entry, else the one that is usual.
func photoOf(list []restoration.PiecePhoto, event string, usual int) restoration.PiecePhoto {
	if i := slices.IndexFunc(list, func(p restoration.PiecePhoto) bool { return p.EventID.String() == event }); i >= 0 {
		return list[i]
	}
	return list[usual]
}
