package office

import (
	"net/http"
	"net/url"
	"slices"
	"strconv"

	"scumble/internal/restoration"
	"scumble/web"
	"scumble/web/ui"
)

// pieceFormPage is the form of a piece's particulars, for a new or a known one. Its
// fields are named as the trim list and the shop's messages name them.
type pieceFormPage struct {
	Page   ui.PageProps
	Form   *form
	Action string
	Back   string
	Submit string
	New    bool // also says where the piece lies
	Routed bool // its route may still be chosen
	AreaIn string
	Units  restoration.Units
	Zones  []ui.Option
	Sides  []ui.Option
	Sizes  []ui.Option
	Mounts []ui.Option
	Metals []ui.Option
	Routes []ui.Option
	inUse
}

// newPieceForm offers the choices; pieces are the car's, whose sets, schemes and places
// are suggested.
func newPieceForm(f *form, pieces []restoration.Piece, routes []restoration.Route, u units) pieceFormPage {
	p := pieceFormPage{
		Form: f, AreaIn: u.area.word, Units: u.of,
		Sides:  []ui.Option{{Word: "middle"}, {Value: "left", Word: "left"}, {Value: "right", Word: "right"}},
		Sizes:  options("by its area", sizes()),
		Mounts: mountOptions(),
		Routes: routeVersionOptions(routes),
		inUse:  newInUse(pieces),
	}
	p.Zones = options("", restoration.Zones())[1:]
	p.Metals = options("", metals)[1:]
	return p
}

// parseDetails reads the particulars of a piece. An empty size follows from the area;
// both faces are twice the visible one unless said otherwise. before is the piece as it was.
func parseDetails(f *form, before restoration.Details, u units) restoration.Details {
	d := restoration.Details{
		Name: f.needed("piece", "Name the piece, such as “ash tray”."), Zone: oneOf(f, "zone", restoration.Zones()),
		Side: oneOf(f, "side", sides()), Place: f.line("place"), AreaM2: f.area("area_m2", u.area, before.AreaM2), BothM2: f.area("both_m2", u.area, before.BothM2),
		Mounting: oneOf(f, "mounting", mountings()), Metal: oneOf(f, "metal", metals), Set: f.line("set"),
		Scheme: f.line("scheme"), SchemeReason: f.line("scheme_reason"), Grade: f.grade("grade"), SteelGrade: f.grade("steel_grade"),
		Note: f.text("note"),
	}
	d.Order = read(f, "order", func(s string) (int, error) {
		n, err := strconv.Atoi(s)
		if err != nil || n < 0 || n > 9999 {
			return 0, wrong("Write a whole number from 0 to 9999.")
		}
		return n, nil
	})
	d.Faults = read(f, "faults", func(s string) ([]restoration.Fault, error) {
		faults, err := restoration.ParseFaults(s)
		if err != nil {
			return nil, wrong(upperFirst(err.Error()) + ".")
		}
		return faults, nil
	})
	if blank(f.get("both_m2")) {
		d.BothM2 = 2 * d.AreaM2
	}
	if d.BothM2 < d.AreaM2 {
		f.fault("both_m2", "Both faces together can't be less than the visible one.")
	}
	d.Size = parseSize(f, d.AreaM2)
	return d
}

func parseSize(f *form, areaM2 float64) restoration.Size {
	switch {
	case f.get("size") != "":
		return oneOf(f, "size", sizes())
	case areaM2 > 0:
		return restoration.SizeOf(areaM2)
	}
	return restoration.SizeMedium
}

// detailValues fills the form with what is known of a piece.
func detailValues(d restoration.Details, routeID int64, u units) url.Values {
	grade := func(g int) string {
		if g == 0 {
			return ""
		}
		return strconv.Itoa(g)
	}
	return url.Values{
		"piece": {d.Name}, "zone": {string(d.Zone)}, "side": {string(d.Side)}, "place": {d.Place}, "order": {strconv.Itoa(d.Order)},
		"area_m2": {u.area.typedStated(d.AreaM2)}, "both_m2": {u.area.typedStated(d.BothM2)}, "size": {string(d.Size)},
		"mounting": {string(d.Mounting)}, "metal": {d.Metal}, "set": {d.Set}, "scheme": {d.Scheme}, "scheme_reason": {d.SchemeReason},
		"grade": {grade(d.Grade)}, "steel_grade": {grade(d.SteelGrade)}, "faults": {restoration.FormatFaults(d.Faults)},
		"note": {d.Note}, "route": {formatID(routeID)},
	}
}

func (o *Office) showEditPiece(w http.ResponseWriter, r *http.Request) error {
	piece, err := o.pieceOf(r)
	if err != nil {
		return err
	}
	f := &form{values: detailValues(piece.Details, piece.RouteID, visitOf(r).units())}
	return o.drawEditPiece(w, r, http.StatusOK, piece, f)
}

func (o *Office) drawEditPiece(w http.ResponseWriter, r *http.Request, status int, piece restoration.Piece, f *form) error {
	pieces, err := o.shop.CarPieces(r.Context(), piece.CarID)
	if err != nil {
		return err
	}
	routes, err := o.routesFor(r, piece)
	if err != nil {
		return err
	}
	p := newPieceForm(f, pieces, routes, visitOf(r).units())
	p.Page = o.page(r, ui.PageProps{Title: "Change " + piece.Name, Nav: "shop"})
	p.Back = piecePath(piece.ID)
	p.Action, p.Submit, p.Routed = p.Back+"/edit", "Save", !begun(piece)
	return web.Render(w, r, status, pieceFormView(p))
}

// routesFor offers the shop's present routes, and the version that the piece is on.
func (o *Office) routesFor(r *http.Request, piece restoration.Piece) ([]restoration.Route, error) {
	routes, err := o.shop.Routes(r.Context())
	if err != nil || slices.ContainsFunc(routes, func(x restoration.Route) bool { return x.ID == piece.RouteID }) {
		return routes, err
	}
	own, err := o.shop.FindRoute(r.Context(), piece.RouteID)
	return append([]restoration.Route{own}, routes...), err
}

// begun tells whether the piece keeps its route.
func begun(p restoration.Piece) bool {
	return slices.ContainsFunc(p.Steps, func(s restoration.Step) bool { return s.Begun() || s.Pass > 1 })
}

func (o *Office) editPiece(w http.ResponseWriter, r *http.Request) error {
	piece, f, err := o.pieceForm(w, r)
	if err != nil {
		return err
	}
	routes, err := o.routesFor(r, piece)
	if err != nil {
		return err
	}
	d := parseDetails(f, piece.Details, visitOf(r).units())
	routeID := piece.RouteID
	if id := f.route("route", routes); id != nil {
		routeID = *id
	}
	if f.ok() {
		if err := f.take(o.shop.EditPiece(r.Context(), visitOf(r).Actor(), piece.ID, d, routeID)); err != nil {
			return err
		}
	}
	if !f.ok() {
		return o.drawEditPiece(w, r, http.StatusUnprocessableEntity, piece, f)
	}
	o.done(r, "The changes are saved.")
	return web.SeeOther(w, r, piecePath(piece.ID))
}

func (o *Office) showAddPiece(w http.ResponseWriter, r *http.Request) error {
	car, err := o.carOf(r)
	if err != nil {
		return err
	}
	f := &form{values: url.Values{"zone": {"front"}, "mounting": {"bench"}, "metal": {"steel"}}}
	return o.drawAddPiece(w, r, http.StatusOK, car, f)
}

func (o *Office) drawAddPiece(w http.ResponseWriter, r *http.Request, status int, car restoration.Car, f *form) error {
	pieces, err := o.shop.CarPieces(r.Context(), car.ID)
	if err != nil {
		return err
	}
	routes, err := o.shop.Routes(r.Context())
	if err != nil {
		return err
	}
	p := newPieceForm(f, pieces, routes, visitOf(r).units())
	p.Page = o.page(r, ui.PageProps{Title: "Add a piece", Eyebrow: carEyebrow(car), Nav: "shop"})
	p.Back = carPath(car.WorkOrder)
	p.Action, p.Submit, p.New, p.Routed = p.Back+"/pieces", "Add it", true, true
	return web.Render(w, r, status, pieceFormView(p))
}

func (o *Office) addPiece(w http.ResponseWriter, r *http.Request) error {
	car, f, err := o.carForm(w, r)
	if err != nil {
		return err
	}
	routes, err := o.shop.Routes(r.Context())
	if err != nil {
		return err
	}
	piece := restoration.NewPiece{Details: parseDetails(f, restoration.Details{}, visitOf(r).units()), LiesAt: f.line("lies_at")}
	if id := f.route("route", routes); id != nil {
		piece.Route = routes[slices.IndexFunc(routes, func(x restoration.Route) bool { return x.ID == *id })].Key
	}
	if f.ok() {
		_, err := o.shop.AddPieces(r.Context(), visitOf(r).Actor(), car.ID, []restoration.NewPiece{piece})
		if err := f.take(err); err != nil {
			return err
		}
	}
	if !f.ok() {
		return o.drawAddPiece(w, r, http.StatusUnprocessableEntity, car, f)
	}
	o.done(r, upperFirst(piece.Name)+" is on the list.")
	if f.ticked("another") {
		return web.SeeOther(w, r, carPath(car.WorkOrder)+"/pieces/new")
	}
	return web.SeeOther(w, r, carPath(car.WorkOrder))
}
