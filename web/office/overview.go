package office

import (
	"context"
	"net/http"

	"golang.org/x/sync/errgroup"

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
// look. The two are asked side by side, so that the page takes little longer than the
// roll-up itself in a shop of two hundred cars.
func (o *Office) loadShop(ctx context.Context, d *shopData) error {
	side, ctx := errgroup.WithContext(ctx)
	side.Go(func() (err error) {
		d.Roll, err = o.shop.Roll(ctx, d.Delivered)
		return err
	})
	side.Go(func() error { return o.loadNeeds(ctx, d) })
	return side.Wait()
}

// loadNeeds asks for what may need a look, and who works here.
func (o *Office) loadNeeds(ctx context.Context, d *shopData) error {
	var err error
	if d.Urgent, err = o.shop.UrgentWork(ctx, d.Now.Add(restoration.WindowAhead)); err != nil {
		return err
	}
	if d.Refused, err = o.shop.History(ctx, restoration.HistoryFilter{RefusedOpen: true, Limit: refusedRead}); err != nil {
		return err
	}
	if d.Overrides, err = o.shop.Overrides(ctx, d.Now.Add(-overridesBack)); err != nil {
		return err
	}
	if d.Both, err = o.shop.BothTicked(ctx, d.Now.Add(-overridesBack)); err != nil {
		return err
	}
	if d.Mixed, err = o.shop.MixedPieces(ctx); err != nil {
		return err
	}
	if d.Routes, err = o.routesByID(ctx, routesOf(d.Mixed)); err != nil {
		return err
	}
	if d.People, err = o.shop.People(ctx); err != nil {
		return err
	}
	return o.loadFilmNeeds(ctx, d)
}
