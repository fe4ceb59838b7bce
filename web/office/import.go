package office

import (
	"net/http"
	"net/url"

	"scumble/internal/restoration"
	"scumble/web"
	"scumble/web/ui"
)

// importProps is the page on which a table of pieces joins a car's list.
type importProps struct {
	Page    ui.PageProps
	Form    *form
	Preview *preview
	Action  string
	Back    string
}

func (o *Office) showImport(w http.ResponseWriter, r *http.Request) error {
	car, err := o.carOf(r)
	if err != nil {
		return err
	}
	return o.renderImport(w, r, http.StatusOK, car, &form{values: url.Values{}}, nil)
}

func (o *Office) renderImport(w http.ResponseWriter, r *http.Request, status int, car restoration.Car, f *form, p *preview) error {
	back := carPath(car.WorkOrder)
	return web.Render(w, r, status, importPage(importProps{
		Page: o.page(r, ui.PageProps{Title: "Add pieces from a table", Eyebrow: carEyebrow(car), Nav: "shop"}),
		Form: f, Preview: p, Action: back + "/import", Back: back,
	}))
}

// importPieces shows what a table would add, and adds it when the page that showed
// it without a fault says so.
func (o *Office) importPieces(w http.ResponseWriter, r *http.Request) error {
	car, err := o.carOf(r)
	if err != nil {
		return err
	}
	f, err := readListForm(w, r)
	if err != nil {
		return err
	}
	have, err := o.shop.CarPieces(r.Context(), car.ID)
	if err != nil {
		return err
	}
	shown, err := o.previewList(r, f, have)
	if err != nil {
		return err
	}
	switch {
	case !f.ok() || !shown.OK():
		return o.renderImport(w, r, http.StatusUnprocessableEntity, car, f, shown)
	case !shown.confirmed(f):
		return o.renderImport(w, r, http.StatusOK, car, f, shown)
	}
	pieces, err := o.shop.AddPieces(r.Context(), visitOf(r).Actor(), car.ID, shown.Pieces)
	if err != nil {
		if err := f.take(err); err != nil {
			return err
		}
		return o.renderImport(w, r, http.StatusUnprocessableEntity, car, f, shown)
	}
	o.done(r, ui.Count(len(pieces), "piece is", "pieces are")+" added.")
	return o.backAt(w, r, carPath(car.WorkOrder), partPieces)
}
