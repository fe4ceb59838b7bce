package office

import (
	"net/http"
	"slices"

	"github.com/go-chi/chi/v5"

	"scumble/internal/restoration"
	"scumble/web"
	"scumble/web/ui"
)

const routesPath = "/office/routes"

func (o *Office) routeRoutes(r chi.Router) {
	h := o.adapter.Handle
	r.Get("/routes", h(o.showRoutes))
	r.Get("/routes/new", h(o.showNewRoute))
	r.Post("/routes/new", h(o.saveRoute))
	r.Get("/routes/{id}", h(o.showRoute))
	r.Post("/routes/{id}", h(o.saveRoute))
	r.Post("/routes/{id}/copy", h(o.copyRoute))
	r.Post("/routes/{id}/up", h(o.moveRoute(-1)))
	r.Post("/routes/{id}/down", h(o.moveRoute(1)))
	r.Post("/routes/{id}/retire", h(o.retireRoute))
	r.Post("/routes/{id}/restore", h(o.restoreRoute))
}

// routesProps is the page of all routes.
type routesProps struct {
	Page    ui.PageProps
	Routes  []routeRow
	Retired []retiredRow
}

// routeRow is a route as the list shows it.
type routeRow struct {
	restoration.Route
	Href        string
	First, Last bool
	Typical     restoration.Minutes // of a medium piece, all stages
}

// retiredRow is a route that can be brought back.
type retiredRow struct{ Name, Href, Says string }

func retiredRows(routes []restoration.RetiredRoute, v visit) []retiredRow {
	rows := make([]retiredRow, len(routes))
	for i, r := range routes {
		rows[i] = retiredRow{Name: r.Name, Href: routePath(r.ID),
			Says: "retired on " + ui.Day(r.At, v.Loc) + ", can be brought back until " + ui.Day(restoration.UndoUntil(r.At), v.Loc)}
	}
	return rows
}

func (o *Office) showRoutes(w http.ResponseWriter, r *http.Request) error {
	routes, err := o.shop.Routes(r.Context())
	if err != nil {
		return err
	}
	retired, err := o.shop.RetiredRoutes(r.Context())
	if err != nil {
		return err
	}
	return web.Render(w, r, http.StatusOK, routesPage(routesProps{
		Page: o.page(r, ui.PageProps{Title: "Routes", Nav: "routes",
			Lede: "A route is the chain of stages that a piece goes through. The first is offered first."}),
		Routes: routeRows(routes), Retired: retiredRows(retired, visitOf(r)),
	}))
}

func routeRows(routes []restoration.Route) []routeRow {
	rows := make([]routeRow, len(routes))
	for i, r := range routes {
		rows[i] = routeRow{Route: r, Href: routePath(r.ID), First: i == 0, Last: i == len(routes)-1}
		for _, s := range r.Stages {
			rows[i].Typical += s.Medium.Likely
		}
	}
	return rows
}

func routePath(id int64) string { return routesPath + "/" + formatID(id) }

func (o *Office) copyRoute(w http.ResponseWriter, r *http.Request) error {
	id, err := numberIn(r, "id")
	if err != nil {
		return err
	}
	made, err := o.shop.CopyRoute(r.Context(), visitOf(r).Actor(), id)
	if err != nil {
		return err
	}
	o.done(r, "This is the copy. Give it a name of its own and change what differs.")
	return web.SeeOther(w, r, routePath(made.ID))
}

// moveRoute moves a route one place up (-1) or down (1).
func (o *Office) moveRoute(by int) web.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) error {
		id, err := numberIn(r, "id")
		if err != nil {
			return err
		}
		routes, err := o.shop.Routes(r.Context())
		if err != nil {
			return err
		}
		ids := make([]int64, len(routes))
		for i, route := range routes {
			ids[i] = route.ID
		}
		if err := o.shop.OrderRoutes(r.Context(), visitOf(r).Actor(), moved(ids, slices.Index(ids, id), by)); err != nil {
			return err
		}
		return web.SeeOther(w, r, routesPath)
	}
}

// moved gives the list with the item at i one place on; what can't move stays.
func moved[T any](list []T, i, by int) []T {
	out := slices.Clone(list)
	if j := i + by; i >= 0 && i < len(out) && j >= 0 && j < len(out) {
		out[i], out[j] = out[j], out[i]
	}
	return out
}

func (o *Office) retireRoute(w http.ResponseWriter, r *http.Request) error {
	id, err := numberIn(r, "id")
	if err != nil {
		return err
	}
	f, err := readForm(w, r)
	if err != nil {
		return err
	}
	route, err := o.shop.FindRoute(r.Context(), id)
	if err != nil {
		return err
	}
	if !f.ticked("sure") {
		return restoration.Problemf(restoration.TroubleInvalid, "sure", "Go back and tick that the route is to be retired.")
	}
	if err := o.shop.RetireRoute(r.Context(), visitOf(r).Actor(), id); err != nil {
		return err
	}
	o.done(r, route.Name+" is retired. Pieces that were started with it keep it. It can be brought back below for 30 days.")
	return web.SeeOther(w, r, routesPath)
}

func (o *Office) restoreRoute(w http.ResponseWriter, r *http.Request) error {
	id, err := numberIn(r, "id")
	if err != nil {
		return err
	}
	if err := o.shop.RestoreRoute(r.Context(), visitOf(r).Actor(), id); err != nil {
		return err
	}
	o.done(r, "The route is back in its place of the list.")
	return web.SeeOther(w, r, routesPath)
}
