package office

import (
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"time"

	"github.com/go-chi/chi/v5"

	"scumble/internal/access"
	"scumble/internal/restoration"
	"scumble/web"
	"scumble/web/ui"
)

// linkLives are the spans for which a link may be made, in days; the first is offered.
var linkLives = []ui.Option{
	{Value: "90", Word: "for 3 months"},
	{Value: "30", Word: "for 1 month"},
	{Value: "180", Word: "for 6 months"},
	{Value: "365", Word: "for a year"},
}

func (o *Office) linkRoutes(r chi.Router) {
	h := o.adapter.Handle
	r.Get("/cars/{wo}/links", h(o.showLinks))
	r.Post("/cars/{wo}/links", h(o.addLink))
	r.Get("/cars/{wo}/links/{id}", h(o.showLink))
	r.Post("/cars/{wo}/links/{id}", h(o.changeLink))
	r.Post("/cars/{wo}/links/{id}/revoke", h(o.revokeLink))
}

// LinksPanelProps is a car's progress links.
type LinksPanelProps struct {
	Action string // address of the car's links
	Form   *form
	Fresh  string // a link's address, shown once
	Links  []linkRow
}

// linkRow is a link as the panel shows it.
type linkRow struct {
	Made, Ends, Shows, Seen string
	Live                    bool
	Href                    string // its own page; "" when it is revoked
}

// linksPageProps is the links of one car as a page of their own.
type linksPageProps struct {
	Page  ui.PageProps
	Panel LinksPanelProps
	Back  string
}

func linksPath(workOrder string) string {
	return carPath(workOrder) + "/links"
}

// linksPanel builds the panel for a car's own page.
func (o *Office) linksPanel(r *http.Request, car restoration.Car) (LinksPanelProps, error) {
	links, err := o.shop.Links(r.Context(), car.ID)
	if err != nil {
		return LinksPanelProps{}, err
	}
	v := visitOf(r)
	p := LinksPanelProps{
		Action: linksPath(car.WorkOrder),
		Form:   &form{values: url.Values{"lives": {linkLives[0].Value}}},
	}
	for _, l := range links {
		p.Links = append(p.Links, newLinkRow(l, p.Action, v))
	}
	slices.SortStableFunc(p.Links, func(a, b linkRow) int {
		switch {
		case a.Live == b.Live:
			return 0
		case a.Live:
			return -1
		}
		return 1
	})
	return p, nil
}

func newLinkRow(l restoration.Link, action string, v visit) linkRow {
	row := linkRow{
		Made: ui.Day(l.CreatedAt, v.Loc), Live: l.Live(v.Now), Shows: "stages and dates",
		Seen: "not opened yet",
	}
	if l.ShowHours {
		row.Shows += ", hours"
	}
	if l.ShowName {
		row.Shows += ", the car's name"
	}
	if l.Views > 0 {
		row.Seen = ui.Count(l.Views, "view", "views") + ", last " + ui.Span(l.LastSeen, v.Now)
	}
	if l.RevokedAt.IsZero() {
		row.Href = action + "/" + formatID(l.ID)
	}
	switch {
	case !l.RevokedAt.IsZero():
		row.Ends = "revoked on " + ui.When(l.RevokedAt, v.Loc)
	case !row.Live:
		row.Ends = "ran out on " + ui.Day(l.ExpiresAt, v.Loc)
	default:
		row.Ends = "works until " + ui.Day(l.ExpiresAt, v.Loc)
	}
	return row
}

// parseLink reads what a new link may show and for how long.
func parseLink(f *form, now time.Time) restoration.Link {
	var words []string
	for _, o := range linkLives {
		words = append(words, o.Value)
	}
	days, _ := strconv.Atoi(oneOf(f, "lives", words)) // one of the list above, or a fault
	return restoration.Link{
		ExpiresAt: now.AddDate(0, 0, days), ShowHours: f.ticked("show_hours"), ShowName: f.ticked("show_name"),
	}
}

func (o *Office) showLinks(w http.ResponseWriter, r *http.Request) error {
	car, err := o.carOf(r)
	if err != nil {
		return err
	}
	return o.renderLinks(w, r, http.StatusOK, car, nil, "")
}

// renderLinks answers with the panel alone where a script put the form, otherwise
// with the page. f is a form to be shown again, or nil.
func (o *Office) renderLinks(w http.ResponseWriter, r *http.Request, status int, car restoration.Car, f *form, fresh string) error {
	panel, err := o.linksPanel(r, car)
	if err != nil {
		return err
	}
	panel.Fresh = fresh
	if f != nil {
		panel.Form = f
	}
	if isFragment(r) { // the script puts nothing but a success into the page
		return web.Render(w, r, http.StatusOK, LinksPanel(panel))
	}
	return web.Render(w, r, status, linksPage(linksPageProps{
		Page:  o.page(r, ui.PageProps{Title: car.Name, Eyebrow: "Work order " + car.WorkOrder + " · links", Nav: "shop"}),
		Panel: panel, Back: carPath(car.WorkOrder),
	}))
}

// addLink makes a link and shows its address on the answer itself: only its hash is
// kept, so that it could not be shown after a redirect.
func (o *Office) addLink(w http.ResponseWriter, r *http.Request) error {
	car, f, err := o.carForm(w, r)
	if err != nil {
		return err
	}
	v := visitOf(r)
	link := parseLink(f, v.Now)
	link.CarID = car.ID
	if !f.ok() {
		return o.renderLinks(w, r, http.StatusUnprocessableEntity, car, f, "")
	}
	token, hash, err := access.NewToken()
	if err != nil {
		return err
	}
	if _, err := o.shop.AddLink(r.Context(), v.Actor(), link, hash); err != nil {
		return err
	}
	return o.renderLinks(w, r, http.StatusOK, car, nil, o.address(r)+"/p/"+token)
}
