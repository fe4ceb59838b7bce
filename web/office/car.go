package office

import (
	"context"
	"net/http"
	"strconv"

	"github.com/go-chi/chi/v5"

	"scumble/internal/restoration"
	"scumble/web"
	"scumble/web/ui"
)

// carOf finds the car that the address names.
func (o *Office) carOf(r *http.Request) (restoration.Car, error) {
	return o.shop.FindCar(r.Context(), chi.URLParam(r, "wo"))
}

// carForm finds the car of the address and reads the form that came about it.
func (o *Office) carForm(w http.ResponseWriter, r *http.Request) (restoration.Car, *form, error) {
	car, err := o.carOf(r)
	if err != nil {
		return restoration.Car{}, nil, err
	}
	f, err := readForm(w, r)
	return car, f, err
}

func (o *Office) showCar(w http.ResponseWriter, r *http.Request) error {
	car, err := o.carOf(r)
	if err != nil {
		return err
	}
	return o.drawCar(w, r, http.StatusOK, car, nil, nil)
}

// drawCar answers with a car's page; bulk is a change of pieces, and act something that
// was to happen to the whole car, that could not be made: shown again with what was typed.
func (o *Office) drawCar(w http.ResponseWriter, r *http.Request, status int, car restoration.Car, bulk, act *form) error {
	d, err := o.loadCar(r, car)
	if err != nil {
		return err
	}
	links, err := o.linksPanel(r, car)
	if err != nil {
		return err
	}
	p := newCarPage(d, o.page(r, ui.PageProps{Nav: "shop"}), bulk)
	p.Act = act
	if p.Finish, err = o.finishPanel(r, car, d.Pieces); err != nil {
		return err
	}
	return web.Render(w, r, status, carView(p, links))
}

func (o *Office) loadCar(r *http.Request, car restoration.Car) (carData, error) {
	ctx, v := r.Context(), visitOf(r)
	d := carData{Car: car, Settings: v.Settings, Now: v.Now, Address: r.URL}
	roll, err := o.shop.CarRoll(ctx, car.ID)
	if err != nil {
		return d, err
	}
	d.Roll = roll.Roll
	if d.Pieces, err = o.shop.CarPieces(ctx, car.ID); err != nil {
		return d, err
	}
	if d.Removed, err = o.shop.RemovedPieces(ctx, car.ID); err != nil {
		return d, err
	}
	if d.Routes, err = o.routesByID(ctx, routesOf(d.Pieces, d.Removed)); err != nil {
		return d, err
	}
	if d.Current, err = o.shop.Routes(ctx); err != nil {
		return d, err
	}
	people, err := o.shop.People(ctx)
	if err != nil {
		return d, err
	}
	shop, err := o.shop.Roll(ctx, false)
	if err != nil {
		return d, err
	}
	d.Dates = newDates(shop.Cars, hands(people), v.Settings.Calendar, v.Now, v.Settings.Location())
	if d.Refused, err = o.shop.History(ctx, restoration.HistoryFilter{CarID: car.ID, RefusedOpen: true}); err != nil {
		return d, err
	}
	d.History, err = o.shop.History(ctx, restoration.HistoryFilter{CarID: car.ID, ByHour: true, Limit: historyRows})
	return d, err
}

func (o *Office) routesByID(ctx context.Context, ids []int64) (map[int64]restoration.Route, error) {
	routes := make(map[int64]restoration.Route, len(ids))
	for _, id := range ids {
		route, err := o.shop.FindRoute(ctx, id)
		if err != nil {
			return nil, err
		}
		routes[id] = route
	}
	return routes, nil
}

// carEyebrow names the car above the title of a page that is about something of it.
func carEyebrow(car restoration.Car) string {
	return joinWords("Work order "+car.WorkOrder, car.Name)
}

// showCarHistory pages through the whole ledger of a car.
func (o *Office) showCarHistory(w http.ResponseWriter, r *http.Request) error {
	car, err := o.carOf(r)
	if err != nil {
		return err
	}
	return o.drawHistory(w, r, carPath(car.WorkOrder), carEyebrow(car), restoration.HistoryFilter{CarID: car.ID})
}

// drawHistory shows a page of the ledger, of a car or of one of its pieces; path is the
// address of what it is about.
func (o *Office) drawHistory(w http.ResponseWriter, r *http.Request, path, about string, of restoration.HistoryFilter) error {
	of.Before, _ = strconv.ParseInt(r.URL.Query().Get("before"), 10, 64) // what is no number begins at the newest
	of.ByHour, of.Limit = true, historyRows
	entries, err := o.shop.History(r.Context(), of)
	if err != nil {
		return err
	}
	v := visitOf(r)
	p := o.page(r, ui.PageProps{Title: "What happened", Eyebrow: about, Nav: "shop"})
	lines := v.reader().lines(entries, of.CarID != 0)
	return web.Render(w, r, http.StatusOK, historyPage(p, path, lines, olderEntries(entries, path+"/history")))
}

// backAt leads back to a part of a car's page, at which the notice that was left stands.
func (o *Office) backAt(w http.ResponseWriter, r *http.Request, path, part string) error {
	if n, ok := o.sessions.Pop(r.Context(), sessionNotice).(ui.Notice); ok {
		n.At = part
		o.say(r, n)
	}
	return web.SeeOther(w, r, path+"#"+part)
}

// enterCarEvent takes one of the car's own events from a form.
func (o *Office) enterCarEvent(w http.ResponseWriter, r *http.Request) error {
	car, f, err := o.carForm(w, r)
	if err != nil {
		return err
	}
	e := o.event(r, f, restoration.Kind(f.get("kind")))
	e.CarID = car.ID
	if !f.ok() || !e.Kind.AboutCar() {
		return restoration.Problemf(restoration.TroubleInvalid, "", "The form is damaged. Go back, load the page again and repeat.")
	}
	if err := o.readCarReason(r, f, car, &e); err != nil {
		return err
	}
	if !f.ok() {
		return o.drawCar(w, r, http.StatusUnprocessableEntity, car, nil, f)
	}
	if err := o.enter(r, e, ""); err != nil {
		return err
	}
	return o.backAt(w, r, carPath(car.WorkOrder), partActs)
}

// carReason is the name of the field in which an event of the car's own says why: each has
// a form of its own on the page.
func carReason(k restoration.Kind) string { return "reason-" + slug(k) }

// readCarReason reads why, and asks for it at its field where the rules want it: an entry
// without it would be refused, and kept.
func (o *Office) readCarReason(r *http.Request, f *form, car restoration.Car, e *restoration.Event) error {
	e.Reason, e.Arrived = f.textUpTo(carReason(e.Kind), restoration.MaxReason), e.At
	if e.Reason != "" {
		return nil
	}
	pieces, err := o.shop.CarPieces(r.Context(), car.ID)
	if err != nil {
		return err
	}
	if says := restoration.CarReasonWanted(car, pieces, *e); says != "" {
		f.fault(carReason(e.Kind), "%s", says)
	}
	return nil
}
