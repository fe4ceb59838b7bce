package bench

import (
	"context"
	"net/http"
	"net/url"
	"path"
	"strconv"
	"strings"
	"time"

	"github.com/go-chi/chi/v5"

	"scumble/internal/labels"
	"scumble/internal/restoration"
	"scumble/web"
	"scumble/web/ui"
)

const placesPath = "/bench/places"

// Shelves is where pieces lie.
type Shelves interface {
	FindPlace(ctx context.Context, id int64) (restoration.Place, error)
	FindPlaceByCode(ctx context.Context, code string) (restoration.Place, error)
	PlaceUses(ctx context.Context) ([]restoration.PlaceUse, error)
	PlaceFits(ctx context.Context, placeID int64) ([]restoration.PlaceFit, error)
	LyingAt(ctx context.Context, name string) ([]restoration.Lying, error)
	// SayFit keeps how a place holds a kind of piece; well nil takes it back.
	SayFit(ctx context.Context, actor restoration.Actor, placeID int64, piece, body string, well *bool) error
}

func (b *Bench) placeRoutes(r chi.Router) {
	r.Get("/places", b.handle(b.showPlaces))
	r.Get("/places/{id}", b.handle(b.showPlace))
	r.Post("/places/{id}/holds", b.handle(b.sayFit))
	r.Get("/places/{id}/put", b.handle(b.showPut))
	r.Post("/places/{id}/put", b.handle(b.put))
}

func placePath(id int64) string { return placesPath + "/" + strconv.FormatInt(id, 10) }

// placesView lists every place in use.
type placesView struct {
	Page   ui.PageProps
	Groups []placeGroup
	Empty  *ui.EmptyProps
}

func (b *Bench) showPlaces(w http.ResponseWriter, r *http.Request) error {
	uses, err := b.shop.PlaceUses(r.Context())
	if err != nil {
		return err
	}
	var offers []placeOffer
	for _, u := range uses {
		if u.RetiredAt.IsZero() {
			offers = append(offers, placeOffer{Name: u.Name, Says: u.Fullness(u.Lying), Href: placePath(u.ID)})
		}
	}
	v := placesView{Page: b.frame(r, "Places"), Groups: placeGroups(offers, "")}
	v.Page.Back, v.Page.BackWord = ui.BenchScanPath, "Scan"
	if len(offers) == 0 {
		v.Empty = &ui.EmptyProps{Text: "No place yet.", Next: "Ask the owner to add racks."}
	}
	return web.Render(w, r, http.StatusOK, placesPage(v))
}

// placeView is one place and what lies there.
type placeView struct {
	Page    ui.PageProps
	Path    string
	Says    string // how full it is
	Schemes []ui.Scheme
	Pieces  []lyingTile
	Kinds   []kindLine
}

// lyingTile is a piece where it lies.
type lyingTile struct {
	Name, Car, Href, Since, LookWord string
	Scheme                           ui.Scheme
	Look                             restoration.Look
}

// kindsOpen is up to how many kinds of pieces stand open on the page of a place.
const kindsOpen = 8

// kindLine is a kind of piece, and what was said of how the place holds it.
type kindLine struct {
	Piece, Body string
	Words       string // "" nobody has said
	Well, Badly bool
}

// placeIn is the place that the address names, while it is in use.
func (b *Bench) placeIn(r *http.Request) (restoration.Place, error) {
	id, err := strconv.ParseInt(chi.URLParam(r, "id"), 10, 64)
	if err != nil {
		return restoration.Place{}, restoration.Problemf(restoration.TroubleNotFound, "", "There is no such place. Scan its label, or choose it from the list.")
	}
	p, err := b.shop.FindPlace(r.Context(), id)
	if err == nil && !p.RetiredAt.IsZero() {
		err = restoration.Problemf(restoration.TroubleNotFound, "", "%s is no place of this shop any more. Ask the owner.", p.Name)
	}
	return p, err
}

func (b *Bench) showPlace(w http.ResponseWriter, r *http.Request) error {
	place, err := b.placeIn(r)
	if err != nil {
		return err
	}
	lying, err := b.shop.LyingAt(r.Context(), place.Name)
	if err != nil {
		return err
	}
	fits, err := b.shop.PlaceFits(r.Context(), place.ID)
	if err != nil {
		return err
	}
	v := buildPlace(place, lying, fits, b.now(), visitOf(r).shop.Location())
	v.Page = b.placeFrame(r, place, place.Name)
	v.Page.Flash, _ = b.heard(r)
	findable(w, r, place.Code, place.Name+" · "+upperFirst(string(place.Kind)))
	return web.Render(w, r, http.StatusOK, placePage(v))
}

// placeFrame is the shell around a page of a place.
func (b *Bench) placeFrame(r *http.Request, p restoration.Place, title string) ui.PageProps {
	page := b.frame(r, title)
	page.Eyebrow = upperFirst(string(p.Kind)) + " · " + p.Code
	page.Back, page.BackWord = placesPath, "Places"
	return page
}

func buildPlace(p restoration.Place, lying []restoration.Lying, fits []restoration.PlaceFit, now time.Time, loc *time.Location) placeView {
	v := placeView{Path: placePath(p.ID), Says: p.Fullness(len(lying))}
	for _, l := range lying {
		t := lyingTile{Name: l.Details.Title(), Car: l.Car.WorkOrder + " · " + l.Car.Name, Href: piecePath(l.PieceID),
			Since: "here since " + ui.Clock(l.Since, now, loc), Scheme: scheme(*l.Car), Look: l.Look, LookWord: ui.LookWord(l.Look)}
		v.Pieces, v.Schemes = append(v.Pieces, t), append(v.Schemes, t.Scheme)
	}
	if p.Kind != restoration.PlaceCar && p.Kind != restoration.PlaceOut { // neither holds anything up to be worked on
		v.Kinds = kindLines(lying, fits)
	}
	return v
}

// kindLines are the kinds that lie at a place, then those of which something was said.
func kindLines(lying []restoration.Lying, fits []restoration.PlaceFit) []kindLine {
	var lines []kindLine
	add := func(piece, body string) {
		for _, l := range lines {
			if (restoration.PlaceFit{Piece: l.Piece, Body: l.Body}).About(piece, body) {
				return
			}
		}
		line := kindLine{Piece: piece, Body: body}
		for _, f := range fits {
			if f.About(piece, body) {
				line.Words, line.Well, line.Badly = f.Words(), f.Well, !f.Well
			}
		}
		lines = append(lines, line)
	}
	for _, l := range lying {
		add(l.Details.Name, l.Car.Body)
	}
	for _, f := range fits {
		add(f.Piece, f.Body)
	}
	return lines
}

// sayFit keeps how the place holds a kind of piece; the same word again takes it back. It
// is no event of a piece: the office's audit keeps who said it.
func (b *Bench) sayFit(w http.ResponseWriter, r *http.Request) error {
	place, err := b.placeIn(r)
	if err != nil {
		return err
	}
	piece, body := strings.TrimSpace(clean(r.PostFormValue("piece"))), strings.TrimSpace(clean(r.PostFormValue("body")))
	if piece == "" || len([]rune(piece)) > restoration.MaxName || len([]rune(body)) > restoration.MaxNote {
		return restoration.Problemf(restoration.TroubleInvalid, "", "This page is out of date. Open the place again.")
	}
	var well *bool
	says := "nothing is said any more of"
	if word := r.PostFormValue("say"); word != "" {
		holds := word == "well"
		well, says = &holds, restoration.PlaceFit{Well: holds}.Words()+":"
	}
	if err := b.shop.SayFit(r.Context(), visitOf(r).actor(), place.ID, piece, body, well); err != nil {
		return err
	}
	b.keep(r, keySaid, ui.Notice{Kind: ui.NoticeDone, Text: place.Name + ": " + says + " " + piece + "."})
	return web.SeeOther(w, r, placePath(place.ID))
}

// keyScanFrom keeps from which page the scan began.
const keyScanFrom = "scan from"

// cameFrom is the path of the page from which a label was scanned: the page on which the
// scanner typed, or the one before the camera's.
func (b *Bench) cameFrom(r *http.Request) string {
	from := refererPath(r)
	if from == ui.BenchScanPath {
		return b.sessions.GetString(r.Context(), keyScanFrom)
	}
	return from
}

// refererPath is the path of the page before this one; "" unknown. It only chooses which
// page is shown: nothing is changed by it.
func refererPath(r *http.Request) string {
	u, err := url.Parse(r.Referer())
	if err != nil || u.Host != r.Host {
		return ""
	}
	return u.Path
}

// scannedPlace leads from the code of a place to its page or, from the page of a piece, to
// where that piece is put there at one more touch; from where pieces are put one after
// another, to the same for this place.
func (b *Bench) scannedPlace(w http.ResponseWriter, r *http.Request, code string) error {
	place, err := b.shop.FindPlaceByCode(r.Context(), code)
	if p, ok := restoration.AsProblem(err); ok && p.Trouble == restoration.TroubleNotFound {
		return b.notFound(w, r, code, p.Message)
	}
	if err != nil {
		return err
	}
	from := b.cameFrom(r)
	if id, ok := pieceOfPath(from); ok {
		return web.SeeOther(w, r, piecePath(id)+"/move?to="+strconv.FormatInt(place.ID, 10))
	}
	if path.Base(from) == "put" {
		return web.SeeOther(w, r, placePath(place.ID)+"/put")
	}
	return web.SeeOther(w, r, placePath(place.ID))
}

// pieceOfPath is the piece on whose pages a path lies.
func pieceOfPath(p string) (restoration.ID, bool) {
	rest, ok := strings.CutPrefix(p, "/bench/pieces/")
	id, _, _ := strings.Cut(rest, "/")
	piece, err := restoration.ParseID(id)
	return piece, ok && err == nil
}

// placeCode reads the code of a place out of what was scanned; false when it is none.
func placeCode(scanned string) (string, bool) {
	code, err := labels.ReadScan(scanned)
	return code, err == nil && restoration.IsPlaceCode(code)
}
