package office

import (
	"net/http"
	"net/url"

	"github.com/go-chi/chi/v5"

	"scumble/internal/restoration"
	"scumble/internal/trimlist"
	"scumble/web"
	"scumble/web/ui"
)

const newCarPath = "/office/cars/new"

func (o *Office) carRoutes(r chi.Router) {
	h := o.adapter.Handle
	r.Get("/cars/new", h(o.showNewCar))
	r.Post("/cars/new", h(o.takeInCar))
	r.Get("/cars/swatch", h(o.showSwatch))
	r.Get("/cars/{wo}/edit", h(o.showEditCar))
	r.Post("/cars/{wo}/edit", h(o.editCar))
	r.Get("/cars/{wo}/import", h(o.showImport))
	r.Post("/cars/{wo}/import", h(o.importPieces))
}

// source says where a new car's trim list comes from.
type source string

const (
	fromBody  source = "body"  // a list that ships
	fromCar   source = "car"   // an earlier car's
	fromTable source = "table" // a CSV file, or its text
	fromNone  source = "none"  // pieces are added later
)

// itsFinish is the choice to take over an earlier car's colours.
const itsFinish = "its_finish"

// newCarProps is the page on which a car is taken in.
type newCarProps struct {
	Page     ui.PageProps
	Form     *form
	Bodies   []ui.Option
	Cars     []ui.Option // earlier ones
	Routes   []ui.Option
	Preview  *preview
	Currency string
}

func (o *Office) showNewCar(w http.ResponseWriter, r *http.Request) error {
	v := visitOf(r)
	f := &form{values: url.Values{
		"source": {string(fromBody)}, "arrived": {typedDate(today(v.Now, v.Loc))}, itsFinish: {"on"},
		"quality": {string(restoration.QualityShow)}, "pair": {schemePairs()[0].Key},
		"ground": {schemePairs()[0].Ground}, "grain": {schemePairs()[0].Grain},
	}}
	return o.renderNewCar(w, r, http.StatusOK, f, nil)
}

func (o *Office) renderNewCar(w http.ResponseWriter, r *http.Request, status int, f *form, p *preview) error {
	cars, err := o.shop.ListCars(r.Context())
	if err != nil {
		return err
	}
	routes, err := o.shop.Routes(r.Context())
	if err != nil {
		return err
	}
	return web.Render(w, r, status, newCarForm(newCarProps{
		Page: o.page(r, ui.PageProps{Title: "New car", Nav: "new",
			Lede: "Choose where its trim list comes from, say whose it is, and the interior stands in the plan."}),
		Form: f, Bodies: bodyOptions(), Cars: carOptions(cars), Routes: routeOptions(routes), Preview: p,
		Currency: visitOf(r).Settings.Currency,
	}))
}

// takeInCar takes in a car with its pieces. A table is shown first, and written
// only when the page that showed it without a fault says so.
func (o *Office) takeInCar(w http.ResponseWriter, r *http.Request) error {
	f, err := readListForm(w, r)
	if err != nil {
		return err
	}
	if err := o.takeOver(r, f); err != nil {
		return err
	}
	car := parseCar(f)
	pieces, shown, err := o.parsePieces(r, f)
	if err != nil {
		return err
	}
	if car.Body == "" {
		car.Body = bodyWord(f)
	}
	switch {
	case !f.ok() || shown != nil && !shown.OK():
		return o.renderNewCar(w, r, http.StatusUnprocessableEntity, f, shown)
	case shown != nil && !shown.confirmed(f):
		return o.renderNewCar(w, r, http.StatusOK, f, shown)
	}
	car, err = o.shop.NewCar(r.Context(), visitOf(r).Actor(), car, pieces)
	if err != nil {
		if err := f.take(err); err != nil {
			return err
		}
		return o.renderNewCar(w, r, http.StatusUnprocessableEntity, f, shown)
	}
	o.done(r, car.Name+" is taken in as "+car.WorkOrder+" with "+ui.Count(len(pieces), "piece", "pieces")+".")
	return web.SeeOther(w, r, carPath(car.WorkOrder))
}

// takeOver fills in what a new car has of an earlier one besides its list: the body
// where none is typed, and the finish where that is asked for.
func (o *Office) takeOver(r *http.Request, f *form) error {
	if source(f.get("source")) != fromCar || f.get("car") == "" {
		return nil
	}
	earlier, err := o.shop.FindCar(r.Context(), f.get("car"))
	if p, is := restoration.AsProblem(err); is && p.Trouble == restoration.TroubleNotFound {
		return nil // said where the pieces are looked for
	}
	if err != nil {
		return err
	}
	if blank(f.get("body")) {
		f.values.Set("body", earlier.Body)
	}
	if f.ticked(itsFinish) {
		has := carValues(earlier)
		for _, name := range []string{"pair", "ground", "grain", "scheme"} {
			f.values[name] = has[name]
		}
	}
	return nil
}

// parsePieces finds the pieces of a new car. The preview is nil unless they come
// from a table.
func (o *Office) parsePieces(r *http.Request, f *form) ([]restoration.NewPiece, *preview, error) {
	var pieces []restoration.NewPiece
	switch oneOf(f, "source", []source{fromBody, fromCar, fromTable, fromNone}) {
	case fromBody:
		body, ok := trimlist.FindBody(f.get("body_list"))
		if !ok {
			f.fault("body_list", "Choose a body style.")
		}
		pieces = body.Pieces
	case fromCar:
		car, err := o.shop.FindCar(r.Context(), f.get("car"))
		if p, is := restoration.AsProblem(err); is && p.Trouble == restoration.TroubleNotFound {
			f.fault("car", "Choose the car whose list is to be used again.")
			return nil, nil, nil
		}
		if err != nil {
			return nil, nil, err
		}
		if pieces, err = o.shop.CopyPieces(r.Context(), car.ID); err != nil {
			return nil, nil, err
		}
	case fromTable:
		shown, err := o.previewList(r, f, nil)
		if err != nil || shown == nil {
			return nil, nil, err
		}
		return onRoute(shown.Pieces, f.get("route")), shown, nil
	}
	return onRoute(pieces, f.get("route")), nil, nil
}

// onRoute gives a route to the pieces that name none.
func onRoute(pieces []restoration.NewPiece, route string) []restoration.NewPiece {
	for i := range pieces {
		if pieces[i].Route == "" {
			pieces[i].Route = route
		}
	}
	return pieces
}

// showSwatch answers with the chosen colours as the finish looks.
func (o *Office) showSwatch(w http.ResponseWriter, r *http.Request) error {
	return web.Render(w, r, http.StatusOK, schemeSample(schemeOf(&form{values: r.URL.Query()})))
}
