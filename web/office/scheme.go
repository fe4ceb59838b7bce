package office

import (
	"net/http"
	"net/url"
	"slices"

	"github.com/go-chi/chi/v5"

	"scumble/internal/coating"
	"scumble/internal/colour"
	"scumble/internal/restoration"
	"scumble/web"
	"scumble/web/ui"
)

func finishPath(workOrder string) string { return carPath(workOrder) + "/finish" }

func (o *Office) schemeRoutes(r chi.Router) {
	h := o.adapter.Handle
	r.Get("/cars/{wo}/finish", h(o.showFinish))
	r.Post("/cars/{wo}/finish", h(o.startScheme))
	r.Get("/cars/{wo}/finish/{id}", h(o.showScheme))
	r.Post("/cars/{wo}/finish/{id}", h(o.saveScheme))
	r.Post("/cars/{wo}/finish/{id}/delete", h(o.dropScheme))
	r.Post("/cars/{wo}/finish/back", h(o.restoreScheme))
}

// FinishProps is what a car's pieces must reach, on the car's own page and on one of
// its own.
type FinishProps struct {
	Path    string
	Schemes []schemeRow
	HasOwn  bool     // the car's own finish is agreed
	Unnamed []string // schemes that pieces name and that have no finish yet
	Dropped []restoration.DroppedScheme
	Form    *form // of a further one; nil where the panel only shows
}

// schemeRow is a finish in words.
type schemeRow struct {
	Title, Href     string
	Coats           string
	Build, Floor    string
	Gloss           string
	Ground          string // "" not measured
	Swatch          string // of the ground, "#rrggbb"; "" none
	OutOfGamut      bool   // no screen can show it
	Materials       []layerMaterial
	GroundLot, LotH string // lot number and address
}

// layerMaterial is what a layer is sprayed with.
type layerMaterial struct{ Layer, Name string }

// finishData is what a finish is shown and chosen from.
type finishData struct {
	Schemes   []restoration.Scheme
	Materials []restoration.Material
	Lots      []restoration.Lot
}

func (o *Office) loadFinish(r *http.Request, carID int64) (d finishData, err error) {
	if d.Schemes, err = o.shop.Schemes(r.Context(), carID); err != nil {
		return d, err
	}
	if d.Materials, err = o.shop.Materials(r.Context()); err != nil {
		return d, err
	}
	d.Lots, err = o.shop.Lots(r.Context())
	return d, err
}

// finishPanel builds the panel; pieces are those of the car.
func (o *Office) finishPanel(r *http.Request, car restoration.Car, pieces []restoration.Piece) (FinishProps, error) {
	d, err := o.loadFinish(r, car.ID)
	if err != nil {
		return FinishProps{}, err
	}
	p := FinishProps{Path: finishPath(car.WorkOrder)}
	known := map[restoration.SchemeKey]bool{}
	for _, s := range d.Schemes {
		known[restoration.KeyOf(s)] = true
		p.HasOwn = p.HasOwn || s.Name == ""
		p.Schemes = append(p.Schemes, d.row(s, p.Path, visitOf(r)))
	}
	for _, piece := range pieces {
		if piece.Scheme != "" && !known[restoration.KeyOf(restoration.Scheme{CarID: car.ID, Name: piece.Scheme})] && !slices.Contains(p.Unnamed, piece.Scheme) {
			p.Unnamed = append(p.Unnamed, piece.Scheme)
		}
	}
	return p, nil
}

func (d finishData) row(s restoration.Scheme, path string, v visit) schemeRow {
	row := schemeRow{Title: upperFirst(s.Title()), Href: path + "/" + formatID(s.ID), Coats: "none asked for",
		Build: restoration.FilmWords(s.BuildUM, v.Settings.Units), Floor: restoration.FilmWords(s.FloorUM, v.Settings.Units), Gloss: "not agreed"}
	if s.ClearCoats > 0 {
		row.Coats = ui.Count(s.ClearCoats, "coat", "coats")
	}
	if s.Gloss != nil {
		row.Gloss = s.Gloss.String()
	}
	if s.Ground != nil {
		row.Ground = labWords(*s.Ground)
		var inside bool
		row.Swatch, inside = colour.Swatch(*s.Ground)
		row.OutOfGamut = !inside
	}
	for _, layer := range coating.Layers() {
		if m := materialOf(d.Materials, s.Materials[layer]); m.Name != "" {
			row.Materials = append(row.Materials, layerMaterial{string(layer), m.Name})
		}
	}
	if i := slices.IndexFunc(d.Lots, func(l restoration.Lot) bool { return l.ID == s.GroundLot }); i >= 0 {
		row.GroundLot, row.LotH = d.Lots[i].Number, lotPath(d.Lots[i].ID)
	}
	return row
}

// finishPageProps is the finishes of one car as a page of their own.
type finishPageProps struct {
	Page  ui.PageProps
	Panel FinishProps
	Back  string
}

func (o *Office) showFinish(w http.ResponseWriter, r *http.Request) error {
	car, err := o.carOf(r)
	if err != nil {
		return err
	}
	return o.renderFinish(w, r, http.StatusOK, car, &form{values: url.Values{"name": {r.URL.Query().Get("name")}}})
}

func (o *Office) renderFinish(w http.ResponseWriter, r *http.Request, status int, car restoration.Car, f *form) error {
	pieces, err := o.shop.CarPieces(r.Context(), car.ID)
	if err != nil {
		return err
	}
	panel, err := o.finishPanel(r, car, pieces)
	if err != nil {
		return err
	}
	if panel.Dropped, err = o.shop.DroppedSchemes(r.Context(), car.ID); err != nil {
		return err
	}
	panel.Form = f
	return web.Render(w, r, status, finishPage(finishPageProps{Panel: panel, Back: carPath(car.WorkOrder),
		Page: o.page(r, ui.PageProps{Title: "Finish", Eyebrow: carEyebrow(car), Nav: "shop",
			Lede: "What the pieces must reach before they are cut and fitted. Waits, checks and amounts go by it."})}))
}

// startScheme begins a finish of the car with the usual figures: its own, or a further
// one of another name.
func (o *Office) startScheme(w http.ResponseWriter, r *http.Request) error {
	car, f, err := o.carForm(w, r)
	if err != nil {
		return err
	}
	name := f.line("name")
	if f.ticked("further") && name == "" {
		f.fault("name", "Type the name under which the pieces have it, such as Burr panels.")
	}
	before, err := o.shop.Schemes(r.Context(), car.ID)
	if err != nil {
		return err
	}
	s := restoration.StockScheme(car.ID, name)
	if slices.ContainsFunc(before, func(b restoration.Scheme) bool { return restoration.KeyOf(b) == restoration.KeyOf(s) }) {
		f.fault("name", "The car has %s already. Change that one.", s.Title())
	}
	if f.ok() {
		if s, err = o.shop.SaveScheme(r.Context(), visitOf(r).Actor(), s); f.take(err) != nil {
			return err
		}
	}
	if !f.ok() {
		return o.renderFinish(w, r, http.StatusUnprocessableEntity, car, f)
	}
	o.done(r, "These are the usual figures. Change what the customer agreed otherwise.")
	return web.SeeOther(w, r, finishPath(car.WorkOrder)+"/"+formatID(s.ID))
}

// schemeProps is one finish as a form.
type schemeProps struct {
	Page   ui.PageProps
	Form   *form
	Row    schemeRow
	Film   unit
	Layers []layerChoice
	Tins   []ui.Option
	Back   string
}

// layerChoice is what a layer may be sprayed with.
type layerChoice struct {
	Field, Label string
	Options      []ui.Option
}

// schemeIn finds the car and the finish of the address; that of another car is none.
func (o *Office) schemeIn(r *http.Request) (restoration.Car, restoration.Scheme, finishData, error) {
	var none restoration.Scheme
	id, err := numberIn(r, "id")
	if err != nil {
		return restoration.Car{}, none, finishData{}, err
	}
	car, err := o.carOf(r)
	if err != nil {
		return car, none, finishData{}, err
	}
	d, err := o.loadFinish(r, car.ID)
	if err != nil {
		return car, none, d, err
	}
	s, err := findIn(d.Schemes, id, func(s restoration.Scheme) int64 { return s.ID }, "There is no such finish. Go back to the car.")
	return car, s, d, err
}

func (o *Office) showScheme(w http.ResponseWriter, r *http.Request) error {
	car, s, d, err := o.schemeIn(r)
	if err != nil {
		return err
	}
	f := &form{values: schemeValues(s, visitOf(r).units().film)}
	return o.renderScheme(w, r, http.StatusOK, car, s, d, f)
}

func (o *Office) renderScheme(w http.ResponseWriter, r *http.Request, status int, car restoration.Car, s restoration.Scheme, d finishData, f *form) error {
	v := visitOf(r)
	path := finishPath(car.WorkOrder)
	return web.Render(w, r, status, schemePage(schemeProps{
		Page: o.page(r, ui.PageProps{Title: upperFirst(s.Title()), Eyebrow: carEyebrow(car) + " · finish", Nav: "shop"}),
		Form: f, Row: d.row(s, path, v), Film: v.units().film, Layers: d.layerChoices(s), Tins: d.tinChoices(s, v.Settings.Units), Back: path,
	}))
}

func (o *Office) saveScheme(w http.ResponseWriter, r *http.Request) error {
	car, before, d, err := o.schemeIn(r)
	if err != nil {
		return err
	}
	f, err := readForm(w, r)
	if err != nil {
		return err
	}
	v := visitOf(r)
	s := parseFinish(f, before, d, v.units())
	if f.ok() {
		if _, err := o.shop.SaveScheme(r.Context(), v.Actor(), s); f.take(err) != nil {
			return err
		}
	}
	if !f.ok() {
		return o.renderScheme(w, r, http.StatusUnprocessableEntity, car, before, d, f)
	}
	o.done(r, upperFirst(s.Title())+" is saved.")
	return web.SeeOther(w, r, finishPath(car.WorkOrder))
}

// schemeFacts lists what a finish asks for.
func schemeFacts(s schemeRow) []ui.Fact {
	facts := []ui.Fact{
		{Term: "Clear", Text: s.Coats}, {Term: "Before cutting", Text: s.Build}, {Term: "Floor", Text: s.Floor}, {Term: "Gloss", Text: s.Gloss},
		{Term: "Ground colour", Body: groundSwatch(s)},
	}
	for _, m := range s.Materials {
		facts = append(facts, ui.Fact{Term: upperFirst(m.Layer), Text: m.Name})
	}
	if s.GroundLot != "" {
		facts = append(facts, ui.Fact{Term: "Ground from", Body: lotLink(s.GroundLot, s.LotH)})
	}
	return facts
}
