package office

import (
	"bytes"
	"context"
	"net/http"
	"strconv"
	"time"

	"scumble/internal/restoration"
	"scumble/internal/trimlist"
	"scumble/web"
	"scumble/web/ui"
)

// lotProps is the page of one tin: everything that came out of it.
type lotProps struct {
	Page   ui.PageProps
	Row    lotRow
	Used   lotUse
	Lines  []lotLine
	Form   *form // of its own page
	Volume unit
}

// turnPath closes a tin that is open, and the other way round.
func (p lotProps) turnPath() string {
	if p.Row.Closed.IsZero() {
		return p.Row.Href + "/close"
	}
	return p.Row.Href + "/reopen"
}

// lotUse sums up what a tin went into.
type lotUse struct{ Cars, Pieces, Coats, Taken string }

// lotLine is a coat that a tin went into.
type lotLine struct {
	restoration.Deed
	Piece     restoration.Piece
	Href      string
	Car       restoration.Car
	CarHref   string
	What      string // "clear, coat 2"
	When      string
	TakenML   float64
	TakenText string
}

func (o *Office) lotIn(r *http.Request) (restoration.Lot, error) {
	id, err := numberIn(r, "id")
	if err != nil {
		return restoration.Lot{}, err
	}
	return o.shop.FindLot(r.Context(), id)
}

func (o *Office) lotRow(r *http.Request, l restoration.Lot) (lotRow, error) {
	materials, err := o.shop.Materials(r.Context())
	if err != nil {
		return lotRow{}, err
	}
	return newLotRow(l, materialOf(materials, l.Material), visitOf(r)), nil
}

func (o *Office) showLot(w http.ResponseWriter, r *http.Request) error {
	lot, err := o.lotIn(r)
	if err != nil {
		return err
	}
	row, err := o.lotRow(r, lot)
	if err != nil {
		return err
	}
	lines, err := o.lotLines(r.Context(), lot, visitOf(r))
	if err != nil {
		return err
	}
	return web.Render(w, r, http.StatusOK, lotPage(lotProps{
		Page: o.page(r, ui.PageProps{Title: "Everything from lot " + lot.Number, Eyebrow: row.Holds, Nav: navPaint}),
		Row:  row, Lines: lines, Used: sumLot(lines, visitOf(r)),
	}))
}

// lotLines lists the coats from a tin with their pieces and cars.
func (o *Office) lotLines(ctx context.Context, lot restoration.Lot, v visit) ([]lotLine, error) {
	deeds, err := o.shop.LotFilm(ctx, lot.ID)
	if err != nil {
		return nil, err
	}
	found := finder{shop: o.shop, pieces: map[restoration.ID]restoration.Piece{}, cars: map[int64]restoration.Car{}}
	lines := make([]lotLine, len(deeds))
	for i, d := range deeds {
		piece, car, err := found.piece(ctx, d.PieceID)
		if err != nil {
			return nil, err
		}
		lines[i] = lotLine{Deed: d, Piece: piece, Href: piecePath(piece.ID), Car: car, CarHref: carPath(car.WorkOrder),
			What: string(d.Layer) + ", coat " + strconv.Itoa(d.Number), When: ui.When(d.At, v.Loc)}
		for _, use := range d.Lots {
			if use.Lot == lot.ID {
				lines[i].TakenML += use.ML
			}
		}
		lines[i].TakenText = v.volume(lines[i].TakenML)
	}
	return lines, nil
}

// finder looks up pieces car by car, so that a tin of a whole car asks twice, not once
// a piece.
type finder struct {
	shop   Shop
	pieces map[restoration.ID]restoration.Piece
	cars   map[int64]restoration.Car
}

func (f finder) piece(ctx context.Context, id restoration.ID) (restoration.Piece, restoration.Car, error) {
	if p, ok := f.pieces[id]; ok {
		return p, f.cars[p.CarID], nil
	}
	p, err := f.shop.FindPiece(ctx, id)
	if err != nil {
		return p, restoration.Car{}, err
	}
	f.pieces[id] = p // one that was taken off the list is on none
	if _, ok := f.cars[p.CarID]; !ok {
		if f.cars[p.CarID], err = f.shop.FindCarByID(ctx, p.CarID); err != nil {
			return p, restoration.Car{}, err
		}
		all, err := f.shop.CarPieces(ctx, p.CarID)
		if err != nil {
			return p, restoration.Car{}, err
		}
		for _, other := range all {
			f.pieces[other.ID] = other
		}
	}
	return p, f.cars[p.CarID], nil
}

func sumLot(lines []lotLine, v visit) lotUse {
	cars, pieces := map[int64]bool{}, map[restoration.ID]bool{}
	var ml float64
	for _, l := range lines {
		cars[l.Car.ID], pieces[l.PieceID] = true, true
		ml += l.TakenML
	}
	return lotUse{Cars: ui.Count(len(cars), "car", "cars"), Pieces: ui.Count(len(pieces), "piece", "pieces"),
		Coats: ui.Count(len(lines), "coat", "coats"), Taken: v.volume(ml)}
}

// lotTable gives everything from a tin as a table, in the shop's unit.
func (o *Office) lotTable(w http.ResponseWriter, r *http.Request) error {
	lot, err := o.lotIn(r)
	if err != nil {
		return err
	}
	v := visitOf(r)
	lines, err := o.lotLines(r.Context(), lot, v)
	if err != nil {
		return err
	}
	volume, column := v.units().volume, "ml"
	if v.us() {
		column = "fl_oz"
	}
	var table bytes.Buffer
	out := trimlist.NewWriter(&table)
	out.Write("lot", "material", "work_order", "car", "piece", "code", "layer", "coat", "at", "person", column)
	for _, l := range lines {
		out.Write(lot.Number, lot.MaterialName, l.Car.WorkOrder, l.Car.Name, l.Piece.Title(), l.Piece.Label, string(l.Layer),
			strconv.Itoa(l.Number), l.At.UTC().Format(time.RFC3339), l.Person, strconv.FormatFloat(volume.to(l.TakenML), 'f', volume.places, 64))
	}
	if err := out.Flush(); err != nil {
		return err
	}
	return sendTable(w, "lot-"+formatID(lot.ID), table.Bytes())
}

func (o *Office) showEditLot(w http.ResponseWriter, r *http.Request) error {
	lot, err := o.lotIn(r)
	if err != nil {
		return err
	}
	return o.renderEditLot(w, r, http.StatusOK, lot, &form{values: lotValues(lot, visitOf(r).units().volume)})
}

func (o *Office) renderEditLot(w http.ResponseWriter, r *http.Request, status int, lot restoration.Lot, f *form) error {
	row, err := o.lotRow(r, lot)
	if err != nil {
		return err
	}
	return web.Render(w, r, status, editLotPage(lotProps{
		Page: o.page(r, ui.PageProps{Title: "Lot " + lot.Number, Eyebrow: row.Holds, Nav: navPaint}), Row: row, Form: f, Volume: visitOf(r).units().volume,
	}))
}

func (o *Office) editLot(w http.ResponseWriter, r *http.Request) error {
	lot, err := o.lotIn(r)
	if err != nil {
		return err
	}
	f, err := readForm(w, r)
	if err != nil {
		return err
	}
	changed := parseLot(f, lot, nil, visitOf(r).units())
	if f.ok() {
		if _, err := o.shop.SaveLot(r.Context(), visitOf(r).Actor(), changed); f.take(err) != nil {
			return err
		}
	}
	if !f.ok() {
		return o.renderEditLot(w, r, http.StatusUnprocessableEntity, lot, f)
	}
	o.done(r, "Lot "+changed.Number+" is saved.")
	return web.SeeOther(w, r, lotPath(lot.ID))
}

func (o *Office) closeLot(w http.ResponseWriter, r *http.Request) error {
	return o.turnLot(w, r, visitOf(r).Now, " is closed: used up or thrown away. No coat is offered it any more.")
}

func (o *Office) reopenLot(w http.ResponseWriter, r *http.Request) error {
	return o.turnLot(w, r, time.Time{}, " is on the shelf again.")
}

// turnLot closes a tin at an hour, or opens it again with none.
func (o *Office) turnLot(w http.ResponseWriter, r *http.Request, closed time.Time, done string) error {
	lot, err := o.lotIn(r)
	if err != nil {
		return err
	}
	lot.Closed = closed
	if _, err := o.shop.SaveLot(r.Context(), visitOf(r).Actor(), lot); err != nil {
		return err
	}
	o.done(r, "Lot "+lot.Number+done)
	return web.SeeOther(w, r, lotPath(lot.ID))
}
