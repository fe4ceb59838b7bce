package office

import (
	"net/http"

	"scumble/internal/restoration"
	"scumble/web"
	"scumble/web/ui"
)

// editCarProps is the page on which a car's own particulars are changed.
type editCarProps struct {
	Page     ui.PageProps
	Form     *form
	Back     string
	Currency string
}

func (o *Office) showEditCar(w http.ResponseWriter, r *http.Request) error {
	car, err := o.carOf(r)
	if err != nil {
		return err
	}
	return o.renderEditCar(w, r, http.StatusOK, car, &form{values: carValues(car)})
}

func (o *Office) renderEditCar(w http.ResponseWriter, r *http.Request, status int, car restoration.Car, f *form) error {
	return web.Render(w, r, status, editCarForm(editCarProps{
		Page: o.page(r, ui.PageProps{Title: "Change " + car.Name, Eyebrow: "Work order " + car.WorkOrder, Nav: "shop"}),
		Form: f, Back: carPath(car.WorkOrder), Currency: visitOf(r).Settings.Currency,
	}))
}

func (o *Office) editCar(w http.ResponseWriter, r *http.Request) error {
	old, f, err := o.carForm(w, r)
	if err != nil {
		return err
	}
	car := parseCar(f)
	car.ID, car.WorkOrder = old.ID, old.WorkOrder
	car.State, car.HoldReason, car.HeldSince, car.DeliveredAt = old.State, old.HoldReason, old.HeldSince, old.DeliveredAt
	if f.ok() {
		if err := f.take(o.shop.EditCar(r.Context(), visitOf(r).Actor(), car)); err != nil {
			return err
		}
	}
	if !f.ok() {
		return o.renderEditCar(w, r, http.StatusUnprocessableEntity, old, f)
	}
	o.done(r, "The changes are saved.")
	return web.SeeOther(w, r, carPath(car.WorkOrder))
}
