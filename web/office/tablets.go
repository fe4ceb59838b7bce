package office

import (
	"cmp"
	"net/http"
	"net/url"
	"slices"
	"time"

	"github.com/go-chi/chi/v5"

	"scumble/internal/access"
	"scumble/internal/restoration"
	"scumble/web"
	"scumble/web/ui"
)

const tabletsPath = "/office/tablets"

// codeLives is how long an enrolment code works: time enough to walk to the tablet.
const codeLives = 15 * time.Minute

func (o *Office) tabletRoutes(r chi.Router) {
	h := o.adapter.Handle
	r.Get("/tablets", h(o.showTablets))
	r.Post("/tablets", h(o.addTablet))
	r.Get("/tablets/{id}", h(o.showTablet))
	r.Post("/tablets/{id}/revoke", h(o.revokeTablet))
	r.Post("/tablets/{id}/back", h(o.readmitTablet))
}

// tabletsProps is the page of all tablets.
type tabletsProps struct {
	Page    ui.PageProps
	Tablets []tabletRow
	Form    *form
	New     *newTablet // a tablet for which a code has just been made
	Bench   string     // address to be opened on the tablet
}

// newTablet is a code that is shown once.
type newTablet struct{ Name, Code, Until string }

// tabletRow is a tablet as the page shows it.
type tabletRow struct {
	restoration.Device
	Href    string
	State   string
	Out     bool // it is shut out
	Back    bool // and may be let in again
	LastTxt string
}

func (o *Office) showTablets(w http.ResponseWriter, r *http.Request) error {
	return o.renderTablets(w, r, http.StatusOK, &form{values: url.Values{}}, nil)
}

func (o *Office) renderTablets(w http.ResponseWriter, r *http.Request, status int, f *form, made *newTablet) error {
	all, err := o.shop.Devices(r.Context())
	if err != nil {
		return err
	}
	return web.Render(w, r, status, tabletsPage(tabletsProps{
		Page: o.page(r, ui.PageProps{Title: "Tablets", Nav: "people",
			Lede: "A tablet is let in once, with a short code that is typed on it. Then people sign in there with their PIN."}),
		Tablets: tabletRows(all, visitOf(r)), Form: f, New: made, Bench: o.address(r) + "/bench/enrol",
	}))
}

// addTablet makes the code and shows it on the answer itself: only its hash is kept,
// so that it could not be shown after a redirect.
func (o *Office) addTablet(w http.ResponseWriter, r *http.Request) error {
	f, err := readForm(w, r)
	if err != nil {
		return err
	}
	name := f.needed("name", "Type a name by which you know the tablet, such as Cutting bench.")
	if !f.ok() {
		return o.renderTablets(w, r, http.StatusUnprocessableEntity, f, nil)
	}
	code, hash, err := access.NewCode()
	if err != nil {
		return err
	}
	v := visitOf(r)
	until := v.Now.Add(codeLives)
	if _, err := o.shop.AddDevice(r.Context(), v.Actor(), name, hash, until); err != nil {
		if err := f.take(err); err != nil {
			return err
		}
		return o.renderTablets(w, r, http.StatusUnprocessableEntity, f, nil)
	}
	made := &newTablet{Name: name, Code: code, Until: ui.Clock(until, v.Now, v.Loc)}
	return o.renderTablets(w, r, http.StatusOK, &form{values: url.Values{}}, made)
}

// tabletRows lists tablets by name; those shut out come last.
func tabletRows(all []restoration.Device, v visit) []tabletRow {
	rows := make([]tabletRow, len(all))
	for i, d := range all {
		rows[i] = newTabletRow(d, v)
	}
	slices.SortStableFunc(rows, func(a, b tabletRow) int {
		out := func(r tabletRow) int {
			if r.Out {
				return 1
			}
			return 0
		}
		return cmp.Or(cmp.Compare(out(a), out(b)), cmp.Compare(a.Name, b.Name))
	})
	return rows
}

func newTabletRow(d restoration.Device, v visit) tabletRow {
	return tabletRow{Device: d, Href: tabletPath(d.ID), State: tabletState(d, v), LastTxt: lastSeen(d.LastSeen, v),
		Out: !d.RevokedAt.IsZero(), Back: d.MayReturn(v.Now)}
}

func tabletState(d restoration.Device, v visit) string {
	switch {
	case !d.RevokedAt.IsZero():
		return "shut out on " + ui.When(d.RevokedAt, v.Loc)
	case d.EnrolledAt.IsZero():
		return "its code has not been typed yet"
	}
	return "let in on " + ui.When(d.EnrolledAt, v.Loc)
}

func lastSeen(t time.Time, v visit) string {
	if t.IsZero() {
		return "never"
	}
	return ui.Span(t, v.Now)
}

// address is where people outside reach the shop: as the shop was told, else as this
// request came.
func (o *Office) address(r *http.Request) string {
	if o.base != "" {
		return o.base
	}
	scheme := "http"
	if r.TLS != nil || r.Header.Get("X-Forwarded-Proto") == "https" {
		scheme = "https"
	}
	return scheme + "://" + r.Host
}
