package office

import (
	"net/http"
	"net/url"

	"scumble/internal/restoration"
	"scumble/web"
	"scumble/web/ui"
)

// placeProps is one place: what lies there, what it holds well, and its description.
type placeProps struct {
	Page      ui.PageProps
	Path      string
	Place     restoration.Place
	BackUntil string // of a retired one
	Form      *form
	Kinds     []ui.Option
	Pieces    []lyingLine
	Fits      []restoration.PlaceFit
}

// lyingLine is a piece in a table of what lies where.
type lyingLine struct{ Piece, Href, Car, CarHref, LiesAt, Since, Seen, SeenSpan string }

func lyingLines(list []restoration.Lying, v visit) []lyingLine {
	lines := make([]lyingLine, len(list))
	for i, l := range list {
		lines[i] = lyingLine{Piece: l.Details.Title(), Href: piecePath(l.PieceID), Car: l.Car.WorkOrder + " " + l.Car.Name, CarHref: carPath(l.Car.WorkOrder),
			LiesAt: l.LiesAt, Since: ui.Day(l.Since, v.Loc), Seen: ui.Day(l.Seen, v.Loc), SeenSpan: ui.Span(l.Seen, v.Now)}
	}
	return lines
}

func (o *Office) placeIn(r *http.Request) (restoration.Place, error) {
	id, err := numberIn(r, "id")
	if err != nil {
		return restoration.Place{}, err
	}
	return o.shop.FindPlace(r.Context(), id)
}

func (o *Office) showPlace(w http.ResponseWriter, r *http.Request) error {
	p, err := o.placeIn(r)
	if err != nil {
		return err
	}
	typed := url.Values{"name": {p.Name}, "kind": {string(p.Kind)}}
	if p.Holds > 0 {
		typed.Set("holds", formatID(int64(p.Holds)))
	}
	return o.renderPlace(w, r, http.StatusOK, p, &form{values: typed})
}

func (o *Office) renderPlace(w http.ResponseWriter, r *http.Request, status int, place restoration.Place, f *form) error {
	v := visitOf(r)
	p := placeProps{Path: placePath(place.ID), Place: place, Form: f, Kinds: placeKinds(),
		Page: o.page(r, ui.PageProps{Title: place.Name, Eyebrow: joinWords(upperFirst(string(place.Kind)), place.Code), Nav: navPlaces})}
	if restoration.MayUndo(place.RetiredAt, v.Now) {
		p.BackUntil = ui.Day(restoration.UndoUntil(place.RetiredAt), v.Loc)
	}
	lying, err := o.shop.LyingAt(r.Context(), place.Name)
	if err != nil {
		return err
	}
	p.Pieces = lyingLines(lying, v)
	if p.Fits, err = o.shop.PlaceFits(r.Context(), place.ID); err != nil {
		return err
	}
	return web.Render(w, r, status, placePage(p))
}

func (o *Office) editPlace(w http.ResponseWriter, r *http.Request) error {
	before, err := o.placeIn(r)
	if err != nil {
		return err
	}
	f, err := readForm(w, r)
	if err != nil {
		return err
	}
	after := parsePlace(f)
	after.ID = before.ID
	if f.ok() {
		if err := o.shop.EditPlace(r.Context(), visitOf(r).Actor(), after); err != nil {
			if err := f.take(err); err != nil {
				return err
			}
		}
	}
	if !f.ok() {
		return o.renderPlace(w, r, http.StatusUnprocessableEntity, before, f)
	}
	o.done(r, after.Name+" is saved.")
	return web.SeeOther(w, r, placePath(before.ID))
}

func (o *Office) retirePlace(w http.ResponseWriter, r *http.Request) error {
	p, err := o.placeIn(r)
	if err != nil {
		return err
	}
	if err := o.shop.RetirePlace(r.Context(), visitOf(r).Actor(), p.ID); err != nil {
		return err
	}
	o.say(r, ui.Notice{Kind: ui.NoticeDone, Text: p.Name + " is offered no more. What lies there keeps its word.", Href: placePath(p.ID), Link: "Undo"})
	return web.SeeOther(w, r, placesPath)
}

func (o *Office) restorePlace(w http.ResponseWriter, r *http.Request) error {
	p, err := o.placeIn(r)
	if err != nil {
		return err
	}
	f := &form{values: url.Values{}}
	if err := f.take(o.shop.RestorePlace(r.Context(), visitOf(r).Actor(), p.ID)); err != nil {
		return err
	}
	if !f.ok() {
		return o.renderPlace(w, r, http.StatusUnprocessableEntity, p, f)
	}
	o.done(r, p.Name+" is offered again, with the label that it has.")
	return web.SeeOther(w, r, placesPath)
}
