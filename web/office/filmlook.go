package office

import (
	"cmp"
	"context"
	"slices"

	"scumble/internal/restoration"
	"scumble/web/ui"
)

// loadFilmNeeds asks for what of the film and its records may need a look.
func (o *Office) loadFilmNeeds(ctx context.Context, d *shopData) (err error) {
	if d.Again, err = o.shop.LookAgain(ctx, d.Now.Add(-restoration.DieBackWithin), d.Now.Add(-restoration.DieBackAfter)); err != nil {
		return err
	}
	if d.Certificates, err = o.shop.Certificates(ctx); err != nil {
		return err
	}
	if d.Air, err = o.shop.LatestAir(ctx); err != nil {
		return err
	}
	film, err := o.shop.FilmOverrides(ctx, d.Now.Add(-overridesBack))
	d.Overrides = append(d.Overrides, film...)
	slices.SortStableFunc(d.Overrides, func(a, b restoration.Entry) int { return cmp.Compare(b.Seq, a.Seq) })
	return err
}

// againItems are the pieces whose clear has had time to shrink since it was cut.
func (d shopData) againItems() []lookItem {
	var out []lookItem
	for _, c := range d.Again {
		out = append(out, lookItem{Car: c.WorkOrder, Text: c.Piece + ": look for die-back, cut " + ui.Span(c.CutAt, d.Now),
			Note: "read its gloss by " + ui.Day(c.LookBy(), d.Loc), Href: piecePath(c.PieceID) + "#film"})
	}
	return out
}
