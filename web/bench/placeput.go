package bench

import (
	"net/http"
	"path"
	"time"

	"scumble/internal/restoration"
	"scumble/web"
	"scumble/web/ui"
)

// putAtMost is how many pieces are offered at a touch; any other is scanned.
const putAtMost = 24

// putView puts pieces at one place, one after another.
type putView struct {
	Page   ui.PageProps
	Path   string // of this page
	Place  string
	Says   string // how full it is
	ID     string // of the entry that a scan makes
	Code   ui.FieldProps
	Now    string   // RFC 3339, as the page is drawn
	This   *putTile // was scanned: one touch puts it here
	Pieces []putTile
}

// putTile is a piece that one touch puts at the place.
type putTile struct{ ID, Piece, Name, Car, LiesAt string }

func putPath(place restoration.Place) string { return placePath(place.ID) + "/put" }

func (b *Bench) showPut(w http.ResponseWriter, r *http.Request) error {
	place, err := b.placeIn(r)
	if err != nil {
		return err
	}
	scanned := r.URL.Query().Get("code")
	if scanned == "" {
		return b.renderPut(w, r, place, "", nil, "")
	}
	piece, car, err := b.findLabel(r, scanned)
	if err != nil {
		return b.putFault(w, r, place, scanned, err)
	}
	return b.renderPut(w, r, place, "", &putTile{ID: newID(), Piece: piece.ID.String(), Name: piece.Title(), Car: car.WorkOrder + " · " + car.Name, LiesAt: piece.LiesAt}, "")
}

// putFault says at the field what is wrong with a code that was typed or scanned.
func (b *Bench) putFault(w http.ResponseWriter, r *http.Request, place restoration.Place, typed string, err error) error {
	problem, ok := restoration.AsProblem(err)
	if !ok || problem.Trouble == restoration.TroubleUnavailable {
		return err
	}
	return b.renderPut(w, r, place, typed, nil, problem.Message)
}

func (b *Bench) renderPut(w http.ResponseWriter, r *http.Request, place restoration.Place, typed string, this *putTile, fault string) error {
	lying, err := b.shop.LyingAt(r.Context(), place.Name)
	if err != nil {
		return err
	}
	v := putView{Path: putPath(place), Place: place.Name, Says: place.Fullness(len(lying)), ID: newID(), Now: b.now().UTC().Format(time.RFC3339), This: this,
		Code: ui.FieldProps{Name: "code", Label: "Scan a piece", Value: typed, Error: fault, MaxLen: longestTyped, Required: true, Autofocus: true, Hint: "Each scan puts one piece here."}}
	if v.Pieces, err = b.putTiles(r, place); err != nil {
		return err
	}
	v.Page = b.placeFrame(r, place, "Put on "+place.Name)
	v.Page.Back, v.Page.BackWord = placePath(place.ID), "Done"
	status := http.StatusOK
	if fault != "" {
		status = http.StatusUnprocessableEntity
	} else {
		v.Page.Flash, _ = b.heard(r)
	}
	return web.Render(w, r, status, putPage(v))
}

// putTiles are the pieces that are likely to be put away now: those in hand, the person's
// own first, then what was finished for the moment and hardens, the latest first.
func (b *Bench) putTiles(r *http.Request, place restoration.Place) ([]putTile, error) {
	keys, err := b.shop.WorkKeys(r.Context())
	if err != nil {
		return nil, err
	}
	items := append(restoration.InHand(keys, visitOf(r).person.ID), restoration.WaitingFor(keys, b.now())...)
	var ids []restoration.ID
	for _, item := range items[:min(len(items), 2*putAtMost)] { // some may lie there already
		ids = append(ids, item.PieceID)
	}
	work, err := b.shop.WorkOf(r.Context(), ids)
	if err != nil {
		return nil, err
	}
	var tiles []putTile
	for _, k := range work {
		if !place.IsNamed(k.Piece.LiesAt) && len(tiles) < putAtMost {
			tiles = append(tiles, putTile{ID: newID(), Piece: k.Piece.ID.String(), Name: k.Piece.Title(), Car: k.Car.WorkOrder + " · " + k.Car.Name, LiesAt: k.Piece.LiesAt})
		}
	}
	return tiles, nil
}

// put enters that a piece lies at the place: the one that was touched, or scanned.
func (b *Bench) put(w http.ResponseWriter, r *http.Request) error {
	place, err := b.placeIn(r)
	if err != nil {
		return err
	}
	r.Body = http.MaxBytesReader(w, r.Body, MaxBody)
	if err := r.ParseForm(); err != nil {
		return restoration.Problemf(restoration.TroubleInvalid, "", "This form can't be read. Go back and send it again.")
	}
	typed := r.PostForm.Get("code")
	if code, ok := placeCode(typed); ok {
		return b.scannedPlace(w, r, code)
	}
	var piece restoration.ID
	if touched := r.PostForm.Get("piece"); touched != "" {
		piece, err = restoration.ParseID(touched)
	} else {
		var found restoration.Piece
		found, _, err = b.findLabel(r, typed)
		piece = found.ID
	}
	if err != nil {
		return b.putFault(w, r, place, typed, err)
	}
	p := formParser{form: r.PostForm}
	in := Incoming{Kind: restoration.KindMove, ID: p.id("id"), PieceID: piece, At: b.now(), Payload: restoration.Payload{Place: place.Name}}
	if len(p.faults) > 0 {
		return b.renderPut(w, r, place, typed, nil, p.faults[0].Text)
	}
	outcomes, err := b.shop.Enter(r.Context(), []restoration.Event{in.Event(visitOf(r).actor())})
	if err != nil {
		return err
	}
	if outcomes[0].Result == restoration.Refused {
		return b.renderPut(w, r, place, typed, nil, outcomes[0].Reason)
	}
	if err := b.remember(r, in, outcomes[0]); err != nil {
		return err
	}
	return web.SeeOther(w, r, putPath(place))
}

// putsAt is the page on which pieces are put at a place, where a path is one.
func putsAt(from string) (string, bool) {
	ok, err := path.Match(placesPath+"/*/put", from)
	return from, ok && err == nil
}

// from says where the piece lies now.
func (p putTile) from() string {
	if p.LiesAt == "" {
		return ""
	}
	return ", " + p.LiesAt
}
