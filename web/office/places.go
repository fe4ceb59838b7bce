package office

import (
	"context"
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"github.com/go-chi/chi/v5"

	"scumble/internal/restoration"
	"scumble/web"
	"scumble/web/ui"
)

const placesPath = "/office/places"

// navPlaces is the key of the places' pages in the navigation.
const navPlaces = "places"

// shelves is where pieces lie.
type shelves interface {
	PlaceUses(ctx context.Context) ([]restoration.PlaceUse, error)
	FindPlace(ctx context.Context, id int64) (restoration.Place, error)
	AddPlace(ctx context.Context, actor restoration.Actor, p restoration.Place) (restoration.Place, error)
	EditPlace(ctx context.Context, actor restoration.Actor, p restoration.Place) error
	RetirePlace(ctx context.Context, actor restoration.Actor, id int64) error
	RestorePlace(ctx context.Context, actor restoration.Actor, id int64) error
	PlaceFits(ctx context.Context, placeID int64) ([]restoration.PlaceFit, error)
	LyingAt(ctx context.Context, name string) ([]restoration.Lying, error)
	Lying(ctx context.Context) ([]restoration.Lying, error)
}

func (o *Office) placeRoutes(r chi.Router) {
	h := o.adapter.Handle
	r.Get("/places", h(o.showPlaces))
	r.Post("/places", h(o.addPlace))
	r.Get("/places/unseen", h(o.showUnseen))
	r.Get("/places/out", h(o.showOut))
	r.Get("/places/cars", h(o.showByCar))
	r.Get("/places/labels", h(o.showLabels(o.loadPlaceLabels)))
	r.Get("/places/labels.pdf", h(o.labelsPDF(o.loadPlaceLabels)))
	r.Post("/places/labels/sheet", h(o.keepSheet(o.loadPlaceLabels)))
	r.Get("/places/{id}", h(o.showPlace))
	r.Post("/places/{id}", h(o.editPlace))
	r.Post("/places/{id}/retire", h(o.retirePlace))
	r.Post("/places/{id}/back", h(o.restorePlace))
}

func placePath(id int64) string { return placesPath + "/" + formatID(id) }

func placeTabs() []ui.NavItem {
	return []ui.NavItem{
		{Key: "all", Word: "All places", Href: placesPath},
		{Key: "cars", Word: "By car", Href: placesPath + "/cars"},
		{Key: "unseen", Word: "Not seen", Href: placesPath + "/unseen"},
		{Key: "out", Word: "Out of the house", Href: placesPath + "/out"},
	}
}

// placesProps is every place with how full it is.
type placesProps struct {
	Page    ui.PageProps
	Rows    []placeLine
	Retired []placeLine
	Form    *form
	Kinds   []ui.Option
}

// placeLine is a place in a table.
type placeLine struct {
	Name, Kind, Code, Lying, Href string
	Moves                         int
	BackUntil                     string // of a retired one: the day until which it may come back; "" it is too late
}

func (o *Office) showPlaces(w http.ResponseWriter, r *http.Request) error {
	return o.renderPlaces(w, r, http.StatusOK, &form{values: url.Values{}})
}

func (o *Office) renderPlaces(w http.ResponseWriter, r *http.Request, status int, f *form) error {
	uses, err := o.shop.PlaceUses(r.Context())
	if err != nil {
		return err
	}
	v := visitOf(r)
	p := placesProps{Form: f, Kinds: placeKinds(), Page: o.page(r, ui.PageProps{Title: "Places", Nav: navPlaces,
		Lede: "Where pieces lie. A piece may be moved to any other name as well; a full place is warned of, never refused."})}
	for _, u := range uses {
		line := placeLine{Name: u.Name, Kind: string(u.Kind), Code: u.Code, Lying: u.Fullness(u.Lying), Href: placePath(u.ID), Moves: u.Moves}
		switch {
		case u.RetiredAt.IsZero():
			p.Rows = append(p.Rows, line)
		case restoration.MayUndo(u.RetiredAt, v.Now):
			line.BackUntil = ui.Day(restoration.UndoUntil(u.RetiredAt), v.Loc)
			p.Retired = append(p.Retired, line)
		}
	}
	return web.Render(w, r, status, placesPage(p))
}

func placeKinds() []ui.Option {
	var list []ui.Option
	for _, k := range restoration.PlaceKinds() {
		list = append(list, ui.Option{Value: string(k), Word: string(k)})
	}
	return list
}

// parsePlace reads a place as the form describes it.
func parsePlace(f *form) restoration.Place {
	p := restoration.Place{Name: f.needed("name", "Type a name by which everybody knows the place, such as Rack A, hook 3."), Kind: restoration.PlaceKind(f.get("kind"))}
	if typed := strings.TrimSpace(f.get("holds")); typed != "" {
		n, err := strconv.Atoi(typed)
		if err != nil || n < 1 {
			f.fault("holds", "Type how many pieces it holds, such as 8, or leave it empty for no limit.")
		}
		p.Holds = n
	}
	if f.ok() {
		f.mustHold(p.Check())
	}
	return p
}

func (o *Office) addPlace(w http.ResponseWriter, r *http.Request) error {
	f, err := readForm(w, r)
	if err != nil {
		return err
	}
	p := parsePlace(f)
	if f.ok() {
		if p, err = o.shop.AddPlace(r.Context(), visitOf(r).Actor(), p); err != nil {
			if err := f.take(err); err != nil {
				return err
			}
		}
	}
	if !f.ok() {
		return o.renderPlaces(w, r, http.StatusUnprocessableEntity, f)
	}
	o.say(r, ui.Notice{Kind: ui.NoticeDone, Text: p.Name + " is added, with the code " + p.Code + ".",
		Href: withQuery(placesPath+"/labels", printPiece, formatID(p.ID)), Link: "Print its label"})
	return web.SeeOther(w, r, placesPath)
}
