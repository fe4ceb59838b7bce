package office

import (
	"context"
	"net/http"

	"scumble/internal/restoration"
	"scumble/web"
	"scumble/web/ui"
)

// showShop answers with the whole shop at a glance.
func (o *Office) showShop(w http.ResponseWriter, r *http.Request) error {
	v := visitOf(r)
	d := shopData{Settings: v.Settings, Now: v.Now, Loc: v.Loc, Delivered: r.URL.Query().Has("delivered")}
	if err := o.loadShop(r.Context(), &d); err != nil {
		return err
	}
	p := newShopPage(d, o.page(r, ui.PageProps{Title: "The shop", Nav: "shop"}), r.URL)
	return web.Render(w, r, http.StatusOK, shopView(p))
}

// loadShop asks for little: the roll-up, and of the pieces only those that may need a
// look. The page stays quick in a shop of two hundred cars.
func (o *Office) loadShop(ctx context.Context, d *shopData) error {
	var err error
	if d.Roll, err = o.shop.Roll(ctx, d.Delivered); err != nil {
		return err
	}
	if d.Urgent, err = o.shop.UrgentWork(ctx, d.Now.Add(windowAhead)); err != nil {
		return err
	}
	if d.Refused, err = o.shop.History(ctx, restoration.HistoryFilter{RefusedOpen: true}); err != nil {
		return err
	}
	if d.Overrides, err = o.shop.Overrides(ctx, d.Now.Add(-overridesBack)); err != nil {
		return err
	}
	if d.Mixed, err = o.shop.MixedPieces(ctx); err != nil {
		return err
	}
	if d.Routes, err = o.routesByID(ctx, routesOf(d.Mixed)); err != nil {
		return err
	}
	d.People, err = o.shop.People(ctx)
	return err
}
