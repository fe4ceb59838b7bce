package office

import (
	"errors"
	"net/http"

	"scumble/internal/restoration"
	"scumble/web"
	"scumble/web/ui"
)

// dropScheme deletes a finish that no piece is in; why another can't go is said on its page.
func (o *Office) dropScheme(w http.ResponseWriter, r *http.Request) error {
	car, s, _, err := o.schemeIn(r)
	if err != nil {
		return err
	}
	path := finishPath(car.WorkOrder)
	err = o.shop.DropScheme(r.Context(), visitOf(r).Actor(), s.ID)
	if p := new(restoration.Problem); errors.As(err, &p) && p.Trouble == restoration.TroubleConflict {
		o.say(r, ui.Notice{Kind: ui.NoticeError, Text: p.Message})
		return web.SeeOther(w, r, path+"/"+formatID(s.ID))
	}
	if err != nil {
		return err
	}
	o.done(r, upperFirst(s.Title())+" is deleted.")
	return web.SeeOther(w, r, path)
}

// restoreScheme brings back a finish of the car that was deleted.
func (o *Office) restoreScheme(w http.ResponseWriter, r *http.Request) error {
	car, f, err := o.carForm(w, r)
	if err != nil {
		return err
	}
	s, err := o.shop.RestoreScheme(r.Context(), visitOf(r).Actor(), car.ID, f.line("name"))
	if err != nil {
		return err
	}
	o.done(r, upperFirst(s.Title())+" is back.")
	return web.SeeOther(w, r, finishPath(car.WorkOrder))
}
