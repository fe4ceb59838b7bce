package office

import (
	"net/http"
	"net/url"

	"github.com/go-chi/chi/v5"

	"scumble/internal/coating"
	"scumble/internal/restoration"
	"scumble/web"
	"scumble/web/ui"
)

const materialsPath = "/office/materials"

func materialPath(id int64) string { return materialsPath + "/" + formatID(id) }

func (o *Office) materialRoutes(r chi.Router) {
	h := o.adapter.Handle
	r.Get("/materials", h(o.showMaterials))
	r.Get("/materials/new", h(o.showMaterial))
	r.Post("/materials/new", h(o.saveMaterial))
	r.Get("/materials/{id}", h(o.showMaterial))
	r.Post("/materials/{id}", h(o.saveMaterial))
	r.Post("/materials/{id}/retire", h(o.retireMaterial))
	r.Post("/materials/{id}/back", h(o.restoreMaterial))
}

// materialsProps is the list of materials.
type materialsProps struct {
	Page    ui.PageProps
	Layers  []materialLayer
	Retired []materialRow
	Example bool // the list holds examples
}

// materialLayer are the materials in use of one layer.
type materialLayer struct {
	Name string
	Rows []materialRow
}

// materialRow is a material as the list shows it.
type materialRow struct {
	restoration.Material
	Href    string
	Derived derived
	Ratio   string // "2 : 1 + 5 % thinner"
	Gone    string // when it was retired
}

// derived are the figures that follow from a sheet.
type derived struct{ Solids, Dry, Cover string }

// deriveFrom works out what a mix leaves on a piece. What can't be told stays "".
func deriveFrom(m coating.Material, units restoration.Units) derived {
	solids, err := m.VolumeSolids()
	if err != nil {
		return derived{}
	}
	d := derived{Solids: unit{"%", 1, perCent.to, nil}.says(solids)}
	dry, err := m.DryUM()
	if err != nil || dry.IsZero() {
		return d
	}
	d.Dry = rangeWords(dry, unitsOf(units).film)
	if cover, err := coating.CoverageM2PerL(solids, dry.Likely); err == nil {
		d.Cover = coverWords(cover, units)
	}
	return d
}

func ratioWords(m coating.Material) string {
	if len(m.Parts) == 1 && m.Thinner.Fraction == 0 {
		return "one part"
	}
	ratio := ""
	for i, p := range m.Parts {
		if i > 0 {
			ratio += " : "
		}
		ratio += plain.typed(p.Share)
	}
	if m.Thinner.Fraction > 0 {
		ratio += " + " + perCent.says(m.Thinner.Fraction) + " thinner"
		if m.Thinner.Of == coating.OfA {
			ratio += " of A"
		}
	}
	return ratio
}

func newMaterialRow(m restoration.Material, v visit) materialRow {
	row := materialRow{Material: m, Href: materialPath(m.ID), Derived: deriveFrom(m.Material, v.Settings.Units), Ratio: ratioWords(m.Material)}
	if !m.Retired.IsZero() {
		row.Gone = "retired on " + ui.Day(m.Retired, v.Loc)
	}
	return row
}

func (o *Office) showMaterials(w http.ResponseWriter, r *http.Request) error {
	all, err := o.shop.Materials(r.Context())
	if err != nil {
		return err
	}
	v := visitOf(r)
	p := materialsProps{Page: o.page(r, ui.PageProps{Title: "Materials", Nav: navPaint,
		Lede: "What the shop sprays, with the figures of its data sheets. Amounts, waits and films are worked out from them."})}
	for _, layer := range coating.Layers() {
		group := materialLayer{Name: string(layer)}
		for _, m := range all {
			if m.Layer == layer && m.Retired.IsZero() {
				group.Rows = append(group.Rows, newMaterialRow(m, v))
				p.Example = p.Example || m.Example
			}
		}
		if len(group.Rows) > 0 {
			p.Layers = append(p.Layers, group)
		}
	}
	for _, m := range all {
		if !m.Retired.IsZero() {
			p.Retired = append(p.Retired, newMaterialRow(m, v))
		}
	}
	return web.Render(w, r, http.StatusOK, materialsPage(p))
}

// materialProps is the data sheet of one material as a form.
type materialProps struct {
	Page   ui.PageProps
	Form   *form
	Action string
	Row    materialRow // of the material as it is kept; zero: new
	Units  units
	Parts  int // rows offered
	Waits  int
	Pots   int
}

// materialIn finds the material of the address; the zero one for a new one.
func (o *Office) materialIn(r *http.Request) (restoration.Material, error) {
	if chi.URLParam(r, "id") == "" {
		return restoration.Material{}, nil
	}
	id, err := numberIn(r, "id")
	if err != nil {
		return restoration.Material{}, err
	}
	all, err := o.shop.Materials(r.Context())
	if err != nil {
		return restoration.Material{}, err
	}
	return findIn(all, id, func(m restoration.Material) int64 { return m.ID }, "There is no such material. Look at the list again.")
}

func (o *Office) showMaterial(w http.ResponseWriter, r *http.Request) error {
	m, err := o.materialIn(r)
	if err != nil {
		return err
	}
	f := &form{values: url.Values{"layer": {string(coating.Clear)}, "thinner.of": {string(coating.OfParts)}}}
	if m.ID != 0 {
		f.values = materialValues(m, visitOf(r).units())
	}
	return o.renderMaterial(w, r, http.StatusOK, m, f)
}

func (o *Office) renderMaterial(w http.ResponseWriter, r *http.Request, status int, m restoration.Material, f *form) error {
	v := visitOf(r)
	p := materialProps{Form: f, Action: materialsPath + "/new", Units: v.units(),
		Parts: max(3, f.rows(partRows)+1), Waits: max(3, f.rows(waitRows)+1), Pots: max(3, f.rows(potRows)+1)}
	page := ui.PageProps{Title: "New material", Nav: navPaint, Lede: "Type the figures from the product's data sheet. What it doesn't state stays empty."}
	if m.ID != 0 {
		p.Row, p.Action = newMaterialRow(m, v), materialPath(m.ID)
		page.Title, page.Eyebrow, page.Lede = m.Name, joinWords(upperFirst(string(m.Layer)), string(m.Kind)), ""
	}
	p.Page = o.page(r, page)
	return web.Render(w, r, status, materialPage(p))
}

func (o *Office) saveMaterial(w http.ResponseWriter, r *http.Request) error {
	before, err := o.materialIn(r)
	if err != nil {
		return err
	}
	f, err := readForm(w, r)
	if err != nil {
		return err
	}
	v := visitOf(r)
	saved := parseMaterial(f, before, v.units())
	if f.ok() {
		if saved, err = o.shop.SaveMaterial(r.Context(), v.Actor(), saved); f.take(err) != nil {
			return err
		}
	}
	if !f.ok() {
		return o.renderMaterial(w, r, http.StatusUnprocessableEntity, before, f)
	}
	text := saved.Name + " is saved. What was sprayed before keeps the figures that held then."
	if before.ID == 0 {
		text = saved.Name + " is on the list. Put its tins on the shelf next."
	}
	o.done(r, text)
	return web.SeeOther(w, r, materialPath(saved.ID))
}

func (o *Office) retireMaterial(w http.ResponseWriter, r *http.Request) error {
	return o.moveMaterial(w, r, true, " is retired: no coat and no car is offered it any more. It can be brought back at any time.")
}

func (o *Office) restoreMaterial(w http.ResponseWriter, r *http.Request) error {
	return o.moveMaterial(w, r, false, " is back among the choices.")
}

func (o *Office) moveMaterial(w http.ResponseWriter, r *http.Request, retired bool, done string) error {
	m, err := o.materialIn(r)
	if err != nil {
		return err
	}
	if err := o.shop.RetireMaterial(r.Context(), visitOf(r).Actor(), m.ID, retired); err != nil {
		return err
	}
	o.done(r, m.Name+done)
	return web.SeeOther(w, r, materialPath(m.ID))
}

// materialKinds and layerOptions are what a material may be.
func materialKinds() []ui.Option {
	options := []ui.Option{{Value: "", Word: "choose one"}}
	for _, k := range coating.Kinds() {
		options = append(options, ui.Option{Value: string(k), Word: string(k)})
	}
	return options
}

func layerOptions() []ui.Option {
	var options []ui.Option
	for _, l := range coating.Layers() {
		options = append(options, ui.Option{Value: string(l), Word: string(l)})
	}
	return options
}

func thinnerOptions() []ui.Option {
	return []ui.Option{
		{Value: string(coating.OfParts), Word: "all parts together (A + B)"},
		{Value: string(coating.OfA), Word: "the first part alone (A)"},
	}
}

// waitColumns are the waits of a data sheet as columns of the form.
func waitColumns() []namedField {
	return []namedField{{"flash_min", "Flash"}, {"recoat_min", "Recoat from"}, {"max_recoat_min", "Recoat until"},
		{"sand_min", "Sand"}, {"polish_min", "Polish"}, {"fit_min", "Fit"}}
}
