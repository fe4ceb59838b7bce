package office

import (
	"net/http"
	"net/url"
	"time"

	"scumble/internal/restoration"
	"scumble/web"
	"scumble/web/ui"
)

// linkProps is the page of one link: what it shows, for how long, and its end.
type linkProps struct {
	Page    ui.PageProps
	Row     linkRow
	Form    *form
	Car     string // address of the car's own words
	Back    string // address of all links of the car
	Revoked bool
}

func (o *Office) showLink(w http.ResponseWriter, r *http.Request) error {
	car, link, err := o.linkIn(r)
	if err != nil {
		return err
	}
	return o.renderLink(w, r, http.StatusOK, car, link, &form{values: linkValues(link, visitOf(r).Loc)})
}

// linkIn finds the car and the link of the address; a link of another car is none.
func (o *Office) linkIn(r *http.Request) (restoration.Car, restoration.Link, error) {
	id, err := numberIn(r, "id")
	if err != nil {
		return restoration.Car{}, restoration.Link{}, err
	}
	car, err := o.carOf(r)
	if err != nil {
		return car, restoration.Link{}, err
	}
	links, err := o.shop.Links(r.Context(), car.ID)
	if err != nil {
		return car, restoration.Link{}, err
	}
	link, err := findIn(links, id, func(l restoration.Link) int64 { return l.ID }, "There is no such link. Go back to the car.")
	return car, link, err
}

func (o *Office) renderLink(w http.ResponseWriter, r *http.Request, status int, car restoration.Car, l restoration.Link, f *form) error {
	back := linksPath(car.WorkOrder)
	return web.Render(w, r, status, linkPage(linkProps{
		Page: o.page(r, ui.PageProps{Title: car.Name, Eyebrow: "Work order " + car.WorkOrder + " · link", Nav: "shop"}),
		Row:  newLinkRow(l, back, visitOf(r)), Form: f, Car: carPath(car.WorkOrder) + "/edit", Back: back, Revoked: !l.RevokedAt.IsZero(),
	}))
}

// linkValues fills the form so that parseChoices gives the link again.
func linkValues(l restoration.Link, loc *time.Location) url.Values {
	values := url.Values{"expires": {typedDate(l.ExpiresAt.In(loc))}}
	if l.ShowHours {
		values.Set("show_hours", "on")
	}
	if l.ShowName {
		values.Set("show_name", "on")
	}
	return values
}

// parseChoices reads what a link may show and its last day, which it works to the end
// of. A day left as it was leaves the hour, too.
func parseChoices(f *form, l restoration.Link, v visit) restoration.Link {
	l.ShowHours, l.ShowName = f.ticked("show_hours"), f.ticked("show_name")
	if blank(f.get("expires")) {
		f.fault("expires", "Choose the last day on which the link works.")
	}
	day := f.date("expires")
	if f.ok() && (typedDate(day) != typedDate(l.ExpiresAt.In(v.Loc)) || !l.Live(v.Now)) {
		l.ExpiresAt = time.Date(day.Year(), day.Month(), day.Day()+1, 0, 0, 0, 0, v.Loc).Add(-time.Second)
	}
	return l
}

func (o *Office) changeLink(w http.ResponseWriter, r *http.Request) error {
	car, link, err := o.linkIn(r)
	if err != nil {
		return err
	}
	f, err := readForm(w, r)
	if err != nil {
		return err
	}
	v := visitOf(r)
	changed := parseChoices(f, link, v)
	if f.ok() {
		if err := f.take(o.shop.ChangeLink(r.Context(), v.Actor(), changed)); err != nil {
			return err
		}
	}
	if !f.ok() {
		return o.renderLink(w, r, http.StatusUnprocessableEntity, car, link, f)
	}
	o.done(r, "The link is changed. Its address is the same.")
	return web.SeeOther(w, r, linksPath(car.WorkOrder))
}

func (o *Office) revokeLink(w http.ResponseWriter, r *http.Request) error {
	car, link, err := o.linkIn(r)
	if err != nil {
		return err
	}
	if err := o.shop.RevokeLink(r.Context(), visitOf(r).Actor(), link.ID); err != nil {
		return err
	}
	o.done(r, "The link is revoked: whoever opens it is told that there is nothing.")
	return web.SeeOther(w, r, linksPath(car.WorkOrder))
}
