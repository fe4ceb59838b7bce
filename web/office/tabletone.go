package office

import (
	"net/http"

	"scumble/internal/restoration"
	"scumble/web"
	"scumble/web/ui"
)

func tabletPath(id int64) string { return tabletsPath + "/" + formatID(id) }

// tabletProps is the page of one tablet.
type tabletProps struct {
	Page ui.PageProps
	Row  tabletRow
	// BackUntil is the day until which a tablet that is shut out can be let back in.
	BackUntil string
}

// showTablet asks before a tablet is shut out, and offers the way back afterwards.
func (o *Office) showTablet(w http.ResponseWriter, r *http.Request) error {
	d, err := o.tabletIn(r)
	if err != nil {
		return err
	}
	v := visitOf(r)
	return web.Render(w, r, http.StatusOK, tabletPage(tabletProps{
		Page: o.page(r, ui.PageProps{Title: d.Name, Nav: "people", Eyebrow: "Tablet"}),
		Row:  newTabletRow(d, v), BackUntil: ui.Day(restoration.UndoUntil(d.RevokedAt), v.Loc),
	}))
}

func (o *Office) tabletIn(r *http.Request) (restoration.Device, error) {
	id, err := numberIn(r, "id")
	if err != nil {
		return restoration.Device{}, err
	}
	return o.shop.FindDeviceByID(r.Context(), id)
}

func (o *Office) revokeTablet(w http.ResponseWriter, r *http.Request) error {
	d, err := o.tabletIn(r)
	if err != nil {
		return err
	}
	if err := o.shop.RevokeDevice(r.Context(), visitOf(r).Actor(), d.ID); err != nil {
		return err
	}
	done := ui.Notice{Kind: ui.NoticeDone, Text: d.Name + " is shut out."}
	if !d.EnrolledAt.IsZero() {
		done.Href, done.Link = tabletPath(d.ID), "Undo"
	}
	o.say(r, done)
	return web.SeeOther(w, r, tabletsPath)
}

func (o *Office) readmitTablet(w http.ResponseWriter, r *http.Request) error {
	d, err := o.tabletIn(r)
	if err != nil {
		return err
	}
	if err := o.shop.ReadmitDevice(r.Context(), visitOf(r).Actor(), d.ID); err != nil {
		return err
	}
	o.done(r, d.Name+" is let in again, without a new code.")
	return web.SeeOther(w, r, tabletsPath)
}
