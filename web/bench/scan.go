package bench

import (
	"encoding/json"
	"net/http"
	"net/url"

	"github.com/go-chi/chi/v5"

	"scumble/internal/labels"
	"scumble/internal/restoration"
	"scumble/web"
	"scumble/web/ui"
)

func (b *Bench) scanRoutes(r chi.Router) { r.Get("/scan", b.handle(b.showScan)) }

// scanView is the page that reads a label with the camera, or by a pad of its signs.
type scanView struct {
	Page  ui.PageProps
	Code  ui.FieldProps
	Signs []string
}

func (b *Bench) showScan(w http.ResponseWriter, r *http.Request) error {
	page := b.frame(r, "Scan a label")
	list := b.lastList(r)
	page.Back, page.BackWord = list.Href, listTitles[list.Which]
	if from := refererPath(r); from != ui.BenchScanPath && !quietly(r) {
		b.sessions.Put(r.Context(), keyScanFrom, from)
	}
	view := scanView{Page: page, Signs: restoration.LabelSigns(),
		Code: ui.FieldProps{Name: "code", Label: "Code on the label", Hint: "5 signs, a place's 6", MaxLen: longestTyped, Required: true}}
	status := http.StatusOK
	var wrong scanFault
	if text := b.sessions.PopString(r.Context(), keyScanFault); text != "" && json.Unmarshal([]byte(text), &wrong) == nil {
		view.Code.Value, view.Code.Error, status = wrong.Typed, wrong.Says, http.StatusNotFound
	}
	web.AllowCamera(w)
	return web.Render(w, r, status, scanPage(view))
}

// keyScanFault keeps what was scanned or typed in vain for the page that it came from.
const keyScanFault = "scan fault"

type scanFault struct{ Typed, Says string }

// scanAgain leads back to the camera and the pad, which say what was wrong.
func (b *Bench) scanAgain(w http.ResponseWriter, r *http.Request, typed, says string) error {
	b.keep(r, keyScanFault, scanFault{typed, says})
	return web.SeeOther(w, r, ui.BenchScanPath)
}

// checkHere says when a piece can't be worked on any more: it was taken off its list, or
// its car has left.
func (b *Bench) checkHere(r *http.Request, p restoration.Piece, car restoration.Car) error {
	loc := visitOf(r).shop.Location()
	if !p.Removed.IsZero() {
		return removed(p, loc)
	}
	if car.State == restoration.CarDelivered {
		return restoration.Problemf(restoration.TroubleNotFound, "", "%s is of %s %s, which has left on %s. Take it to the owner.",
			p.Title(), car.WorkOrder, car.Name, ui.Day(car.DeliveredAt, loc))
	}
	return nil
}

// tellOther leaves word where the piece is of another car than the list shows.
func (b *Bench) tellOther(r *http.Request, car restoration.Car) {
	list, err := url.Parse(b.lastList(r).Href)
	if err != nil {
		return
	}
	if shown := list.Query().Get("car"); shown != "" && shown != car.WorkOrder {
		b.keep(r, keySaid, ui.Notice{Kind: ui.NoticeInfo, Text: "This piece is of " + car.WorkOrder + " " + car.Name + ". Your list shows " + shown + "."})
	}
}

// findLabel finds the piece of a label that was scanned or typed, with its car.
func (b *Bench) findLabel(r *http.Request, scanned string) (restoration.Piece, restoration.Car, error) {
	label, err := labels.ReadScan(scanned)
	if err != nil {
		return restoration.Piece{}, restoration.Car{}, err
	}
	piece, err := b.shop.FindPieceByLabel(r.Context(), label)
	if err != nil {
		return piece, restoration.Car{}, err
	}
	car, err := b.shop.FindCarByID(r.Context(), piece.CarID)
	if err != nil {
		return piece, car, err
	}
	return piece, car, b.checkHere(r, piece, car)
}
